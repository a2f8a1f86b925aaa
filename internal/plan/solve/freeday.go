package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// freeDay works out when one role is free for times of one shape on one day. It is
// the fast twin of dayView.judge for a body that breaks nothing as it stands, as
// every body of a state: what hangs on the day alone is asked once, what hangs on
// a neighbour strikes out a range of starts.
type freeDay struct {
	s      *state
	r      *role
	sh     *shape
	starts starts
	own    civil.Day // the day asked about
	out    slotSet
	trial  session // what a time belongs to, whatever its station
	time   timeSpan
	view   dayView
	pieces []piece
	chains []civil.Period
}

// ask sets what is asked about.
func (f *freeDay) ask(s *state, r *role, shape, d int) {
	f.s, f.r, f.sh, f.starts, f.own = s, r, &s.t.shapes[shape], s.t.starts[d], s.c.from+civil.Day(d)
	f.trial.exercise = f.sh.exercise
	worked := s.c.worked(f.sh)
	f.time = timeSpan{minutes: worked + f.sh.before + f.sh.after, s: &f.trial}
	if f.sh.height {
		f.time.height = worked
	}
}

// workOutNear fills a set with the starts that break no rule which looks only at the
// days next to it.
func (f *freeDay) workOutNear(s *state, r *role, shape, d int, out slotSet) {
	f.ask(s, r, shape, d)
	f.out = out
	f.addAvailable()
	f.eachDay(f.siftNear)
}

// dropFar strikes out of a set what the rules about weeks and runs of days forbid.
func (f *freeDay) dropFar(out slotSet) {
	if f.s.t.nearOnly[f.r.body] {
		return
	}
	f.out = out
	f.eachDay(f.siftFar)
}

// eachDay calls sift with the starts of the set, by the day on which their hold
// begins: one that begins before midnight belongs to the day before.
func (f *freeDay) eachDay(sift func(own civil.Day, from, to int)) {
	for i := f.out.next(0); i >= 0; {
		own, until := f.own, len(f.starts)
		if first := f.s.c.midnight(f.own).Add(f.sh.before); f.starts[i] < first {
			own, until = f.s.c.zone.DayOf(f.starts[i].Add(-f.sh.before)), i+1
		}
		f.time.day = own
		f.view = f.s.cleanView(f.r.body, own)
		sift(own, i, until)
		i = f.out.next(until)
	}
}

// addAvailable adds the starts at which the hold lies in one available period.
func (f *freeDay) addAvailable() {
	if f.r.available == nil {
		f.out.addRange(0, len(f.starts))
		return
	}
	for _, p := range f.r.available {
		from := f.starts.from(p.Start.Add(f.sh.before))
		to := f.starts.from(p.End.Add(-f.sh.minutes-f.sh.after) + 1)
		if from < to {
			f.out.addRange(from, to)
		}
	}
}

// at sets the time tried to that of a start.
func (f *freeDay) at(i int) *timeSpan {
	start := f.starts[i]
	f.trial.span = civil.Period{Start: start, End: start.Add(f.sh.minutes)}
	f.time.Period = civil.Period{Start: start.Add(-f.sh.before), End: f.trial.span.End.Add(f.sh.after)}
	return &f.time
}

// siftNear strikes out of the starts [from, to), whose holds begin on day own, those
// that break a rule about the day or its neighbours.
func (f *freeDay) siftNear(own civil.Day, from, to int) {
	f.dropTaken(from, to)
	policies := f.s.c.bodies[f.r.body].policies
	for i := range policies {
		p := &policies[i]
		f.dropOverLimits(p, from, to)
		if p.Stretch > 0 {
			f.dropUnbroken(p, from, to)
		}
	}
}

// siftFar is the same for rules that look further.
func (f *freeDay) siftFar(own civil.Day, from, to int) {
	policies := f.s.c.bodies[f.r.body].policies
	for i := range policies {
		p := &policies[i]
		if f.view.farLimits(p, &f.time) != 0 { // at every start alike
			f.out.drop(from, to)
			return
		}
		if p.WeeklyRest > 0 {
			f.dropUnrested(i, p, from, to)
		}
	}
}

