package planning_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// reading runs a test's body in one read of the demo's yard.
func reading(t *testing.T, do func(*store.View) error) {
	t.Helper()
	if err := openDemo(t).Read(t.Context(), do); err != nil {
		t.Fatal(err)
	}
}

// TestASliceAnswersAsTheWholeYardDoes judges random changes of the demo's weeks
// twice: in the slice that booking builds, and in one that holds every session of
// half a year and everybody in full.
func TestASliceAnswersAsTheWholeYardDoes(t *testing.T) {
	reading(t, func(v *store.View) error {
		var builder planning.Builder
		whole, err := builder.Build(v, planning.Scope{From: demoDay - 60, Until: demoDay + 60, Day: demoDay, Everyone: true})
		if err != nil {
			return err
		}
		stops, clear := 0, 0
		alike := func(t interface{ Fatalf(string, ...any) }, put []plan.Session, remove []string) {
			narrow, err := builder.Build(v, scopeOf(whole, put, remove))
			if err != nil {
				t.Fatalf("build the slice: %v", err)
			}
			got, want := lines(narrow, narrow.Judge(remove, put)), lines(whole, whole.Judge(remove, put))
			if !slices.Equal(got, want) {
				t.Fatalf("the slice says\n%s\nthe whole yard says\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
			if len(got) > 0 {
				stops++
			} else {
				clear++
			}
		}
		rapid.Check(t, func(rt *rapid.T) {
			put, remove := drawChange(rt, whole)
			alike(rt, put, remove)
		})
		for i, p := range whole.Standing { // a quarter of an hour later is often clear
			if i%9 == 0 && p.Start >= demoStart {
				p.Start, p.End = p.Start.Add(15), p.End.Add(15)
				alike(t, []plan.Session{p}, []string{p.ID})
			}
		}
		if stops == 0 || clear == 0 {
			t.Errorf("%d changes stopped and %d were clear; the test should see both", stops, clear)
		}
		return nil
	})
}

// drawChange draws a new session or a change of one that stands: its time, its
// station or its people, or that it goes.
func drawChange(rt *rapid.T, s *planning.Slice) (put []plan.Session, remove []string) {
	ahead := slices.DeleteFunc(slices.Clone(s.Standing), func(x plan.Session) bool { return x.Start < demoStart })
	p := rapid.SampledFrom(ahead).Draw(rt, "session")
	p = p.Clone()
	kind := rapid.SampledFrom([]string{"new", "move", "station", "people", "trainee", "gone"}).Draw(rt, "kind")
	shift := func() {
		d := rapid.IntRange(-10, 12).Draw(rt, "days")
		p.Start = max(demoStart, p.Start.Add(civil.Minutes(d)*24*60+15*civil.Minutes(rapid.IntRange(-16, 16).Draw(rt, "quarters"))))
		p.End = p.Start.Add(lengthOf(s, p.Exercise))
	}
	staff := func(list []string) {
		if len(list) > 0 {
			list[rapid.IntRange(0, len(list)-1).Draw(rt, "place")] = rapid.SampledFrom(s.Problem.People).Draw(rt, "person").ID
		}
	}
	switch kind {
	case "new":
		p.ID = "new"
		e := rapid.SampledFrom(s.Problem.Exercises).Filter(taught).Draw(rt, "exercise")
		p.Exercise, p.Station = e.ID, rapid.SampledFrom(e.Stations).Draw(rt, "station")
		shift()
		staff(p.Instructors)
	case "move":
		shift()
	case "station":
		p.Station = rapid.SampledFrom(s.Problem.Stations).Draw(rt, "station").ID
	case "people":
		staff(p.Instructors)
		staff(p.Rescuers)
	case "trainee":
		p.Trainees[rapid.IntRange(0, len(p.Trainees)-1).Draw(rt, "place")] = rapid.SampledFrom(ahead).Draw(rt, "from").Trainees[0]
	case "gone":
		return nil, []string{p.ID}
	}
	if kind != "new" {
		remove = []string{p.ID}
	}
	return []plan.Session{p}, remove
}

// taught tells an exercise from the stand-in for what happened, and from one that
// is not taught on the slice's day.
func taught(e plan.Exercise) bool { return len(e.Stations) > 0 }

var demoStart = dublin.At(demoDay, 8*60)

func lengthOf(s *planning.Slice, exercise string) civil.Minutes {
	i := slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == exercise })
	return s.Problem.Exercises[i].Minutes
}

