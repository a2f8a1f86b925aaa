package solve

import (
	"slices"

	"rungbook/internal/plan"
)

// unusable is what Fits answers for a session that names what the problem lacks.
const unusable = "unusable"

// Fits tests one session against the board: it names the rules, in the order of
// the spec, that the session would break and that are not broken to the same
// degree without it. If a session of that id stands, s takes its place, and is
// judged afresh on what hangs on time, place and exercise if any of these change.
// Nil means that it fits; a session that names what the problem lacks is
// "unusable".
func (b *Board) Fits(s plan.Session) []string {
	d, ok := b.c.session(&s)
	if !ok {
		return []string{unusable}
	}
	return b.charged(d, b.standing([]string{s.ID})).names()
}

// standing returns the sessions of the ids that are on the board, each once.
func (b *Board) standing(ids []string) []*session {
	var out []*session
	for _, id := range ids {
		if s := b.byID[id]; s != nil && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// charged returns the rules broken by putting s on the board in place of gone.
func (b *Board) charged(s *session, gone []*session) rules {
	sc := b.scopeOf(s, gone)
	before := b.faults(sc)
	b.swap(gone, []*session{s})
	after := b.faults(sc)
	b.swap([]*session{s}, gone)
	i := slices.IndexFunc(gone, func(o *session) bool { return o.id == s.id })
	if i < 0 {
		return worse(before, after, nil)
	}
	afresh := altered(gone[i], s)
	return worse(before, after, func(f fault) bool { return f.session == s.id && afresh.has(f.rule) })
}

// swap takes some sessions off the board and puts others on.
func (b *Board) swap(off, on []*session) {
	for _, s := range off {
		b.take(s)
	}
	for _, s := range on {
		b.put(s)
	}
}

// onPlace are the rules whose faults rest on a session's exercise, station and
// time: a session that moves is judged afresh on them, whatever it broke before.
const onPlace = 1<<grid | 1<<openHours | 1<<daylight | 1<<stationFit | 1<<stationShut | 1<<stationClash |
	1<<zoneClash | 1<<energyClash | 1<<rigHeadcount | 1<<qualified | 1<<entitled | 1<<firstAid | 1<<rescueCover |
	1<<kitUse | 1<<available | 1<<doubleBooked | 1<<neededOnce | 1<<order | 1<<deadline | 1<<breakRule

// altered returns the rules on which s, which takes the place of old, is judged
// afresh.
func altered(old, s *session) rules {
	if old.exercise != s.exercise || old.station != s.station || old.span != s.span {
		return onPlace
	}
	guests := len(s.trainees)+len(s.others) > len(old.trainees)+len(old.others)
	staff := len(s.instructors)+len(s.rescuers) > len(old.instructors)+len(old.rescuers)
	return rigHeadcount.when(guests || staff)
}

// worse returns the rules of the faults in after that are not in before, were
// there to a lesser degree, or are to be judged afresh.
func worse(before, after []fault, afresh func(fault) bool) rules {
	var out rules
	for _, f := range after {
		if out.has(f.rule) {
			continue
		}
		had := afresh == nil || !afresh(f)
		if had {
			had = slices.ContainsFunc(before, func(o fault) bool { return o.excess >= f.excess && o.subject() == f.subject() })
		}
		if !had {
			out |= f.rule.set()
		}
	}
	return out
}

// subject returns f without its degree.
func (f fault) subject() fault {
	f.excess = 0
	return f
}

// scope is what a change touches: the session put on the board, and whoever
// takes part in it or in those that go.
type scope struct {
	id       string
	gone     []string
	trainees []int
	bodies   []int
}

func (b *Board) scopeOf(s *session, gone []*session) scope {
	sc := scope{id: s.id}
	for _, o := range gone {
		sc.gone = append(sc.gone, o.id)
	}
	for _, o := range append([]*session{s}, gone...) {
		sc.trainees = append(sc.trainees, o.trainees...)
		b.c.roll(o, func(r *role, _ part) { sc.bodies = append(sc.bodies, r.body) })
	}
	slices.Sort(sc.trainees)
	slices.Sort(sc.bodies)
	sc.trainees, sc.bodies = slices.Compact(sc.trainees), slices.Compact(sc.bodies)
	return sc
}

// faults lists what is broken within a scope.
func (b *Board) faults(sc scope) []fault {
	var out []fault
	f := func(v fault) { out = append(out, v) }
	if s := b.byID[sc.id]; s != nil {
		b.c.own(s, f)
		b.clashes(s, f)
		b.crowd(s, f)
		b.short(s, f)
	}
	for _, id := range append(sc.gone, sc.id) {
		if want := b.c.fixed[id]; want != nil && (b.byID[id] == nil || !b.byID[id].told.Same(want)) {
			f(fault{rule: fixed, session: id, excess: 1})
		}
	}
	for _, t := range sc.trainees {
		b.path(t, f)
	}
	for _, i := range sc.bodies {
		b.bodyFaults(i, f)
	}
	return out
}

// wouldBreak returns the rules about times that a body would break with one more
// time t and that are not among the faults before to the same degree.
func (b *Board) wouldBreak(body int, t timeSpan, before []fault) rules {
	bt := &b.bodies[body]
	kept, judged := bt.faults, bt.judged
	bt.put(t)
	var after []fault
	b.bodyFaults(body, func(f fault) { after = append(after, f) })
	bt.take(t)
	bt.faults, bt.judged = kept, judged
	return worse(before, after, nil)
}
