package solve

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"

	"rungbook/internal/plan"
)

// Options say how a plan is made.
type Options struct {
	Seed   int64
	Effort int64          // rounds of work; below 0 = until Stop
	Old    []plan.Session // sessions of the plan to repair, nil = none
	Stop   func() bool    // asked at each barrier, and while waiting for a bound; nil = never
	Tell   func(Progress) // called at each barrier; nil = nobody listens
	// Prove begins to prove a lower bound on the cost of every valid plan; nil = the
	// bound is 0.
	Prove  func(p *plan.Problem, old []plan.Session) Prover
	Tuning *Tuning // nil = usual
}

// Prover proves better and better lower bounds, a step of work at a time. The same
// number of steps proves the same.
type Prover interface {
	Step() bool      // whether the bound rose
	Best() plan.Cost // the highest bound proven so far
}

// Progress is how far a run has come.
type Progress struct {
	Effort      int64 // rounds
	Steps       int64 // of all searches
	Cost, Bound plan.Cost
	Unplaced    int
	SoFar       func() Result // the best plan so far, that of as many rounds; to be called only while Tell runs
}

// Result is a plan and how much work it took.
type Result struct {
	Sessions []plan.Session
	Unplaced []plan.Unplaced // each with its reason, never nil
	Cost     plan.Cost       // of the sessions, by the problem's definition
	Bound    plan.Cost
	Owed     int   // needs among those unplaced that a fixed session waits for: if any, the plan is not valid
	Effort   int64 // rounds: the same problem, seed and effort give the same result
	Steps    int64
}

// MostTrainees is how many trainees one run takes: ten times the busiest yard's
// half-year, and what the first plan of a run still keeps pace with.
const MostTrainees = 20_000

// Plan makes a plan. Preconditions: p.Usable() is nil, its fixed sessions break no
// rule among themselves, and it has at most MostTrainees trainees. What it returns
// is to be judged by plan/check before anybody relies on it.
func Plan(p *plan.Problem, o Options) Result {
	r := newRun(p, &o)
	for (o.Effort < 0 || r.effort < o.Effort) && !r.stopped() && !r.proven() {
		if !r.round() {
			break
		}
	}
	return r.result()
}

// run is one call of Plan.
type run struct {
	t      *task
	o      *Options
	tuning Tuning
	walks  []*walk
	best   snapshot
	cost   rating
	base   snapshot // what all searches went out from at the last meeting, if they work together
	met    snapshot // while they meet
	joined bool     // they work together
	chance *rand.Rand
	proof  proof
	bound  plan.Cost
	effort int64
}

func newRun(p *plan.Problem, o *Options) *run {
	t := newTask(p, Compile(p))
	if len(o.Old) > 0 {
		t.repairing()
	}
	r := &run{t: t, o: o, tuning: Usual(), chance: newChance(uint64(o.Seed), 1<<32), cost: rating{math.MaxInt, 0}}
	if o.Tuning != nil {
		r.tuning = *o.Tuning
	}
	for i := range r.tuning.Walks {
		r.walks = append(r.walks, r.newWalk(i))
	}
	r.merge()
	r.proof.begin(r)
	return r
}

func (r *run) newWalk(i int) *walk {
	k := newRebuilder(newState(r.t), uint64(r.o.Seed), uint64(i))
	w := &walk{rebuilder: k, number: i, ruinBy: newChoice(len(ruins)), apart: true}
	w.anneal = annealing{hot: r.t.scale * r.tuning.Hot, cold: r.t.scale * r.tuning.Cold, length: r.tuning.Cycle}
	k.begin(r.o.Old)
	w.current = k.s.guide()
	w.keepBest()
	w.building, w.retries = r.batches(i), mostRetries
	if len(r.o.Old) == 0 && !r.mayShare() { // what is repaired stays where it can
		w.drawing = w.building
	}
	return w
}

func (r *run) stopped() bool { return r.o.Stop != nil && r.o.Stop() }

// proven reports whether nothing better is possible.
func (r *run) proven() bool { return r.cost.owed == 0 && plan.Cost(r.cost.cost) <= r.bound }

// round lets every search take its steps and brings them together. It reports
// whether it was finished; if not, all is as it was after the round before.
func (r *run) round() bool {
	if !r.proof.ready(r) {
		return false
	}
	var all sync.WaitGroup
	for _, w := range r.walks {
		all.Go(func() {
			for range r.tuning.Steps {
				w.walkStep(&r.tuning)
			}
		})
	}
	all.Go(r.proof.steps)
	all.Wait()
	r.bound = r.proof.best()
	r.effort++
	switch {
	case !r.joined:
		r.merge()
		if r.joined = r.together(); r.joined {
			r.joinUp()
		}
	case r.effort%r.tuning.Meet == 0:
		r.meet()
	}
	r.tell()
	return true
}

