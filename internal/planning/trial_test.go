package planning_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// trial is a climb that credits nobody.
func trial(sid id.Session, trainees []id.Trainee) session.Session {
	s := run(sid, "climb", at(wednesday, 10, 0), session.Booked, trainees, "brona", "ana", "ivo")
	s.Trial, s.TrialOf = true, session.TrialDrill
	return s
}

func (b *bench) judgeTrial(s session.Session) []string {
	b.Helper()
	slice := b.slice(planning.AsPlan(s))
	slice.AdmitTrial(s)
	return lines(slice, slice.Judge(nil, []plan.Session{planning.AsPlan(s)}))
}

func TestATrialNeedsNoNeedAndNoGroupButWhatKeepsItsTraineesSafe(t *testing.T) {
	stops := func(got []string, rule string) bool {
		return slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, rule+": ") })
	}
	r := sound()
	r.more = knowsTheory(today - 20)
	r.trainees[0].Needs = []id.Exercise{"theory"} // the climb is none of theirs
	b := open(t, r)
	if got := b.judgeTrial(trial("new", tilde)); len(got) > 0 {
		t.Errorf("a trial of what nobody needs: %q", got)
	}
	if got := b.judge(climb(at(wednesday, 10, 0))); !stops(got, "needed-once") {
		t.Errorf("training in what nobody needs: %q", got)
	}
	r = sound()
	r.climb.GroupMin = 2
	r.more = knowsTheory(today - 20)
	b = open(t, r)
	if got := b.judgeTrial(trial("new", nil)); len(got) > 0 {
		t.Errorf("a trial without trainees: %q", got)
	}
	for rule, spoil := range map[string]func(*records){
		"order":     func(r *records) { r.more = nil },
		"entitled":  func(r *records) { r.certs = slices.DeleteFunc(r.certs, isFit) },
		"qualified": func(r *records) { r.climb.Ratio = 4; r.certs = slices.DeleteFunc(r.certs, isBronasClimb) },
	} {
		r := sound()
		r.more = knowsTheory(today - 20)
		spoil(r)
		if got := open(t, r).judgeTrial(trial("new", tilde)); !stops(got, rule) {
			t.Errorf("a trial where %s fails: %q", rule, got)
		}
	}
}

func TestATrialThatStandsMeetsNoNeedAndTakesTime(t *testing.T) {
	r := sound()
	r.more = append(knowsTheory(today-20), trial("rehearsal", tilde))
	b := open(t, r)
	if got := b.judge(climb(at(wednesday+1, 10, 0))); len(got) > 0 {
		t.Errorf("the climb itself, the day after its rehearsal: %q", got)
	}
	same := b.judge(climb(at(wednesday, 10, 30)))
	if !slices.ContainsFunc(same, func(s string) bool { return strings.HasPrefix(s, "double-booked: ") }) {
		t.Errorf("in the time of the rehearsal: %q", same)
	}
	s := b.slice(climb(at(wednesday, 14, 0)))
	rec, _ := s.Session("rehearsal")
	if got := s.Standalone(planning.AsPlan(rec)).At(verdict.Stops); len(got) > 0 {
		t.Errorf("the rehearsal as it stands: %v", got)
	}
	if name := planning.Stood(planning.AsPlan(rec).Exercise); name != "climb" {
		t.Errorf("it is a trial of %q", name)
	}
}

func TestAVisitorIsJudgedAsOneMoreToLookAfterAndTwiceInNoPlace(t *testing.T) {
	r := sound()
	r.climb.Ratio, r.climb.GroupMax = 1, 2
	r.more = append(knowsTheory(today-20), run("watched", "theory", at(wednesday, 9, 30), session.Booked, []id.Trainee{"t-osei"}, "ivo").WithOthers([]session.OtherAs{{Person: "tilde", As: session.Visitor}}))
	b := open(t, r)
	put := planning.AsPlan(run("new", "climb", at(wednesday, 14, 0), session.Booked, tilde, "brona", "ana", "ivo").WithOthers([]session.OtherAs{{Person: "osei", As: session.Observer}}))
	s := b.slice(put)
	s.Admit("osei")
	got := lines(s, s.Judge(nil, []plan.Session{put}))
	if len(got) != 1 || !strings.HasPrefix(got[0], "ratio: ") {
		t.Errorf("one instructor for a trainee and an observer at 1 to 1: %q", got)
	}
	if got := b.judge(climb(at(wednesday, 10, 0))); !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "double-booked: ") }) {
		t.Errorf("tilde watches the theory at that time: %q", got)
	}
}

func isFit(c credential.Certificate) bool { return c.ID == "tilde-fit" }

func isBronasClimb(c credential.Certificate) bool { return c.ID == "brona-climb" }
