package solve

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// dice draws small problems and sessions. Limits are tight and numbers small, so
// that each rule is met, and broken, often. roll returns a number from 0 to n.
type dice struct{ roll func(n int) int }

// checkWith runs a property with two kinds of dice: even ones, from a list of
// seeds, and those of rapid, which like extremes and shrink what fails.
func checkWith(t *testing.T, seeds uint64, property func(t rapid.TB, d dice)) {
	for seed := range seeds {
		r := rand.New(rand.NewPCG(1, seed))
		property(seeded{t, seed}, dice{func(n int) int { return r.IntN(n + 1) }})
	}
	rapid.Check(t, func(rt *rapid.T) {
		property(rt, dice{func(n int) int { return rapid.IntRange(0, n).Draw(rt, "n") }})
	})
}

// seeded tells of which seed a failure came.
type seeded struct {
	*testing.T
	seed uint64
}

func (l seeded) Fatalf(format string, args ...any) {
	l.Helper()
	l.T.Fatalf("seed %d: "+format, append([]any{l.seed}, args...)...)
}

func (d dice) upTo(n int) int          { return d.roll(n) }
func (d dice) chance(percent int) bool { return d.upTo(99) < percent }

func pick[T any](d dice, list ...T) T { return list[d.upTo(len(list)-1)] }

func dublin(t testing.TB) civil.Zone {
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// from is two days before the clock goes forward in Dublin; horizons reach over it.
var from = civil.DayOf(2027, 3, 26)

func (d dice) problem(z civil.Zone) *plan.Problem {
	p := &plan.Problem{Zone: z, Grid: pick[civil.Minutes](d, 30, 60, 90), From: from + civil.Day(d.upTo(3)), Days: 3 + d.upTo(6)}
	p.Open = []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 6 * 60, To: pick[civil.Minutes](d, 14*60, 24*60)}}
	if d.chance(20) {
		p.Open = append(p.Open, plan.Window{Weekdays: []int{1, 3, 7}, From: 0, To: 6 * 60})
	}
	if d.chance(20) {
		p.ClosedDays = []civil.Day{p.From + civil.Day(d.upTo(p.Days))}
	}
	for i := range p.Days + 1 {
		if d.chance(85) {
			p.Daylight = append(p.Daylight, plan.Daylight{Day: p.From + civil.Day(i), From: 7 * 60, To: 19 * 60})
		}
	}
	for i := range 1 + d.upTo(2) {
		p.RestPolicies = append(p.RestPolicies, d.policy(i))
	}
	p.Rigs = []plan.Rig{{ID: "r0", PeopleMax: pick(d, 0, 4, 6)}, {ID: "r1", PeopleMax: pick(d, 0, 5)}}
	p.Circuits = []plan.Circuit{{ID: "c0", Changeover: pick[civil.Minutes](d, 0, 30, 60)}}
	p.Kits = []plan.Kit{{ID: "k0", Count: 1 + d.upTo(2)}, {ID: "k1", Count: 2}}
	if d.chance(50) {
		at := d.instant(p)
		p.Kits[0].Shut = []plan.KitShut{{From: at, To: at.Add(300), Count: 1 + d.upTo(1)}}
	}
	for i := range 2 + d.upTo(2) {
		p.Stations = append(p.Stations, d.station(p, i))
	}
	for i := range 2 + d.upTo(2) {
		p.Exercises = append(p.Exercises, d.exercise(p, i))
	}
	if d.chance(50) {
		p.Courses = []plan.Course{{ID: "co", Exercises: []string{"e0", "e1"}, Days: 1 + d.upTo(3)}}
	}
	p.Intakes = []plan.Intake{{ID: "i0", Alone: d.chance(50)}}
	d.people(p)
	if d.chance(70) {
		d.ease(p)
	}
	return p
}

func (d dice) policy(i int) plan.RestPolicy {
	r := plan.RestPolicy{Name: fmt.Sprint("p", i)}
	for _, limit := range []struct {
		to     *civil.Minutes
		values []civil.Minutes
	}{
		{&r.DailyRest, []civil.Minutes{0, 0, 660, 720, 900}}, {&r.WeeklyRest, []civil.Minutes{0, 0, 0, 1440, 2100}},
		{&r.DayMinutes, []civil.Minutes{0, 0, 240, 420}}, {&r.DaySpan, []civil.Minutes{0, 0, 300, 600}},
		{&r.WeekMinutes, []civil.Minutes{0, 0, 600}}, {&r.HeightDay, []civil.Minutes{0, 0, 150, 210}},
		{&r.Stretch, []civil.Minutes{0, 0, 150, 240}}, {&r.Break, []civil.Minutes{0, 15, 30, 45}},
	} {
		*limit.to = pick(d, limit.values...)
	}
	r.RunDays = pick(d, 0, 0, 2, 3)
	r.WeeklyRestDays = pick(d, 0, 2, 3)
	r.WeeklyRestCount = pick(d, 0, 1, 2)
	return r
}

