package solve

import (
	"math/rand/v2"
	"os"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/plan/solve/bound"
)

// priced gives a drawn problem weights of all kinds, and sometimes a chain of
// exercises.
func (d dice) priced(p *plan.Problem) *plan.Problem {
	for i := 1; i < len(p.Exercises) && d.chance(50); i++ {
		p.Exercises[i].After = []plan.After{{Exercise: p.Exercises[i-1].ID}}
	}
	p.Weights = plan.Weights{
		Unplaced: pick[int64](d, 1000, 100_000, 7), StaffMinute: pick[int64](d, 1, 0, 3), TraineeDay: pick[int64](d, 120, 0, 7),
		IntakeDay: pick[int64](d, 60, 0, 1), Moved: pick[int64](d, 200, 0, 5),
	}
	return p
}

// agrees compares what a state says of itself with what check and the problem's
// own definition of cost say of its sessions.
func (w *walk) agrees(t rapid.TB, r *run) {
	t.Helper()
	s := w.s
	r.walks[0] = w
	list := r.sessions()
	if cost := r.t.p.Cost(list, r.o.Old); int64(cost) != s.cost() {
		t.Fatalf("the state costs itself %d, the definition says %d", s.cost(), cost)
	}
	if open := len(r.t.p.Missing(list)); open != len(s.open) {
		t.Fatalf("the state counts %d needs unplaced, there are %d", len(s.open), open)
	}
	if s.owed > 0 {
		return // no plan without them is valid, and none is written
	}
	pl := plan.Plan{Sessions: list}
	if report := check.Plan(r.t.p, &pl, check.Options{}); len(report.Findings) > 0 {
		t.Fatalf("the state breaks %s: %v", report.Findings[0].Rule, report.Findings[0])
	}
}

// walksValid takes a search through its steps and judges what it has after each.
func walksValid(t rapid.TB, z civil.Zone, d dice) {
	p := d.priced(d.problem(z))
	if err := p.Usable(); err != nil {
		t.Fatalf("the drawn problem is unusable: %v", err)
	}
	made := Plan(p, Options{Seed: int64(d.upTo(100)), Effort: 2, Tuning: quick()})
	o := Options{Seed: int64(d.upTo(100))}
	d.carryOver(p, &o, made.Sessions)
	if check.Usable(p) != nil {
		return // what is fixed needs something before it that was taken away
	}
	r := newRun(p, &o)
	w := r.walks[d.upTo(len(r.walks)-1)]
	if d.chance(30) {
		w.region.days = dayRange{d.upTo(r.t.days), r.t.days - d.upTo(r.t.days/2)}
	}
	for range 12 {
		w.walkStep(&r.tuning)
		w.agrees(t, r)
		w.freeAsJudged(t)
	}
	w.undoes(t)
	w.s.restore(&w.best)
	w.agrees(t, r)
	if w.s.rating() != w.bestCost {
		t.Fatalf("the best state was %v when it was found and %v when it was restored", w.bestCost, w.s.rating())
	}
}

// carryOver makes some sessions of a plan fixed or a plan to repair, and takes
// something away from the problem.
func (d dice) carryOver(p *plan.Problem, o *Options, sessions []plan.Session) {
	for _, s := range sessions {
		if d.chance(15) {
			s = s.Clone()
			if d.chance(30) {
				s.Others = nil
			}
			p.Fixed = append(p.Fixed, s)
		}
	}
	if d.chance(60) {
		o.Old = []plan.Session{}
		for _, s := range sessions {
			o.Old = append(o.Old, s.Clone())
		}
		st := &p.Stations[d.upTo(len(p.Stations)-1)]
		if d.chance(50) && len(p.Fixed) == 0 {
			at := d.instant(p)
			st.Shut = append(st.Shut, civil.Period{Start: at, End: at.Add(1440)})
		}
		if d.chance(30) && len(p.Fixed) == 0 {
			p.People[0].Available = []civil.Period{}
		}
	}
}

func quick() *Tuning {
	t := Usual()
	t.Steps = 4
	return &t
}

