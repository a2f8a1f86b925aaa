// Package coverage answers which outcome can be taught where: outcomes of each
// programme against the stations that deliver them, what stands on one station
// alone, and what is lost, and who is stuck, without a rig.
package coverage

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Map is the coverage of the yard on a day.
type Map struct {
	Day        civil.Day
	Without    id.Rig // thought away, "" = none
	Rigs       []rig.Rig
	Stations   []Column
	Programmes []Programme
	Lost       int // outcomes that no station delivers
	Single     int // outcomes that one station alone delivers
	Stuck      []Stuck
	Lapsing    []Lapsing // certificates of those who are stuck
	Ref        *store.Reference
	Head       int64 // the entry of which it is
}

// Column is a station of the map.
type Column struct {
	Station rig.Station
	Rig     rig.Rig
	Out     verdict.Text // why it can't be used on the day, nil when it can
	Away    bool         // thought away with its rig
}

// Programme is one programme's units.
type Programme struct {
	ID    id.Programme
	Name  string
	Units []Unit
}

// Unit is one unit's outcomes.
type Unit struct {
	Name string
	Rows []Row
}

// Row is one outcome against all stations, in their order.
type Row struct {
	Outcome id.Outcome
	Name    string
	Cells   []Cell
	// Stations counts those that deliver it and are neither out nor away.
	Stations int
	// Only is the station that alone delivers it, "" when there is none or several.
	Only id.Station
}

// Cell lists the exercises by which a station delivers an outcome.
type Cell struct{ Exercises []curriculum.Exercise }

// Stuck is a trainee with a need that no station can serve.
type Stuck struct {
	Person  id.Person
	Trainee id.Trainee
	Name    string
	Intake  string
	Needs   []string // names of exercises
}

// Lapsing is a certificate of somebody who is stuck that ends within lapsingDays
// of the day.
type Lapsing struct {
	Certificate credential.Certificate
	Name        string // of the person
}

// lapsingDays is how far ahead a certificate counts as lapsing.
const lapsingDays = 90

// Yard reads the coverage.
type Yard struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns the coverage journey over a store.
func New(s *store.Store) *Yard { return &Yard{s, &planning.Builder{}} }

// Map returns the coverage on a day by what is known now (0 = today), thinking
// one rig away where asked.
func (y *Yard) Map(ctx context.Context, actor access.Actor, day civil.Day, without id.Rig) (Map, error) {
	if _, err := access.Require(actor, access.SeeCoverage); err != nil {
		return Map{}, err
	}
	var out Map
	err := y.store.Read(ctx, func(v *store.View) (err error) {
		out, err = y.read(v, cmp.Or(day, v.Today()), without)
		return err
	})
	return out, err
}

func (y *Yard) read(v *store.View, day civil.Day, without id.Rig) (Map, error) {
	s, err := y.builder.Yard(v, day, day)
	if err != nil {
		return Map{}, err
	}
	ref := s.Reference()
	out := Map{Day: day, Without: without, Rigs: ref.Rigs.All(day), Ref: ref, Head: v.Head()}
	for _, st := range ref.Stations.All(day) {
		r, _ := ref.Rigs.On(st.Rig, day)
		out.Stations = append(out.Stations, Column{Station: st, Rig: r, Out: outAllDay(s, st.ID, day), Away: st.Rig == without})
	}
	slices.SortStableFunc(out.Stations, func(a, b Column) int { return a.Rig.Order - b.Rig.Order })
	exercises := ref.Exercises.All(day)
	for _, p := range ref.Programmes.All(day) {
		out.addProgramme(p, exercises)
	}
	out.count()
	if err := out.findStuck(v, exercises); err != nil {
		return out, err
	}
	return out, out.findLapsing(v)
}

// outAllDay returns why a station can't be used in any of a day's opening hours,
// on a closed day in none of its hours; nil when it can.
func outAllDay(s *planning.Slice, st id.Station, d civil.Day) verdict.Text {
	hours, _ := s.Hours(d)
	if len(hours) == 0 {
		hours = []civil.Period{s.Problem.Zone.DayPeriod(d)}
	}
	var why verdict.Text
	var spans []civil.Period
	for _, x := range s.Shut(st) {
		if x.Overlaps(s.Problem.Zone.DayPeriod(d)) {
			spans = append(spans, x.Period)
			if why == nil {
				why = x.Cause.Say
			}
		}
	}
	if why == nil || !planning.Covered(hours, spans) {
		return nil
	}
	return why
}

