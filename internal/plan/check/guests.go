package check

import (
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// LookedAfter is the same people with those who watch counted as trainees: whoever
// must look after somebody must look after them too.
func (p Presence) LookedAfter() Presence {
	p.Trainees, p.Others = p.Trainees+p.Others, 0
	return p
}

// Guests judges what the format of problems leaves open of the others in a session.
// There they are heads on the rig alone; a centre's records ask more: everybody on the
// station takes one of its places, counts for the ratio, and must be brought down by
// the same rescuers. Only what the others themselves break is returned. A session that
// names what the problem lacks breaks nothing here; the rules say that of it.
func (j *Judge) Guests(p plan.Session) (out []verdict.Finding) {
	s, _, _ := j.resolve(&p)
	if s == nil || len(s.others) == 0 {
		return nil
	}
	var found []finding
	v := &view{j: j, session: s, out: &found}
	alone := j.presence(s)
	all := alone.LookedAfter()
	e, n := s.exercise, all.Trainees
	of, limit, where := verdict.Ref{Kind: verdict.Station, ID: s.Station}, s.station.Places, plan.Pointer("stations", s.station.index, "places")
	if e.GroupMax > 0 && e.GroupMax <= limit {
		of, limit, where = verdict.Ref{Kind: verdict.Exercise, ID: e.ID}, e.GroupMax, plan.Pointer("exercises", e.index, "group_max")
	}
	if alone.Trainees <= limit && limit < n {
		v.stop(verdict.GroupTooLarge(s.ID, of, n, limit, where))
	}
	most, at := RatioOn(e.Exercise, s.Station)
	if alone.Ratio(most) == 0 && all.Ratio(most) > 0 {
		v.stop(verdict.Ratio(s.ID, all.Instructors, n, InstructorsNeeded(n, most), most, ratioAt(e, at)))
	}
	if r := s.station.Rescue; r != nil {
		before, beforeAll := alone.RescueCover(*r, most)
		after, afterAll := all.RescueCover(*r, most)
		if before+beforeAll == 0 && after+afterAll > 0 {
			v.stop(verdict.RescueCover(s.ID, s.Station, all.Standby, all.CountedRescuers(*r, most), r.StandbyMin, r.Rescuers, plan.Pointer("stations", s.station.index, "rescue")))
		}
	}
	for _, f := range found {
		out = append(out, f.Finding)
	}
	return out
}

// ratioAt points at the ratio that counts: the exercise's own, or the at-th of its
// stations.
func ratioAt(e *exercise, at int) string {
	if at >= 0 {
		return plan.Pointer("exercises", e.index, "ratio_at", at)
	}
	return plan.Pointer("exercises", e.index, "ratio")
}
