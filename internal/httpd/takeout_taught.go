package httpd

import (
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/coverage"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/web"
)

func taughtLists() []takenList {
	return []takenList{
		{name: "exercises", title: "Exercises", action: access.SeeWeek, says: "An exercise with length, group, ratio, stations and what comes before", write: exerciseList},
		{name: "outcomes", title: "Outcomes", action: access.SeeCoverage, says: "An outcome and the exercises that deliver it", write: outcomeList},
		{name: "programmes", title: "Programmes", action: access.SeeIntakes, says: "An exercise of a programme, in teaching order", write: programmeList},
		{name: "coverage", title: "Coverage", action: access.SeeCoverage, says: "An outcome and the stations where it can be trained on a day", asks: []string{"programme", "without", "day"}, write: coverageList},
		{name: "rule-book", title: "Rule book", action: access.SeeRuleBook, says: "A limit with value and source", asks: []string{"version"}, write: ruleBookList},
	}
}

func (v *visit) exerciseNames(list []id.Exercise) string {
	var out []string
	for _, e := range list {
		out = append(out, v.exerciseName(e, v.today))
	}
	return strings.Join(out, ", ")
}

func exerciseList(v *visit, t *taking) error {
	return v.plain(t, []string{"Exercise", "Setting", "Minutes", "Pause minutes", "Setup minutes", "Strike minutes", "Group at least", "Group at most", "Trainees to one instructor", "Stations", "After", "Requires", "Kit", "Energy", "Outcomes", "Retired from"}, func(*records.Lists) error {
		return each(t, v.ref.Exercises.All(v.today), func(e curriculum.Exercise) []any {
			var after []id.Exercise
			for _, a := range e.After {
				after = append(after, a.Exercise)
			}
			var kit, energy, outcomes []string
			for _, u := range e.Uses {
				k, _ := v.ref.Kits.On(u.Kit, v.today)
				kit = append(kit, web.Number(int64(u.Count))+" × "+v.ref.Text(k.Name))
			}
			for _, n := range e.Energy {
				c, _ := v.ref.Circuits.On(n.Circuit, v.today)
				energy = append(energy, v.ref.Text(c.Name)+" "+n.State)
			}
			for _, o := range e.Outcomes {
				rec, _ := v.ref.Outcomes.On(o, v.today)
				outcomes = append(outcomes, v.ref.Text(rec.Name))
			}
			return []any{v.ref.Text(e.Name), spaced(e.Setting), int64(e.Minutes), int64(e.Minutes - e.Contact()), int64(e.Setup), int64(e.Strike), e.GroupMin, e.GroupMax, e.Ratio,
				v.stationNames(e.Stations), v.exerciseNames(after), strings.Join(e.Requires, ", "), strings.Join(kit, ", "), strings.Join(energy, ", "), strings.Join(outcomes, "; "), e.Retired}
		})
	})
}

func outcomeList(v *visit, t *taking) error {
	return v.plain(t, []string{"Outcome", "Exercises", "Retired from"}, func(*records.Lists) error {
		return each(t, v.ref.Outcomes.All(v.today), func(o curriculum.Outcome) []any {
			var by []id.Exercise
			for _, e := range v.ref.Exercises.All(v.today) {
				if e.On(v.today) && e.Delivers(o.ID) {
					by = append(by, e.ID)
				}
			}
			return []any{v.ref.Text(o.Name), v.exerciseNames(by), o.Retired}
		})
	})
}

