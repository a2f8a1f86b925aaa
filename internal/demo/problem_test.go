package demo

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
)

// records are a scenario's records as they stand at its end, by what they are.
type records struct {
	yard         rig.Yard
	books        []rulebook.Version
	rigs         []rig.Rig
	stations     []rig.Station
	circuits     []rig.Circuit
	kits         []rig.Kit
	exercises    []curriculum.Exercise
	programmes   []curriculum.Programme
	staff        []people.Staff
	intakes      []people.Intake
	trainees     []people.Trainee
	persons      []people.Person
	duties       []people.Duty
	away         []people.Away
	certificates []credential.Certificate
	sessions     []session.Session
	attendance   map[id.Session]session.Attendance
	results      map[id.Session]session.Results
	register     *rig.Register
}

func recordsOf(s *Scenario) *records {
	r := &records{
		yard:         Records(s, func(x rig.Yard) id.Yard { return x.ID })[0],
		books:        Records(s, func(x rulebook.Version) id.RuleBook { return x.ID }),
		rigs:         Records(s, func(x rig.Rig) id.Rig { return x.ID }),
		stations:     Records(s, func(x rig.Station) id.Station { return x.ID }),
		circuits:     Records(s, func(x rig.Circuit) id.Circuit { return x.ID }),
		kits:         Records(s, func(x rig.Kit) id.Kit { return x.ID }),
		exercises:    Records(s, func(x curriculum.Exercise) id.Exercise { return x.ID }),
		programmes:   Records(s, func(x curriculum.Programme) id.Programme { return x.ID }),
		staff:        Records(s, func(x people.Staff) id.Person { return x.ID }),
		intakes:      Records(s, func(x people.Intake) id.Intake { return x.ID }),
		trainees:     Records(s, func(x people.Trainee) id.Trainee { return x.ID }),
		persons:      Records(s, func(x people.Person) id.Person { return x.ID }),
		duties:       Records(s, func(x people.Duty) id.Duty { return x.ID }),
		away:         Records(s, func(x people.Away) id.Away { return x.ID }),
		certificates: Records(s, func(x credential.Certificate) id.Certificate { return x.ID }),
		sessions:     Records(s, func(x session.Session) id.Session { return x.ID }),
		attendance:   map[id.Session]session.Attendance{}, results: map[id.Session]session.Results{},
	}
	for _, a := range Records(s, func(x session.Attendance) id.Session { return x.Session }) {
		r.attendance[a.Session] = a
	}
	for _, x := range Records(s, func(x session.Results) id.Session { return x.Session }) {
		r.results[x.Session] = x
	}
	r.register = registerOf(s, r)
	return r
}

// registerOf gathers the versions of rigs, stations and kits by their days.
func registerOf(s *Scenario, r *records) *rig.Register {
	all := rig.Records{
		Zone: s.Zone, Books: r.books,
		Shuts:       Records(s, func(x rig.Shut) id.Shut { return x.ID }),
		Inspections: Records(s, func(x rig.Inspection) id.Inspection { return x.ID }),
		Drills:      Records(s, func(x rig.Drill) id.Drill { return x.ID }),
		Evidence:    Records(s, func(x rig.Evidence) id.Evidence { return x.ID }),
	}
	for _, f := range s.Facts {
		switch x := f.Record.(type) {
		case rig.Rig:
			all.Rigs = standing(all.Rigs, f.Day, x, func(r rig.Rig) bool { return r.ID == x.ID })
		case rig.Station:
			all.Stations = standing(all.Stations, f.Day, x, func(r rig.Station) bool { return r.ID == x.ID })
		case rig.Item:
			all.Items = standing(all.Items, f.Day, x, func(r rig.Item) bool { return r.ID == x.ID })
		case rig.Kit:
			all.Kits = standing(all.Kits, f.Day, x, func(r rig.Kit) bool { return r.ID == x.ID })
		case rig.RescuePlan:
			all.RescuePlans = append(all.RescuePlans, x)
		}
	}
	return rig.NewRegister(all)
}

// standing ends the version before and adds one.
func standing[T any](list []rig.Standing[T], from civil.Day, v T, same func(T) bool) []rig.Standing[T] {
	for i := range list {
		if list[i].Until == 0 && same(list[i].Value) {
			list[i].Until = from
		}
	}
	return append(list, rig.Standing[T]{From: from, Value: v})
}