// dropTaken strikes out the starts at which the body has another time.
func (f *freeDay) dropTaken(from, to int) {
	length := f.sh.minutes + f.sh.after
	near := civil.Period{Start: f.starts[from].Add(-f.sh.before), End: f.starts[to-1].Add(length)}
	for _, o := range f.s.bodies[f.r.body].near(near, 0) {
		if o.Length() > 0 {
			lo := f.starts.from(o.Start.Add(-length) + 1)
			hi := f.starts.from(o.End.Add(f.sh.before))
			f.out.drop(max(lo, from), min(hi, to))
		}
	}
}

// dropOverLimits strikes out what the limits of day and daily rest forbid.
func (f *freeDay) dropOverLimits(p *plan.RestPolicy, from, to int) {
	for i := f.out.next(from); i >= 0 && i < to; i = f.out.next(i + 1) {
		if f.view.nearLimits(p, f.at(i)) != 0 {
			f.out.drop(i, i+1)
		}
	}
}

// dropUnrested strikes out what leaves too little weekly rest.
func (f *freeDay) dropUnrested(policy int, p *plan.RestPolicy, from, to int) {
	for i := f.out.next(from); i >= 0 && i < to; i = f.out.next(i + 1) {
		tm := f.at(i)
		if f.view.restedWith(policy, tm) {
			return // and so at every other start
		}
		if f.view.blocks(p, tm) != 0 {
			f.out.drop(i, i+1)
		}
	}
}

// dropUnbroken strikes out what would make a chain without a break too long. Each
// piece of the new time joins those chains of the body's that lie less than a
// break from it; no chain can join two pieces, since it would lie in the pause
// between them.
func (f *freeDay) dropUnbroken(p *plan.RestPolicy, from, to int) {
	first := f.out.next(from)
	if first < 0 || first >= to {
		return
	}
	f.gatherChains(p, civil.Period{Start: f.starts[from].Add(-f.sh.before), End: f.starts[to-1].Add(f.sh.minutes + f.sh.after)})
	for i := first; i >= 0 && i < to; i = f.out.next(i + 1) {
		long := false
		f.s.c.pieces(f.at(i), p.Break, func(q civil.Period) { long = long || f.joined(q, p.Break).Length() > p.Stretch })
		if long {
			f.out.drop(i, i+1)
		}
	}
}

// gatherChains joins the body's times around a period to chains.
func (f *freeDay) gatherChains(p *plan.RestPolicy, around civil.Period) {
	f.pieces, f.chains = f.pieces[:0], f.chains[:0]
	times := f.s.bodies[f.r.body].near(around, p.Stretch+p.Break)
	for i := range times {
		f.s.c.pieces(&times[i], p.Break, func(q civil.Period) { f.pieces = append(f.pieces, piece{q, times[i].s}) })
	}
	byStart := func(a, b piece) int { return cmp.Compare(a.Start, b.Start) }
	if !slices.IsSortedFunc(f.pieces, byStart) {
		slices.SortFunc(f.pieces, byStart)
	}
	for _, q := range f.pieces {
		if n := len(f.chains); n > 0 && q.Start.Sub(f.chains[n-1].End) < p.Break {
			f.chains[n-1].End = max(f.chains[n-1].End, q.End)
		} else {
			f.chains = append(f.chains, q.Period)
		}
	}
}

// joined is the chain that a piece becomes part of.
func (f *freeDay) joined(q civil.Period, rest civil.Minutes) civil.Period {
	all := q
	for _, ch := range f.chains {
		if q.Start.Sub(ch.End) < rest && ch.Start.Sub(q.End) < rest {
			all.Start, all.End = min(all.Start, ch.Start), max(all.End, ch.End)
		}
	}
	return all
}
