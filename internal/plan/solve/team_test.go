package solve

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/plan"
)

// The team search finds the smallest and then cheapest complete team, as trying
// every team does, and says there is none when there is none.
func TestTeamSearchFindsWhatTryingEveryTeamFinds(t *testing.T) {
	complete := 0
	checkWith(t, 3000, func(rt rapid.TB, d dice) {
		need := team{teachers: 1 + d.upTo(2), staff: d.upTo(4), aiders: d.upTo(2)}
		if d.chance(70) {
			need.rescue = &plan.Rescue{Rescuers: d.upTo(3), StandbyMin: d.upTo(1), OwnInstructorsCount: d.chance(60)}
		}
		var mates []mate
		for i := range d.upTo(7) {
			mates = append(mates, mate{person: i, body: i, teaches: d.chance(60), rescues: d.chance(50), aids: d.chance(40), price: price(d.upTo(3))})
			if i > 0 && d.chance(15) {
				mates[i].body, mates[i].shared, mates[i-1].shared = mates[i-1].body, true, true
			}
		}
		slices.SortStableFunc(mates, func(a, b mate) int { return int(a.price - b.price) })
		room := pick(d, noLimit, 2, 3, 4)
		got, cost, ok := newSearch(need, staffing{}, mates, room).complete()
		size, least := everyTeam(need, mates, room)
		if ok != (size < math.MaxInt) || ok && (got.size() != size || cost != least) {
			rt.Fatalf("%+v %+v room %d: found %v %v %d (price %d), best has %d (price %d)", need, mates, room, ok, got, got.size(), cost, size, least)
		}
		if s := newSearch(need, staffing{}, mates, room); !ok {
			if _, broken := s.nearest(); broken == 0 {
				rt.Fatalf("%+v %+v: a short team that lacks nothing", need, mates)
			}
		} else {
			complete++
			if _, broken := s.nearest(); broken != 0 {
				rt.Fatalf("%+v %+v: there is a complete team, the nearest breaks %v", need, mates, broken.names())
			}
		}
	})
	if complete < 100 {
		t.Errorf("only %d of the drawn teams can be completed", complete)
	}
}

// everyTeam returns size and price of the best complete team.
func everyTeam(need team, mates []mate, room int) (size int, least price) {
	size, least = math.MaxInt, math.MaxInt64
	ways := 1
	for range mates {
		ways *= 3
	}
	for way := range ways {
		var s staffing
		var cost price
		fits := true
		for i, w := 0, way; i < len(mates); i, w = i+1, w/3 {
			if w%3 == 0 {
				continue
			}
			as := []part{asInstructor, asRescuer}[w%3-1]
			fits = fits && mates[i].can(as) && !slices.Contains(s.bodies, mates[i].body)
			s.join(&mates[i], as)
			cost += mates[i].price
		}
		if !fits || s.size() > room || need.short(len(s.instructors), len(s.rescuers), len(s.rescuers), s.aiders, s.counted).sum() > 0 {
			continue
		}
		if s.size() < size || s.size() == size && cost < least {
			size, least = s.size(), cost
		}
	}
	return size, least
}

func TestInstructorsBusyWithTheRatioRescueNobodyWhereStandbyIsAsked(t *testing.T) {
	need := team{teachers: 1, rescue: &plan.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true}}
	for _, c := range []struct {
		name                          string
		instructors, standby, counted int
		short                         int
	}{
		{"one instructor does not count", 1, 1, 1, 1},
		{"a second instructor counts", 2, 1, 1, 0},
		{"a second one who is no rescuer does not free the first beyond one", 2, 1, 0, 1},
		{"two standby rescuers are enough", 1, 2, 0, 0},
		{"without standby nothing helps", 4, 0, 4, 1},
	} {
		if got := need.short(c.instructors, c.standby, c.standby, 0, c.counted).rescue; got != c.short {
			t.Errorf("%s: short of %d, want %d", c.name, got, c.short)
		}
	}
}