// problem turns the records from a day on into a planning problem in the plainest
// way: everybody in full, nothing left out, so that the judge sees two years at
// once.
func (r *records) problem(t testing.TB, z civil.Zone, from civil.Day, days int) *plan.Problem {
	t.Helper()
	p := &plan.Problem{Zone: z, Grid: r.yard.Grid, From: from.Monday(), Days: days}
	for _, w := range r.yard.Open {
		p.Open = append(p.Open, plan.Window{Weekdays: w.Weekdays, From: w.From, To: w.To})
	}
	for _, d := range r.yard.ClosedDays {
		p.ClosedDays = append(p.ClosedDays, d.Day)
	}
	for d := p.From; d < p.From+civil.Day(days); d++ {
		if l, ok := rig.DaylightOn(r.yard, z, d); ok {
			p.Daylight = append(p.Daylight, plan.Daylight{Day: d, From: l.From, To: l.To})
		}
	}
	book := r.books[len(r.books)-1]
	for _, name := range book.Profiles {
		if x, ok := book.Policy(name); ok {
			p.RestPolicies = append(p.RestPolicies, plan.RestPolicy{Name: string(name), DailyRest: x.DailyRest, WeeklyRest: x.WeeklyRest,
				WeeklyRestDays: x.WeeklyRestDays, WeeklyRestCount: x.WeeklyRestCount, RunDays: x.RunDays, DayMinutes: x.DayMinutes,
				DaySpan: x.DaySpan, WeekMinutes: x.WeekMinutes, HeightDay: x.HeightDay, Stretch: x.Stretch, Break: x.Break})
		}
	}
	slices.SortFunc(p.RestPolicies, func(a, b plan.RestPolicy) int {
		if a.Name < b.Name {
			return -1
		}
		return 1
	})
	r.ground(p)
	r.taught(p, book)
	r.crew(p)
	r.class(p)
	return p
}

func (r *records) ground(p *plan.Problem) {
	until := p.From + civil.Day(p.Days)
	for _, x := range r.rigs {
		p.Rigs = append(p.Rigs, plan.Rig{ID: string(x.ID), PeopleMax: x.PeopleMax})
	}
	for _, x := range r.stations {
		s := plan.Station{ID: string(x.ID), Rig: string(x.Rig), Places: x.Places, Zones: texts(x.Zones), Height: x.Height,
			NeedsDaylight: x.NeedsDaylight, Turnaround: x.Turnaround, StaffMin: x.StaffMin, FirstAiders: *x.FirstAiders}
		if x.Rescue != nil {
			s.Rescue = &plan.Rescue{Rescuers: x.Rescue.Rescuers, StandbyMin: x.Rescue.StandbyMin,
				OwnInstructorsCount: x.Rescue.OwnInstructorsCount, Kit: string(x.Rescue.Kit)}
		}
		for _, c := range r.register.Closed(x.ID, p.From, until) {
			s.Shut = append(s.Shut, c.Period)
		}
		p.Stations = append(p.Stations, s)
	}
	for _, x := range r.circuits {
		p.Circuits = append(p.Circuits, plan.Circuit{ID: string(x.ID), Changeover: x.Changeover})
	}
	for _, x := range r.kits {
		k := plan.Kit{ID: string(x.ID), Count: x.Count}
		for _, c := range r.register.Periods(r.register.KitNotUsable(x.ID, p.From, until)) {
			k.Shut = append(k.Shut, plan.KitShut{From: c.Start, To: c.End, Count: x.Count})
		}
		p.Kits = append(p.Kits, k)
	}
}