// freeAsJudged compares the fast test of a role's times with the slow one.
func (w *walk) freeAsJudged(t rapid.TB) {
	s := w.s
	for p := range s.c.people {
		for shape := range s.t.shapes {
			d := (int(w.steps) + p + shape) % s.t.days
			got := s.personFree(p, shape, d)
			for i := range s.t.starts[d] {
				fits := s.fitsSlowly(&s.c.people[p].role, shape, s.t.starts[d][i])
				if out := got == nil; !out && got.has(i) != fits || out && fits {
					t.Fatalf("%s at %v: fast test says %v, slow test %v", s.c.people[p].id, s.c.zone.Format(s.t.starts[d][i]), !out && got.has(i), fits)
				}
			}
		}
	}
}

func (s *state) fitsSlowly(r *role, number int, start civil.Instant) bool {
	sh := &s.t.shapes[number]
	trial := &session{exercise: sh.exercise, span: civil.Period{Start: start, End: start.Add(sh.minutes)}}
	worked := s.c.worked(sh)
	tm := timeSpan{Period: civil.Period{Start: start.Add(-sh.before), End: trial.span.End.Add(sh.after)}, s: trial, minutes: worked + sh.before + sh.after}
	if sh.height {
		tm.height = worked
	}
	tm.day = s.c.zone.DayOf(tm.Start)
	v := s.cleanView(r.body, tm.day)
	return r.freeFor(tm.Period) && v.judge(&tm) == 0
}

// undoes takes a step and takes it back.
func (w *walk) undoes(t rapid.TB) {
	s := w.s
	before := snapshot{}
	before.copyFrom(s)
	before.sort()
	sums, open, marks := s.sums, len(s.open), s.allMarks()
	s.log = s.log[:0]
	w.step++
	w.look, w.inOrder = look{}, byChance
	for i := 0; i < 3 && len(s.sessions) > 0; i++ {
		x := s.sessions[i%len(s.sessions)]
		ruins[i].do(w.rebuilder, x, 5)
	}
	w.rebuild()
	s.undo(0)
	after := snapshot{}
	after.copyFrom(s)
	after.sort()
	if before.less(&after) || after.less(&before) || sums != s.sums || open != len(s.open) || !slices.Equal(marks, s.allMarks()) {
		t.Fatalf("a step that was taken back left a trace: %+v, before %+v", s.sums, sums)
	}
}

func (s *state) allMarks() (out []uint64) {
	for _, list := range [3][]marks{s.bodyMark, s.nearMark, s.berths} {
		for i := range list {
			for d := range s.t.days {
				out = append(out, list[i].at(d))
			}
		}
	}
	return out
}

func TestEveryStateOfASearchIsValidAndCostsWhatItSays(t *testing.T) {
	z := dublin(t)
	checkWith(t, 150, func(t rapid.TB, d dice) { walksValid(t, z, d) })
}

func FuzzSearchAgreesWithCheck(f *testing.F) {
	z := dublin(f)
	f.Add([]byte("a seed"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := rand.New(rand.NewChaCha8([32]byte(append(data, make([]byte, 32)...)[:32])))
		at := 0
		walksValid(t, z, dice{func(n int) int {
			// The data decide as long as they last, then chance that grows from them.
			if at < len(data) {
				at++
				return int(data[at-1]) % (n + 1)
			}
			return r.IntN(n + 1)
		}})
	})
}

// TestTheSameEffortGivesTheSamePlanOnAnyNumberOfCores compares whole results.
func TestTheSameEffortGivesTheSamePlanOnAnyNumberOfCores(t *testing.T) {
	p := readProblem(t, "rich-small")
	at := func(cores int, old []plan.Session) Result {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		return Plan(p, Options{Seed: 3, Effort: 6, Old: old, Prove: proven})
	}
	first := at(1, nil)
	repaired := at(1, first.Sessions)
	for _, cores := range []int{2, 8} {
		if got := at(cores, nil); !reflect.DeepEqual(got, first) {
			t.Errorf("on %d cores the plan costs %d after %d steps, on one %d after %d, or its sessions differ", cores, got.Cost, got.Steps, first.Cost, first.Steps)
		}
		if got := at(cores, first.Sessions); !reflect.DeepEqual(got, repaired) {
			t.Errorf("on %d cores the repaired plan differs from that on one", cores)
		}
	}
}

// readProblem reads one of the problems that stand in the repository.
func readProblem(t testing.TB, name string) *plan.Problem {
	data, err := os.ReadFile("../../../testdata/problems/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.DecodeProblem(data)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func proven(p *plan.Problem, old []plan.Session) Prover { return bound.New(p, old) }
