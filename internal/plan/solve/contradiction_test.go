package solve

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// calm is a problem in which kim's needs, climb and then lower, have a place.
func calm(t testing.TB) *plan.Problem {
	p, err := plan.DecodeProblem([]byte(`{"format":"rungbook.problem.v1","zone":"Europe/Dublin","from":"2027-03-01","days":5,"grid_minutes":30,
		"open":[{"weekdays":[1,2,3,4,5],"from":"08:00","to":"16:00"}],"weights":{"unplaced":1000},
		"daylight":[{"day":"2027-03-01","from":"07:00","to":"18:00"},{"day":"2027-03-02","from":"07:00","to":"18:00"}],
		"rest_policies":{"day":{}},
		"rigs":[{"id":"tower"}],"kits":[{"id":"stretcher","count":1}],
		"stations":[{"id":"deck","rig":"tower","places":4,"height":true,"rescue":{"rescuers":1,"standby_min":1}}],
		"exercises":[{"id":"climb","minutes":120,"stations":["deck"],"ratio":4,"requires":["medical"],"uses":[{"kit":"stretcher","count":1}]},
			{"id":"lower","minutes":120,"stations":["deck"],"ratio":4,"after":[{"exercise":"climb"}]}],
		"courses":[{"id":"basic","exercises":["climb","lower"],"days":9}],
		"people":[{"id":"ada","teaches":[{"exercise":"climb","from":"2027-01-01","until":"2027-12-31"},{"exercise":"lower","from":"2027-01-01","until":"2027-12-31"}],"rest":[]},
			{"id":"ben","rescuer":[{"from":"2027-01-01","until":"2027-12-31"}],"rest":[]}],
		"trainees":[{"id":"kim","intake":"spring","needs":["climb","lower"],"holds":[{"name":"medical","from":"2027-01-01","until":"2027-12-31"}],"rest":["day"]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestContradictionsAreNamedWithTheirRule(t *testing.T) {
	day := func(n int) civil.Day { return civil.DayOf(2027, 3, 1) + civil.Day(n) }
	at := func(p *plan.Problem, n int, clock civil.Minutes) civil.Instant { return p.Zone.At(day(n), clock) }
	whole := func(p *plan.Problem, n int) civil.Period { return civil.Period{Start: at(p, 0, 0), End: at(p, n, 0)} }
	for _, c := range []struct {
		name  string
		edit  func(p *plan.Problem)
		needs string // of kim, that are contradicted
		rule  string // of the first
		at    string
		words string
	}{
		{"nothing is wrong", func(*plan.Problem) {}, "", "", "", ""},
		{"no station", func(p *plan.Problem) { p.Exercises[0].Stations = nil }, "climb lower", "station-fit", "/exercises/0/stations", "no station is given"},
		{"no day", func(p *plan.Problem) { p.Days = 0 }, "climb lower", "open-hours", "/days", "there is no day to plan"},
		{"all days closed", func(p *plan.Problem) {
			for n := range 5 {
				p.ClosedDays = append(p.ClosedDays, day(n))
			}
		}, "climb lower", "open-hours", "/open", "no day that is planned is open"},
		{"as long as the opening window", func(p *plan.Problem) { p.Exercises[1].Minutes = 480 }, "", "", "", ""},
		{"a minute longer than the opening window", func(p *plan.Problem) { p.Exercises[1].Minutes = 481 }, "lower", "open-hours", "/exercises/1/minutes", "the longest opening window is 8 h"},
		{"no daylight", func(p *plan.Problem) { p.Stations[0].NeedsDaylight, p.Daylight = true, nil }, "climb lower", "daylight", "/daylight", "daylight"},
		{"shut but for one start", func(p *plan.Problem) { p.Stations[0].Shut = []civil.Period{{Start: at(p, 0, 0), End: at(p, 4, 12*60)}} }, "", "", "", ""},
		{"shut for good", func(p *plan.Problem) { p.Stations[0].Shut = []civil.Period{whole(p, 9)} }, "climb lower", "station-shut", "/stations/0/shut/0", "shut"},
		{"no kit", func(p *plan.Problem) { p.Kits[0].Count = 0 }, "climb lower", "kit", "/kits/0/count", "it takes 1 of stretcher"},
		{"kit shut for good", func(p *plan.Problem) {
			p.Kits[0].Shut = []plan.KitShut{{From: at(p, 0, 0), To: at(p, 9, 0), Count: 1}}
		}, "climb lower", "kit", "/kits/0/count", "stretcher"},
		{"nobody teaches it", func(p *plan.Problem) { p.People[0].Teaches = p.People[0].Teaches[1:] }, "climb lower", "qualified", "/people", "nobody may teach it"},
		{"its teacher lapses on the first day", func(p *plan.Problem) { p.People[0].Teaches[0].Until = day(0) }, "", "", "", ""},
		{"its teacher lapses the day before", func(p *plan.Problem) { p.People[0].Teaches[0].Until = day(-1) }, "climb lower", "qualified", "/people", "nobody may teach it"},
		{"too few rescuers", func(p *plan.Problem) { p.Stations[0].Rescue.Rescuers = 2 }, "climb lower", "rescue-cover", "/people", "rescue-cover on deck"},
		{"nobody has first aid", func(p *plan.Problem) { p.Stations[0].FirstAiders = 1 }, "climb lower", "first-aid", "/people", "first-aid on deck"},
		{"too few staff", func(p *plan.Problem) { p.Stations[0].StaffMin = 3 }, "climb lower", "staff-min", "/people", "staff-min on deck"},
		{"too few instructors for the smallest group", func(p *plan.Problem) {
			p.Exercises[0].GroupMin, p.Exercises[0].Ratio = 2, 1
		}, "climb lower", "ratio", "/people", "ratio on deck"},
		{"the rig bears the smallest group", func(p *plan.Problem) { p.Rigs[0].PeopleMax = 3 }, "", "", "", ""},
		{"the rig does not bear the smallest group", func(p *plan.Problem) { p.Rigs[0].PeopleMax = 2 }, "climb lower", "rig-headcount", "/rigs/0/people_max", "1 with 2 staff"},
		{"its teacher is never available for so long", func(p *plan.Problem) {
			p.People[0].Available = []civil.Period{{Start: at(p, 1, 8*60), End: at(p, 1, 9*60)}}
		}, "climb lower", "ratio", "/people", "available, off duty"},
		{"the smallest group needs more places", func(p *plan.Problem) { p.Exercises[0].GroupMin = 5 }, "climb lower", "group-size", "/exercises/0/group_min", "takes more than 4"},
		{"the smallest group is more than need it", func(p *plan.Problem) { p.Exercises[1].GroupMin = 2 }, "lower", "group-size", "/exercises/1/group_min", "only 1 needs it"},
		{"the last deadline", func(p *plan.Problem) { p.Trainees[0].Deadline = day(0) }, "", "", "", ""},
		{"a deadline before the horizon", func(p *plan.Problem) { p.Trainees[0].Deadline = day(-1) }, "climb lower", "deadline", "/trainees/0/deadline", "is before the first day planned"},
		{"a deadline before the earliest end", func(p *plan.Problem) {
			p.Trainees[0].Deadline, p.ClosedDays = day(1), []civil.Day{day(0), day(1)}
		}, "climb lower", "deadline", "/trainees/0/deadline", "the earliest it can end is 2027-03-03T10:00"},
		{"never entitled", func(p *plan.Problem) { p.Trainees[0].Holds[0].Name = "swim" }, "climb lower", "entitled", "/trainees/0/holds", `requires "medical"`},
		{"entitled after the deadline", func(p *plan.Problem) {
			p.Trainees[0].Deadline, p.Trainees[0].Holds[0].From = day(2), day(3)
		}, "climb lower", "entitled", "/trainees/0/holds", "from 2027-03-01 to 2027-03-03"},
		{"entitled on a closed day alone", func(p *plan.Problem) {
			p.ClosedDays, p.Trainees[0].Holds[0].Until = []civil.Day{day(0)}, day(0)
		}, "climb lower", "entitled", "/trainees/0/holds", "on any day on which it is offered"},
		{"what comes before is neither done nor needed", func(p *plan.Problem) { p.Trainees[0].Needs = []string{"lower"} }, "lower", "order", "/exercises/1/after/0", "neither has done it nor needs it"},
		{"a gap that just fits", func(p *plan.Problem) { p.Exercises[1].After[0].MinGap = 4*1440 + 240 }, "", "", "", ""},
		{"a gap longer than the horizon", func(p *plan.Problem) { p.Exercises[1].After[0].MinGap = 4*1440 + 241 }, "lower", "order", "/exercises/1/after", "nothing is left from 2027-03-05T14:01"},
		{"what is done is too long ago", func(p *plan.Problem) {
			tr := &p.Trainees[0]
			tr.Needs, tr.Done = []string{"lower"}, []plan.Done{{Exercise: "climb", At: at(p, -9, 600)}}
			p.Exercises[1].After[0].MaxGap, p.Courses = 1440, nil
		}, "lower", "order", "/exercises/1/after", "too recent, or too long ago"},
		{"a course that began too long ago", func(p *plan.Problem) {
			tr := &p.Trainees[0]
			tr.Needs, tr.Done = []string{"lower"}, []plan.Done{{Exercise: "climb", At: at(p, -9, 600)}}
		}, "lower", "course-span", "/trainees/0/done", "last longer than it may"},
		{"never available for so long", func(p *plan.Problem) {
			p.Trainees[0].Available = []civil.Period{{Start: at(p, 1, 8*60), End: at(p, 1, 9*60)}}
		}, "climb lower", "available", "/trainees/0/available", "not available"},
		{"as long as a day may be", func(p *plan.Problem) { p.RestPolicies[0].DayMinutes = 120 }, "", "", "", ""},
		{"longer than a day may be", func(p *plan.Problem) { p.RestPolicies[0].DayMinutes = 119 }, "climb lower", "day-minutes", "/trainees/0/rest", `rest policy "day" allows 1 h 59 in a day`},
		{"longer than a stretch may be", func(p *plan.Problem) { p.RestPolicies[0].Stretch = 119 }, "climb lower", "break", "/trainees/0/rest", "without a break"},
		{"longer than time at height may be", func(p *plan.Problem) { p.RestPolicies[0].HeightDay = 60 }, "climb lower", "height-minutes", "/trainees/0/rest", "at height in a day"},
		{"on duty all the time", func(p *plan.Problem) { p.Trainees[0].Duties = []civil.Period{whole(p, 9)} }, "climb lower", "double-booked", "/trainees/0/rest", "leave no start (double-booked)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := calm(t)
			c.edit(p)
			if err := p.Usable(); err != nil {
				t.Fatal(err)
			}
			got := Contradictions(p)
			var needs []string
			for _, n := range got {
				needs = append(needs, n.Exercise)
			}
			if strings.Join(needs, " ") != c.needs {
				t.Fatalf("contradicted are %v, want %q", got, c.needs)
			}
			if c.needs != "" && (got[0].Rule != c.rule || got[0].At != c.at || !strings.Contains(got[0].Words, c.words)) {
				t.Errorf("got %+v, want rule %s, at %s, words with %q", got[0], c.rule, c.at, c.words)
			}
		})
	}
}

// ofStaff are the rules that more staff can mend.
var ofStaff = []string{"ratio", "staff-min", "first-aid", "rescue-cover"}

// placement tries ways to put a need on a board, at most so many, and returns the
// first that breaks nothing.
func placement(d dice, p *plan.Problem, board *check.Board, t, e string, most int) *plan.Session {
	ex := p.Exercises[slices.IndexFunc(p.Exercises, func(x plan.Exercise) bool { return x.ID == e })]
	breaks := func(s *plan.Session, most int) bool {
		n := 0
		for _, f := range board.Change(nil, []plan.Session{*s}).Findings {
			if !slices.Contains(ofStaff, f.Rule) {
				return true
			}
			n++
		}
		return n > most
	}
	groups := groupsWith(p, t, e)
	for range most {
		if len(ex.Stations) == 0 {
			return nil
		}
		at := p.Zone.StartOfDay(p.From).Add(civil.Minutes(30 * d.upTo(p.Days*48)))
		s := plan.Session{ID: "placed", Exercise: e, Station: pick(d, ex.Stations...), Start: at, End: at.Add(ex.Minutes), Trainees: pick(d, groups...)}
		if breaks(&s, len(ofStaff)) {
			continue
		}
		for range 20 {
			s.Instructors, s.Rescuers = nil, nil
			for i := range p.People {
				switch d.upTo(2) {
				case 1:
					s.Instructors = append(s.Instructors, p.People[i].ID)
				case 2:
					s.Rescuers = append(s.Rescuers, p.People[i].ID)
				}
			}
			if !breaks(&s, 0) {
				return &s
			}
		}
	}
	return nil
}

// groupsWith lists the groups of those who need an exercise with a trainee in them.
func groupsWith(p *plan.Problem, t, e string) [][]string {
	out := [][]string{{t}}
	for i := range p.Trainees {
		if u := &p.Trainees[i]; u.ID != t && slices.Contains(u.Needs, e) {
			for _, g := range out {
				out = append(out, append(slices.Clone(g), u.ID))
			}
		}
	}
	return out
}

func TestNoContradictedNeedHasAPlace(t *testing.T) {
	z, rules := dublin(t), make(map[string]int)
	placed := 0
	checkWith(t, 250, func(rt rapid.TB, d dice) {
		p := d.priced(d.problem(z))
		for i := range p.Exercises {
			p.Exercises[i].GroupMin = pick(d, 1, 1, 1, 2, 3)
		}
		known := Contradictions(p)
		for _, n := range p.Missing(nil) { // the same tries do place others
			if d.chance(10) && !slices.ContainsFunc(known, func(c Contradiction) bool { return c.Trainee == n.Trainee && c.Exercise == n.Exercise }) {
				placed += count(placement(d, p, check.New(p).Board(nil), n.Trainee, n.Exercise, 60) != nil)
			}
		}
		made := Plan(p, Options{Seed: 3, Effort: 1, Tuning: quick()})
		j := check.New(p)
		boards := [][]plan.Session{made.Sessions, d.standing(p, j, 8, true)}
		for _, c := range known {
			rules[c.Rule]++
			for _, sessions := range boards {
				if slices.ContainsFunc(sessions, func(s plan.Session) bool { return s.Exercise == c.Exercise && slices.Contains(s.Trainees, c.Trainee) }) {
					rt.Fatalf("%+v\nbut it is placed in %v", c, sessions)
				}
				if !d.chance(50) {
					continue
				}
				if s := placement(d, p, j.Board(sessions), c.Trainee, c.Exercise, 60); s != nil {
					rt.Fatalf("%+v\nbut %+v breaks nothing beside %v", c, *s, sessions)
				}
			}
		}
	})
	t.Logf("contradictions by rule: %v; other needs placed by the same tries: %d", rules, placed)
	if placed < 50 {
		t.Errorf("the tries placed %d needs that are not contradicted: the test has lost its teeth", placed)
	}
	for _, r := range []string{"station-fit", "group-size", "order", "entitled", "deadline", "kit", "ratio", "rescue-cover", "qualified"} {
		if rules[r] < 4 {
			t.Errorf("%s was met %d times: the test has lost its teeth", r, rules[r])
		}
	}
}
