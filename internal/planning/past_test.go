package planning_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
)

func breaks(got []string, rule string) bool {
	return slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, rule+":") })
}

// signed is a session that ended as planned; cut one that ended early.
func signed(sid id.Session, e id.Exercise, start civil.Instant, trainees []id.Trainee, instructor id.Person, rescuers ...id.Person) session.Session {
	return run(sid, e, start, session.SignedOff, trainees, instructor, rescuers...)
}

func TestWhatHappenedCountsForRest(t *testing.T) {
	// The site's daily rest is 12 h. A climb holds its staff 15 minutes longer than
	// its trainees.
	r := sound()
	r.more = append(knowsTheory(today-20), signed("evening", "climb", at(today-1, 19, 0), []id.Trainee{"t-osei"}, "brona", "ivo", "ana"))
	b := open(t, r)
	b.now = at(today, 5, 0)
	for _, c := range []struct {
		name  string
		p     plan.Session
		clear bool
	}{
		{"staff 12 h after their hold ended at 21:15", planning.AsPlan(run("new", "theory", at(today, 9, 15), session.Booked, tilde, "brona")), true},
		{"staff less than that", planning.AsPlan(run("new", "theory", at(today, 9, 0), session.Booked, tilde, "brona")), false},
		{"a trainee 12 h after the session ended at 21:00", byThemselves("t-osei", at(today, 9, 0)), true},
		{"a trainee less than that", byThemselves("t-osei", at(today, 8, 45)), false},
	} {
		got := b.judge(c.p)
		if breaks(got, "daily-rest") == c.clear {
			t.Errorf("%s: %q, want daily-rest clear %t", c.name, got, c.clear)
		}
	}
}

// byThemselves is a theory session without staff, for what it says of a trainee.
func byThemselves(t string, start civil.Instant) plan.Session {
	p := theory(start)
	p.Trainees, p.Instructors = []string{t}, []string{}
	return p
}

func TestASessionCutShortCountsToItsEnd(t *testing.T) {
	r := sound()
	short := signed("evening", "theory", at(today-1, 21, 0), nil, "brona")
	short.State, short.End = session.CutShort, at(today-1, 21, 15)
	r.more = append(knowsTheory(today-20), short)
	b := open(t, r)
	if got := b.judge(theory(at(today, 9, 15))); breaks(got, "daily-rest") {
		t.Errorf("12 h after the cut end: %q, want clear", got)
	}
	if got := b.judge(theory(at(today, 9, 0))); !breaks(got, "daily-rest") {
		t.Errorf("11 h 45 min after the cut end: %q, want daily-rest", got)
	}
}

func TestASessionStoodDownCountsForNothing(t *testing.T) {
	r := sound()
	r.more = append(knowsTheory(today-20), run("evening", "theory", at(today-1, 21, 0), session.StoodDown, nil, "brona"),
		run("same", "theory", at(today, 9, 0), session.StoodDown, tilde, "brona"))
	if got := open(t, r).judge(planning.AsPlan(run("new", "theory", at(today, 9, 0), session.Booked, []id.Trainee{"t-osei"}, "brona"))); got != nil {
		t.Errorf("%q, want clear", got)
	}
}

func TestWhatHappenedEarlierOnTheDayKeepsItsMinutesAtHeight(t *testing.T) {
	// 4 h a day at height (site rule): a signed climb of 2 h in the morning leaves 2 h.
	for _, limit := range []int64{240, 239} {
		r := sound()
		r.book = set(r.book, "site.height-day", limit)
		r.more = append(knowsTheory(today-20), signed("morning", "climb", at(today, 8, 0), []id.Trainee{"t-osei"}, "brona", "ana", "ivo"))
		b := open(t, r)
		b.now = at(today, 12, 0)
		got := b.judge(climb(at(today, 13, 0)))
		if stops := breaks(got, "height-minutes"); stops != (limit < 240) {
			t.Errorf("limit %d: %q, want height-minutes stopping: %t", limit, got, limit < 240)
		}
		// The board keeps it too: nobody is in two places at once.
		if got := b.judge(planning.AsPlan(run("new", "theory", at(today, 9, 0), session.Booked, nil, "brona"))); !breaks(got, "double-booked") {
			t.Errorf("beside what happened: %q, want double-booked", got)
		}
	}
}

func TestWhatACompletedSessionDidIsNotNeededAgain(t *testing.T) {
	r := sound()
	r.more = knowsTheory(today - 20)
	b := open(t, r)
	if got := b.judge(theory(at(today, 12, 0))); !breaks(got, "needed-once") {
		t.Errorf("%q, want needed-once: it was done twenty days ago", got)
	}
	// Whoever came and was not competent needs it still, and may not go on.
	r = sound()
	again := knowsTheory(today - 20)
	results := again[2].(session.Results)
	results.Results[0].Result = session.NotYetCompetent
	r.more = []any{again[0], again[1], results}
	b = open(t, r)
	if got := b.judge(theory(at(today, 12, 0))); got != nil {
		t.Errorf("after a try that did not succeed: %q, want clear", got)
	}
	if got := b.judge(climb(at(today, 12, 0))); !breaks(got, "order") {
		t.Errorf("going on without it: %q, want order", got)
	}
}

func TestAnUnsignedSessionOfThePastStillStands(t *testing.T) {
	r := sound()
	r.more = append(r.more, run("unsigned", "theory", at(today-1, 21, 0), session.Booked, tilde, "brona"))
	b := open(t, r)
	if got := b.judge(theory(at(today, 9, 0))); !breaks(got, "daily-rest") || !breaks(got, "needed-once") {
		t.Errorf("%q, want daily-rest and needed-once", got)
	}
}

func TestDutiesAndAbsencesCountUnlessTakenBack(t *testing.T) {
	duty := people.Duty{ID: "duty", Person: "brona", Kind: people.ElsewhereDuty, Start: at(today-1, 18, 0), End: at(today-1, 22, 0)}
	away := people.Away{ID: "away", Person: "tilde", Start: at(today, 12, 0), End: at(today, 13, 0)}
	for _, ended := range []bool{false, true} {
		r := sound()
		duty.Ended, away.Ended = ended, ended
		r.more = []any{duty, away}
		b := open(t, r)
		if got := b.judge(theory(at(today, 9, 0))); breaks(got, "daily-rest") == ended {
			t.Errorf("11 h after a duty, taken back %t: %q", ended, got)
		}
		if got := b.judge(theory(at(today, 12, 30))); breaks(got, "available") == ended {
			t.Errorf("while away, taken back %t: %q", ended, got)
		}
		if got := b.judge(theory(at(today, 13, 0))); got != nil {
			t.Errorf("from the minute of coming back: %q, want clear", got)
		}
	}
}
