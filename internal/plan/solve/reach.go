package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// compileReach works out how far in time one session can matter to another.
func (t *task) compileReach() {
	c := t.c
	const day = 24 * 60
	var longest, gap civil.Minutes
	for i := range c.exercises {
		longest = max(longest, c.exercises[i].setup+c.exercises[i].minutes+c.exercises[i].strike)
	}
	for i := range c.stations {
		gap = max(gap, c.stations[i].turnaround)
	}
	for _, change := range c.circuits {
		gap = max(gap, change)
	}
	t.placeReach = min(t.days, int((longest+gap)/day)+2)
	t.bodyReach, t.nearReach, t.nearOnly = make([]int, len(c.bodies)), make([]int, len(c.bodies)), make([]bool, len(c.bodies))
	// A day in which the clocks go forward is an hour shorter.
	days := func(reach civil.Minutes) int { return int(min(civil.Minutes(t.days), (reach+longest+60)/day+2)) }
	for i := range c.bodies {
		near, far := civil.Minutes(0), civil.Minutes(0)
		for _, p := range c.bodies[i].policies {
			near = max(near, p.DailyRest, p.Stretch+p.Break)
			far = max(far, civil.Minutes(p.RunDays)*day)
			if p.WeekMinutes > 0 {
				far = max(far, 7*day)
			}
			if p.WeeklyRest > 0 {
				far = max(far, civil.Minutes(blockDays(&p))*day+p.WeeklyRest)
			}
		}
		t.nearOnly[i] = far == 0
		t.nearReach[i], t.bodyReach[i] = days(near), days(max(near, far))
	}
	t.near = make([][]int, len(c.stations))
	for i := range c.stations {
		for j := range c.stations {
			if i == j || t.meet(i, j) {
				t.near[i] = append(t.near[i], j)
			}
		}
	}
}

// meet reports whether sessions on two stations can shut each other out: by a
// zone, a circuit or a kit.
func (t *task) meet(i, j int) bool {
	a, b := t.taken(i), t.taken(j)
	return slices.ContainsFunc(a, func(k [2]int) bool { return slices.Contains(b, k) })
}

// taken lists the zones, circuits and kits that sessions on a station may take.
func (t *task) taken(i int) (out [][2]int) {
	st := &t.c.stations[i]
	for _, z := range st.zones {
		out = append(out, [2]int{0, z})
	}
	if st.rescueKit >= 0 {
		out = append(out, [2]int{1, st.rescueKit})
	}
	for e := range t.c.exercises {
		ex := &t.c.exercises[e]
		if !slices.Contains(ex.stations, i) {
			continue
		}
		for _, u := range ex.uses {
			out = append(out, [2]int{1, u.kit})
		}
		for _, n := range ex.energy {
			out = append(out, [2]int{2, n.circuit})
		}
	}
	return out
}

func (t *task) compileStaff() {
	c := t.c
	t.teachers = make([][]int, len(c.exercises))
	for p := range c.people {
		for e := range c.exercises {
			if len(c.people[p].teaches[e]) > 0 {
				t.teachers[e] = append(t.teachers[e], p)
			}
		}
		if len(c.people[p].rescuer) > 0 {
			t.rescuers = append(t.rescuers, p)
		}
	}
	t.standby = make([][]int, len(c.exercises))
	for e := range c.exercises {
		list := slices.Concat(t.teachers[e], t.rescuers)
		slices.SortFunc(list, cmp.Compare[int])
		t.standby[e] = slices.Compact(list)
	}
}
