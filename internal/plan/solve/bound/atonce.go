package bound

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// crowd are exercises that are all done on one rig: how many trainees can be in
// them at once, day by day.
//
// Proof. At an instant the sessions on the rig are on different stations, share no
// zone, and hold the rig's head-count and the teachers that there are; seats is the
// largest number of trainees in any such set, those of shy and those of bold apart.
// Sessions are intervals of the day of which no more than seats trainees overlap at
// any instant, so the trainees' times fit on as many tracks, one behind another
// (interval graphs are perfect). One track holds exercises whose minutes add up to
// no more than the day's span: a knapsack. So the seats had on a day, at a price
// each, are worth at most seats × the best track.
//
// Every exercise of shy asks some circuit for another state than every one of bold,
// so none of the one overlaps one of the other. Let k be the most sessions of shy of
// the day that lie apart. Then k instants meet them all, so a track holds k of them
// at most, and what is left of the day for bold is the span less k of the shortest
// and one changeover. Exercises in neither are not counted here.
type crowd struct {
	shy, bold []int // exercises
	change    civil.Minutes
	days      []*crowdDay
}

// crowdDay is what a day offers: trainees at once in shy and in bold, and its span.
type crowdDay struct {
	shy, bold int64
	span      civil.Minutes
	open      []bool // by exercise of shy, then bold
}

// newCrowds finds the rigs on which it matters how many can be there at once.
func (f *facts) newCrowds() (out []*crowd) {
	for i := range f.p.Rigs {
		rig := &f.p.Rigs[i]
		var list []int
		for e := range f.exercises {
			if on := f.exercises[e].places; len(on) > 0 && !slices.ContainsFunc(on, func(k int) bool { return f.stationOf(k).Rig != rig.ID }) {
				list = append(list, e)
			}
		}
		c := f.parted(list)
		if len(list) == 0 || (rig.PeopleMax == 0 && len(c.shy) == 0) {
			continue
		}
		f.layCrowdDays(c, rig.PeopleMax)
		out = append(out, c)
	}
	return out
}

func (f *facts) stationOf(place int) *plan.Station { return &f.p.Stations[f.places[place].station] }

// parted parts exercises by the circuit that keeps most of them apart.
func (f *facts) parted(list []int) *crowd {
	best, most := &crowd{bold: list}, len(list)/2 // to leave others out must pay
	for i := range f.p.Circuits {
		c := &crowd{change: f.p.Circuits[i].Changeover}
		for _, e := range list {
			for _, v := range f.exercises[e].Energy {
				if v.Circuit != f.p.Circuits[i].ID {
					continue
				}
				if v.State == plan.Dead {
					c.shy = append(c.shy, e)
				} else {
					c.bold = append(c.bold, e)
				}
			}
		}
		if n := len(c.shy) + len(c.bold); len(c.shy) > 0 && len(c.bold) > 0 && n > most {
			best, most = c, n
		}
	}
	return best
}

// layCrowdDays works out every day; days on which the same is open are alike.
func (f *facts) layCrowdDays(c *crowd, heads int) {
	known := make(map[string]*crowdDay)
	c.days = make([]*crowdDay, len(f.days))
	all := slices.Concat(c.shy, c.bold)
	for d := range f.days {
		v := &crowdDay{open: make([]bool, len(all))}
		var open []int
		from, to := civil.Instant(1<<62), civil.Instant(0)
		for k, e := range all {
			for _, i := range f.exercises[e].places {
				if starts := f.places[i].starts[d]; len(starts) > 0 {
					v.open[k] = true
					open = append(open, i)
					from, to = min(from, starts[0]), max(to, starts[len(starts)-1].Add(f.exercises[e].Minutes))
				}
			}
		}
		if len(open) == 0 {
			continue
		}
		v.span = to.Sub(from)
		shy, bold := f.teachersOf(c.shy, d), f.teachersOf(c.bold, d)
		key := fmt.Sprint(open, v.span, shy, bold)
		if known[key] == nil {
			v.shy, v.bold = f.mostAtOnce(c.shy, open, heads, shy), f.mostAtOnce(c.bold, open, heads, bold)
			known[key] = v
		}
		c.days[d] = known[key]
	}
}

// teachersOf counts who may teach one of some exercises on a day.
func (f *facts) teachersOf(list []int, day int) (n int) {
	for i := range f.people {
		if s := f.people[i].days[day]; s != nil &&
			slices.ContainsFunc(s.parts, func(q part) bool { return q.teaches && slices.Contains(list, q.exercise) }) {
			n++
		}
	}
	return n
}

// mostAtOnce is the most trainees in sessions of some exercises at an instant.
func (f *facts) mostAtOnce(list, open []int, heads, teachers int) int64 {
	var at [][]int // places by station
	for _, i := range open {
		if !slices.Contains(list, f.places[i].exercise) {
			continue
		}
		k := slices.IndexFunc(at, func(v []int) bool { return f.places[v[0]].station == f.places[i].station })
		if k < 0 {
			k, at = len(at), append(at, nil)
		}
		at[k] = append(at[k], i)
	}
	m := atOnce{f: f, at: at, known: make(map[string]int64)}
	if heads == 0 {
		m.free, heads = true, 1<<30
	}
	return m.most(0, heads, teachers, nil)
}

