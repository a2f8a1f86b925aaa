package check

import (
	"cmp"
	"slices"

	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// Board is a set of sessions as a Judge sees it. It is not changed by judging
// and safe for concurrent use.
type Board struct {
	j        *Judge
	sessions []*sess // by start of hold, then id
	byID     map[string]*sess
	unusable []finding // sessions that name what the problem lacks

	byStation, byZone, byCircuit, byRig, byKit, byTrainee [][]*sess
	times                                                 [][]timed // of bodies, duties included
}

// Board indexes sessions for judging. It keeps references to them: the caller
// leaves them unchanged as long as the Board lives. A session that names what
// the problem lacks is not judged but is a stop, "unusable", of every report.
func (j *Judge) Board(sessions []plan.Session) *Board {
	b := &Board{j: j, byID: make(map[string]*sess, len(sessions)),
		byStation: make([][]*sess, len(j.stations)), byZone: make([][]*sess, len(j.zones)),
		byCircuit: make([][]*sess, len(j.p.Circuits)), byRig: make([][]*sess, len(j.p.Rigs)),
		byKit: make([][]*sess, len(j.p.Kits)), byTrainee: make([][]*sess, len(j.trainees)),
		times: make([][]timed, len(j.bodies))}
	b.sessions, b.unusable = j.resolveAll(sessions)
	for _, s := range b.sessions {
		b.byID[s.ID] = s
		j.eachTime(s, func(r *role, t timed) { b.times[r.body] = append(b.times[r.body], t) })
		touch := s.touches(j)
		for k, lists := range b.lists() {
			for _, i := range touch[k] {
				// A trainee listed twice in one session still does it once.
				if l := lists[i]; len(l) == 0 || l[len(l)-1] != s {
					lists[i] = append(l, s)
				}
			}
		}
	}
	for i := range b.times {
		if len(b.times[i]) > 0 {
			b.times[i] = append(b.times[i], j.bodies[i].duties...)
			sortTimes(b.times[i])
		}
	}
	return b
}

// listed are the kinds of views that hold a list of sessions.
var listed = [...]over{overStation, overZone, overCircuit, overRig, overKit, overTrainee}

// lists returns the board's lists in the order of listed.
func (b *Board) lists() [len(listed)][][]*sess {
	return [...][][]*sess{b.byStation, b.byZone, b.byCircuit, b.byRig, b.byKit, b.byTrainee}
}

// touches returns the indexes of what a session takes, in the order of listed.
func (s *sess) touches(j *Judge) (t [len(listed)][]int) {
	e := s.exercise
	t[0], t[1], t[3] = []int{s.station.index}, s.station.zones, []int{s.station.rig}
	for _, n := range e.energy {
		t[2] = append(t[2], n.circuit)
	}
	if s.station.rescueKit >= 0 {
		t[4] = append(t[4], s.station.rescueKit)
	}
	for _, u := range e.uses {
		if u.kit != s.station.rescueKit {
			t[4] = append(t[4], u.kit)
		}
	}
	t[5] = s.trainees
	return t
}

// resolveAll returns the sessions that can be judged, by start of hold, and a
// finding for each that can't.
func (j *Judge) resolveAll(sessions []plan.Session) (list []*sess, unusable []finding) {
	list = make([]*sess, 0, len(sessions))
	for i := range sessions {
		s, lacks, name := j.resolve(&sessions[i])
		if s == nil {
			unusable = append(unusable, finding{Finding: verdict.Unusable(sessions[i].ID, lacks, name)})
			continue
		}
		list = append(list, s)
	}
	slices.SortFunc(list, bySpan)
	return list, unusable
}

func bySpan(a, b *sess) int {
	return cmp.Or(cmp.Compare(a.hold.Start, b.hold.Start), cmp.Compare(a.ID, b.ID))
}

// All judges every subject of the board.
func (b *Board) All() verdict.Report {
	return report(b.all(), func(finding) bool { return false })
}

func (b *Board) all() []finding {
	out := slices.Clone(b.unusable)
	v := &view{j: b.j, out: &out}
	for _, s := range b.sessions {
		v.judgeSession(s)
	}
	for k, lists := range b.lists() {
		for i, list := range lists {
			v.judgeList(listed[k], i, list)
		}
	}
	for i, times := range b.times {
		v.judgeBody(i, times)
	}
	return out
}