func (r *records) taught(p *plan.Problem, book rulebook.Version) {
	for _, x := range r.exercises {
		ratio := x.Ratio
		if limit, _, ok := book.Ratio(string(x.Setting)); ok {
			ratio = min(ratio, limit)
		}
		e := plan.Exercise{ID: string(x.ID), Minutes: x.Minutes, Setup: x.Setup, Strike: x.Strike, Stations: texts(x.Stations),
			GroupMin: x.GroupMin, GroupMax: x.GroupMax, Ratio: ratio, Requires: x.Requires}
		for _, v := range x.Pauses {
			e.Pauses = append(e.Pauses, plan.Pause{After: v.After, Minutes: v.Minutes})
		}
		for _, v := range x.RatioAt {
			e.RatioAt = append(e.RatioAt, plan.RatioAt{Station: string(v.Station), Ratio: v.Ratio})
		}
		for _, v := range x.After {
			e.After = append(e.After, plan.After{Exercise: string(v.Exercise), MinGap: v.MinGap, MaxGap: v.MaxGap})
		}
		for _, v := range x.Uses {
			e.Uses = append(e.Uses, plan.Use{Kit: string(v.Kit), Count: v.Count})
		}
		for _, v := range x.Energy {
			e.Energy = append(e.Energy, plan.Energy{Circuit: string(v.Circuit), State: plan.EnergyState(v.State)})
		}
		p.Exercises = append(p.Exercises, e)
	}
	for _, x := range r.programmes {
		p.Courses = append(p.Courses, plan.Course{ID: string(x.ID), Exercises: texts(x.Exercises), Days: x.SpanDays})
	}
	for _, x := range r.intakes {
		p.Intakes = append(p.Intakes, plan.Intake{ID: string(x.ID), Alone: x.Alone})
	}
}

func (r *records) crew(p *plan.Problem) {
	for _, x := range r.staff {
		person := plan.Person{ID: string(x.ID), Rest: texts(x.Rest), Duties: r.dutiesOf(x.ID), Available: []civil.Period{}}
		for _, c := range r.certificates {
			if c.Person != x.ID {
				continue
			}
			v := plan.Validity{From: c.From, Until: c.Until}
			switch c.Kind {
			case credential.ToTeach:
				person.Teaches = append(person.Teaches, plan.Teaches{Exercise: string(c.Exercise), Validity: v})
			case credential.ToRescue:
				person.Rescuer = append(person.Rescuer, v)
			case credential.FirstAid:
				person.FirstAid = append(person.FirstAid, v)
			}
		}
		for d := p.From; d < p.From+civil.Day(p.Days); d++ {
			span := p.Zone.DayPeriod(d)
			if x.Works(d) && !slices.ContainsFunc(r.away, func(a people.Away) bool {
				return a.Person == x.ID && span.Overlaps(civil.Period{Start: a.Start, End: a.End})
			}) {
				person.Available = append(person.Available, span)
			}
		}
		p.People = append(p.People, person)
	}
}

func (r *records) dutiesOf(who id.Person) (out []civil.Period) {
	for _, d := range r.duties {
		if d.Person == who {
			out = append(out, civil.Period{Start: d.Start, End: d.End})
		}
	}
	return out
}

func (r *records) class(p *plan.Problem) {
	deadline := map[id.Intake]civil.Day{}
	for _, x := range r.intakes {
		deadline[x.ID] = x.Until
	}
	held := map[id.Person][]plan.Hold{}
	for _, c := range r.certificates {
		if c.Holds != "" {
			held[c.Person] = append(held[c.Person], plan.Hold{Name: c.Holds, Validity: plan.Validity{From: c.From, Until: c.Until}})
		}
	}
	for _, x := range r.trainees {
		p.Trainees = append(p.Trainees, plan.Trainee{ID: string(x.ID), Body: string(x.Person), Intake: string(x.Intake), Needs: texts(x.Needs),
			Holds: held[x.Person], Duties: r.dutiesOf(x.Person), Deadline: deadline[x.Intake], Rest: texts(x.Rest)})
	}
}

// planned returns the sessions that took or hold their place, as they were
// planned: one that was cut short with its full length.
func (r *records) planned() []plan.Session {
	minutes := map[id.Exercise]civil.Minutes{}
	for _, e := range r.exercises {
		minutes[e.ID] = e.Minutes
	}
	var out []plan.Session
	for _, s := range r.sessions {
		if s.State.Holds() {
			out = append(out, plan.Session{ID: string(s.ID), Exercise: string(s.Exercise), Station: string(s.Station),
				Start: s.Start, End: s.Start.Add(minutes[s.Exercise]), Trainees: texts(s.Trainees),
				Instructors: texts(s.Instructors), Rescuers: texts(s.Rescuers), Others: texts(s.Others)})
		}
	}
	return out
}

func texts[T ~string](ids []T) []string {
	out := make([]string, len(ids))
	for i, v := range ids {
		out[i] = string(v)
	}
	return out
}

func sessionsByStart(list []session.Session) {
	slices.SortStableFunc(list, func(a, b session.Session) int { return int(a.Start - b.Start) })
}
