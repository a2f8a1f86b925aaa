package check

import (
	"fmt"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// yardOf makes a problem and a valid plan of a yard in which every station has
// two sessions a day for so many days, with all kinds of limits set: six
// trainees, an instructor and two standby rescuers a session.
func yardOf(stations, days int) (*plan.Problem, []plan.Session) {
	p := &plan.Problem{Zone: dublin(), Grid: 30, From: day("2027-01-04"), Days: days,
		Open: []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 8 * 60, To: 18 * 60}},
		RestPolicies: []plan.RestPolicy{
			{Name: "law", DailyRest: 660, WeeklyRest: 1440, DayMinutes: 780, WeekMinutes: 2880, Stretch: 360, Break: 20},
			{Name: "site", DailyRest: 720, WeeklyRest: 2100, WeeklyRestDays: 14, RunDays: 14, DayMinutes: 600, DaySpan: 720, WeekMinutes: 3000,
				HeightDay: 480, Stretch: 300, Break: 30}},
		Circuits: []plan.Circuit{{ID: "pump", Changeover: 30}},
		Courses:  []plan.Course{{ID: "course", Exercises: []string{"e0", "e1", "e2"}, Days: 28}},
		Weights:  plan.Weights{Unplaced: 100000, StaffMinute: 1, TraineeDay: 120, IntakeDay: 60, Moved: 200}}
	always := plan.Validity{From: p.From - 100, Until: p.From + 2000}
	names := make([]string, stations)
	for i := range names {
		names[i] = fmt.Sprintf("s%03d", i)
	}
	for i := range 6 {
		e := plan.Exercise{ID: fmt.Sprintf("e%d", i), Minutes: 180, Setup: 15, Strike: 15, Stations: names, GroupMin: 1, GroupMax: 6, Ratio: 6,
			Requires: []string{"fit"}, Pauses: []plan.Pause{{After: 90, Minutes: 30}}, Uses: []plan.Use{{Kit: "rope", Count: 1}}}
		if i > 0 {
			e.After = []plan.After{{Exercise: fmt.Sprintf("e%d", i-1)}}
		}
		p.Exercises = append(p.Exercises, e)
	}
	p.Kits = []plan.Kit{{ID: "rope", Count: stations}, {ID: "rescue", Count: stations}}
	for i, name := range names {
		if i%4 == 0 {
			p.Rigs = append(p.Rigs, plan.Rig{ID: fmt.Sprintf("r%d", i/4), PeopleMax: 60})
		}
		p.Stations = append(p.Stations, plan.Station{ID: name, Rig: fmt.Sprintf("r%d", i/4), Places: 6, Zones: []string{"z" + name}, Height: true,
			Turnaround: 30, FirstAiders: 1, StaffMin: 2, Rescue: &plan.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true, Kit: "rescue"}})
	}
	// Each station has two crews, which take turns by the week.
	for i := range 6 * stations {
		v := plan.Person{ID: fmt.Sprintf("p%04d", i), Rescuer: []plan.Validity{always}, FirstAid: []plan.Validity{always}, Rest: []string{"law", "site"}}
		for _, e := range p.Exercises {
			v.Teaches = append(v.Teaches, plan.Teaches{Exercise: e.ID, Validity: always})
		}
		p.People = append(p.People, v)
	}
	return p, fillYard(p, names, days, always)
}

// fillYard gives each station two sessions a day; a group of six stays on its
// station for three days and then leaves.
func fillYard(p *plan.Problem, names []string, days int, always plan.Validity) (list []plan.Session) {
	var needs []string
	for _, e := range p.Exercises {
		needs = append(needs, e.ID)
	}
	for i, name := range names {
		var group []string
		for d := range days {
			if d%3 == 0 {
				group = nil
				for k := range 6 {
					t := plan.Trainee{ID: fmt.Sprintf("t%d-%d-%d", i, d, k), Intake: fmt.Sprintf("in%d-%d", i, d), Needs: needs,
						Holds: []plan.Hold{{Name: "fit", Validity: always}}, Rest: []string{"law"}}
					p.Trainees = append(p.Trainees, t)
					group = append(group, t.ID)
				}
			}
			crew := 6*i + 3*(d/5%2) // five days on, five off
			for k, hour := range []civil.Minutes{8*60 + 30, 13 * 60} {
				start := p.Zone.At(p.From+civil.Day(d), hour)
				list = append(list, plan.Session{ID: fmt.Sprintf("%s-%d-%d", name, d, k), Exercise: needs[d%3*2+k], Station: name,
					Start: start, End: start.Add(180), Trainees: group, Instructors: []string{p.People[crew].ID},
					Rescuers: []string{p.People[crew+1].ID, p.People[crew+2].ID}})
			}
		}
	}
	return list
}

func TestTheYardOfTheBenchmarksIsValid(t *testing.T) {
	p, list := yardOf(4, 30)
	if err := p.Usable(); err != nil {
		t.Fatal(err)
	}
	for _, f := range New(p).Board(list).All().Findings {
		t.Error(f.Rule, f.Who, f.Found, f.Required)
	}
}

func BenchmarkNew(b *testing.B) {
	p, _ := yardOf(4, 14)
	for b.Loop() {
		New(p)
	}
}

func BenchmarkBoard100(b *testing.B) {
	p, list := yardOf(4, 14)
	j := New(p)
	b.ReportMetric(float64(len(list)), "sessions")
	for b.Loop() {
		j.Board(list)
	}
}

// BenchmarkChange judges one proposed session on a board of about 100.
func BenchmarkChange(b *testing.B) {
	p, list := yardOf(4, 14)
	one, rest := list[len(list)/2], append(append([]plan.Session{}, list[:len(list)/2]...), list[len(list)/2+1:]...)
	board := New(p).Board(rest)
	for _, c := range []struct {
		name  string
		shift civil.Minutes
		clear bool
	}{{"clear", 0, true}, {"refused", 60, false}} {
		proposed := one.Clone()
		proposed.Start, proposed.End = one.Start.Add(c.shift), one.End.Add(c.shift)
		put := []plan.Session{proposed}
		if r := board.Change(nil, put); (len(r.Findings) == 0) != c.clear {
			b.Fatalf("%s: %v", c.name, r.Findings)
		}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				board.Change(nil, put)
			}
		})
	}
}

// BenchmarkAll judges 20,000 sessions, resolving and indexing included.
func BenchmarkAll(b *testing.B) {
	p, list := yardOf(28, 357)
	j := New(p)
	b.ReportAllocs()
	for b.Loop() {
		if r := j.Board(list).All(); len(r.Findings) > 0 {
			b.Fatal(r.Findings[0])
		}
	}
	b.ReportMetric(float64(len(list)), "sessions")
}