// atOnce fills stations one after another.
type atOnce struct {
	f     *facts
	at    [][]int // places by station
	free  bool    // no limit to heads
	known map[string]int64
}

// mostFills is how many states are told apart before the heads are left out.
const mostFills = 20_000

// most is the most trainees on the stations from k on.
func (m *atOnce) most(k, heads, teachers int, zones []string) (seats int64) {
	if k == len(m.at) {
		return 0
	}
	key := fmt.Sprint(k, heads, teachers, zones)
	if v, ok := m.known[key]; ok {
		return v
	}
	if len(m.known) > mostFills {
		m.free = true
	}
	seats = m.most(k+1, heads, teachers, zones)
	s := m.f.stationOf(m.at[k][0])
	if slices.ContainsFunc(s.Zones, func(z string) bool { return slices.Contains(zones, z) }) {
		m.known[key] = seats
		return seats
	}
	taken := slices.Concat(zones, s.Zones)
	for _, c := range m.f.crewsOf(m.at[k]) {
		for n := c.seats; n > c.fewest; n-- {
			left := heads - n - c.staff
			if m.free {
				left = heads
			}
			if left >= 0 && c.teachers <= teachers {
				seats = max(seats, int64(n)+m.most(k+1, left, teachers-c.teachers, taken))
			}
			if m.free {
				break
			}
		}
	}
	m.known[key] = seats
	return seats
}

// ranged is a crew with the sizes of group for which it is the least one.
type ranged struct {
	crew
	fewest int // one less than the smallest
}

// crewsOf lists the crews of some places; equal ones once.
func (f *facts) crewsOf(places []int) (out []ranged) {
	for _, i := range places {
		fewest := max(0, f.exercises[f.places[i].exercise].GroupMin-1)
		for _, c := range f.places[i].crews {
			if v := (ranged{c, fewest}); !slices.Contains(out, v) {
				out = append(out, v)
			}
			fewest = max(fewest, c.seats)
		}
	}
	return out
}

// crowd is the most that the seats of a crowd's days are worth.
func (d *dual) crowd(c *crowd, x *prices) (sum int64) {
	n := len(d.f.days)
	for _, e := range slices.Concat(c.shy, c.bold) {
		copy(d.over.room[e*n:(e+1)*n], d.over.seat[e*n:(e+1)*n]) // what trainees took
	}
	for day, v := range c.days {
		if v == nil {
			continue
		}
		price := func(e int) int64 { return x.room[e*n+day] }
		worth, shy, k, bold := c.best(d.f, v, price)
		sum += worth
		if k > 0 {
			d.over.room[shy*n+day] -= v.shy * int64(k)
		}
		for _, e := range bold {
			d.over.room[e*n+day] -= v.bold
		}
	}
	return sum
}

// best is the most that a day is worth: k sessions of an exercise of shy on each of
// its tracks, and those of bold on each of theirs.
func (c *crowd) best(f *facts, v *crowdDay, price func(e int) int64) (worth int64, shy, k int, bold []int) {
	worth, bold = v.track(f, c, v.span, price)
	var dearest, least = int64(0), v.span + 1
	for i, e := range c.shy {
		if v.open[i] {
			least = min(least, f.exercises[e].Minutes)
			if p := price(e); p > dearest {
				dearest, shy = p, e
			}
		}
	}
	if dearest == 0 {
		return worth, shy, 0, bold
	}
	for n := 1; civil.Minutes(n)*least <= v.span; n++ {
		w, list := v.track(f, c, max(0, v.span-civil.Minutes(n)*least-c.change), price)
		if w += v.shy * int64(n) * dearest; w > worth {
			worth, k, bold = w, n, list
		}
	}
	return worth, shy, k, bold
}

// track is the most that bold is worth within some minutes, and what a track holds.
func (v *crowdDay) track(f *facts, c *crowd, span civil.Minutes, price func(e int) int64) (worth int64, holds []int) {
	unit := int64(span)
	for _, e := range c.bold {
		unit = gcd(unit, int64(f.exercises[e].Minutes))
	}
	size := int(int64(span) / max(1, unit))
	best, last := make([]int64, size+1), make([]int, size+1)
	for s := range best {
		if last[s] = -1; s > 0 {
			best[s] = best[s-1]
		}
		for i, e := range c.bold {
			step := int(int64(f.exercises[e].Minutes) / unit)
			if p := price(e); p > 0 && step <= s && v.open[len(c.shy)+i] && best[s-step]+p > best[s] {
				best[s], last[s] = best[s-step]+p, e
			}
		}
	}
	for s := size; s > 0; {
		e := last[s]
		if e < 0 {
			s--
			continue
		}
		holds = append(holds, e)
		s -= int(int64(f.exercises[e].Minutes) / unit)
	}
	return best[size] * v.bold, holds
}
