package httpd

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// spareComplaint is a complaint that a walk may do with as it likes.
func (s *site) spareComplaint() string {
	s.Helper()
	cmd := store.Command{Key: "spare complaint", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		of := "spare-complaint"
		_, err := tx.Put("received", 0, complaint.Complaint{ID: "spare-complaint", Kind: complaint.Grievance, Way: complaint.ByLetter, Received: monday,
			From: tx.Seal(of, "from", "A neighbour"), Text: tx.Seal(of, "text", "The gate bangs at night."), Recorded: complaint.Signed{By: cmd.Actor.Person, At: tx.Now()}})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-complaint"
}

// formed sends the form of a page that has a button with some words, with what is
// filled in; ticked fields take their value.
func (r *reader) formed(page *html.Node, words string, fill url.Values) *httptest.ResponseRecorder {
	r.Helper()
	button := find(page, func(n *html.Node) bool { return n.Data == "button" && strings.Contains(text(n), words) })
	if button == nil {
		r.Fatalf("no button %q on the page: %s", words, text(page))
	}
	form := button.Parent
	for form.Data != "form" {
		form = form.Parent
	}
	send := url.Values{}
	for n := range form.Descendants() {
		if n.Data == "input" && attr(n, "type") == "hidden" {
			send.Set(attr(n, "name"), attr(n, "value"))
		}
	}
	for name, values := range fill {
		if find(form, func(n *html.Node) bool { return attr(n, "name") == name }) == nil {
			r.Fatalf("the form %q asks for no %s", words, name)
		}
		send[name] = values
	}
	return r.post(attr(form, "action"), send)
}

// done is formed where what is sent is to be taken; it returns the page it leads to.
func (r *reader) done(page *html.Node, words string, fill url.Values) *html.Node {
	r.Helper()
	w := r.formed(page, words, fill)
	if w.Code != http.StatusSeeOther {
		r.Fatalf("%q: %d: %s", words, w.Code, text(parse(r, w)))
	}
	return parse(r, r.get(w.Header().Get("Location")))
}

func (r *reader) page(path string) *html.Node { r.Helper(); return parse(r, r.get(path)) }

func wants(t *testing.T, page *html.Node, what string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text(page), w) {
			t.Errorf("%s does not say %q: %s", what, w, text(page))
		}
	}
}

// TestAnAppealGoesFromTheTraineesPathToADecisionTheyRead files from the path, answers
// as the administrator, is refused the decision, decides as another.
func TestAnAppealGoesFromTheTraineesPathToADecisionTheyRead(t *testing.T) {
	s := open(t)
	trainee, clerk, boss := s.as(access.TraineeRole), s.as(access.Administrator), s.as(access.Instructor)
	link := find(trainee.page("/path"), func(n *html.Node) bool { return n.Data == "a" && strings.HasPrefix(text(n), "Complain or appeal") })
	form := trainee.page(attr(link, "href"))
	wants(t, form, "the form", "Something dangerous is told by voice", "Rungbook is not the alarm")
	if w := trainee.formed(form, "File it", vals("kind", "appeal")); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "Write what it is about.") {
		t.Errorf("filed without a word: %d", w.Code)
	}
	against := find(form, func(n *html.Node) bool {
		return n.Data == "option" && strings.HasPrefix(attr(n, "value"), "not-given:")
	})
	mine := trainee.done(form, "File it", vals("kind", "appeal", "against", attr(against, "value"), "text", "I was promised a date.\nNone came."))
	wants(t, mine, "their own page", "Filed.", "I was promised a date.", "First answer by")

	list := clerk.page("/complaints")
	at := attr(find(list, func(n *html.Node) bool { return n.Data == "a" && strings.HasPrefix(text(n), "Appeal of Mon 12 Apr") }), "href")
	one := clerk.done(clerk.page(at), "Note this answer", vals("answer", "It is here, and looked at."))
	one = clerk.done(one, "Note who is involved", vals("nobody", "yes"))
	wants(t, one, "the page", "may not decide it: they answered it", "Folasade Okunrinboye may decide it.", "Eluned Vaughan-Prys")
	if find(one, func(n *html.Node) bool { return n.Data == "button" && strings.Contains(text(n), "Decide this") }) != nil {
		t.Error("who answered is offered to decide")
	}
	forced := clerk.post(at+"/decide", vals("key", "forced", "rev", "3", "outcome", "not-upheld", "reason", "No."))
	if forced.Code != http.StatusForbidden || !strings.Contains(text(parse(t, forced)), "Gráinne Ní Mhaolchatha may not decide it: they answered it.") {
		t.Errorf("who answered decides: %d", forced.Code)
	}
	wants(t, trainee.page("/complaints/mine"), "their own page", "It is here, and looked at.", "Answered.")

	one = boss.page(at)
	if w := boss.formed(one, "Decide this appeal", vals("outcome", "upheld", "reason", "A date was promised.")); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "Write what is done about it.") {
		t.Errorf("upheld, and nothing is done: %d", w.Code)
	}
	one = boss.done(one, "Decide this appeal", vals("outcome", "upheld", "reason", "A date was promised.", "done", "The date is given today."))
	wants(t, one, "the page", "Decided.", "upheld", "by Folasade Okunrinboye")
	own := trainee.page("/complaints/mine")
	wants(t, own, "their own page", "Decided on Mon 12 Apr: upheld.", "A date was promised.", "The date is given today.")
	if strings.Contains(text(own), "Gráinne") || strings.Contains(text(own), "Folasade") {
		t.Error("their own page names who answered or decided")
	}
	if w := boss.post(at+"/answer", vals("key", "late", "rev", "4", "answer", "More.")); w.Code != http.StatusConflict {
		t.Errorf("answered after the decision: %d", w.Code)
	}
	one = clerk.done(clerk.page(at), "Open this appeal again", vals("reason", "The date was wrong."))
	wants(t, one, "the page", "It is open again.", "Opened again", "Nobody who may handle complaints had no part in it.")
}

