package bound

import (
	"fmt"
	"math/rand/v2"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// dice draw tiny problems: few enough sessions to try every plan, and every rule
// that a bound leans on.
type dice struct{ *rand.Rand }

func (d dice) one(n int) bool { return d.IntN(n) == 0 }

func pick[T any](d dice, of ...T) T { return of[d.IntN(len(of))] }

func (d dice) problem() *plan.Problem {
	zone, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		panic(err)
	}
	from, err := civil.ParseDay(pick(d, "2027-03-01", "2027-03-05", "2027-03-27"))
	if err != nil {
		panic(err)
	}
	p := &plan.Problem{Zone: zone, Grid: 60, From: from, Days: pick(d, 1, 1, 2, 2, 3),
		Open: []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 480, To: civil.Minutes(480 + 60*(2+d.IntN(2)))}}}
	if d.one(8) {
		p.Open = append(p.Open, plan.Window{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: p.Open[0].To, To: p.Open[0].To + 120})
	}
	if d.one(6) {
		p.ClosedDays = []civil.Day{from + 1}
	}
	for i := range p.Days {
		p.Daylight = append(p.Daylight, plan.Daylight{Day: from + civil.Day(i), From: 540, To: 720})
	}
	p.RestPolicies = []plan.RestPolicy{
		{Name: "hard", DayMinutes: pick[civil.Minutes](d, 60, 120, 180), DaySpan: pick[civil.Minutes](d, 0, 120, 180), HeightDay: pick[civil.Minutes](d, 0, 60, 120)},
		{Name: "soft", DailyRest: 660, Stretch: pick[civil.Minutes](d, 0, 60, 120), Break: pick[civil.Minutes](d, 30, 60), RunDays: d.IntN(3)},
	}
	p.Weights = plan.Weights{Unplaced: pick[int64](d, 0, 150, 400, 1000, 1000, 1000, 100000, 100000), StaffMinute: pick[int64](d, 0, 1, 1, 3),
		TraineeDay: pick[int64](d, 0, 40, 120), IntakeDay: pick[int64](d, 0, 25, 60)}
	d.yard(p)
	d.exercises(p)
	d.bodies(p)
	return p
}

func (d dice) yard(p *plan.Problem) {
	p.Circuits = []plan.Circuit{{ID: "mains", Changeover: pick[civil.Minutes](d, 0, 0, 60)}}
	p.Rigs = []plan.Rig{{ID: "tower", PeopleMax: pick(d, 0, 0, 0, 3, 5)}}
	for _, id := range []string{"north", "south"}[:1+d.IntN(2)] {
		s := plan.Station{ID: id, Rig: "tower", Places: 1 + d.IntN(3), Height: d.one(2), NeedsDaylight: d.one(8),
			Turnaround: pick[civil.Minutes](d, 0, 0, 30), StaffMin: pick(d, 0, 0, 0, 2), FirstAiders: pick(d, 0, 0, 0, 0, 1)}
		if d.one(2) {
			s.Zones = []string{"drop"}
		}
		if d.one(4) {
			at := p.Zone.At(p.From+civil.Day(d.IntN(2)), civil.Minutes(480+60*d.IntN(3)))
			s.Shut = []civil.Period{{Start: at, End: at.Add(90)}}
		}
		if d.one(3) {
			s.Rescue = &plan.Rescue{Rescuers: d.IntN(3), StandbyMin: pick(d, 0, 0, 1), OwnInstructorsCount: d.one(2)}
		}
		p.Stations = append(p.Stations, s)
	}
}

func (d dice) exercises(p *plan.Problem) {
	for i, id := range []string{"a", "b", "c"}[:1+d.IntN(3)] {
		e := plan.Exercise{ID: id, Minutes: pick[civil.Minutes](d, 60, 60, 90, 120), GroupMin: pick(d, 0, 1, 1, 1, 1, 2), GroupMax: pick(d, 0, 2),
			Ratio: 1 + d.IntN(2), Setup: pick[civil.Minutes](d, 0, 0, 15), Strike: pick[civil.Minutes](d, 0, 0, 15)}
		for _, s := range p.Stations {
			if d.one(2) || len(e.Stations) == 0 {
				e.Stations = append(e.Stations, s.ID)
			}
		}
		if d.one(5) {
			e.Pauses = []plan.Pause{{After: 15, Minutes: 30}}
		}
		if d.one(6) {
			e.RatioAt = []plan.RatioAt{{Station: p.Stations[0].ID, Ratio: 1}}
		}
		if i > 0 && d.one(2) {
			e.After = []plan.After{{Exercise: p.Exercises[d.IntN(i)].ID, MinGap: pick[civil.Minutes](d, 0, 0, 60, 720), MaxGap: pick[civil.Minutes](d, 0, 0, 1500)}}
		}
		if d.one(6) {
			e.Requires = []string{"fit"}
		}
		if d.one(3) {
			e.Energy = []plan.Energy{{Circuit: "mains", State: pick(d, plan.Live, plan.Dead)}}
		}
		p.Exercises = append(p.Exercises, e)
	}
}