func programmeList(v *visit, t *taking) error {
	return v.plain(t, []string{"Programme", "Place", "Unit", "Exercise", "Contact minutes of the programme", "Within days", "Certificate valid by", "Retired from"}, func(*records.Lists) error {
		for _, p := range v.ref.Programmes.All(civil.LastDay) {
			for i, e := range p.Exercises {
				rec, _ := v.ref.Exercises.On(e, civil.LastDay)
				if err := t.out.Row(v.ref.Text(p.Name), i+1, v.unitOf(p, rec), v.ref.Text(rec.Name), int64(p.Hours), p.SpanDays, p.Validity, p.Retired); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

func coverageList(v *visit, t *taking) error {
	q := v.r.URL.Query()
	without, chosen := id.Rig(q.Get("without")), id.Programme(q.Get("programme"))
	m, bad, err := v.coverageAsked(q)
	if err == nil {
		err = bad.Err()
	}
	if err != nil {
		return err
	}
	v.standAt(m.Head, m.Ref)
	if err := t.begin(v, "Coverage "+m.Day.String(), filters("Programme", v.programmeName(chosen), "Rig thought away", v.rigName(without))...); err != nil {
		return err
	}
	if err := t.heads("Programme", "Unit", "Outcome", "Exercises", "Stations", "Where", "Answer"); err != nil {
		return err
	}
	for _, p := range m.Programmes {
		if chosen != "" && p.ID != chosen {
			continue
		}
		for _, u := range p.Units {
			for _, r := range u.Rows {
				if err := t.out.Row(v.covered(m, p, u, r)...); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// covered is one outcome of the coverage, as its page answers it.
func (v *visit) covered(m coverage.Map, p coverage.Programme, u coverage.Unit, r coverage.Row) []any {
	shown := v.coverageRow(m, r)
	var where []string
	for i, c := range r.Cells {
		if col := m.Stations[i]; len(c.Exercises) > 0 && !col.Away && col.Out == nil {
			where = append(where, v.ref.Text(col.Station.Name))
		}
	}
	answer := "can be trained"
	switch shown.Level {
	case verdict.Stops:
		answer = "lost"
	case verdict.Cautions:
		answer = "hangs on one station"
	}
	return []any{p.Name, u.Name, r.Name, shown.Exercises, r.Stations, strings.Join(where, ", "), answer}
}

// ruleBookList is the lines of the version that the page shows.
func ruleBookList(v *visit, t *taking) error {
	return v.fromRecords(t, func(*records.Lists) error {
		versions, at, ok := v.ruleBookShown()
		if !ok {
			if err := t.begin(v, "Rule book", "No version is in force: every booking stops"); err != nil {
				return err
			}
			return t.heads("Profile", "Limit", "Value")
		}
		shown := versions[at]
		confirmed := "Confirmed for all fields"
		if missing := shown.Confirmed(nil, v.today); len(missing) > 0 {
			confirmed = "Not confirmed: " + fieldList(missing)
		}
		if err := t.begin(v, "Rule book from "+shown.From.String(), "Version: "+web.Number(int64(at+1))+", from "+web.FullDay(shown.From), confirmed); err != nil {
			return err
		}
		if err := t.heads("Profile", "Limit", "Value", "Number", "Unit", "Field", "Judged by", "Source", "Source version", "Clause", "How the source was read", "Line"); err != nil {
			return err
		}
		return each(t, shown.Lines, func(l rulebook.Line) []any {
			m, _ := l.Quantity.Meaning()
			judged := "not checked by Rungbook"
			if m.Checked() {
				judged = verdict.RuleName(m.JudgedBy)
			}
			return []any{rulebook.Title(l.Profile), capital(l.Label()), l.ValueText(), l.Value, string(m.Unit), planning.FieldName(l.Field), judged,
				l.Source.Document, l.Source.Version, l.Source.Clause, markWords(l.Source.Mark), l.ID}
		})
	})
}

// ruleBookShown is the version asked for, the one in force where none is, among all
// by their first days.
func (v *visit) ruleBookShown() (versions []rulebook.Version, at int, ok bool) {
	versions = slices.SortedFunc(slices.Values(v.ref.RuleBooks.All(civil.LastDay)), func(a, b rulebook.Version) int { return int(a.From - b.From) })
	index := func(of id.RuleBook) int {
		return slices.IndexFunc(versions, func(x rulebook.Version) bool { return x.ID == of })
	}
	if at = index(id.RuleBook(v.r.URL.Query().Get("version"))); at >= 0 {
		return versions, at, true
	}
	shown, ok := rulebook.InForce(versions, v.today)
	return versions, index(shown.ID), ok
}
