package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// bookTrial books a drill without trainees from the Book page and returns its path.
func (s *site) bookTrial(r *reader) string {
	s.Helper()
	for _, e := range s.reference().Exercises.All(monday) {
		if len(e.Stations) == 0 {
			continue
		}
		q := url.Values{"exercise": {string(e.ID)}, "intake": {""}, "trial": {"drill"}, "from": {(monday + 1).String()}, "until": {(monday + 5).String()}}
		w := r.get("/book?" + q.Encode())
		page := parse(s, w)
		if w.Code != http.StatusOK {
			s.Fatalf("asking for a trial: %d, %s", w.Code, text(page))
		}
		form := find(page, isForm("/book"))
		if form == nil || !strings.Contains(text(page), "credits nobody") {
			continue
		}
		at := page
		sent := url.Values{}
		for n := range find(at, func(n *html.Node) bool {
			return n.Data == "form" && attr(n, "action") == "/book" && attr(n, "method") == "post"
		}).Descendants() {
			if attr(n, "name") != "" {
				sent.Add(attr(n, "name"), value(n))
			}
		}
		if sent.Get("trial") != "drill" || len(sent["trainee"]) > 0 {
			s.Fatalf("what is sent: %v", sent)
		}
		booked := r.post("/book", sent)
		if booked.Code != http.StatusSeeOther {
			s.Fatalf("booking a trial: %d, %s", booked.Code, text(parse(s, booked)))
		}
		return booked.Header().Get("Location")
	}
	s.Fatal("no trial finds a time")
	return ""
}

func TestATrialIsBookedFromThePageAndEveryPageSaysSo(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	at := s.bookTrial(r)
	sid := id.Session(strings.TrimPrefix(at, "/sessions/"))
	var x session.Session
	s.read(func(v *store.View) error { row, err := v.Session(sid); x = row.Value; return err })
	if !x.Trial || x.TrialOf != session.TrialDrill {
		t.Fatalf("booked %+v", x)
	}
	day := demo.Zone().DayOf(x.Start)
	for path, says := range map[string]string{
		at: "Trial session: drill", at + "/sheet": "trial: drill", "/week/" + day.WeekString(): "trial: drill", "/day/" + day.String(): "trial: drill",
		at + "/people": "For trial: drill", "/yard/sessions/" + string(sid): "Trial session: drill", "/yard/sessions/" + string(sid) + "/sign": "nothing is noted of anybody",
	} {
		w := r.get(path)
		if w.Code == http.StatusSeeOther {
			w = r.get(w.Header().Get("Location"))
		}
		if said := text(parse(t, w)); w.Code != http.StatusOK || !strings.Contains(said, says) {
			t.Errorf("%s: %d, without %q: %s", path, w.Code, says, said)
		}
	}
	q := url.Values{"exercise": {string(x.Exercise)}, "intake": {""}, "trial": {"rehearsal"}, "from": {(monday + 1).String()}, "until": {(monday + 5).String()}}
	if w := r.get("/book?" + q.Encode()); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "what the trial is for") {
		t.Errorf("a trial of nothing: %d", w.Code)
	}
}

