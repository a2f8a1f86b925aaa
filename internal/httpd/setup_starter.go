package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// groundWords asks for the stations of each kind of ground.
var groundWords = map[founding.Ground]string{
	founding.InRoom: "Where theory is taught", founding.AtHeight: "Where work at height is practised", founding.AtBlade: "Where a blade is inspected", founding.AtNacelle: "Where the nacelle’s systems are worked on",
}

func starterForm(v *visit) error { return v.starter(http.StatusOK, nil, fault.Fields{}) }

// starter shows the example curriculum with where each figure stands, and asks
// what of it to begin with.
func (v *visit) starter(status int, typed url.Values, bad fault.Fields) error {
	p := page.Starter{Shell: v.page("Example curriculum", "set-up"), Form: ui.Form{Action: "/set-up/starter", Key: v.freshKey(), Button: "Begin with these examples"}}
	which := ui.Field{Name: "examples", Label: "Begin with", Kind: ui.Checkboxes}
	for _, e := range founding.Examples() {
		which.Options = append(which.Options, ui.Option{Value: e.Key, Label: e.Name, Note: web.Count(len(e.Exercises), "exercise", "exercises")})
		shown := page.StarterProgramme{Name: e.Name}
		if e.Hours > 0 {
			shown.Hours = e.Hours.String() + " of contact time: " + sourceWords(e.Source)
		}
		names := map[string]string{}
		for _, x := range e.Exercises {
			names[x.Key] = x.Name
			var after []string
			for _, key := range x.After {
				after = append(after, names[key])
			}
			shown.Exercises = append(shown.Exercises, page.StarterExercise{Name: x.Name, Unit: x.Unit, Length: x.Minutes.String(), LengthFrom: sourceWords(x.Length),
				Ratio: "1 to " + web.Number(int64(x.Ratio)), RatioFrom: sourceWords(x.Share), After: web.List(after), Needs: strings.ReplaceAll(strings.Join(x.Requires, ", "), "-", " "), Outcomes: x.Outcomes})
		}
		p.Programmes = append(p.Programmes, shown)
	}
	fields := []ui.Field{which}
	for _, g := range founding.Grounds() {
		fields = append(fields, v.groundBoxes(g))
	}
	p.Groups = filled([]page.FieldGroup{{Fields: fields}}, typed, bad)
	p.Form.Errors = messages(p.Groups, bad)
	return v.show(status, page.StarterPage(p))
}

// groundBoxes offers the stations that look like a kind of ground, ticked, and all
// of them where none does.
func (v *visit) groundBoxes(g founding.Ground) ui.Field {
	f := v.stationBoxes(string(g), groundWords[g], nil)
	var likely []ui.Option
	for _, o := range f.Options {
		s, _ := v.ref.Stations.On(id.Station(o.Value), v.today)
		r, _ := v.ref.Rigs.On(s.Rig, v.today)
		fits := map[founding.Ground]bool{founding.InRoom: r.Kind == rig.Classroom, founding.AtHeight: s.Height && r.Kind == rig.TowerPlatform,
			founding.AtBlade: r.Kind == rig.BladeFace && !s.Height, founding.AtNacelle: r.Kind == rig.NacelleHouse && !s.Height}
		if fits[g] {
			o.Chosen = true
			likely = append(likely, o)
		}
	}
	if len(likely) > 0 {
		f.Options = likely
	}
	return f
}

// sourceWords says where a figure stands and how sure it is.
func sourceWords(s rulebook.Source) string {
	words := s.Document
	for _, more := range []string{s.Version, s.Clause} {
		if more != "" {
			words += ", " + more
		}
	}
	return words + " (" + markWords(s.Mark) + ")"
}

func beginWithExamples(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	s := founding.Starting{Examples: many[string](a, "examples"), Stations: map[founding.Ground][]id.Station{}}
	for _, g := range founding.Grounds() {
		s.Stations[g] = many[id.Station](a, string(g))
	}
	err = v.Founder.Start(v.r.Context(), v.actor, s, v.key())
	if fields, ok := formErrors(err); ok {
		return v.starter(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/set-up/exercises", "Recorded as examples. Open each and make it yours.")
}
