package httpd

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/arriving"
	"rungbook/internal/booking"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// toCome are a trainee's sessions that are still booked.
func (s *site) toCome(of id.Trainee) (out []session.Session) {
	s.Helper()
	err := s.store.Read(s.Context(), func(v *store.View) error {
		all, err := v.SessionsOfTrainees([]id.Trainee{of})
		out = slices.DeleteFunc(all, func(x session.Session) bool {
			return x.State != session.Booked && x.State != session.Pencilled || x.Start <= v.Now()
		})
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

// expected is somebody with places to come, of an intake whose first day is still to
// come or of one that runs, and where their arrival is noted.
func (s *site) expected(before bool) (in arriving.Intake, row arriving.Row, at string) {
	s.Helper()
	for _, x := range s.reference().Intakes.All(monday) {
		in, err := arriving.New(s.store).Arrivals(s.Context(), s.actorOf(access.Administrator), x.ID)
		if err != nil {
			s.Fatal(err)
		}
		for _, r := range in.Rows {
			if (x.From > monday) == before && len(s.toCome(r.Trainee.ID)) > 2 {
				return in, r, "/intakes/" + string(x.ID) + "/arrivals"
			}
		}
	}
	s.Fatal("nobody has places to come")
	return in, row, ""
}

func TestWhoComesInsteadTakesThePlacesTheyAreEntitledToAndTheOthersAreFree(t *testing.T) {
	for name, c := range map[string]struct{ before, all bool }{"before anything was done": {true, true}, "without a paper and what comes first": {false, false}} {
		t.Run(name, func(t *testing.T) {
			s := open(t)
			r := s.as(access.Administrator)
			here, theirs := s.arrivalsOf()
			if w := r.get(theirs + "/" + string(here.Rows[0].Trainee.ID) + "/replace"); w.Code != http.StatusConflict {
				t.Errorf("who came can be replaced: %d", w.Code)
			}
			in, row, at := s.expected(c.before)
			gone := row.Trainee.ID
			places := s.toCome(gone)
			to := at + "/" + string(gone) + "/replace"
			if w := r.post(at, vals("key", "no", "trainee", string(gone), "rev", revText(row.Rev), "came", "no")); w.Code != http.StatusSeeOther {
				t.Fatalf("did not come: %d", w.Code)
			}
			form := vals("key", "instead", "rev", revText(row.Rev+1), "name_0", "Saoirse Delahunt", "born_0", "1991-04-05")
			for _, h := range s.holdsOf(row) {
				if c.before {
					form.Set("hold_"+h+"_0", (monday + 300).String())
				}
			}
			if w := r.post(to, with(form, vals("name_0", "", "key", "nameless"))); w.Code != http.StatusUnprocessableEntity {
				t.Errorf("a newcomer without a name: %d", w.Code)
			}
			if w := r.post(to, with(form, vals("rev", "0", "key", "old"))); w.Code != http.StatusConflict {
				t.Errorf("over another's entry: %d", w.Code)
			}
			if got := s.toCome(gone); len(got) != len(places) {
				t.Fatalf("a refused form took %d of %d places", len(places)-len(got), len(places))
			}
			for range 2 { // the second send changes nothing
				if w := r.post(to, form); w.Code != http.StatusSeeOther {
					t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
				}
			}
			now := s.arrivals(in.Intake.ID)
			i := slices.IndexFunc(now.Rows, func(x arriving.Row) bool { return x.Name == "Saoirse Delahunt" })
			j := slices.IndexFunc(now.Rows, func(x arriving.Row) bool { return x.Trainee.ID == gone })
			if i < 0 || len(now.Rows) != len(in.Rows)+1 {
				t.Fatalf("%d rows, of them the newcomer %d", len(now.Rows), i)
			}
			newcomer := now.Rows[i].Trainee
			if a := now.Rows[j].Arrival; a.State != arrival.Replaced || a.By != newcomer.ID || len(now.Rows[j].Trainee.Needs) != 0 {
				t.Errorf("%+v, needs %v", a, now.Rows[j].Trainee.Needs)
			}
			if left := s.toCome(gone); len(left) != 0 {
				t.Errorf("who does not come keeps %d places", len(left))
			}
			took := s.toCome(newcomer.ID)
			if c.all != (len(took) == len(places)) {
				t.Errorf("took %d of %d places", len(took), len(places))
			}
			s.allStand(took)
			page := text(parse(t, r.get(at)))
			if !strings.Contains(page, "replaced by Saoirse Delahunt") {
				t.Error("the page does not say who came instead")
			}
			if w := r.post(to, with(form, vals("key", "again", "rev", revText(row.Rev+2)))); w.Code != http.StatusConflict {
				t.Errorf("replaced twice: %d", w.Code)
			}
		})
	}
}

func (s *site) arrivals(of id.Intake) arriving.Intake {
	s.Helper()
	in, err := arriving.New(s.store).Arrivals(s.Context(), s.actorOf(access.Administrator), of)
	if err != nil {
		s.Fatal(err)
	}
	return in
}

func revText(rev int64) string { return strconv.FormatInt(rev, 10) }

// holdsOf are the papers that what a trainee comes for requires.
func (s *site) holdsOf(row arriving.Row) []string {
	s.Helper()
	return founding.HoldsFor(s.reference().Exercises.All(monday), row.Trainee.Needs)
}

// allStand fails where a rule stops one of the sessions as it stands.
func (s *site) allStand(list []session.Session) {
	s.Helper()
	for _, x := range list {
		j, err := booking.New(s.store).Judge(s.Context(), s.actorOf(access.Administrator), booking.Proposal{Session: x.ID, Exercise: x.Exercise, Station: x.Station,
			Start: x.Start, Trainees: x.Trainees, Instructors: x.Instructors, Rescuers: x.Rescuers})
		if err != nil {
			s.Fatal(err)
		}
		if j.Report.Level() == verdict.Stops {
			s.Errorf("%s is stopped with the newcomer in it: %v", x.ID, j.Report.At(verdict.Stops))
		}
	}
}
