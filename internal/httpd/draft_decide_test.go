package httpd

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/drafting"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func (s *site) draft(of id.Draft) drafting.Draft {
	s.Helper()
	d, err := s.drafts.Draft(context.Background(), s.actorOf(access.Administrator), of)
	if err != nil {
		s.Fatal(err)
	}
	return d
}

func (s *site) ahead() (list []session.Session) {
	s.Helper()
	s.read(func(v *store.View) (err error) { list, err = v.BookedAfter(v.Now()); return err })
	return list
}

func TestAnAcceptedDraftIsBookedOnceAndItsPeopleAreTicked(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	of := s.found()
	at := "/drafts/" + string(of)
	d := s.draft(of)
	if len(d.Changes) == 0 || len(d.Concerned) < 2 {
		t.Fatalf("the demo's draft changes %d sessions of %d people", len(d.Changes), len(d.Concerned))
	}
	asked := text(parse(t, r.get(at+"/accept")))
	for _, want := range []string{"are concerned: ", "Accepting tells nobody", acceptButton(d)} {
		if !strings.Contains(asked, want) {
			t.Errorf("the page before accepting doesn't say %q", want)
		}
	}
	before := len(s.ahead())
	for range 2 { // the same form sent twice
		w := r.post(at+"/accept", vals("key", "accept"))
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != at+"#people" {
			t.Fatalf("accepting: %d to %q: %s", w.Code, w.Header().Get("Location"), text(parse(t, w)))
		}
	}
	if got := len(s.ahead()); got != before+len(d.Changes) {
		t.Errorf("%d sessions are to come, were %d before %d were accepted", got, before, len(d.Changes))
	}
	page := r.get(at).Body.String()
	if !strings.Contains(page, "Accepted by ") || strings.Contains(page, at+"/accept") || strings.Contains(page, at+"/discard") {
		t.Error("the page doesn't say that the draft was accepted, or still offers to decide")
	}

	if w := r.post(at+"/told", vals("key", "none")); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("nobody ticked: %d", w.Code)
	}
	if w := r.post(at+"/told", vals("key", "stranger", "person", "nobody")); w.Code != http.StatusNotFound {
		t.Errorf("a stranger ticked: %d", w.Code)
	}
	if page := text(parse(t, r.get(at))); !strings.Contains(page, "; nobody is noted as told.") {
		t.Error("the page doesn't say that nobody was told yet")
	}
	told := url.Values{"key": {"two"}, "person": {string(d.Concerned[0].Person), string(d.Concerned[1].Person)}}
	if w := r.post(at+"/told", told); w.Code != http.StatusSeeOther {
		t.Errorf("two ticked: %d", w.Code)
	}
	if page := text(parse(t, r.get(at))); !strings.Contains(page, "; 2 were told.") || !strings.Contains(page, "2 people noted as told.") {
		t.Error("the page doesn't say that two were told")
	}
}

func TestADraftThatNoLongerHoldsIsNotBookedAndSaysWhy(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	first, second := s.start(s.wish()), s.start(s.wish())
	s.search(first, second)
	if w := r.post("/drafts/"+string(first)+"/accept", vals("key", "first")); w.Code != http.StatusSeeOther {
		t.Fatalf("the first draft: %d", w.Code)
	}
	before := s.head()
	w := r.post("/drafts/"+string(second)+"/accept", vals("key", "second"))
	page := parse(t, w)
	if w.Code != http.StatusConflict || s.head() != before {
		t.Fatalf("a draft that plans the same again: %d, %d entries written", w.Code, s.head()-before)
	}
	for _, want := range []string{"Nothing of this draft was booked", "Stops", "Found", "Plan it anew", "Back to the draft"} {
		if !strings.Contains(text(page), want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

func TestADiscardedDraftBooksNothing(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	at := "/drafts/" + string(s.found())
	before := s.head()
	if yard := r.get("/").Body.String(); !strings.Contains(yard, at+`">Draft `) {
		t.Error("the yard's page doesn't say that a draft waits for a decision")
	}
	if yard := s.as(access.Instructor).get("/").Body.String(); strings.Contains(yard, "/drafts/") {
		t.Error("an instructor is told of a draft")
	}
	if w := r.post(at+"/discard", vals("key", "d")); w.Code != http.StatusSeeOther || s.head() != before {
		t.Fatalf("discarding: %d", w.Code)
	}
	if page := text(parse(t, r.get(at))); !strings.Contains(page, "Discarded by ") || !strings.Contains(page, "Nothing of it was booked.") {
		t.Error("the page doesn't say that it was discarded")
	}
	if yard := r.get("/").Body.String(); strings.Contains(yard, at) {
		t.Error("the yard's page still asks for a decision")
	}
	if w := r.post(at+"/accept", vals("key", "a")); w.Code != http.StatusConflict || s.head() != before {
		t.Errorf("accepting it then: %d", w.Code)
	}
	if w := r.get(at + "/accept"); w.Header().Get("Location") != at {
		t.Errorf("asking to accept it leads to %q", w.Header().Get("Location"))
	}
}

func TestADraftRunAgainIsTheSameToTheByte(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	first := s.found()
	w := r.post("/drafts/"+string(first)+"/again", vals("key", "again"))
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || at == "/drafts/"+string(first) {
		t.Fatalf("running it again: %d to %q", w.Code, at)
	}
	s.search(id.Draft(strings.TrimPrefix(at, "/drafts/")))
	if page := text(parse(t, r.get(at))); !strings.Contains(page, "its plan is the same to the byte") {
		t.Errorf("the page says %.500q", page)
	}
	both := "/drafts/" + string(first) + "/against/" + strings.TrimPrefix(at, "/drafts/")
	if find(parse(t, r.get("/drafts/"+string(first))), func(n *html.Node) bool { return attr(n, "href") == both }) == nil {
		t.Errorf("the first draft offers no comparison at %s", both)
	}
	page := text(parse(t, r.get(both)))
	for _, want := range []string{"They were searched for the same problem.", "the same in both."} {
		if !strings.Contains(page, want) {
			t.Errorf("%s doesn't say %q", both, want)
		}
	}
	if strings.Contains(page, "better") || strings.Contains(page, "Sessions that differ") {
		t.Error("one of two equal drafts is called better")
	}
}

func TestADraftWithoutAPlanCantBeCompared(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	found, waits := s.found(), s.start(s.wish())
	if w := r.get("/drafts/" + string(found) + "/against/" + string(waits)); w.Code != http.StatusConflict || !strings.Contains(text(parse(t, w)), "has no plan to compare") {
		t.Errorf("%d", w.Code)
	}
}