func TestASignedSessionOfOnesOwnLeadsToAnAppealAgainstItsResult(t *testing.T) {
	one := func(of id.Session, state session.State, trainee id.Trainee) records.Attended {
		return records.Attended{Session: session.Session{ID: of, State: state, Trainees: []id.Trainee{"another", trainee}}}
	}
	rec := records.Person{Enrolments: []records.Enrolment{{Trainee: people.Trainee{ID: "then"}}, {Trainee: people.Trainee{ID: "now"}}},
		Sessions: []records.Attended{one("to come", session.Booked, "now"), one("short", session.CutShort, "now"), one("long ago", session.SignedOff, "then"), one("taught", session.SignedOff, "else"), one("down", session.StoodDown, "now")}}
	got := appealsOf(rec)
	for at, against := range map[string]string{"short": "result:short:now", "long ago": "result:long ago:then"} {
		if q := strings.TrimPrefix(got["/sessions/"+at].Href, "/complaints/new?"); q != (url.Values{"kind": {"appeal"}, "against": {against}}).Encode() {
			t.Errorf("%s leads to %q", at, q)
		}
	}
	if len(got) != 2 {
		t.Errorf("appeals: %v", got)
	}
}

func TestWhoIsInvolvedReadsThatItIsThereAndNoMore(t *testing.T) {
	s := open(t)
	clerk, boss := s.as(access.Administrator), s.as(access.Instructor)
	form := clerk.page("/complaints/came")
	one := clerk.done(form, "Write it down", vals("kind", "complaint", "way", "letter", "received", monday.String(), "filer", "other", "from", "Somebody’s mother",
		"text", "A harsh word fell.", "about", string(s.actorOf(access.Instructor).Person)))
	wants(t, one, "the page", "A harsh word fell.", "Somebody’s mother", "they are named by whoever filed it")
	at := attr(find(one, func(n *html.Node) bool { return n.Data == "form" && strings.HasSuffix(attr(n, "action"), "/answer") }), "action")
	at = strings.TrimSuffix(at, "/answer")
	for name, r := range map[string]*reader{"who it is about": boss, "an auditor": s.as(access.Auditor)} {
		page := r.page(at)
		wants(t, page, name, "Received")
		for _, secret := range []string{"harsh", "mother", "Note this answer", "Who had a part in it"} {
			if strings.Contains(text(page), secret) {
				t.Errorf("%s reads %q", name, secret)
			}
		}
		if list := r.get("/lists/complaints.csv").Body.String(); strings.Contains(list, "harsh") || strings.Contains(list, "mother") {
			t.Errorf("%s takes the text out", name)
		}
	}
	wants(t, boss.page(at), "who it is about", "Folasade Okunrinboye may not read it: they are named by whoever filed it.")
	if w := s.as(access.TraineeRole).get(at); w.Code != http.StatusForbidden {
		t.Errorf("a trainee opens another's: %d", w.Code)
	}
}

func TestWhatIsOverdueStandsOnAttentionAndNumbersLeadToWhatTheyCount(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	wants(t, r.page("/attention"), "what needs attention", "first answer was due by", "1 complaint or appeal waits for an answer or a decision.")
	list := r.page("/complaints")
	wants(t, list, "the list", "2 complaints and appeals are open; 1 overdue.")
	links := 0
	for n := range list.Descendants() {
		if href := attr(n, "href"); strings.HasPrefix(href, "/complaints?year=") {
			links++
			page := r.page(href)
			rows := 0
			for a := range page.Descendants() {
				if a.Data == "th" && attr(a, "scope") == "row" && strings.Contains(text(a), " of ") {
					rows++
				}
			}
			if strconv.Itoa(rows) != text(n) {
				t.Errorf("%s: %d rows behind the number %s", href, rows, text(n))
			}
			file := r.taken("/lists/complaints.json" + strings.TrimPrefix(href, "/complaints"))
			if len(file.Rows) != rows {
				t.Errorf("%s: %d rows in the file, %d on the page", href, len(file.Rows), rows)
			}
		}
	}
	if links < 3 {
		t.Errorf("%d numbers lead on", links)
	}
}

