package httpd

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func exerciseThing() thing {
	return thing{path: "exercises", kind: "exercise", param: "exercise", one: "exercise", many: "exercises", action: access.ChangeYard, dated: true, detail: "Length and stations",
		says: "Here stands what fills one session: how long it takes, where it is done, how many one instructor takes, what a trainee can do after it.",
		line: "What fills one session.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, e := range v.ref.Exercises.All(civil.LastDay) {
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(e.Name), Href: "/set-up/exercises/" + string(e.ID)}, Detail: e.Minutes.String() + ", " + web.Count(len(e.Stations), "station", "stations")}
				if n := len(v.ref.Exercises.Versions(e.ID)); n > 1 {
					row.Detail += ", " + web.Count(n, "version", "versions")
				}
				out = append(out, row)
			}
			return out
		},
		groups: exerciseGroups,
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			e := founding.Exercise{Record: v.exerciseOf(a, id.Exercise(of.ID)), Name: a.text("name"), Outcomes: a.lines("outcomes")}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Exercise(v.r.Context(), v.actor, of, e, v.key())
		}}
}

// settings in words.
var settingWords = map[curriculum.Setting]string{
	curriculum.Theory: "Theory", curriculum.Practical: "Practice", curriculum.PracticalOnSite: "On a site in the field", curriculum.RescuePractical: "Advanced rescue",
}

func exerciseGroups(v *visit, of string) []page.FieldGroup {
	e, _ := v.ref.Exercises.On(id.Exercise(of), civil.LastDay)
	if of == "" {
		e.GroupMin, e.GroupMax, e.Ratio = 1, 6, 6
	}
	setting := ui.Field{Name: "setting", Label: "Setting", Kind: ui.Select, Hint: "The rule book's ratio for it binds where it is smaller."}
	for _, s := range curriculum.Settings() {
		o := ui.Option{Value: string(s), Label: settingWords[s], Chosen: s == e.Setting}
		if limit, _, ok := v.ruleBookNow().Ratio(string(s)); ok {
			o.Note = fmt.Sprintf("1 to %d", limit)
		}
		setting.Options = append(setting.Options, o)
	}
	groups := []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", v.ref.Text(e.Name)), setting}},
		{Title: "How long", Side: true, Fields: []ui.Field{wholeOrNone("minutes", "Length, pauses included", "minutes", int(e.Minutes)), wholeOrNone("setup_minutes", "Setting up before", "minutes", int(e.Setup)), wholeOrNone("strike_minutes", "Striking after", "minutes", int(e.Strike))}},
		{Fields: []ui.Field{{Name: "pauses", Label: "Pauses", Value: pauseText(e.Pauses), Hint: "Minutes from the start, then how long: 105/15 200/30"}}},
		{Title: "Where", Fields: []ui.Field{v.stationBoxes("stations", "Stations where it can be done", e.Stations)}},
		{Title: "Group", Side: true, Fields: []ui.Field{wholeField("ratio", "Trainees for one instructor", "", e.Ratio), wholeOrNone("group_min", "Group at least", "", e.GroupMin), wholeOrNone("group_max", "Group at most", "", e.GroupMax)}},
		{Title: "What a trainee can do after it", Fields: []ui.Field{{Name: "outcomes", Label: "Outcomes", Kind: ui.Area, Value: v.outcomeLines(e.Outcomes), Required: true, Hint: "One a line. The same words in two exercises are the same outcome."}}},
	}
	return append(groups, exerciseMore(v, e)...)
}