func (m *Map) addProgramme(p curriculum.Programme, exercises []curriculum.Exercise) {
	out := Programme{ID: p.ID, Name: m.Ref.Text(p.Name)}
	for _, u := range p.Units {
		unit := Unit{Name: m.Ref.Text(u.Name)}
		for _, o := range u.Outcomes {
			unit.Rows = append(unit.Rows, m.row(o, exercises))
		}
		out.Units = append(out.Units, unit)
	}
	m.Programmes = append(m.Programmes, out)
}

func (m *Map) row(o id.Outcome, exercises []curriculum.Exercise) Row {
	rec, _ := m.Ref.Outcomes.On(o, m.Day)
	row := Row{Outcome: o, Name: m.Ref.Text(rec.Name), Cells: make([]Cell, len(m.Stations))}
	for i, c := range m.Stations {
		for _, e := range exercises {
			if slices.Contains(e.Outcomes, o) && slices.Contains(e.Stations, c.Station.ID) {
				row.Cells[i].Exercises = append(row.Cells[i].Exercises, e)
			}
		}
		if len(row.Cells[i].Exercises) > 0 && c.Out == nil && !c.Away {
			row.Stations++
			row.Only = c.Station.ID
		}
	}
	if row.Stations != 1 {
		row.Only = ""
	}
	return row
}

// count counts each outcome once, though several programmes may hold it.
func (m *Map) count() {
	seen := map[id.Outcome]bool{}
	for _, p := range m.Programmes {
		for _, u := range p.Units {
			for _, r := range u.Rows {
				switch {
				case seen[r.Outcome]:
				case r.Stations == 0:
					m.Lost++
				case r.Stations == 1:
					m.Single++
				}
				seen[r.Outcome] = true
			}
		}
	}
}

// findStuck names the trainees of intakes that are not over who still need an
// exercise that no station can serve.
func (m *Map) findStuck(v *store.View, exercises []curriculum.Exercise) error {
	served := map[id.Exercise]bool{}
	for _, e := range exercises {
		served[e.ID] = slices.ContainsFunc(m.Stations, func(c Column) bool {
			return c.Out == nil && !c.Away && slices.Contains(e.Stations, c.Station.ID)
		})
	}
	var intakes []id.Intake
	for _, in := range m.Ref.Intakes.All(m.Day) {
		if in.Until >= m.Day {
			intakes = append(intakes, in.ID)
		}
	}
	trainees, err := v.TraineesOfIntake(intakes...)
	if err != nil {
		return err
	}
	ids := make([]id.Trainee, len(trainees))
	for i, t := range trainees {
		ids[i] = t.ID
	}
	done, err := v.Completions(ids...)
	if err != nil {
		return err
	}
	names, err := v.TraineeNames(ids...)
	if err != nil {
		return err
	}
	has := map[id.Trainee]map[id.Exercise]bool{}
	for _, c := range done {
		if has[c.Trainee] == nil {
			has[c.Trainee] = map[id.Exercise]bool{}
		}
		has[c.Trainee][c.Exercise] = true
	}
	for _, t := range trainees {
		stuck := Stuck{Trainee: t.ID, Person: t.Person, Name: names[t.ID]}
		for _, e := range t.Needs {
			if !served[e] && !has[t.ID][e] {
				rec, _ := m.Ref.Exercises.On(e, m.Day)
				stuck.Needs = append(stuck.Needs, m.Ref.Text(rec.Name))
			}
		}
		if len(stuck.Needs) > 0 {
			in, _ := m.Ref.Intakes.On(t.Intake, m.Day)
			stuck.Intake = m.Ref.Text(in.Name)
			m.Stuck = append(m.Stuck, stuck)
		}
	}
	return nil
}

// findLapsing names the certificates of those who are stuck that end soon.
func (m *Map) findLapsing(v *store.View) error {
	names := map[id.Person]string{}
	var who []id.Person
	for _, s := range m.Stuck {
		if _, known := names[s.Person]; !known {
			who = append(who, s.Person)
		}
		names[s.Person] = s.Name
	}
	all, err := v.CertificatesOf(who...)
	if err != nil {
		return err
	}
	for _, c := range all {
		if c.Kind == credential.ForProgramme && c.State == credential.Valid && c.Until >= m.Day && c.Until <= m.Day+lapsingDays {
			m.Lapsing = append(m.Lapsing, Lapsing{c, names[c.Person]})
		}
	}
	slices.SortFunc(m.Lapsing, func(a, b Lapsing) int {
		return cmp.Or(cmp.Compare(a.Certificate.Until, b.Certificate.Until), cmp.Compare(a.Certificate.ID, b.Certificate.ID))
	})
	return nil
}