// instant draws a half hour within the horizon, a day before or after it.
func (d dice) instant(p *plan.Problem) civil.Instant {
	return p.Zone.StartOfDay(p.From - 1).Add(civil.Minutes(30 * d.upTo((p.Days+2)*48-1)))
}

func (d dice) periods(p *plan.Problem, most int, lengths ...civil.Minutes) []civil.Period {
	var out []civil.Period
	for range d.upTo(most) {
		at := d.instant(p)
		out = append(out, civil.Period{Start: at, End: at.Add(pick(d, lengths...))})
	}
	return out
}

func (d dice) station(p *plan.Problem, i int) plan.Station {
	s := plan.Station{
		ID: fmt.Sprint("s", i), Rig: pick(d, "r0", "r0", "r1"), Places: 2 + d.upTo(2), Height: d.chance(50),
		NeedsDaylight: d.chance(30), Turnaround: pick[civil.Minutes](d, 0, 30), StaffMin: pick(d, 0, 0, 2), FirstAiders: pick(d, 0, 0, 1),
		Shut: d.periods(p, 1, 240, 1440),
	}
	if d.chance(50) {
		s.Zones = []string{pick(d, "z0", "z1")}
	}
	if d.chance(50) {
		s.Rescue = &plan.Rescue{Rescuers: d.upTo(2), StandbyMin: pick(d, 0, 0, 1), OwnInstructorsCount: d.chance(60), Kit: pick(d, "", "k0")}
	}
	return s
}

func (d dice) exercise(p *plan.Problem, i int) plan.Exercise {
	e := plan.Exercise{
		ID: fmt.Sprint("e", i), Minutes: pick[civil.Minutes](d, 60, 120, 180), Setup: pick[civil.Minutes](d, 0, 0, 30), Strike: pick[civil.Minutes](d, 0, 0, 15),
		GroupMin: 1, GroupMax: pick(d, 0, 2, 3), Ratio: 1 + d.upTo(2),
	}
	for _, s := range p.Stations {
		if d.chance(60) {
			e.Stations = append(e.Stations, s.ID)
		}
	}
	if d.chance(30) {
		e.Pauses = []plan.Pause{{After: pick[civil.Minutes](d, 0, 30, 45), Minutes: pick[civil.Minutes](d, 15, 30, 45)}}
	}
	if d.chance(20) {
		e.Pauses = append(e.Pauses, plan.Pause{After: 75, Minutes: 30})
	}
	if d.chance(20) {
		e.RatioAt = []plan.RatioAt{{Station: p.Stations[0].ID, Ratio: 1 + d.upTo(1)}}
	}
	if i > 0 && d.chance(40) {
		e.After = []plan.After{{Exercise: "e0", MinGap: pick[civil.Minutes](d, 0, 60), MaxGap: pick[civil.Minutes](d, 0, 0, 2880)}}
	}
	if d.chance(30) {
		e.Requires = []string{"fit"}
	}
	if d.chance(40) {
		e.Uses = []plan.Use{{Kit: pick(d, "k0", "k1"), Count: 1 + d.upTo(1)}}
	}
	if d.chance(40) {
		e.Energy = []plan.Energy{{Circuit: "c0", State: pick(d, plan.Live, plan.Dead)}}
	}
	return e
}

// validity draws a span of days that mostly holds.
func (d dice) validity(p *plan.Problem) plan.Validity {
	return plan.Validity{From: p.From - 1 + civil.Day(pick(d, 0, 0, 0, 0, 2)), Until: p.From + civil.Day(p.Days-pick(d, 0, 0, 0, 0, 3))}
}

func (d dice) rest(p *plan.Problem) []string {
	var out []string
	for _, r := range p.RestPolicies {
		if d.chance(60) {
			out = append(out, r.Name)
		}
	}
	return out
}

func (d dice) available(p *plan.Problem) []civil.Period {
	if d.chance(80) {
		return nil
	}
	return append([]civil.Period{}, d.periods(p, 3, 600, 2880, 5760)...)
}

