package check

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// load is a change of what is taken, or of what is out of use, at an instant.
type load struct {
	at          civil.Instant
	taken, shut int
}

// spell is a time with more taken than there is, and its worst instant.
type spell struct {
	civil.Period
	peak         civil.Instant
	taken, there int
}

// spells finds the spells in which more is taken than count − shut. Between two
// spells there is an instant at which the limit holds.
func spells(loads []load, count int) []spell {
	slices.SortFunc(loads, func(a, b load) int { return cmp.Compare(a.at, b.at) })
	var out []spell
	taken, shut, open := 0, 0, false
	for i := 0; i < len(loads); {
		at := loads[i].at
		for ; i < len(loads) && loads[i].at == at; i++ {
			taken += loads[i].taken
			shut += loads[i].shut
		}
		there := max(0, count-shut)
		switch over := taken > there; {
		case over && !open:
			out = append(out, spell{Period: civil.Period{Start: at}, peak: at, taken: taken, there: there})
			open = true
		case over:
			if last := &out[len(out)-1]; taken-there > last.taken-last.there {
				last.peak, last.taken, last.there = at, taken, there
			}
		case open:
			out[len(out)-1].End = at
			open = false
		}
	}
	return out
}

// worstFor returns the index of the worst spell that p touches, −1 for none.
func worstFor(list []spell, p civil.Period) int {
	if p.Length() <= 0 {
		return -1
	}
	i, _ := slices.BinarySearchFunc(list, p.Start, func(s spell, t civil.Instant) int {
		if s.End <= t {
			return -1
		}
		return 1
	})
	worst := -1
	for ; i < len(list) && list[i].Start < p.End; i++ {
		if worst < 0 || list[i].taken-list[i].there > list[worst].taken-list[worst].there {
			worst = i
		}
	}
	return worst
}

// rigHeadcount: at every instant, people on the rig ≤ people_max: trainees and
// others for the session, staff for the hold.
func rigHeadcount(v *view) {
	rig := &v.j.p.Rigs[v.at]
	if rig.PeopleMax < 1 {
		return
	}
	loads := v.loads[:0]
	for _, s := range v.sessions {
		guests, staff := s.heads()
		loads = append(loads, load{at: s.period.Start, taken: guests}, load{at: s.period.End, taken: -guests},
			load{at: s.hold.Start, taken: staff}, load{at: s.hold.End, taken: -staff})
	}
	v.loads = loads
	crowded := spells(loads, rig.PeopleMax)
	if len(crowded) == 0 {
		return
	}
	for i, s := range v.sessions {
		guests, staff := s.heads()
		there := s.period
		if staff > 0 {
			there = s.hold
		} else if guests == 0 {
			continue
		}
		if n := worstFor(crowded, there); n >= 0 {
			c := crowded[n]
			v.stopOne(verdict.RigHeadcount(s.ID, rig.ID, c.taken, rig.PeopleMax, c.peak, plan.Pointer("rigs", v.at, "people_max")),
				int64(c.Start), 0, i)
		}
	}
}

// kitTaken returns how many pieces of a kit a session's hold takes: one if its
// station's rescue names the kit, and what its exercise uses.
func (s *sess) kitTaken(kit int) int {
	n := 0
	if s.station.rescueKit == kit {
		n = 1
	}
	for _, u := range s.exercise.uses {
		if u.kit == kit {
			n += u.count
		}
	}
	return n
}

// kit: at every instant, what holds take of a kit ≤ count − those shut.
func kit(v *view) {
	k := &v.j.p.Kits[v.at]
	loads := v.loads[:0]
	for _, s := range v.sessions {
		n := s.kitTaken(v.at)
		loads = append(loads, load{at: s.hold.Start, taken: n}, load{at: s.hold.End, taken: -n})
	}
	for _, c := range k.Shut {
		loads = append(loads, load{at: c.From, shut: c.Count}, load{at: c.To, shut: -c.Count})
	}
	v.loads = loads
	short := spells(loads, k.Count)
	if len(short) == 0 {
		return
	}
	for i, s := range v.sessions {
		n := worstFor(short, s.hold)
		if n < 0 || s.kitTaken(v.at) == 0 {
			continue
		}
		c := short[n]
		v.stopOne(verdict.KitShort(s.ID, k.ID, c.taken, c.there, c.peak, kitPointer(k, v.at, c.peak)), int64(c.Start), 0, i)
	}
}

// kitPointer points at what is shut at an instant, else at the kit's count.
func kitPointer(k *plan.Kit, at int, peak civil.Instant) string {
	for i, c := range k.Shut {
		if c.Count > 0 && c.Period().Holds(peak) {
			return plan.Pointer("kits", at, "shut", i)
		}
	}
	return plan.Pointer("kits", at, "count")
}
