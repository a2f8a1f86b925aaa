package bound

import (
	"container/heap"
	"slices"
)

// lasts bounds the whole cost where intakes may share sessions, by telling cases
// apart: on which day each intake ends. To share, intakes must meet, and who waits
// for others ends later.
//
// Proof. A case says for each intake that its last day lies in a range (an intake
// without any session counts in the case of the latest). In it an intake's days,
// its last day and what it leaves out, at a fee for each need, cost at least the
// least of value(i, L) + intake_day × L over the range (see ownDays). The staff
// minutes of each exercise are at least what stays ask for the latest days of the
// ranges (see stay): an earlier last day only leaves a need fewer days. A trainee
// that leaves a need out saves at most steepest staff minutes in each of their
// exercises; the fee of a need is its weight less all of these (see feeToShare).
// Sessions of an intake that stays alone are its own and cost their cover. The
// cases open at any time cover all plans, so the cheapest of them is a bound for
// all; splitting one never lowers it.
type lasts struct {
	f     *facts
	own   []*ownDays
	stays [][]stay // by exercise
	of    [][]int  // by intake: exercises with stays of it
	staff int64    // what a staff minute costs
	alone int64    // what the staff of intakes that stay alone costs
	open  cases
	made  int
	ends  []int // by intake
	work  sharing
	done  bool // the cheapest case can't be split
}

// lastCase is a range of last days for each intake, as indexes of own's values.
type lastCase struct {
	lo, hi []int16
	least  int64
	made   int // of two as cheap the older goes first
}

// mostOpen is how many last days all open cases may hold.
const mostOpen = 2_000_000

func newLasts(f *facts, own []*ownDays, staff int64) *lasts {
	l := &lasts{f: f, own: own, staff: staff, alone: staff * f.aloneStaff(), ends: make([]int, len(own)), of: make([][]int, len(own))}
	reaches := make([]reach, len(f.classes))
	known := make(map[*lattice]reach)
	for c := range f.classes {
		v := &f.classes[c]
		if _, ok := known[v.lattice]; !ok {
			known[v.lattice] = v.lattice.reach(len(v.needs))
		}
		reaches[c] = known[v.lattice]
	}
	for e := range f.exercises {
		l.stays = append(l.stays, f.stays(e, reaches))
		for _, s := range l.stays[e] {
			if n := len(l.of[s.intake]); n == 0 || l.of[s.intake][n-1] != e {
				l.of[s.intake] = append(l.of[s.intake], e)
			}
		}
	}
	c := &lastCase{lo: make([]int16, len(own)), hi: make([]int16, len(own))}
	for i, o := range own {
		c.hi[i] = int16(len(o.value) - 1)
	}
	l.add(c)
	return l
}

// aloneStaff is the least staff minutes of sessions of intakes that stay alone.
func (f *facts) aloneStaff() (sum int64) {
	for _, classes := range f.intakes {
		heads := make([]int, len(f.exercises))
		for _, c := range classes {
			if v := &f.classes[c]; v.alone {
				for _, e := range v.needs {
					heads[e] += v.count
				}
			}
		}
		for e, n := range heads {
			if len(f.exercises[e].places) > 0 {
				sum += f.exercises[e].cover.of(n)
			}
		}
	}
	return sum
}

// best is the bound of all open cases.
func (l *lasts) best() int64 { return l.open[0].least }

func (l *lasts) add(c *lastCase) {
	l.made++
	c.made = l.made
	c.least = max(c.least, l.least(c))
	heap.Push(&l.open, c)
}

// least bounds what every plan of a case costs.
func (l *lasts) least(c *lastCase) int64 {
	sum := l.alone
	for i, o := range l.own {
		v, _ := o.cheapest(int(c.lo[i]), int(c.hi[i]))
		sum += v
		l.ends[i] = o.first + int(c.hi[i])
	}
	for e := range l.stays {
		sum += l.staff * l.minutes(e)
	}
	return sum
}

func (l *lasts) minutes(e int) int64 {
	if len(l.stays[e]) == 0 {
		return 0
	}
	return l.work.minutes(&l.f.exercises[e].cover, l.stays[e], l.ends, len(l.f.days))
}

// cheapest is the least an intake costs in a range, and the last day that decides.
func (o *ownDays) cheapest(lo, hi int) (least int64, at int) {
	at = -1
	if hi >= len(o.value)-1 {
		least, at = o.none, hi
	}
	for k := lo; k <= hi; k++ {
		if v := o.value[k] + o.w.intakeDay*o.f.beyond(o.intake, o.first+k); at < 0 || v < least || (v == least && k < at) {
			least, at = v, k
		}
	}
	return least, at
}

// step works the cheapest case out anew, as own may have risen, and splits it.
func (l *lasts) step() {
	c := l.open[0]
	if least := l.least(c); least > c.least {
		c.least, l.done = least, false
		heap.Fix(&l.open, 0)
		return
	}
	if l.done || len(l.open)*len(l.own) >= mostOpen {
		return
	}
	i, at := l.split(c)
	if l.done = i < 0; l.done {
		return
	}
	heap.Pop(&l.open)
	early := &lastCase{lo: c.lo, hi: slices.Clone(c.hi), least: c.least}
	late := &lastCase{lo: slices.Clone(c.lo), hi: c.hi, least: c.least}
	early.hi[i], late.lo[i] = int16(at), int16(at+1)
	l.add(early)
	l.add(late)
}

// split finds an intake and the last day of the earlier half of its range, such
// that both halves cost more than the whole, the better for the less risen of them:
// earlier last days cost staff minutes, later ones the days themselves. It returns
// −1 if each intake's cheapest day is the latest of its range. Precondition: ends
// are those of the case.
func (l *lasts) split(c *lastCase) (intake, at int) {
	now := make([]int64, len(l.stays))
	for e := range l.stays {
		now[e] = l.minutes(e)
	}
	intake, best := -1, int64(-1)
	for i, o := range l.own {
		lo, hi := int(c.lo[i]), int(c.hi[i])
		least, k := o.cheapest(lo, hi)
		if k < 0 || k >= hi {
			continue
		}
		for _, mid := range l.halves(k, hi) {
			late, _ := o.cheapest(mid+1, hi)
			if late -= least; late <= best {
				continue // the staff of the other half need not be counted
			}
			if gain := min(late, l.staff*l.rise(i, o.first+mid, now)); gain > best {
				intake, at, best = i, mid, gain
			}
		}
	}
	return intake, at
}

// halves are the days after which a range is cut for a trial.
func (l *lasts) halves(cheapest, hi int) (out []int) {
	for _, k := range []int{cheapest + 1, cheapest, (cheapest + hi) / 2} {
		if k < hi && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// rise is by how many staff minutes the stays ask more if an intake ends by a day.
func (l *lasts) rise(intake, end int, now []int64) (more int64) {
	was := l.ends[intake]
	l.ends[intake] = end
	for _, e := range l.of[intake] {
		more += l.minutes(e) - now[e]
	}
	l.ends[intake] = was
	return more
}

// cases are a heap, the cheapest first.
type cases []*lastCase

func (c cases) Len() int { return len(c) }
func (c cases) Less(i, j int) bool {
	return c[i].least < c[j].least || (c[i].least == c[j].least && c[i].made < c[j].made)
}
func (c cases) Swap(i, j int) { c[i], c[j] = c[j], c[i] }
func (c *cases) Push(x any)   { *c = append(*c, x.(*lastCase)) }
func (c *cases) Pop() any {
	last := len(*c) - 1
	x := (*c)[last]
	*c = (*c)[:last]
	return x
}