func (d dice) people(p *plan.Problem) {
	for i := range 3 + d.upTo(2) {
		v := plan.Person{ID: fmt.Sprint("a", i), Available: d.available(p), Duties: d.periods(p, 1, 60, 240), Rest: d.rest(p)}
		if d.chance(10) {
			v.Body = pick(d, "a0", "t0", "x")
		}
		for _, e := range p.Exercises {
			if d.chance(65) {
				v.Teaches = append(v.Teaches, plan.Teaches{Exercise: e.ID, Validity: d.validity(p)})
			}
		}
		if d.chance(60) {
			v.Rescuer = []plan.Validity{d.validity(p)}
		}
		if d.chance(50) {
			v.FirstAid = []plan.Validity{d.validity(p)}
		}
		p.People = append(p.People, v)
	}
	for i := range 3 + d.upTo(2) {
		v := plan.Trainee{ID: fmt.Sprint("t", i), Intake: pick(d, "i0", "i1"), Available: d.available(p), Duties: d.periods(p, 1, 60, 240), Rest: d.rest(p)}
		for _, e := range p.Exercises {
			switch {
			case d.chance(75):
				v.Needs = append(v.Needs, e.ID)
			case d.chance(70):
				v.Done = append(v.Done, plan.Done{Exercise: e.ID, At: d.instant(p)})
			}
		}
		if d.chance(70) {
			v.Holds = []plan.Hold{{Name: "fit", Validity: d.validity(p)}}
		}
		if d.chance(30) {
			v.Deadline = p.From + civil.Day(d.upTo(p.Days))
		}
		p.Trainees = append(p.Trainees, v)
	}
}

// session draws a session that mostly obeys what a look at its exercise tells.
func (d dice) session(p *plan.Problem, id string) plan.Session {
	e := pick(d, p.Exercises...)
	s := plan.Session{ID: id, Exercise: e.ID, Station: pick(d, p.Stations...).ID}
	if len(e.Stations) > 0 && d.chance(90) {
		s.Station = pick(d, e.Stations...)
	}
	s.Start = p.Zone.At(p.From+civil.Day(d.upTo(p.Days-1)), 6*60+p.Grid*civil.Minutes(d.upTo(int(660/p.Grid))))
	if d.chance(10) {
		s.Start = d.instant(p)
	}
	s.End = s.Start.Add(e.Minutes)
	if d.chance(3) {
		s.End = s.Start.Add(pick[civil.Minutes](d, 1, 90, 200))
	}
	some := func(ids []string, least, most int) []string {
		var out []string
		for range least + d.upTo(most-least) {
			v := pick(d, ids...)
			twice := false
			for _, o := range out {
				twice = twice || o == v
			}
			if !twice || d.chance(3) {
				out = append(out, v)
			}
		}
		return out
	}
	var trainees, teachers, rescuers, staff []string
	for _, t := range p.Trainees {
		trainees = append(trainees, t.ID)
	}
	for _, v := range p.People {
		staff = append(staff, v.ID)
		for _, t := range v.Teaches {
			if t.Exercise == e.ID {
				teachers = append(teachers, v.ID)
			}
		}
		if v.Rescuer != nil {
			rescuers = append(rescuers, v.ID)
		}
	}
	if teachers == nil || d.chance(5) {
		teachers = staff
	}
	if rescuers == nil || d.chance(5) {
		rescuers = staff
	}
	s.Trainees, s.Instructors, s.Rescuers = some(trainees, pick(d, 0, 1, 1, 1, 1, 1, 1, 1), 2), some(teachers, pick(d, 0, 1, 1, 1, 1), 2), some(rescuers, 0, 2)
	if d.chance(10) {
		s.Others = some(append(trainees, staff...), 1, 2)
	}
	return s
}

// ease takes limits that stop nearly everything off a drawn problem, so that the
// subtle ones decide.
func (d dice) ease(p *plan.Problem) {
	all := plan.Validity{From: p.From - 30, Until: p.From + 30}
	p.ClosedDays, p.Open[0].To = nil, 24*60
	for i := range p.Exercises {
		e := &p.Exercises[i]
		if len(e.Stations) == 0 {
			e.Stations = []string{"s0"}
		}
		if d.chance(70) {
			e.Requires, e.After = nil, nil
		}
	}
	for i := range p.Stations {
		if d.chance(80) {
			p.Stations[i].NeedsDaylight, p.Stations[i].Shut = false, nil
		}
	}
	for i := range p.People {
		if d.chance(70) {
			p.People[i].Available = nil
		}
		if d.chance(60) {
			p.People[i].Teaches = nil
			for _, e := range p.Exercises {
				p.People[i].Teaches = append(p.People[i].Teaches, plan.Teaches{Exercise: e.ID, Validity: all})
			}
		}
	}
	for i := range p.Trainees {
		t := &p.Trainees[i]
		if d.chance(80) {
			t.Needs, t.Done = nil, nil
			for _, e := range p.Exercises {
				t.Needs = append(t.Needs, e.ID)
			}
		}
		if d.chance(80) {
			t.Available, t.Deadline, t.Holds = nil, 0, []plan.Hold{{Name: "fit", Validity: all}}
		}
	}
}
