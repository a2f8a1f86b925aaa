package check_test

import (
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

func sample(t *testing.T, name string) *plan.Problem {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/problems/" + name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.DecodeProblem(data)
	if err != nil {
		t.Fatal(err)
	}
	if err := check.Usable(p); err != nil {
		t.Fatal(err)
	}
	return p
}

func rulesOf(r verdict.Report) (out []string) {
	for _, f := range r.Findings {
		if !slices.Contains(out, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	return out
}

func TestTriviallyWrongPlansOfTheSamplesFail(t *testing.T) {
	for _, name := range []string{"small.json", "rich-small.json"} {
		p := sample(t, name)
		if got := lines(p, check.Plan(p, &plan.Plan{}, check.Options{})); len(got) > 0 {
			t.Errorf("%s: the empty plan breaks %q", name, got)
		}
		start := p.Zone.At(p.From+1, 9*60)
		everyone := plan.Session{ID: "s1", Exercise: "ladder-climb", Station: "tower-north", Start: start, End: start.Add(60)}
		for _, tr := range p.Trainees {
			everyone.Trainees = append(everyone.Trainees, tr.ID)
		}
		for what, c := range map[string]struct {
			session plan.Session
			want    []string
		}{
			"everyone at once, nobody to teach": {everyone, []string{"grid", "group-size", "ratio", "rescue-cover", "order"}},
			"at midnight on another station": {plan.Session{ID: "s1", Exercise: "ladder-climb", Station: "room-a",
				Start: p.Zone.StartOfDay(p.From), End: p.Zone.StartOfDay(p.From).Add(60), Trainees: []string{"t0001"}, Instructors: []string{"i01"}},
				[]string{"open-hours", "station-fit", "available"}},
			"a year too late, twice the same person": {plan.Session{ID: "s1", Exercise: "safety-brief", Station: "room-a",
				Start: p.Zone.At(p.From+365, 9*60), End: p.Zone.At(p.From+365, 11*60), Trainees: []string{"t0001"}, Instructors: []string{"i01", "i01"}},
				[]string{"open-hours", "available", "double-booked", "deadline", "qualified"}},
		} {
			cost := plan.Cost(1)
			pl := &plan.Plan{Sessions: []plan.Session{c.session}, Cost: &cost, Unplaced: []plan.Unplaced{}}
			got := rulesOf(check.Plan(p, pl, check.Options{}))
			for _, rule := range append(c.want, "stated") {
				if !slices.Contains(got, rule) {
					t.Errorf("%s: %s breaks %q, want also %s", name, what, got, rule)
				}
			}
		}
	}
}

func TestASessionThatNamesWhatTheProblemLacksIsAStopAndNotIgnored(t *testing.T) {
	p := sample(t, "small.json")
	good := plan.Session{ID: "s1", Exercise: "safety-brief", Station: "room-a", Start: p.Zone.At(p.From+1, 9*60), End: p.Zone.At(p.From+1, 11*60),
		Trainees: []string{"t0001"}, Instructors: []string{"i01"}}
	j := check.New(p)
	if got := lines(p, j.Board(nil).Change(nil, []plan.Session{good})); len(got) > 0 {
		t.Fatalf("the session to start from breaks %q", got)
	}
	for what, spoil := range map[string]func(*plan.Session){
		"exercise":   func(s *plan.Session) { s.Exercise = "x" },
		"station":    func(s *plan.Session) { s.Station = "x" },
		"trainee":    func(s *plan.Session) { s.Trainees = []string{"t0001", "x"} },
		"instructor": func(s *plan.Session) { s.Instructors = []string{"t0001"} },
		"rescuer":    func(s *plan.Session) { s.Rescuers = []string{"x"} },
		"other":      func(s *plan.Session) { s.Others = []string{"x"} },
	} {
		bad := good.Clone()
		spoil(&bad)
		for how, report := range map[string]verdict.Report{
			"All":    j.Board([]plan.Session{bad}).All(),
			"Change": j.Board(nil).Change(nil, []plan.Session{bad}),
		} {
			if report.Level() != verdict.Stops || !slices.Contains(rulesOf(report), "unusable") {
				t.Errorf("%s with an unknown %s: %q, want a stop", how, what, lines(p, report))
			}
		}
	}
}

func TestAChangeIsChargedWithWhatItBreaksAndNothingElse(t *testing.T) {
	p := sample(t, "small.json")
	at := func(day, hour int) civil.Instant { return p.Zone.At(p.From+civil.Day(day), civil.Minutes(hour*60)) }
	brief := func(id, station, instructor string, start civil.Instant, trainees ...string) plan.Session {
		return plan.Session{ID: id, Exercise: "safety-brief", Station: station, Start: start, End: start.Add(120), Trainees: trainees, Instructors: []string{instructor}}
	}
	one, two := brief("one", "room-a", "i01", at(1, 9), "t0001"), brief("two", "room-a", "i02", at(1, 10), "t0002")
	board := check.New(p).Board([]plan.Session{one, two}) // they clash on room-a, from earlier
	for _, c := range []struct {
		name   string
		remove []string
		put    []plan.Session
		want   []string
	}{
		{"nothing", nil, nil, nil},
		{"a session elsewhere", nil, []plan.Session{brief("new", "room-b", "i03", at(1, 9), "t0003")}, nil},
		{"a third on the same room", nil, []plan.Session{brief("new", "room-a", "i03", at(1, 11), "t0003")}, []string{"station-clash"}},
		{"taking one off", []string{"one"}, nil, nil},
		{"moving one out of the way", nil, []plan.Session{brief("one", "room-b", "i01", at(1, 9), "t0001")}, nil},
		{"moving one into another clash with the same session", nil, []plan.Session{brief("one", "room-a", "i01", at(1, 11), "t0001")}, []string{"station-clash"}},
		{"a trainee more in a session that clashes already", nil, []plan.Session{brief("one", "room-a", "i01", at(1, 9), "t0001", "t0004")}, nil},
		{"the other's trainee in a session that clashes already", nil, []plan.Session{brief("one", "room-a", "i01", at(1, 9), "t0001", "t0002")}, []string{"double-booked", "needed-once"}},
	} {
		if got := rulesOf(board.Change(c.remove, c.put)); !slices.Equal(got, c.want) {
			t.Errorf("%s: charged with %q, want %q", c.name, got, c.want)
		}
	}
}

func TestAClashIsToldOnceAndOfTheNewcomer(t *testing.T) {
	p := sample(t, "small.json")
	start := p.Zone.At(p.From+1, 9*60)
	there := plan.Session{ID: "there", Exercise: "safety-brief", Station: "room-a", Start: start.Add(60), End: start.Add(180), Trainees: []string{"t0001"}, Instructors: []string{"i01"}}
	put := plan.Session{ID: "new", Exercise: "safety-brief", Station: "room-a", Start: start, End: start.Add(120), Trainees: []string{"t0002"}, Instructors: []string{"i02"}}
	got := check.New(p).Board([]plan.Session{there}).Change(nil, []plan.Session{put}).Findings
	if len(got) != 1 || got[0].Rule != "station-clash" || got[0].Who.ID != "new" {
		t.Errorf("charged with %v, want one station-clash of the new session", got)
	}
	if all := check.New(p).Board([]plan.Session{there, put}).All().Findings; len(all) != 1 {
		t.Errorf("All tells of %d violations, want one", len(all))
	}
}

// Two sessions that clash worse with others hide their own clash from nobody.
func TestEachSessionThatStartsTooEarlyOnItsStationIsTold(t *testing.T) {
	p := sample(t, "small.json")
	at := func(hour, minute int) civil.Instant { return p.Zone.At(p.From+1, civil.Minutes(60*hour+minute)) }
	var list []plan.Session
	for id, start := range map[string]civil.Instant{"a": at(8, 30), "b": at(8, 45), "c": at(10, 30), "d": at(10, 45)} {
		list = append(list, plan.Session{ID: id, Exercise: "safety-brief", Station: "room-a", Start: start, End: start.Add(120)})
	}
	var told []string
	for _, f := range check.New(p).Board(list).All().Findings {
		if f.Rule == "station-clash" {
			told = append(told, f.Who.ID)
		}
	}
	if told = slices.Compact(told); !slices.Equal(told, []string{"b", "c", "d"}) {
		t.Errorf("station-clash is told of %q, want the second, third and fourth", told)
	}
}

func TestPointersLeadToTheValueThatDecided(t *testing.T) {
	for rule, want := range map[string]string{
		"station-shut": "/stations/0/shut/0", "qualified": "/people/0/teaches/0", "entitled": "/trainees/1/holds/0", "rescue-cover": "/stations/0/rescue",
		"available": "/people/0/available", "kit": "/kits/0/shut/0", "double-booked": "/people/0/duties/0", "ratio": "/exercises/0/ratio_at/0",
		"daily-rest": "/rest_policies/site/daily_rest_minutes", "daylight": "/daylight/0", "order": "/exercises/0/after/0", "alone": "/intakes/0/alone",
		"rig-headcount": "/rigs/0/people_max", "first-aid": "/stations/0/first_aiders", "staff-min": "/stations/0/staff_min", "fixed": "/fixed/0",
	} {
		p, pl := readProbe(t, probes+"/"+rule+"/breaks.json")
		if got := check.Plan(p, pl, check.Options{}).Findings[0].At; got != want {
			t.Errorf("%s points at %q, want %q", rule, got, want)
		}
	}
}

// Judge and Board are shared by requests; the race detector watches this one.
func TestABoardServesManyAtOnce(t *testing.T) {
	p := sample(t, "rich-small.json")
	s := plan.Session{ID: "s1", Exercise: "safety-brief", Station: "room-a", Start: p.Zone.At(p.From+1, 9*60), End: p.Zone.At(p.From+1, 11*60),
		Trainees: []string{"t0002"}, Instructors: []string{"i01"}}
	board := check.New(p).Board([]plan.Session{s})
	want := strings.Join(lines(p, board.All()), "\n")
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			moved := s.Clone()
			moved.Start, moved.End = s.Start.Add(civil.Minutes(i)*24*60), s.End.Add(civil.Minutes(i)*24*60)
			board.Change(nil, []plan.Session{moved})
			if got := strings.Join(lines(p, board.All()), "\n"); got != want {
				t.Errorf("the board now breaks %q, want %q", got, want)
			}
		})
	}
	wg.Wait()
}

func TestTheReachCoversTheWidestPolicy(t *testing.T) {
	if got := check.GreatestReach(); got < 28 {
		t.Errorf("reach %d, want two blocks of 14 days at least", got)
	}
	wide := plan.RestPolicy{WeeklyRest: 48 * 60, WeeklyRestDays: 28}
	if got := check.GreatestReach(wide); got < 2*28+2 {
		t.Errorf("reach %d under blocks of 28 days, want %d at least", got, 2*28+2)
	}
}
