package check

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// Change judges the board with the sessions of the ids in remove taken off and
// those of put added; a put session whose id is on the board takes the old one's
// place. Only the subjects that this touches are judged, and only violations
// that are absent without the change are charged: one that stays or gets better
// is not, one that gets worse (by its Excess) is. A session that is moved in
// time, place or exercise is judged afresh on what hangs on that, whatever it
// broke before. Change reads the board and leaves it as it is.
func (b *Board) Change(remove []string, put []plan.Session) verdict.Report {
	c := b.change(remove, put)
	after := c.judge(c.fresh, true)
	if len(after) == 0 {
		return verdict.Report{}
	}
	return report(c.charged(after, c.judge(c.gone, false)), func(f finding) bool { return f.mentions(c.isFresh) })
}

// change is a change of a board and what it touches.
type change struct {
	b        *Board
	gone     []*sess // taken off the board
	fresh    []*sess // put on it, by start of hold
	unusable []finding
	touched  [len(listed)][]int
	bodies   []int
}

func (b *Board) change(remove []string, put []plan.Session) *change {
	c := &change{b: b}
	c.fresh, c.unusable = b.j.resolveAll(put)
	take := func(id string) {
		if s := b.byID[id]; s != nil && !slices.Contains(c.gone, s) {
			c.gone = append(c.gone, s)
		}
	}
	for _, id := range remove {
		take(id)
	}
	for i := range put {
		take(put[i].ID)
	}
	for _, list := range [][]*sess{c.gone, c.fresh} {
		for _, s := range list {
			for k, at := range s.touches(b.j) {
				c.touched[k] = append(c.touched[k], at...)
			}
			b.j.eachTime(s, func(r *role, _ timed) { c.bodies = append(c.bodies, r.body) })
		}
	}
	for k := range c.touched {
		c.touched[k] = sortedOnce(c.touched[k])
	}
	c.bodies = sortedOnce(c.bodies)
	return c
}

func sortedOnce(list []int) []int {
	slices.Sort(list)
	return slices.Compact(list)
}

func (c *change) isFresh(id string) bool {
	return slices.ContainsFunc(c.fresh, func(s *sess) bool { return s.ID == id })
}

// judge judges what the change touches: as it is with the change, or as it is
// without. sessions are those whose own rules are judged.
func (c *change) judge(sessions []*sess, with bool) []finding {
	j, out := c.b.j, []finding(nil)
	if with {
		out = slices.Clone(c.unusable)
	}
	v := &view{j: j, out: &out}
	for _, s := range sessions {
		v.judgeSession(s)
	}
	for k, lists := range c.b.lists() {
		for _, i := range c.touched[k] {
			list := lists[i]
			if with {
				list = c.listWith(list, k, i)
			}
			if listed[k] == overTrainee {
				v.judgeList(listed[k], i, list)
			} else {
				v.judgeList(listed[k], i, c.near(list, j.gap(listed[k], i)))
			}
		}
	}
	for _, i := range c.bodies {
		times := c.b.times[i]
		if with {
			times = c.timesWith(times, i)
		}
		v.judgeBody(i, times)
	}
	return out
}

// gap is how far apart two holds of a list may lie and still matter to each other.
func (j *Judge) gap(kind over, i int) civil.Minutes {
	switch kind {
	case overStation:
		return j.stations[i].Turnaround
	case overCircuit:
		return j.p.Circuits[i].Changeover
	}
	return 0
}

// near keeps the sessions of a list that can have to do with the change. Holds
// that follow each other by at most gap form a cluster; rules over lists of
// holds never look from one cluster to another, so whole clusters are dropped
// that lie away from every session taken off or put on. They are the same with
// the change and without it. (Holds that touch are one cluster: too much may be
// taken of a kit from the first into the second.)
func (c *change) near(list []*sess, gap civil.Minutes) []*sess {
	out := list[:0:0]
	for i := 0; i < len(list); {
		cluster, n := list[i].hold, i+1
		for ; n < len(list) && list[n].hold.Start <= cluster.End.Add(gap); n++ {
			cluster.End = max(cluster.End, list[n].hold.End)
		}
		if c.touches(civil.Period{Start: cluster.Start.Add(-gap), End: cluster.End.Add(gap)}) {
			out = append(out, list[i:n]...)
		}
		i = n
	}
	return out
}

func (c *change) touches(p civil.Period) bool {
	touch := func(s *sess) bool { return s.hold.Start <= p.End && p.Start <= s.hold.End }
	return slices.ContainsFunc(c.gone, touch) || slices.ContainsFunc(c.fresh, touch)
}

// listWith returns list i of kind k with the change.
func (c *change) listWith(list []*sess, k, i int) []*sess {
	out := make([]*sess, 0, len(list)+len(c.fresh))
	for _, s := range list {
		if len(c.gone) == 0 || !slices.Contains(c.gone, s) {
			out = append(out, s)
		}
	}
	for _, s := range c.fresh {
		if slices.Contains(s.touches(c.b.j)[k], i) {
			at, _ := slices.BinarySearchFunc(out, s, bySpan)
			out = slices.Insert(out, at, s)
		}
	}
	return out
}

// timesWith returns the times of a body with the change.
func (c *change) timesWith(times []timed, body int) []timed {
	out := make([]timed, 0, len(times)+len(c.fresh)+len(c.b.j.bodies[body].duties))
	if len(times) == 0 {
		out = append(out, c.b.j.bodies[body].duties...)
	}
	for _, t := range times {
		if t.session == nil || len(c.gone) == 0 || !slices.Contains(c.gone, t.session) {
			out = append(out, t)
		}
	}
	for _, s := range c.fresh {
		c.b.j.eachTime(s, func(r *role, t timed) {
			if r.body == body {
				out = append(out, t)
			}
		})
	}
	sortTimes(out)
	return out
}

// charged returns the findings of after that the change answers for.
func (c *change) charged(after, before []finding) []finding {
	had := make(map[string]int64, len(before))
	for _, f := range before {
		key := f.Subject()
		if old, ok := had[key]; !ok || f.Excess > old {
			had[key] = f.Excess
		}
	}
	var out []finding
	for _, f := range after {
		old, ok := had[f.Subject()]
		if !ok || f.Excess > old || f.mentions(func(id string) bool { return c.judgedAfresh(f.rule, id) }) {
			out = append(out, f)
		}
	}
	return out
}

// judgedAfresh reports whether what a rule's finding rests on of a session is
// altered by the change.
func (c *change) judgedAfresh(r *Rule, id string) bool {
	old, now := c.b.byID[id], sessionOf(c.fresh, id)
	if r == nil || old == nil || now == nil {
		return false
	}
	if r.rests&onPlace != 0 && (old.exercise != now.exercise || old.station != now.station || old.period != now.period) {
		return true
	}
	oldGuests, oldStaff := old.heads()
	guests, staff := now.heads()
	return r.rests&onHeads != 0 && (guests > oldGuests || staff > oldStaff)
}

func sessionOf(list []*sess, id string) *sess {
	for _, s := range list {
		if s.ID == id {
			return s
		}
	}
	return nil
}