// merge takes over the best of all searches, in the order of their numbers; those
// whose cycle has ended go on from there.
func (r *run) merge() {
	for _, w := range r.walks {
		if w.bestCost.less(r.cost) {
			r.cost = w.bestCost
			r.best.copyOf(&w.best)
		}
	}
	for _, w := range r.walks {
		if w.cycled {
			w.cycled = false
			w.s.restore(&r.best)
			w.current = w.s.guide()
			w.bestCost = r.cost
		}
	}
}

func (r *run) tell() {
	if r.o.Tell == nil {
		return
	}
	p := Progress{Effort: r.effort, Cost: plan.Cost(r.cost.cost), Bound: r.bound, Unplaced: r.unplaced(), SoFar: r.soFar}
	for _, w := range r.walks {
		p.Steps += w.steps
	}
	r.o.Tell(p)
}

// unplaced counts the needs that the best plan leaves out.
func (r *run) unplaced() int {
	n := len(r.t.needs)
	for i := range r.best.sessions {
		n -= len(r.best.sessions[i].trainees)
	}
	return n
}

// result writes the best plan out.
func (r *run) result() Result {
	r.best.sort()
	s := r.walks[0].s
	s.restore(&r.best)
	out := Result{Sessions: r.sessions(), Cost: plan.Cost(s.cost()), Bound: r.bound, Effort: r.effort, Unplaced: s.reasons(), Owed: s.owed}
	for _, w := range r.walks {
		out.Steps += w.steps
	}
	return out
}

// sessions writes the best plan's sessions with their ids: a fixed one keeps its
// own, one of the plan to repair is known again by its own, and new ones get ids
// that were never used.
func (r *run) sessions() []plan.Session {
	c, s := r.t.c, r.walks[0].s
	out := make([]plan.Session, 0, len(s.sessions))
	ids := r.ids()
	for i, x := range r.inOrder(s) {
		if x.bound {
			out = append(out, x.told.Clone())
			continue
		}
		n := plan.Session{ID: ids[i], Exercise: c.exercises[x.exercise].id, Station: c.stations[x.station].id, Start: x.span.Start, End: x.span.End}
		for _, t := range x.trainees {
			n.Trainees = append(n.Trainees, c.trainees[t].id)
		}
		for _, p := range x.instructors {
			n.Instructors = append(n.Instructors, c.people[p].id)
		}
		for _, p := range x.rescuers {
			n.Rescuers = append(n.Rescuers, c.people[p].id)
		}
		out = append(out, n)
	}
	plan.SortSessions(out)
	return out
}

// inOrder lists the sessions of a state in the order of time.
func (r *run) inOrder(s *state) []*session {
	list := slices.Clone(s.sessions)
	slices.SortFunc(list, func(a, b *session) int {
		return cmp.Or(cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(a.station, b.station), cmp.Compare(a.exercise, b.exercise))
	})
	return list
}

// ids names the sessions of the state, in the order of time.
func (r *run) ids() []string {
	taken := make(map[string]bool)
	for i := range r.t.p.Fixed {
		taken[r.t.p.Fixed[i].ID] = true
	}
	for i := range r.o.Old {
		taken[r.o.Old[i].ID] = true
	}
	s := r.walks[0].s
	list := r.inOrder(s)
	out := make([]string, len(list))
	for i, x := range list {
		if x.old > 0 {
			out[i] = r.o.Old[x.old-1].ID
		}
	}
	used := slices.Clone(s.standing)
	for i, x := range list {
		if out[i] == "" && !x.bound {
			out[i] = r.successor(s, x, used)
		}
	}
	n := 0
	for i := range list {
		for out[i] == "" && !list[i].bound {
			n++
			if id := "s" + strconv.Itoa(n); !taken[id] {
				out[i] = id
			}
		}
	}
	return out
}

// successor returns the id of a session of the plan to repair that x takes the
// place of: of the same exercise, with most of its trainees in common. used are
// those whose ids have been taken up.
func (r *run) successor(s *state, x *session, used []bool) string {
	best, most := -1, 0
	for i, o := range s.old {
		if o == nil || used[i] || o.exercise != x.exercise {
			continue
		}
		common := 0
		for _, t := range o.trainees {
			if _, in := slices.BinarySearch(x.trainees, t); in {
				common++
			}
		}
		if common > most {
			best, most = i, common
		}
	}
	if best < 0 {
		return ""
	}
	used[best] = true
	return r.o.Old[best].ID
}