func FuzzMatterOf(f *testing.F) {
	for _, m := range []string{"", "result:s:t", "session:s", "certificate:c", "not-given:t", "session:", "result::", "::", "session:a:b"} {
		f.Add(m)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m := matterOf(text)
		if again := matterOf(matterValue(m)); again != m {
			// An id never holds a colon; a form that sends one names nothing on record.
			if !strings.Contains(string(m.Session)+string(m.Trainee)+string(m.Certificate), ":") {
				t.Errorf("%q is %+v, and written again %+v", text, m, again)
			}
		}
		if m.Certificate != "" && (m.Session != "" || m.Trainee != "") {
			t.Errorf("%q is against two things: %+v", text, m)
		}
	})
}

// TestAnAppealIsMarkedOnWhatItIsAgainstAndWhoFiledItByLetterIsTold goes from a letter
// to the note that its writer was told.
func TestAnAppealIsMarkedOnWhatItIsAgainstAndWhoFiledItByLetterIsTold(t *testing.T) {
	s := open(t)
	clerk := s.as(access.Administrator)
	places := s.places()
	at := map[string]string{"certificate": "/certificates/" + places["{certificate}"], "session": "/sessions/" + places["{session}"]}
	mark := "An appeal is open against"
	for what, page := range at {
		if strings.Contains(text(clerk.page(page)), mark) {
			t.Fatalf("an appeal against the %s is open before one came", what)
		}
		against := what + ":" + places["{"+what+"}"]
		form := clerk.page("/complaints/came?kind=appeal&against=" + against)
		w := clerk.formed(form, "Write it down", vals("kind", "appeal", "against", against, "way", "letter", "received", monday.String(), "filer", "other", "from", "Somebody’s father", "text", "It was raining."))
		here := w.Header().Get("Location")
		link := func(r *reader) string {
			n := find(r.page(page), func(n *html.Node) bool { return n.Data == "strong" && strings.Contains(text(n), mark) })
			if n == nil {
				t.Fatalf("the %s's page does not tell of the appeal", what)
			}
			a := find(n, func(n *html.Node) bool { return n.Data == "a" })
			if a == nil {
				return ""
			}
			return attr(a, "href")
		}
		for name, r := range map[string]*reader{"the office": clerk, "an auditor": s.as(access.Auditor)} {
			if link(r) != here {
				t.Errorf("%s is led from the %s to %q", name, what, link(r))
			}
		}
		if body := s.as(access.Auditor).get(page).Body.String(); strings.Contains(body, "raining") || strings.Contains(body, "father") {
			t.Errorf("the %s's page tells what is sealed", what)
		}
		if what == "certificate" {
			continue // the office gave it, and so acts on nothing of it
		}
		one := clerk.done(clerk.page(here), "Note who is involved", vals("nobody", "yes"))
		if find(one, func(n *html.Node) bool { return n.Data == "button" && strings.Contains(text(n), "they were told") }) != nil {
			t.Error("told before it is decided")
		}
		decider := clerk
		if find(one, func(n *html.Node) bool { return n.Data == "button" && strings.Contains(text(n), "Decide this") }) == nil {
			decider = s.as(access.Instructor)
		}
		one = decider.done(decider.page(here), "Decide this appeal", vals("outcome", "not-upheld", "reason", "It began later."))
		wants(t, one, "the page", "not yet: they have no account", "Next: Tell whoever filed it")
		list := clerk.page("/complaints")
		wants(t, list, "the list", "2 decisions are still to be told to whoever filed it.", "Mon 12 Apr, still to be told")
		if strings.Contains(text(clerk.page(page)), mark) {
			t.Errorf("decided, and the %s's page still marks it", what)
		}
		if w := clerk.formed(one, "Note that they were told", vals("on", (monday+1).String(), "how", "phone")); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("told tomorrow: %d", w.Code)
		}
		one = clerk.done(one, "Note that they were told", vals("on", monday.String(), "how", "phone"))
		wants(t, one, "the page", "Noted.", "by phone, by Gráinne Ní Mhaolchatha", "told of the decision")
		wants(t, clerk.page("/complaints"), "the list", "1 decision is still to be told to whoever filed it.")
		for _, row := range clerk.taken("/lists/complaints.json").Rows {
			if here == "/complaints/"+row["Complaint"].(string) && (row["Told by way of"] != "phone" || row["Told on"] != monday.String() || row["Still to be told"] != "") {
				t.Errorf("the list taken out: %v", row)
			}
		}
	}
}