func (d dice) bodies(p *plan.Problem) {
	long := plan.Validity{From: p.From - 10, Until: p.From + 100}
	validity := func() plan.Validity {
		if d.one(10) {
			return plan.Validity{From: p.From, Until: p.From + civil.Day(d.IntN(2))}
		}
		return long
	}
	periods := func() []civil.Period {
		at := p.Zone.At(p.From+civil.Day(d.IntN(2)), civil.Minutes(480+60*d.IntN(2)))
		return []civil.Period{{Start: at, End: at.Add(pick[civil.Minutes](d, 60, 180, 1440, 2880))}}
	}
	rest := func() []string {
		return pick(d, []string{}, []string{}, []string{}, []string{"hard"}, []string{"soft"}, []string{"hard", "soft"})
	}
	for i := range 1 + d.IntN(2) {
		v := plan.Person{ID: fmt.Sprintf("p%d", i), Rest: rest()}
		for _, e := range p.Exercises {
			if !d.one(8) {
				v.Teaches = append(v.Teaches, plan.Teaches{Exercise: e.ID, Validity: validity()})
			}
		}
		if !d.one(3) {
			v.Rescuer = []plan.Validity{validity()}
		}
		if !d.one(3) {
			v.FirstAid = []plan.Validity{validity()}
		}
		if d.one(9) {
			v.Available = periods()
		}
		if d.one(6) {
			v.Duties = periods()
		}
		p.People = append(p.People, v)
	}
	needs := 0
	for i := range 2 + d.IntN(3) {
		t := plan.Trainee{ID: fmt.Sprintf("t%d", i), Intake: pick(d, "in1", "in1", "in1", "in2"), Rest: rest()}
		for k, e := range p.Exercises {
			if d.one(2) && needs < 4 || k == 0 && len(p.Exercises) == 1 {
				t.Needs, needs = append(t.Needs, e.ID), needs+1
			} else if d.one(6) {
				t.Done = append(t.Done, plan.Done{Exercise: e.ID, At: p.Zone.At(p.From-1, 600)})
			}
		}
		if !d.one(8) {
			t.Holds = []plan.Hold{{Name: "fit", Validity: validity()}}
		}
		if d.one(7) {
			t.Available = periods()
		}
		if d.one(6) {
			t.Duties = periods()
		}
		if d.one(6) {
			t.Deadline = p.From + civil.Day(d.IntN(3))
		}
		if d.one(12) {
			t.Body = "p0"
		}
		p.Trainees = append(p.Trainees, t)
	}
	p.Intakes = []plan.Intake{{ID: "in1", Alone: d.one(3)}}
}

// shared draws problems of two intakes that may share sessions, where waiting for
// others costs days and sharing spares staff.
func (d dice) shared() *plan.Problem {
	p := d.problem()
	p.Days, p.Open[0].To, p.Open = 3, 600+civil.Minutes(60*d.IntN(2)), p.Open[:1]
	p.Daylight = append(p.Daylight[:1], plan.Daylight{Day: p.From + 1, From: 480, To: 720}, plan.Daylight{Day: p.From + 2, From: 480, To: 720})
	p.Weights = plan.Weights{Unplaced: 100_000, StaffMinute: pick[int64](d, 1, 3), TraineeDay: pick[int64](d, 0, 40), IntakeDay: pick[int64](d, 10, 60, 200)}
	p.Intakes, p.Rigs[0].PeopleMax, p.ClosedDays = nil, 0, nil
	for i := range p.Stations {
		p.Stations[i].Shut, p.Stations[i].NeedsDaylight = nil, false
	}
	for i := range p.People {
		p.People[i].Available, p.People[i].Duties = nil, nil
	}
	for i := range p.Trainees {
		t := &p.Trainees[i]
		t.Intake, t.Available, t.Duties, t.Deadline = []string{"in1", "in2"}[i%2], nil, nil, 0
		if i%2 == 1 && d.one(2) {
			t.Available = []civil.Period{{Start: p.Zone.StartOfDay(p.From + 1), End: p.Zone.StartOfDay(p.From + 3)}}
		}
	}
	return p
}

// powered draws one day of a yard whose exercises need one circuit live or dead, so
// that what overlaps in time decides what can be placed.
func (d dice) powered() *plan.Problem {
	p := d.problem()
	for len(p.Stations) < 2 || len(p.Exercises) < 2 {
		p = d.problem()
	}
	p.Days, p.Open, p.ClosedDays = 1, []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 480, To: 660 + civil.Minutes(60*d.IntN(3))}}, nil
	p.Circuits[0].Changeover = pick[civil.Minutes](d, 0, 60, 60)
	p.Weights = plan.Weights{Unplaced: 1000}
	for i := range p.Stations {
		p.Stations[i].Shut, p.Stations[i].NeedsDaylight, p.Stations[i].Zones, p.Stations[i].Turnaround = nil, false, nil, 0
	}
	for i := range p.Exercises {
		e := &p.Exercises[i]
		e.Energy = []plan.Energy{{Circuit: "mains", State: []plan.EnergyState{plan.Live, plan.Dead}[i%2]}}
		e.Stations, e.After, e.GroupMin, e.GroupMax, e.Setup, e.Strike = []string{p.Stations[i%2].ID}, nil, 1, 2, 0, 0
	}
	for i := range p.People {
		p.People[i].Available, p.People[i].Duties, p.People[i].Rest = nil, nil, nil
	}
	return p
}
