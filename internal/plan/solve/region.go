package solve

// On a long horizon the searches work on one plan together: between two meetings
// each may only change sessions on its own days, and only those of its own
// trainees. The days of two searches lie so far apart that no rule reaches from
// one to the other, and a trainee belongs to one search, so what all have done can
// be put together. The cuts are drawn anew after each meeting.

// region is the part of a problem in which a search may change things.
type region struct {
	days dayRange
	ours []bool // by trainee: whether their sessions may change; nil = everybody's
}

func (r *region) has(t int) bool { return r.ours == nil || r.ours[t] }

// reach is how many days apart two sessions are that no rule connects, whoever
// takes part.
func (t *task) reach() int {
	reach := t.placeReach
	for _, r := range t.bodyReach {
		reach = max(reach, r)
	}
	return reach
}

// together reports whether the horizon is long enough to be shared, and all
// searches have a first plan.
func (r *run) together() bool {
	if !r.mayShare() {
		return false
	}
	for _, w := range r.walks {
		if len(w.building) > 0 {
			return false
		}
	}
	return true
}

// mayShare reports whether the horizon is long enough for all searches.
func (r *run) mayShare() bool {
	n := r.tuning.Walks
	return n > 1 && r.t.days >= n && r.t.days >= 2*(n-1)*r.t.reach()
}

// joinUp lets all searches go on from the best plan, together.
func (r *run) joinUp() {
	r.base.copyOf(&r.best)
	for _, w := range r.walks {
		w.apart = false
	}
	r.part()
}

// part sends the searches out from the base, each with a region of its own.
func (r *run) part() {
	r.divide()
	for _, w := range r.walks {
		w.s.restore(&r.base)
		w.current, w.bestCost = w.s.guide(), w.s.rating()
	}
}

// divide draws the regions: whole pieces in the middle, and at both ends the two
// parts of one more.
func (r *run) divide() {
	n := len(r.walks)
	length := r.t.days / (n - 1)
	first, gap := r.chance.IntN(length), r.t.reach()
	for i, w := range r.walks {
		from, to := first+(i-1)*length, first+i*length-gap
		if i == n-1 {
			to = r.t.days
		}
		w.region = region{days: dayRange{max(0, from), min(max(0, to), r.t.days)}, ours: make([]bool, len(r.t.c.trainees))}
	}
	for in := range r.t.intakes {
		owner := r.walks[r.owner(in)]
		for _, t := range r.t.intakes[in].trainees {
			owner.region.ours[t] = true
		}
	}
}

// owner draws the search that an intake belongs to until the next meeting: the
// more of its days a search has, the likelier.
func (r *run) owner(in int) int {
	days := r.t.traineeDays[r.t.intakes[in].trainees[0]]
	shares, sum := make([]int, len(r.walks)), 0
	for i, w := range r.walks {
		shares[i] = max(0, min(days.to, w.region.days.to)-max(days.from, w.region.days.from))
		sum += shares[i]
	}
	at := r.chance.IntN(max(1, sum))
	for i, share := range shares {
		if at < share {
			return i
		}
		at -= share
	}
	return 0
}

// meet puts together what the searches have done since they parted, and sends them
// out again.
func (r *run) meet() {
	r.met.sessions = r.met.sessions[:0]
	for i := range r.base.sessions {
		if x := &r.base.sessions[i]; r.ownerOf(r.t.day(x.day)) < 0 {
			r.met.sessions = append(r.met.sessions, *x)
		}
	}
	cycled := false
	for i, w := range r.walks {
		for _, x := range w.s.sessions {
			if r.ownerOf(r.t.day(x.day)) == i {
				r.met.sessions = append(r.met.sessions, *x)
			}
		}
		cycled = cycled || w.cycled
		w.cycled = false
	}
	r.base.copyOf(&r.met)
	first := r.walks[0].s
	first.restore(&r.base)
	if now := first.rating(); now.less(r.cost) {
		r.cost = now
		r.best.copyOf(&r.base)
	}
	if cycled {
		r.base.copyOf(&r.best)
	}
	r.part()
}

// ownerOf returns the search to which a day belongs, −1 for those between.
func (r *run) ownerOf(d int) int {
	for i, w := range r.walks {
		if d >= w.region.days.from && d < w.region.days.to {
			return i
		}
	}
	return -1
}
