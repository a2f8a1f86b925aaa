package solve

// compileGuides works out the figures that guide the search and that no rule
// hangs on: what staff a number of trainees takes at least, which exercises press
// on few teachers, and what a need is worth.
func (t *task) compileGuides() {
	c := t.c
	asked := make([]int64, len(c.exercises))
	for _, n := range t.needs {
		asked[n.exercise]++
	}
	t.rest = make([][]int64, len(c.exercises))
	t.pressure = make([]int64, len(c.exercises))
	t.value = make([]int64, len(c.people))
	var dearest, staffed int64
	for e := range c.exercises {
		for _, i := range t.spotsOf[e] {
			s := &t.spots[i]
			for _, n := range s.staff {
				dearest = max(dearest, t.staffCost(s, n))
			}
		}
	}
	t.worth = min(t.weights.Unplaced, 2*(dearest+t.weights.TraineeDay)+10*t.weights.IntakeDay)
	if t.worth == 0 {
		t.worth = min(1, t.weights.Unplaced)
	}
	t.debt = debtOf(t.worth)
	for e := range c.exercises {
		t.rest[e] = t.leastRest(e)
		if n := asked[e]; n > 0 {
			size := min(int64(mostPool), n)
			staffed += n * t.rest[e][size] / size
			minutes := n * int64(c.exercises[e].minutes) / int64(max(1, t.mostAt(e)))
			t.pressure[e] = minutes * 16 / int64(max(1, len(t.teachers[e])))
			for _, p := range t.teachers[e] {
				t.value[p] += t.pressure[e]
			}
		}
	}
	needs := max(1, int64(len(t.needs)))
	t.scale = staffed/needs + t.weights.TraineeDay/3
}

func debtOf(worth int64) int64 { return min(64*worth, 1<<40) }

// repairing raises what a need is worth by that of sessions that may have to move
// for it.
func (t *task) repairing() {
	const movedFor = 12
	t.worth = min(t.weights.Unplaced, t.worth+movedFor*t.weights.Moved)
	t.debt = debtOf(t.worth)
}

// mostAt returns the most trainees that a session of e can take anywhere.
func (t *task) mostAt(e int) int {
	most := 0
	for _, i := range t.spotsOf[e] {
		most = max(most, t.spots[i].most)
	}
	return most
}

// leastRest returns, by number of trainees, the least staff cost of sessions that
// hold them: the best split is a small dynamic programme. Numbers that can't be
// split cost what their needs are worth.
func (t *task) leastRest(e int) []int64 {
	out := make([]int64, mostPool+1)
	for n := 1; n <= mostPool; n++ {
		out[n] = int64(n) * t.worth
		for _, i := range t.spotsOf[e] {
			s := &t.spots[i]
			for k := max(1, t.c.exercises[e].groupMin); k <= min(n, s.most, len(s.staff)-1); k++ {
				out[n] = min(out[n], out[n-k]+t.staffCost(s, s.staff[k]))
			}
		}
	}
	return out
}

// staffCost is what a team of n costs for a session; beyond all reason it stops
// growing, so that sums of it can't pass the largest number.
func (t *task) staffCost(s *spot, n int) int64 {
	const most = 1 << 50
	minutes := s.hold * int64(n)
	if minutes > 0 && t.weights.StaffMinute > most/minutes {
		return most
	}
	return minutes * t.weights.StaffMinute
}
