package solve

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// sequence draws some sessions with their windows, and who or what they need.
func (d dice) sequence() *sequence {
	n := 2 + d.upTo(10)
	q := &sequence{must: make([]bool, n*n), gaps: [2]gaps{make(gaps, n), make(gaps, n)}}
	at := make([]int32, n)
	for i := range n {
		at[i] = int32(i)
		first := d.upTo(40)
		e := entry{first: int32(first), last: int32(first + d.upTo(200))}
		if d.chance(30) { // starts a quarter of an hour apart
			e.last -= (e.last - e.first) % 15
			for m := e.first; m <= e.last; m++ {
				e.next = append(e.next, e.first+(m-e.first+14)/15*15)
			}
		}
		q.entries = append(q.entries, e)
	}
	for range 1 + d.upTo(5) {
		var list []member
		for i := range n {
			if d.chance(50) {
				list = append(list, member{entry: int32(i), before: int32(d.upTo(3) * 5), after: int32(10 + d.upTo(40))})
			}
		}
		if len(list) > 1 {
			q.queueUp(list)
		}
	}
	for range d.upTo(4) {
		i, j := d.upTo(n-1), d.upTo(n-1)
		if i < j {
			m := int32(d.upTo(60))
			q.must[i*n+j] = true
			q.gaps[forth][i] = append(q.gaps[forth][i], gap{int32(j), m})
			q.gaps[back][j] = append(q.gaps[back][j], gap{int32(i), m})
		}
	}
	q.seal(at)
	return q
}

func TestTheOrderOfADayKeepsEverybodyAndEveryPlaceApart(t *testing.T) {
	fit := 0
	checkWith(t, 300, func(t rapid.TB, d dice) {
		q := d.sequence()
		chance := newChance(uint64(d.upTo(1000)), 1)
		found := q.seek(300, chance)
		starts := q.reach[back]
		for m := range q.members {
			a := &q.members[m]
			for at := a.link[forth]; at >= 0; at = q.members[at].link[forth] {
				b := &q.members[at]
				if starts[b.entry] < starts[a.entry]+a.after+b.before {
					t.Fatalf("entries %d and %d of one queue start at %d and %d, want %d between", a.entry, b.entry, starts[a.entry], starts[b.entry], a.after+b.before)
				}
			}
		}
		for i := range q.entries {
			e := &q.entries[i]
			for _, g := range q.gaps[forth][i] {
				if starts[g.entry] < starts[i]+g.minutes {
					t.Fatalf("entry %d starts at %d, less than %d after entry %d", g.entry, starts[g.entry], g.minutes, i)
				}
			}
			if found && (starts[i] < e.first || starts[i] > e.last || e.next != nil && e.next[starts[i]-e.first] != starts[i]) {
				t.Fatalf("all is said to fit, but entry %d starts at %d of %d to %d", i, starts[i], e.first, e.last)
			}
		}
		fit += count(found)
	})
	if fit < 5 {
		t.Errorf("only %d days fitted, so this shows little", fit)
	}
}

func TestPathsBroughtUpToDateAfterAMoveAreThoseWorkedOutAnew(t *testing.T) {
	checkWith(t, 300, func(t rapid.TB, d dice) {
		q := d.sequence()
		chance := newChance(uint64(d.upTo(1000)), 1)
		for range 30 {
			if !q.hope || q.seek(1, chance) {
				return
			}
			fast := [2][]int32{slices.Clone(q.reach[back]), slices.Clone(q.reach[forth])}
			late := q.late
			if !q.evaluate() {
				t.Fatal("the queues contradict each other")
			}
			for side := range fast {
				if !slices.Equal(fast[side], q.reach[side]) || late != q.late {
					t.Fatalf("side %d: paths %v late %d, worked out anew %v late %d", side, fast[side], late, q.reach[side], q.late)
				}
			}
		}
	})
}

func TestAMoveTakenBackLeavesTheQueuesAsTheyWere(t *testing.T) {
	checkWith(t, 300, func(t rapid.TB, d dice) {
		q := d.sequence()
		if !q.hope {
			return
		}
		before := slices.Clone(q.members)
		m := d.upTo(max(0, len(q.members)-1))
		if len(q.members) == 0 || q.members[m].link[forth] < 0 {
			return
		}
		q.shift(move{int32(m), q.members[m].link[forth], forth})
		q.unshift()
		if !slices.Equal(before, q.members) {
			t.Fatalf("queues were %v and are %v", before, q.members)
		}
	})
}
