package httpd

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/signing"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
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

// TestAPaperSaysWhatTheSessionsPageSays compares what stops a session, and how many
// of its cautions wait, on its papers and on its page: two ways through the records
// that must end alike.
func TestAPaperSaysWhatTheSessionsPageSays(t *testing.T) {
	s := open(t)
	actor := s.actorOf(access.Instructor)
	desk, papers := booking.New(s.store), signing.New(s.store)
	stops, waits := 0, 0
	shut := "/stations/" + string(s.ahead()[0].Station) + "/shut"
	if w := s.as(access.Instructor).post(shut, vals("reason", "fault", "from", monday.String(), "from_time", "08:00")); w.Code != http.StatusSeeOther {
		t.Fatalf("%s: %d", shut, w.Code)
	}
	for _, x := range s.ahead() {
		sheet, err := desk.Sheet(t.Context(), actor, x.ID)
		if err != nil {
			t.Fatal(err)
		}
		p, err := papers.Paper(t.Context(), actor, x.ID)
		if err != nil {
			t.Fatal(err)
		}
		of := func(list []verdict.Finding) (out []string) {
			for _, f := range list {
				out = append(out, f.Subject())
			}
			slices.Sort(out)
			return out
		}
		page, paper := of(sheet.Judged.Report.At(verdict.Stops)), of(p.Stops)
		if !slices.Equal(page, paper) || len(sheet.Judged.Waits) != p.Waits {
			t.Errorf("session %s: stopped by %q and %d wait on its page, %q and %d on paper", x.ID, page, len(sheet.Judged.Waits), paper, p.Waits)
		}
		stops, waits = stops+len(page), waits+p.Waits
	}
	if stops == 0 || waits == 0 {
		t.Errorf("%d stops and %d waits were compared: the test says little", stops, waits)
	}
}
