package httpd

import (
	"net/http"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func isSheet(n *html.Node) bool { return n.Data == "article" && attr(n, "class") == "paper-sheet" }

func sheetsOf(page *html.Node) (out []*html.Node) {
	for n := range page.Descendants() {
		if n.Type == html.ElementNode && isSheet(n) {
			out = append(out, n)
		}
	}
	return out
}

// dayOfSessions is a day to come with sessions that hold their place.
func (s *site) dayOfSessions() (day civil.Day, list []session.Session) {
	s.Helper()
	s.read(func(v *store.View) error {
		ahead, err := v.BookedAfter(v.Now())
		if err != nil {
			return err
		}
		day = demo.Zone().DayOf(ahead[0].Start)
		list, err = v.SessionsBetween(v.Zone().StartOfDay(day), v.Zone().StartOfDay(day+1))
		return err
	})
	return day, list
}

func TestADayHasOneSheetForEachSessionThatHoldsItsPlace(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	day, list := s.dayOfSessions()
	page := parse(t, r.get("/day/"+day.String()+"/sheets"))
	sheets := sheetsOf(page)
	want := 0
	for _, x := range list {
		if x.State.Holds() {
			want++
		}
	}
	if len(sheets) != want || want == 0 {
		t.Fatalf("%d sheets, want %d", len(sheets), want)
	}
	if !strings.Contains(text(parse(t, r.get("/day/"+day.String()))), "Day sheets") {
		t.Error("the day does not lead to its sheets")
	}
	for _, sheet := range sheets {
		if !strings.Contains(text(sheet), "local law come first") {
			t.Error("a sheet lacks the sentence on safety")
		}
	}
}

func TestASheetNamesEverybodyAndWhatIsAsked(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	_, list := s.dayOfSessions()
	for _, x := range list {
		at := "/sessions/" + string(x.ID)
		if !strings.Contains(r.get(at).Body.String(), at+"/rescue-card") {
			t.Errorf("%s does not lead to its papers", at)
		}
		said := text(parse(t, r.get(at+"/sheet")))
		s.read(func(v *store.View) error {
			names, err := v.TraineeNames(x.Trainees...)
			for _, n := range names {
				if !strings.Contains(said, n) {
					t.Errorf("the sheet of %s does not name %s", x.ID, n)
				}
			}
			staff, err2 := v.PersonNames(append(append([]id.Person{}, x.Instructors...), x.Rescuers...)...)
			for _, n := range staff {
				if !strings.Contains(said, n) {
					t.Errorf("the sheet of %s does not name %s", x.ID, n)
				}
			}
			if err == nil {
				err = err2
			}
			return err
		})
		for _, want := range []string{"Ratio required 1 to ", "Wind at the rig", "signature", "session " + string(x.ID)} {
			if !strings.Contains(said, want) {
				t.Errorf("the sheet of %s lacks %q", x.ID, want)
			}
		}
		pencilled := x.State == session.Pencilled
		if pencilled && !strings.Contains(said, "Do not start.") {
			t.Errorf("the sheet of the pencilled session %s does not say that it may not start", x.ID)
		}
	}
}

// TestWithoutAPlanInForceTheCardSaysThatTheSessionStops withdraws the plan of a
// station that has sessions to come.
func TestWithoutAPlanInForceTheCardSaysThatTheSessionStops(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	ref := s.reference()
	var of session.Session
	s.read(func(v *store.View) error {
		ahead, err := v.BookedAfter(v.Now())
		for _, x := range ahead {
			if st, _ := ref.Stations.On(x.Station, monday); st.Height && of.ID == "" {
				of = x
			}
		}
		return err
	})
	at := "/sessions/" + string(of.ID)
	said := text(parse(t, r.get(at+"/rescue-card")))
	if !strings.Contains(said, "What to do") || !strings.Contains(said, "Reach a casualty within") || strings.Contains(said, "The session stops") {
		t.Fatalf("the card of a plan in force: %q", said)
	}
	var plans []any
	for _, key := range ref.RescuePlans.Keys() {
		for _, version := range ref.RescuePlans.Versions(key) {
			plan := version.Value
			plan.Withdrawn = monday
			plans = append(plans, plan)
		}
	}
	s.putAll("withdrawn", plans...)
	w := r.get(at + "/rescue-card")
	if said := text(parse(t, w)); w.Code != http.StatusOK || !strings.Contains(said, "The session stops: nobody goes up.") || strings.Contains(said, "What to do") {
		t.Errorf("without a plan: %d, %q", w.Code, said)
	}
	if said := text(parse(t, r.get(at+"/sheet"))); !strings.Contains(said, "Do not start. No rescue plan is in force") && !strings.Contains(said, "No rescue plan is in force for this station") {
		t.Errorf("the sheet does not say it: %q", said)
	}
}

// putAll writes records beside the journeys.
func (s *site) putAll(act string, records ...any) {
	s.Helper()
	cmd := store.Command{Key: "beside " + act, Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(s.Context(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		for _, x := range records {
			if _, err := tx.Put(act, tx.Today(), x); err != nil {
				return "", err
			}
		}
		return "", nil
	})
	if err != nil {
		s.Fatal(err)
	}
}
