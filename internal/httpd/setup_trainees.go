package httpd

import (
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// traineeRows is how many trainees one form takes.
const traineeRows = 6

// traineesSheet asks for newcomers of an intake.
func (v *visit) traineesSheet() (sheet, error) {
	in, ok := v.ref.Intakes.On(id.Intake(v.param("intake")), v.today)
	if !ok {
		return sheet{}, fault.New(fault.NotFound, "There is no such intake.")
	}
	s := sheet{title: "Add trainees to " + v.ref.Text(in.Name), line: "Rows left empty are left out. More than six: send the form twice.", over: ui.Link{Text: "Intakes", Href: "/set-up/intakes"},
		address: "/set-up/intakes/" + string(in.ID) + "/trainees", button: "Enrol these trainees", aside: []ui.Link{{Text: "The intake", Href: "/intakes/" + string(in.ID)}}}
	s.groups = []page.FieldGroup{{Title: "What holds for all of them", Fields: []ui.Field{v.programmeExercises(in), v.restField(v.usualRest())}}}
	s.groups = append(s.groups, v.newcomerGroups(founding.HoldsFor(v.ref.Exercises.All(v.today), v.exercisesOf(in)), traineeRows)...)
	return s, nil
}

// newcomerGroups ask for trainees, one a row, and for the papers that exercises
// require of them. Where what was sent names somebody on record, the row asks
// whether it is them.
func (v *visit) newcomerGroups(holds []string, rows int) []page.FieldGroup {
	var out []page.FieldGroup
	for i := range rows {
		who := "trainee " + web.Number(int64(i+1))
		fields := []ui.Field{{Name: rowName("name", i), Label: "Name of " + who}, {Name: rowName("born", i), Label: "Birth date of " + who, Kind: ui.Date, Short: true}}
		if same, asked := v.sameField(i); asked {
			fields = append(fields, same)
		}
		for _, h := range holds {
			fields = append(fields, dayAnswer(rowName("hold_"+h, i), capital(strings.ReplaceAll(h, "-", " "))+" of "+who+", last valid day", 0))
		}
		out = append(out, page.FieldGroup{Title: capital(who), Side: true, Fields: fields})
	}
	return out
}

// sameField asks whether a newcomer is somebody on record of their name. No answer
// stands in it: two people can share a name and a birth date.
func (v *visit) sameField(i int) (ui.Field, bool) {
	f := v.r.PostForm
	name := strings.Join(strings.Fields(f.Get(rowName("name", i))), " ")
	if name == "" {
		return ui.Field{}, false
	}
	there, err := v.Founder.OnRecord(v.r.Context(), v.actor, name, strings.TrimSpace(f.Get(rowName("born", i))))
	if err != nil {
		v.failed("who is on record of a newcomer’s name", err)
	}
	out := ui.Field{Name: rowName("same", i), Label: "Who " + name + " is", Kind: ui.Radio}
	for _, p := range there {
		out.Options = append(out.Options, ui.Option{Value: string(p.ID), Label: "The one on record", Note: v.onRecordWords(p)})
	}
	twice := false
	for k := range i {
		twice = twice || strings.EqualFold(strings.Join(strings.Fields(f.Get(rowName("name", k))), " "), name)
	}
	out.Options = append(out.Options, ui.Option{Value: founding.SomebodyElse, Label: "Somebody else of that name"})
	return out, len(there) > 0 || twice
}

// onRecordWords tells one person from another of the name.
func (v *visit) onRecordWords(p founding.OnRecord) string {
	words := []string{"no birth date"}
	if day, err := civil.ParseDay(p.Born); err == nil {
		words[0] = "born " + web.FullDay(day)
	}
	if p.Number != "" {
		words = append(words, "number "+p.Number)
	}
	if p.Employer != "" {
		words = append(words, p.Employer)
	}
	if len(p.Intakes) > 0 {
		words = append(words, "came with "+web.List(p.Intakes))
	}
	if p.Works {
		words = append(words, "works here")
	}
	return strings.Join(words, ", ")
}

// newcomers reads the rows of a form of trainees.
func newcomers(a answers, holds []string, rows int) []founding.Newcomer {
	var out []founding.Newcomer
	for i := range rows {
		row := founding.Newcomer{Name: a.text(rowName("name", i)), Born: a.text(rowName("born", i)), Same: a.text(rowName("same", i)), Holds: map[string]civil.Day{}}
		for _, h := range holds {
			if day := a.day(rowName("hold_"+h, i)); day != 0 {
				row.Holds[h] = day
			}
		}
		out = append(out, row)
	}
	return out
}

func traineesForm(v *visit) error { return v.showSheet(v.traineesSheet()) }

func enrol(v *visit) error {
	of := v.param("intake")
	return v.sendSheet(v.traineesSheet, func(a answers) error {
		in, _ := v.ref.Intakes.On(id.Intake(of), v.today)
		t := founding.Trainees{Intake: id.Intake(of), Needs: many[id.Exercise](a, "needs"), Rest: many[id.Profile](a, "rest"),
			Rows: newcomers(a, founding.HoldsFor(v.ref.Exercises.All(v.today), v.exercisesOf(in)), traineeRows)}
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.Trainees(v.r.Context(), v.actor, t, v.key())
	}, "/set-up", "Trainees enrolled.")
}

// programmeHolds are the papers that exercises of any programme require.
func (v *visit) programmeHolds() []string {
	var needs []id.Exercise
	for _, p := range v.programmesInUse() {
		needs = append(needs, p.Exercises...)
	}
	return founding.HoldsFor(v.ref.Exercises.All(v.today), needs)
}