// exerciseMore asks what not every exercise has: what comes before it, what a
// trainee must hold, kit and energy.
func exerciseMore(v *visit, e curriculum.Exercise) []page.FieldGroup {
	after := ui.Field{Name: "after", Label: "Comes after", Kind: ui.Checkboxes}
	for _, x := range v.ref.Exercises.All(v.today) {
		if x.ID != e.ID && x.On(v.today) {
			after.Options = append(after.Options, ui.Option{Value: string(x.ID), Label: v.ref.Text(x.Name), Chosen: slices.ContainsFunc(e.After, func(a curriculum.After) bool { return a.Exercise == x.ID })})
		}
	}
	before := []ui.Field{}
	if len(after.Options) > 0 {
		before = append(before, after)
	}
	for _, a := range e.After {
		name := v.exerciseName(a.Exercise, v.today)
		before = append(before, hoursField("min_gap_"+string(a.Exercise), "At least so long after "+name, a.MinGap), hoursField("max_gap_"+string(a.Exercise), "At most so long after "+name, a.MaxGap))
	}
	out := []page.FieldGroup{
		{Title: "What comes first", Folded: len(e.After) == 0, Note: "How long after each is asked once it is saved.", Fields: before},
		{Title: "What a trainee must hold", Folded: len(e.Requires) == 0, Fields: []ui.Field{{Name: "requires", Label: "Names of papers", Value: strings.Join(e.Requires, ", "), Hint: "Such as medical-height, first-aid, work-at-height. A trainee without it is not booked."}}},
	}
	var uses, energy, ratios []ui.Field
	for _, k := range v.kitsInUse() {
		n := 0
		for _, u := range e.Uses {
			if u.Kit == k.ID {
				n = u.Count
			}
		}
		uses = append(uses, wholeOrNone("kit_"+string(k.ID), v.ref.Text(k.Name), fmt.Sprintf("of %d", k.Count), n))
	}
	for _, c := range v.circuitsInUse() {
		state := ""
		for _, n := range e.Energy {
			if n.Circuit == c.ID {
				state = n.State
			}
		}
		energy = append(energy, ui.Field{Name: "circuit_" + string(c.ID), Label: v.ref.Text(c.Name), Kind: ui.Select, Short: true, Options: choose([]ui.Option{{Label: "Does not matter"}, {Value: "live", Label: "Live"}, {Value: "dead", Label: "Dead, locked"}}, []string{state})})
	}
	for _, r := range e.RatioAt {
		st, _ := v.ref.Stations.On(r.Station, v.today)
		ratios = append(ratios, wholeOrNone("ratio_at_"+string(r.Station), "Trainees for one instructor on "+v.ref.Text(st.Name), "", r.Ratio))
	}
	if len(uses) > 0 {
		out = append(out, page.FieldGroup{Title: "Kit that one session takes", Folded: len(e.Uses) == 0, Side: true, Fields: uses})
	}
	if len(energy) > 0 {
		out = append(out, page.FieldGroup{Title: "Energy it needs", Folded: len(e.Energy) == 0, Side: true, Fields: energy})
	}
	if len(ratios) > 0 {
		out = append(out, page.FieldGroup{Title: "Where fewer are allowed", Side: true, Fields: ratios})
	}
	return out
}

func (v *visit) stationBoxes(name, label string, chosen []id.Station) ui.Field {
	f := ui.Field{Name: name, Label: label, Kind: ui.Checkboxes}
	for _, s := range v.ref.Stations.All(v.today) {
		if s.Retired == 0 || s.Retired > v.today {
			r, _ := v.ref.Rigs.On(s.Rig, v.today)
			f.Options = append(f.Options, ui.Option{Value: string(s.ID), Label: v.ref.Text(s.Name), Note: v.ref.Text(r.Name), Chosen: slices.Contains(chosen, s.ID)})
		}
	}
	if len(f.Options) == 0 {
		f.Hint = "No station is recorded yet. Record the rigs and stations first."
	}
	return f
}

func (v *visit) outcomeLines(of []id.Outcome) string {
	var lines []string
	for _, o := range of {
		rec, _ := v.ref.Outcomes.On(o, civil.LastDay)
		lines = append(lines, v.ref.Text(rec.Name))
	}
	return strings.Join(lines, "\n")
}

func pauseText(pauses []curriculum.Pause) string {
	var out []string
	for _, p := range pauses {
		out = append(out, fmt.Sprintf("%d/%d", int(p.After), int(p.Minutes)))
	}
	return strings.Join(out, " ")
}