func TestOthersJoinAndLeaveOnTheSessionsPage(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	at := s.bookTrial(r)
	form := func(change ...string) url.Values {
		f := url.Values{"person": {""}}
		for n := range find(parse(t, r.get(at)), func(n *html.Node) bool { return isForm(at+"/others")(n) && strings.Contains(text(n), "Let them join") }).Descendants() {
			if attr(n, "type") == "hidden" {
				f.Add(attr(n, "name"), attr(n, "value"))
			}
		}
		for i := 0; i < len(change); i += 2 {
			f.Set(change[i], change[i+1])
		}
		return f
	}
	if w := r.post(at+"/others", form("visitor", "Solvei Marchetti", "as", "auditor")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	for _, path := range []string{at, at + "/sheet"} {
		if said := text(parse(t, r.get(path))); !strings.Contains(said, "Solvei Marchetti") || !strings.Contains(said, "auditor") || !strings.Contains(said, "for others") {
			t.Errorf("%s does not name the auditor: %s", path, said)
		}
	}
	if said := text(parse(t, r.get(at+"/rescue-card"))); !strings.Contains(said, "1 other") && strings.Contains(said, "On the station") {
		t.Errorf("the card counts nobody else: %s", said)
	}
	before := s.head()
	w := r.post(at+"/others", form("visitor", "", "as", "observer"))
	if w.Code != http.StatusUnprocessableEntity || s.head() != before || !strings.Contains(text(parse(t, w)), "Choose one of the staff") {
		t.Errorf("nobody joins: %d, %s", w.Code, text(parse(t, w)))
	}
	w = r.post(at+"/others", form("visitor", strings.Repeat("long", 80), "as", "observer"))
	if page := parse(t, w); w.Code != http.StatusUnprocessableEntity || s.head() != before || !strings.Contains(text(page), "at most 200") {
		t.Errorf("a name without end: %d, %s", w.Code, text(page))
	}
	sid := id.Session(strings.TrimPrefix(at, "/sessions/"))
	full := ""
	for range 40 {
		if w := r.post(at+"/others", form("visitor", "One more", "as", "visitor")); w.Code == http.StatusUnprocessableEntity {
			page := parse(t, w)
			full = text(page)
			if f := find(page, func(n *html.Node) bool { return attr(n, "name") == "visitor" }); f == nil || value(f) != "One more" {
				t.Error("the name typed is lost")
			}
			break
		}
	}
	if !strings.Contains(full, "Not changed. Stops:") {
		t.Errorf("forty visitors, and: %q", full)
	}
	var x session.Session
	s.read(func(v *store.View) error { row, err := v.Session(sid); x = row.Value; return err })
	leave := form("leave", string(x.Others[0]))
	if w := r.post(at+"/others", leave); w.Code != http.StatusSeeOther {
		t.Errorf("leaving: %d, %s", w.Code, text(parse(t, w)))
	}
	s.read(func(v *store.View) error {
		row, err := v.Session(sid)
		if len(row.Value.Others) != len(x.Others)-1 {
			t.Errorf("%d others, %d before one left", len(row.Value.Others), len(x.Others))
		}
		return err
	})
	if page := parse(t, s.as(access.Auditor).get(at)); find(page, isForm(at+"/others")) != nil {
		t.Error("who may change nobody is offered to")
	}
}

func TestAVisitorJoinsAtTheRigAndIsOnTheMuster(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	x := s.canStart()
	at := "/yard/sessions/" + string(x.ID)
	roll := formTo(t, parse(t, r.get(at)), at+"/roll", true)
	roll["here"] = slices.DeleteFunc(roll["here"], func(who string) bool { // one trainee has room beside them
		return strings.HasPrefix(who, "trainee:") && who != "trainee:"+string(x.Trainees[0])
	})
	if w := r.post(at+"/roll", roll); w.Code != http.StatusSeeOther {
		t.Fatalf("the roll: %d", w.Code)
	}
	f := formTo(t, parse(t, r.get(at)), at+"/swap", false)
	f.Set("person", "")
	f.Set("visitor", "Perrin Oake")
	f.Set("part", "instructor")
	if w := r.post(at+"/swap", f); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "by name alone") {
		t.Errorf("a visitor who teaches: %d", w.Code)
	}
	f.Set("key", "another")
	f.Set("part", "other:visitor")
	if w := r.post(at+"/swap", f); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	for path, want := range map[string][]string{at: {"Perrin Oake", "visitor, came"}, "/yard/here": {"Perrin Oake", "visitor"}} {
		said := text(parse(t, r.get(path)))
		for _, w := range want {
			if !strings.Contains(said, w) {
				t.Errorf("%s does not say %q: %s", path, w, said)
			}
		}
	}
}