// scopeOf is the scope that booking gives a change: its days and its people, and
// those of the session it takes off.
func scopeOf(s *planning.Slice, put []plan.Session, remove []string) planning.Scope {
	scope := planning.Scope{From: civil.LastDay, Day: demoDay, Staff: []id.Person{}}
	add := func(p plan.Session) {
		d := dublin.DayOf(p.Start)
		scope.From, scope.Until = min(scope.From, d), max(scope.Until, d)
		scope.Trainees = append(scope.Trainees, planning.IDs[id.Trainee](p.Trainees)...)
		scope.Staff = append(scope.Staff, planning.IDs[id.Person](slices.Concat(p.Instructors, p.Rescuers, p.Others))...)
	}
	for _, p := range put {
		add(p)
	}
	for _, p := range s.Standing {
		if slices.Contains(remove, p.ID) {
			add(p)
		}
	}
	return scope
}

// TestEveryProblemBuiltFromRecordsCanBeWrittenAndRead takes what a slice of any
// day builds to a file and back.
func TestEveryProblemBuiltFromRecordsCanBeWrittenAndRead(t *testing.T) {
	reading(t, func(v *store.View) error {
		var builder planning.Builder
		intakes, err := v.TraineesOfIntake()
		if err != nil {
			return err
		}
		rapid.Check(t, func(rt *rapid.T) {
			from := demoDay + civil.Day(rapid.IntRange(-200, 200).Draw(rt, "from"))
			scope := planning.Scope{From: from, Until: from + civil.Day(rapid.IntRange(0, 27).Draw(rt, "days")), Everyone: rapid.Bool().Draw(rt, "everyone")}
			if len(intakes) > 0 && rapid.Bool().Draw(rt, "group") {
				scope.Trainees = append(scope.Trainees, rapid.SampledFrom(intakes).Draw(rt, "trainee").ID)
			}
			s, err := builder.Build(v, scope)
			if err != nil {
				rt.Fatal(err)
			}
			usable(rt, s)
		})
		return nil
	})
}

func usable(t interface{ Fatalf(string, ...any) }, s *planning.Slice) {
	if err := s.Problem.Usable(); err != nil {
		t.Fatalf("the problem is not usable: %v", err)
	}
	file, err := plan.EncodeProblem(s.Problem)
	if err != nil {
		t.Fatalf("write the problem: %v", err)
	}
	if _, err := plan.DecodeProblem(file); err != nil {
		t.Fatalf("read the problem: %v", err)
	}
	if err := s.Problem.Knows(&plan.Plan{Sessions: s.Standing}); err != nil {
		t.Fatalf("the standing sessions name what the problem lacks: %v", err)
	}
}

func TestTheSmallYardsProblemCanBeWrittenAndRead(t *testing.T) {
	for name, spoil := range map[string]func(*records){
		"sound":         func(*records) {},
		"no rescue":     func(r *records) { r.deck.Rescue = nil },
		"no ratio":      func(r *records) { r.climb.Setting = "in-a-simulator" },
		"no rest":       func(r *records) { r.staff[0].Rest, r.trainees[0].Rest = nil, nil },
		"no rule book":  func(r *records) { r.book = book("book", today+90) },
		"no hours":      func(r *records) { r.yard.Open = nil },
		"retired":       func(r *records) { r.climb.Retired = today; r.deck.Retired = today },
		"kit of none":   func(r *records) { r.kit.Count = 0 },
		"a rig of none": func(r *records) { r.rig.PeopleMax = 0 },
		"away and shut": func(r *records) {
			r.more = append(r.more, rig.Shut{ID: "shut", Station: "deck", Start: at(today, 6, 0)})
		},
		"what was done":  func(r *records) { r.more = knowsTheory(today - 20) },
		"done today":     func(r *records) { r.more = knowsTheory(today) },
		"done yesterday": func(r *records) { r.more = knowsTheory(today - 1) },
	} {
		t.Run(name, func(t *testing.T) {
			r := sound()
			spoil(r)
			b := open(t, r)
			b.now = at(today, 20, 0)
			usable(t, b.build(planning.Scope{From: today, Until: today + 6, Trainees: tilde, Everyone: true}))
		})
	}
}
