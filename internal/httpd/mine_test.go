package httpd

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// TestMyDayShowsTheSessionsOfWhoeverReadsIt compares the page of each of the staff
// with every session of the day.
func TestMyDayShowsTheSessionsOfWhoeverReadsIt(t *testing.T) {
	s := open(t)
	var all []session.Session
	s.read(func(v *store.View) (err error) {
		all, err = v.SessionsBetween(v.Zone().StartOfDay(monday), v.Zone().StartOfDay(monday+1))
		return err
	})
	desk := booking.New(s.store)
	busy := 0
	for _, st := range s.reference().Staff.All(monday) {
		m, err := desk.Mine(t.Context(), access.Actor{Person: st.ID, Roles: []access.Role{access.Instructor}, Today: monday})
		if err != nil {
			t.Fatal(err)
		}
		shown := map[id.Session]bool{}
		var last civil.Instant
		for _, x := range m.Sheets {
			if shown[x.Value.ID] || x.Value.Start < last {
				t.Errorf("%s: session %s is shown twice or out of order", st.ID, x.Value.ID)
			}
			shown[x.Value.ID], last = true, x.Value.Start
			if x.Value.Start > eight && booking.Waiting(x.Value) && x.Judged.Slice == nil {
				t.Errorf("session %s has not begun and was not judged", x.Value.ID)
			}
		}
		for _, x := range all {
			mine := x.State != session.StoodDown && (x.PartOf(st.ID) != session.AsOther || slices.Contains(x.Others, st.ID))
			if mine != shown[x.ID] {
				t.Errorf("%s: session %s shown %t, want %t", st.ID, x.ID, shown[x.ID], mine)
			}
		}
		busy += len(shown)
	}
	if busy == 0 {
		t.Error("nobody has a session; the test says nothing")
	}
}

func TestMyDaySaysWhyNothingStandsThere(t *testing.T) {
	s := open(t)
	said := text(parse(t, s.as(access.Auditor).get("/yard")))
	if !strings.Contains(said, "not on record as one who works at this yard") || !strings.Contains(said, "who must stop is told by voice") {
		t.Errorf("an auditor's day reads %q", said)
	}
	if w := s.as(access.TraineeRole).get("/yard"); w.Code != 403 {
		t.Errorf("a trainee: %d, want 403", w.Code)
	}
}
