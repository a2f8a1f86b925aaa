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

// low keeps somebody from work at height from today+5 to today+7.
func low(who id.Person) people.NoHeight {
	return people.NoHeight{ID: id.NoHeight("low-" + who), Person: who, From: today + 5, Until: today + 7}
}

func TestWhoDoesNotWorkAtHeightNeitherTeachesNorStandsByThere(t *testing.T) {
	const teaches, rescues = "qualified: Bróna Keane does not work at height until 2027-03-08", "rescue-cover: Ana Quintal does not work at height until 2027-03-08"
	for _, c := range []struct {
		name string
		who  id.Person
		put  func(civil.Instant) plan.Session
		day  civil.Day
		want string
	}{
		{"the day before", "brona", climb, today + 4, ""},
		{"the first day", "brona", climb, today + 5, teaches},
		{"the last day", "brona", climb, today + 7, teaches},
		{"the day after", "brona", climb, today + 8, ""},
		{"on the ground", "brona", theory, today + 5, ""},
		{"a rescuer on the last day", "ana", climb, today + 7, rescues},
		{"a rescuer on the day after", "ana", climb, today + 8, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := sound()
			r.more = append(knowsTheory(today-20), low(c.who))
			var got []string
			for _, line := range open(t, r).judge(c.put(at(c.day, 9, 0))) {
				if strings.HasPrefix(line, "rescue-cover") || strings.HasPrefix(line, "qualified") {
					got = append(got, line)
				}
			}
			if c.want == "" && len(got) > 0 || c.want != "" && !slices.Contains(got, c.want) {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

func TestWhatWasTakenBackKeepsNobodyLow(t *testing.T) {
	r := sound()
	ended := low("brona")
	ended.Ended = true
	r.more = append(knowsTheory(today-20), low("brona"), ended)
	if got := open(t, r).judge(climb(at(today+5, 9, 0))); len(got) > 0 {
		t.Errorf("%q", got)
	}
}

// TestAnotherCauseIsNotHiddenByDaysOnTheGround lets the qualification run out on
// a day that is also kept low: the certificate is what is said.
func TestAnotherCauseIsNotHiddenByDaysOnTheGround(t *testing.T) {
	r := sound()
	for i := range r.certs {
		if r.certs[i].ID == "brona-climb" {
			r.certs[i].Until = today + 5
		}
	}
	r.more = append(knowsTheory(today-20), low("brona"))
	got := strings.Join(open(t, r).judge(climb(at(today+6, 9, 0))), "\n")
	if !strings.Contains(got, "qualified") || strings.Contains(got, "height until") {
		t.Errorf("%q, want that the qualification has run out", got)
	}
}

// TestAnExerciseThatMayBeRunAtHeightIsTakenWhole: on the ground too, since which
// station it gets may change.
func TestAnExerciseThatMayBeRunAtHeightIsTakenWhole(t *testing.T) {
	r := sound()
	r.theory.Stations = []id.Station{"room", "deck"}
	r.more = []any{low("brona")}
	if got := open(t, r).judge(theory(at(today+5, 9, 0))); !slices.Contains(got, "qualified: Bróna Keane does not work at height until 2027-03-08") {
		t.Errorf("%q", got)
	}
}

// TestALongRunIsSeenInWhatIsPutTogether puts five days at once: each alone is none.
func TestALongRunIsSeenInWhatIsPutTogether(t *testing.T) {
	r := sound()
	r.more = knowsTheory(today - 20)
	b := open(t, r)
	var week []plan.Session
	for d := today; d < today+5; d++ {
		s := run(id.Session("run-"+d.String()), "theory", at(d, 9, 0), session.Booked, tilde, "brona")
		week = append(week, planning.AsPlan(s))
	}
	s := b.build(planning.Scope{From: today, Until: today + 4, Trainees: tilde})
	long := func(put []plan.Session) (n int) {
		for _, f := range s.Change(nil, put).Findings {
			if f.Rule == "long-run" {
				n++
			}
		}
		return n
	}
	if n := long(week[:4]); n != 0 {
		t.Errorf("four days give %d cautions of a long run", n)
	}
	if n := long(week); n != 5 {
		t.Errorf("five days give %d cautions of a long run, want one a session", n)
	}
}

func TestNoticeIsOfTheRuleBook(t *testing.T) {
	r := sound()
	r.book = set(r.book, "site.session-notice", 90)
	if notice, ok := open(t, r).build(planning.Scope{From: today, Until: today}).Notice(); !ok || notice != 90 {
		t.Errorf("%s, %t", notice, ok)
	}
	r = sound()
	for i, l := range r.book.Lines {
		if l.ID == "site.session-notice" {
			r.book.Lines = slices.Delete(r.book.Lines, i, i+1)
			break
		}
	}
	if _, ok := open(t, r).build(planning.Scope{From: today, Until: today}).Notice(); ok {
		t.Error("a notice that is not stated is told")
	}
}
