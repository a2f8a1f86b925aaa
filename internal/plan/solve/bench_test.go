package solve

import (
	"fmt"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// yard is an invented centre of 12 stations, 20 staff and 12 intakes of 12, with
// a horizon of ten weeks: what booking loads around two weeks.
func yard(tb testing.TB, grid civil.Minutes) *plan.Problem {
	p := &plan.Problem{Zone: dublin(tb), Grid: grid, From: civil.DayOf(2027, 3, 1), Days: 70}
	p.Open = []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * 60, To: 18 * 60}, {Weekdays: []int{6}, From: 8 * 60, To: 13 * 60}}
	for i := range p.Days {
		p.Daylight = append(p.Daylight, plan.Daylight{Day: p.From + civil.Day(i), From: 7 * 60, To: 18 * 60})
	}
	p.RestPolicies = []plan.RestPolicy{
		{Name: "adult", DailyRest: 660, WeeklyRest: 2100, DayMinutes: 540, DaySpan: 660, WeekMinutes: 2880, Stretch: 360, Break: 15, RunDays: 12},
		{Name: "site", DayMinutes: 600, HeightDay: 360, WeeklyRest: 2880, WeeklyRestDays: 14, WeeklyRestCount: 2},
	}
	p.Rigs = []plan.Rig{{ID: "tower", PeopleMax: 16}, {ID: "blade", PeopleMax: 12}, {ID: "nacelle", PeopleMax: 16}, {ID: "halls"}}
	p.Circuits = []plan.Circuit{{ID: "hydraulic", Changeover: 30}}
	p.Kits = []plan.Kit{{ID: "rescue", Count: 3}}
	for i := range 12 {
		s := plan.Station{ID: fmt.Sprint("station", i), Rig: p.Rigs[i/3].ID, Places: 12, Turnaround: 15}
		if i < 6 {
			s.Height, s.NeedsDaylight, s.Places, s.FirstAiders, s.StaffMin = true, true, 6, 1, 2
			s.Zones = []string{fmt.Sprint("drop", i%3)}
			s.Rescue = &plan.Rescue{Rescuers: 2, StandbyMin: i % 2, OwnInstructorsCount: true, Kit: "rescue"}
		}
		p.Stations = append(p.Stations, s)
	}
	always := plan.Validity{From: p.From - 1000, Until: civil.LastDay}
	for i := range 16 {
		e := plan.Exercise{ID: fmt.Sprint("exercise", i), Minutes: civil.Minutes(90 + 30*(i%4)), Setup: 15, Strike: 15, GroupMin: 1, Ratio: 6, Requires: []string{"fit"}}
		for k := range 3 {
			e.Stations = append(e.Stations, p.Stations[(i+4*k)%12].ID)
		}
		if i > 7 {
			e.After = []plan.After{{Exercise: fmt.Sprint("exercise", i-8)}}
		}
		if i%5 == 0 {
			e.Energy = []plan.Energy{{Circuit: "hydraulic", State: []plan.EnergyState{plan.Live, plan.Dead}[i/5%2]}}
		}
		p.Exercises = append(p.Exercises, e)
	}
	enrol(p, always)
	return p
}

// enrol adds the yard's staff and trainees.
func enrol(p *plan.Problem, always plan.Validity) {
	for i := range 20 {
		v := plan.Person{ID: fmt.Sprintf("staff%02d", i), Rest: []string{"adult", "site"}}
		for k := range p.Exercises {
			if (i+k)%3 == 0 {
				v.Teaches = append(v.Teaches, plan.Teaches{Exercise: p.Exercises[k].ID, Validity: always})
			}
		}
		if i%2 == 0 {
			v.Rescuer = []plan.Validity{always}
		}
		if i%3 != 1 {
			v.FirstAid = []plan.Validity{always}
		}
		p.People = append(p.People, v)
	}
	for i := range 144 {
		t := plan.Trainee{ID: fmt.Sprintf("trainee%03d", i), Intake: fmt.Sprint("intake", i/12), Rest: []string{"adult", "site"}, Holds: []plan.Hold{{Name: "fit", Validity: always}}}
		for k := range p.Exercises {
			t.Needs = append(t.Needs, p.Exercises[k].ID)
		}
		p.Trainees = append(p.Trainees, t)
	}
}

// half is one half of an intake.
func half(p *plan.Problem, intake, part int) []string {
	var out []string
	for i := range 6 {
		out = append(out, p.Trainees[12*intake+6*part+i].ID)
	}
	return out
}

// fill books about 40 sessions a week, each where Insertions likes it best: every
// exercise but the last for every half intake but those of the last.
func fill(tb testing.TB, p *plan.Problem) []plan.Session {
	board := Compile(p).Board(nil)
	var out []plan.Session
	for n := range 22 * 15 {
		var days []civil.Day
		for i := range 6 {
			days = append(days, p.From+civil.Day(7*(n/40)+i))
		}
		a := Ask{Exercise: p.Exercises[n/22].ID, Trainees: half(p, n%22/2, n%2), Days: days, Most: 1}
		if offers, _ := board.Insertions(a); len(offers) > 0 {
			s := offers[0].Session
			s.ID = fmt.Sprint("booked", n)
			d, _ := board.c.session(&s)
			board.put(d)
			out = append(out, s)
		}
	}
	if r := check.New(p).Board(out).All(); len(r.Findings) > 0 {
		tb.Fatalf("the yard's own sessions are not clear: %v", r.Findings[0])
	}
	return out
}

func BenchmarkOptions(b *testing.B) {
	for _, grid := range []civil.Minutes{5, 15, 30} {
		p := yard(b, grid)
		standing := fill(b, p)
		var days []civil.Day
		for i := range 14 {
			days = append(days, p.From+28+civil.Day(i))
		}
		for _, ask := range []struct {
			name, exercise string
			intake         int
			stations       int
		}{{"clear", "exercise6", 11, 0}, {"height", "exercise1", 11, 0}, {"all stations", "exercise6", 11, 12}, {"refused", "exercise9", 11, 0}, {"busy group", "exercise15", 5, 0}} {
			b.Run(fmt.Sprintf("grid %d/%s", grid, ask.name), func(b *testing.B) {
				a := Ask{Exercise: ask.exercise, Trainees: half(p, ask.intake, 0), Days: days, Most: 20}
				for i := range ask.stations {
					a.Stations = append(a.Stations, p.Stations[i].ID)
				}
				b.ReportAllocs()
				for b.Loop() {
					Compile(p).Board(standing).Insertions(a)
				}
				b.ReportMetric(float64(len(standing)), "sessions")
			})
		}
	}
}

func BenchmarkCompileAndBoard(b *testing.B) {
	p := yard(b, 15)
	standing := fill(b, p)
	for b.Loop() {
		Compile(p).Board(standing)
	}
}

func BenchmarkFits(b *testing.B) {
	p := yard(b, 15)
	standing := fill(b, p)
	board := Compile(p).Board(standing)
	s := standing[200].Clone()
	s.ID = "new"
	for b.Loop() {
		board.Fits(s)
	}
}
