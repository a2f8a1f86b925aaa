package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/plan"
)

// Explanation says why a plan leaves a need without a place. With all its causes
// lifted an insertion search finds a place; with any one of them put back the same
// search finds none. It says no more than that: a plan in which other sessions lie
// elsewhere may place the need, and other causes may serve as well.
type Explanation struct {
	Trainee, Exercise string
	Standing          *plan.Session // the need is placed: here; nothing else is said then
	Fits              *plan.Session // it can be placed as the plan is: here; nothing else is said then
	Causes            []Cause       // none: no set of causes was found that can be lifted
	Place             *plan.Session // where it fits with all causes lifted
	Nearest           []string      // without causes: the rules broken at the best place found
	Starts, Joins     int           // each search without success looked at so many starts on a station and sessions to join, or more
	Days              int           // of the horizon that were searched
}

// Cause is one thing that stands in a need's way.
type Cause struct {
	Rules []string // the spec's names
	Words string   // who, which station, which window

	key    string
	weight int
	lift   func(*relaxed)
}

// Of two sets of causes the lighter is told: what a planner can change soonest.
const (
	ofPlan   = 2 // a session
	ofMeans  = 3 // a shut period, an absence, a duty, kit
	ofSkill  = 4 // what somebody may do or holds
	ofLimits = 6 // deadlines, numbers, rest
	ofOrder  = 9 // what must come first, opening hours
)

func weigh(set []Cause) int {
	sum := 0
	for i := range set {
		sum += set[i].weight
	}
	return sum
}

// Limits of the effort of an explanation.
const (
	mostExplainedDays = 400
	mostCandidates    = 240 // places of which the causes are worked out
	mostSets          = 12  // sets of causes that are tried, the lightest first
)

// Explain tells why a need has no place among the sessions of a plan. The set of
// causes is made irreducible by a deletion filter (Chinneck and Dravnieks 1991; it is
// the plain form of QuickXplain, Junker 2004, which pays only for long lists): of
// the causes at the place where they weigh least, each is put back in turn and stays put back if
// the search still succeeds. ok is false if the problem has no such need.
// Preconditions: as for Plan, and the sessions break nothing.
func Explain(p *plan.Problem, sessions []plan.Session, trainee, exercise string) (e Explanation, ok bool) {
	if !needed(p, trainee, exercise) {
		return e, false
	}
	e = Explanation{Trainee: trainee, Exercise: exercise, Days: min(p.Days, mostExplainedDays)}
	for i := range sessions {
		if s := &sessions[i]; s.Exercise == exercise && slices.Contains(s.Trainees, trainee) {
			e.Standing = s
			return e, true
		}
	}
	x := &explainer{p: p, sessions: sessions, e: &e}
	plain := x.search(nil, true)
	if e.Fits = plain.found; e.Fits != nil {
		return e, true
	}
	x.effort(plain)
	for _, set := range x.sets(plain.refused) {
		if found := x.search(set, false); found.found != nil {
			x.filter(set, found.found)
			return e, true
		}
	}
	if len(plain.refused) > 0 {
		e.Nearest = plain.refused[0].Rules
	}
	return e, true
}

func needed(p *plan.Problem, trainee, exercise string) bool {
	return slices.ContainsFunc(p.Trainees, func(t plan.Trainee) bool { return t.ID == trainee && slices.Contains(t.Needs, exercise) })
}

// explainer looks for the causes of one need.
type explainer struct {
	p        *plan.Problem
	sessions []plan.Session
	e        *Explanation
}

// effort notes what a search without success looked at.
func (x *explainer) effort(s insertion) {
	if x.e.Starts == 0 || s.starts < x.e.Starts {
		x.e.Starts = s.starts
	}
	x.e.Joins = s.joins
}

// filter drops causes from a set with which the search finds a place, as long as it
// finds one without them.
func (x *explainer) filter(set []Cause, place *plan.Session) {
	for dropped := true; dropped; {
		dropped = false
		for i := 0; i < len(set); {
			less := slices.Delete(slices.Clone(set), i, i+1)
			found := x.search(less, false)
			if found.found == nil {
				x.effort(found)
				i++
				continue
			}
			// What was kept before was kept beside this cause, so it is tried again.
			set, place, dropped = less, found.found, true
		}
	}
	x.e.Causes, x.e.Place = set, place
}

// sets lists the causes at the best of the places refused, the lightest lists first.
func (x *explainer) sets(refused []Refusal) [][]Cause {
	b := Compile(x.p).Board(x.sessions)
	var out [][]Cause
	known := make(map[string]bool)
	for i := range refused {
		if i == mostCandidates {
			break
		}
		set := x.causesAt(b, &refused[i].Session)
		name := ""
		for _, cause := range set {
			name += cause.key + "\n"
		}
		if len(set) > 0 && !known[name] {
			known[name] = true
			out = append(out, set)
		}
	}
	slices.SortStableFunc(out, func(a, b []Cause) int { return cmp.Compare(weigh(a), weigh(b)) })
	return out[:min(len(out), mostSets)]
}

// relaxed is the problem and the plan with some causes lifted.
type relaxed struct {
	p        plan.Problem
	sessions []plan.Session
}

// relax lifts causes on a copy. Lists inside the copied lists are shared: a lift
// replaces them and does not write into them.
func (x *explainer) relax(causes []Cause) *relaxed {
	r := &relaxed{p: *x.p, sessions: slices.Clone(x.sessions)}
	p := &r.p
	p.Open, p.ClosedDays, p.Daylight = slices.Clone(p.Open), slices.Clone(p.ClosedDays), slices.Clone(p.Daylight)
	p.RestPolicies, p.Rigs, p.Stations, p.Kits = slices.Clone(p.RestPolicies), slices.Clone(p.Rigs), slices.Clone(p.Stations), slices.Clone(p.Kits)
	p.Exercises, p.Courses = slices.Clone(p.Exercises), slices.Clone(p.Courses)
	p.People, p.Trainees, p.Fixed = slices.Clone(p.People), slices.Clone(p.Trainees), slices.Clone(p.Fixed)
	for i := range causes {
		causes[i].lift(r)
	}
	return r
}