func (v *visit) exerciseOf(a answers, of id.Exercise) curriculum.Exercise {
	e := curriculum.Exercise{ID: of, Setting: curriculum.Setting(a.text("setting")), Minutes: a.minutes("minutes", true), Setup: a.minutes("setup_minutes", false), Strike: a.minutes("strike_minutes", false),
		Stations: many[id.Station](a, "stations"), Ratio: a.whole("ratio", true), GroupMin: a.whole("group_min", false), GroupMax: a.whole("group_max", false)}
	for _, text := range strings.FieldsFunc(a.text("pauses"), func(c rune) bool { return c == ' ' || c == ';' || c == ',' }) {
		after, length, ok := strings.Cut(text, "/")
		x, errAfter := strconv.Atoi(after)
		y, errLength := strconv.Atoi(length)
		if !ok || errAfter != nil || errLength != nil {
			a.bad.Add("pauses", "%q is not a pause. Give minutes from the start, a stroke, and minutes of pause: 105/15.", text)
			continue
		}
		e.Pauses = append(e.Pauses, curriculum.Pause{After: civil.Minutes(x), Minutes: civil.Minutes(y)})
	}
	for _, x := range many[id.Exercise](a, "after") {
		e.After = append(e.After, curriculum.After{Exercise: x, MinGap: a.hours("min_gap_" + string(x)), MaxGap: a.hours("max_gap_" + string(x))})
	}
	for _, name := range strings.Split(a.text("requires"), ",") {
		if name = strings.ToLower(strings.Join(strings.Fields(name), "-")); name != "" && !slices.Contains(e.Requires, name) {
			e.Requires = append(e.Requires, name)
		}
	}
	v.exerciseMeans(a, &e)
	return e
}

// exerciseMeans reads kit, energy and ratios of single stations.
func (v *visit) exerciseMeans(a answers, e *curriculum.Exercise) {
	for _, k := range v.kitsInUse() {
		if n := a.whole("kit_"+string(k.ID), false); n > 0 {
			e.Uses = append(e.Uses, curriculum.KitUse{Kit: k.ID, Count: n})
		}
	}
	for _, c := range v.circuitsInUse() {
		if state := a.text("circuit_" + string(c.ID)); state != "" {
			e.Energy = append(e.Energy, curriculum.EnergyNeed{Circuit: c.ID, State: state})
		}
	}
	for _, st := range e.Stations {
		if n := a.whole("ratio_at_"+string(st), false); n > 0 {
			e.RatioAt = append(e.RatioAt, curriculum.StationRatio{Station: st, Ratio: n})
		}
	}
}

func outcomeThing() thing {
	return thing{path: "outcomes", kind: "outcome", param: "outcome", one: "outcome", many: "outcomes", action: access.ChangeYard, detail: "Delivered by",
		says: "Here stands what a trainee must be able to do. Exercises bring their outcomes with them.",
		line: "One thing a trainee must be able to do.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, o := range v.ref.Outcomes.All(v.today) {
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(o.Name), Href: "/set-up/outcomes/" + string(o.ID)}}
				var by []string
				for _, e := range v.ref.Exercises.All(v.today) {
					if e.On(v.today) && e.Delivers(o.ID) {
						by = append(by, v.ref.Text(e.Name))
					}
				}
				row.Detail = web.List(by)
				out = append(out, row)
			}
			return out
		},
		groups: func(v *visit, of string) []page.FieldGroup {
			o, _ := v.ref.Outcomes.On(id.Outcome(of), v.today)
			return []page.FieldGroup{{Fields: []ui.Field{textField("name", "In words", v.ref.Text(o.Name))}}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			return v.Founder.Outcome(v.r.Context(), v.actor, of, a.text("name"), v.key())
		}}
}

func programmeThing() thing {
	return thing{path: "programmes", kind: "programme", param: "programme", one: "programme", many: "programmes", action: access.ChangeYard, dated: true, detail: "Exercises",
		says: "Here stands what leads to a certificate: exercises in their order, outcomes by unit, hours.",
		line: "What leads to a certificate.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, p := range v.ref.Programmes.All(civil.LastDay) {
				out = append(out, page.ThingRow{Name: ui.Link{Text: v.ref.Text(p.Name), Href: "/set-up/programmes/" + string(p.ID)}, Detail: web.Count(len(p.Exercises), "exercise", "exercises")})
			}
			return out
		},
		groups: programmeGroups,
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			p := founding.Programme{Name: a.text("name"), Hours: a.minutes("hours_minutes", false), SpanDays: a.whole("span_days", false), Validity: a.text("validity"), Teaches: v.taughtOf(a)}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Programme(v.r.Context(), v.actor, of, p, v.key())
		}}
}

func programmeGroups(v *visit, of string) []page.FieldGroup {
	p, _ := v.ref.Programmes.On(id.Programme(of), civil.LastDay)
	var lines []string
	if of == "" {
		for _, e := range v.ref.Exercises.All(v.today) {
			if e.On(v.today) && !v.inProgramme(e.ID) {
				lines = append(lines, v.ref.Text(e.Name))
			}
		}
	}
	for _, e := range p.Exercises {
		rec, _ := v.ref.Exercises.On(e, civil.LastDay)
		line := v.ref.Text(rec.Name)
		if u := v.unitOf(p, rec); u != "" {
			line = u + ": " + line
		}
		lines = append(lines, line)
	}
	teaches := ui.Field{Name: "teaches", Label: "Exercises in teaching order", Kind: ui.Area, Value: strings.Join(lines, "\n"), Required: true,
		Hint: "One a line. A unit may stand before it: Moving safely: Harness basics"}
	valid := ui.Field{Name: "validity", Label: "The certificate is valid for", Kind: ui.Select, Options: []ui.Option{{Label: "No end"}}}
	for _, l := range v.ruleBookNow().Lines {
		if l.Quantity == rulebook.ValidityMonths && v.ruleBookNow().Selected(l.Profile) {
			valid.Options = append(valid.Options, ui.Option{Value: l.ID, Label: capital(strings.TrimPrefix(l.Label(), "validity of ")), Note: l.ValueText(), Chosen: l.ID == p.Validity})
		}
	}
	return []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", v.ref.Text(p.Name)), teaches, valid}},
		{Side: true, Fields: []ui.Field{wholeOrNone("hours_minutes", "Contact time it asks for", "minutes", int(p.Hours)), wholeOrNone("span_days", "To be completed within", "days", p.SpanDays)}},
	}
}

// unitOf is the smallest unit that holds all outcomes of an exercise, "" for none.
func (v *visit) unitOf(p curriculum.Programme, e curriculum.Exercise) string {
	var best curriculum.Unit
	for _, u := range p.Units {
		lacks := slices.ContainsFunc(e.Outcomes, func(o id.Outcome) bool { return !slices.Contains(u.Outcomes, o) })
		if !lacks && len(e.Outcomes) > 0 && (best.Name == "" || len(u.Outcomes) < len(best.Outcomes)) {
			best = u
		}
	}
	return v.ref.Text(best.Name)
}

func (v *visit) inProgramme(e id.Exercise) bool {
	return slices.ContainsFunc(v.ref.Programmes.All(v.today), func(p curriculum.Programme) bool { return slices.Contains(p.Exercises, e) })
}

// taughtOf reads the lines of a programme: an exercise by its name, with a unit
// and a colon before it or not.
func (v *visit) taughtOf(a answers) []founding.Taught {
	named := map[string]id.Exercise{}
	for _, e := range v.ref.Exercises.All(civil.LastDay) {
		named[strings.ToLower(v.ref.Text(e.Name))] = e.ID
	}
	var out []founding.Taught
	unit := ""
	for i, line := range a.lines("teaches") {
		e, ok := named[strings.ToLower(line)]
		if !ok {
			u, name, cut := strings.Cut(line, ": ")
			if e, ok = named[strings.ToLower(strings.TrimSpace(name))]; !ok || !cut {
				a.bad.Add("teaches", "Line %d, %q, is no exercise. Write each exercise as it is named in its form.", i+1, line)
				continue
			}
			unit = strings.TrimSpace(u)
		}
		out = append(out, founding.Taught{Unit: unit, Exercise: e})
	}
	return out
}
