package httpd

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/completing"
	"rungbook/internal/running"
)

// proposed are the demo's two proposals: one that may be given, one that is held.
func (s *site) proposed() (ready, held completing.Proposal) {
	s.Helper()
	list, err := s.journeys.Completing.Proposals(context.Background(), s.actorOf(access.Administrator))
	if err != nil {
		s.Fatal(err)
	}
	if len(list.Proposals) != 2 || list.Ready() != 1 {
		s.Fatalf("%d proposals, %d ready", len(list.Proposals), list.Ready())
	}
	return list.Proposals[0], list.Proposals[1]
}

func TestACertificateThatIsProposedIsGivenOnceAndAHeldOneNot(t *testing.T) {
	s := open(t)
	ready, held := s.proposed()
	r := s.as(access.Administrator)
	for path, want := range map[string]string{
		"/attention":                             "1 certificate may be given; 1 is held.",
		"/certificates":                          `href="/proposals"`,
		"/proposals":                             "they did not countersign what was found.",
		"/proposals/" + string(ready.Trainee.ID): "Give the certificate",
		"/proposals/" + string(held.Trainee.ID):  "It can be given once nothing is missing.",
	} {
		if body := r.get(path).Body.String(); !strings.Contains(body, want) {
			t.Errorf("%s does not say %q", path, want)
		}
	}
	give := func(p completing.Proposal, key, called string) *http.Response {
		return r.post("/proposals/"+string(p.Trainee.ID)+"/give", url.Values{"key": {key}, "called": {called}}).Result()
	}
	if got := give(held, "k1", ""); got.StatusCode != http.StatusConflict {
		t.Errorf("the held one: %d, want a conflict", got.StatusCode)
	}
	if got := give(ready, "k2", "no-such-name"); got.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a name that no exercise knows: %d, want the form again", got.StatusCode)
	}
	got := give(ready, "k3", "")
	at := got.Header.Get("Location")
	if got.StatusCode != http.StatusSeeOther || !strings.HasPrefix(at, "/certificates/") {
		t.Fatalf("giving: %d to %q", got.StatusCode, at)
	}
	if again := give(ready, "k3", ""); again.Header.Get("Location") != at {
		t.Errorf("pressed twice: to %q, want %q", again.Header.Get("Location"), at)
	}
	if again := give(ready, "k4", ""); again.StatusCode != http.StatusConflict {
		t.Errorf("from another form: %d, want a conflict", again.StatusCode)
	}
	if page := r.get(at); page.Code != http.StatusOK || !strings.Contains(page.Body.String(), "Last valid day") {
		t.Errorf("the certificate's page: %d", page.Code)
	}
	if auditor := s.as(access.Auditor).get("/proposals/" + string(held.Trainee.ID)).Body.String(); strings.Contains(auditor, "/countersign") || !strings.Contains(auditor, "An administrator gives it.") {
		t.Error("the auditor is led to what they may not do, or not told who may")
	}
}

func TestACompletionIsNotedAsReportedOnceAndOverdueOnesAreLoud(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	list, err := s.journeys.Completing.ToReport(context.Background(), s.actorOf(access.Administrator))
	if err != nil || list.Late() != 1 || len(list.Reports) < 2 {
		t.Fatalf("%d to report, %d late, %v; want some and one late", len(list.Reports), list.Late(), err)
	}
	if body := r.get("/attention").Body.String(); !strings.Contains(body, "of 1 the last day has passed") || !strings.Contains(body, "Overdue") {
		t.Error("what is overdue is not said loudly")
	}
	if body := r.get("/reports").Body.String(); !strings.Contains(body, "was due by") || !strings.Contains(body, "Not on record: that this number was seen when they came") {
		t.Error("the list does not say what is due, or what is missing")
	}
	c := list.Reports[0].Certificate
	at := "/reports/" + string(c.ID)
	for name, form := range map[string]url.Values{
		"without a reference":    {"on": {monday.String()}},
		"to come":                {"on": {(monday + 1).String()}, "reference": {"R-7"}},
		"before it was complete": {"on": {(c.Completed - 1).String()}, "reference": {"R-7"}},
	} {
		form.Set("key", name)
		if got := r.post(at, form); got.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d, want the form again", name, got.Code)
		}
	}
	form := url.Values{"key": {"told"}, "on": {c.Completed.String()}, "reference": {"R-7"}}
	before := s.head()
	for range 2 {
		if got := r.post(at, form); got.Code != http.StatusSeeOther {
			t.Fatalf("noting: %d", got.Code)
		}
	}
	if n := s.head() - before; n != 1 {
		t.Errorf("%d entries, want one", n)
	}
	form.Set("key", "again")
	if got := r.post(at, form); got.Code != http.StatusConflict {
		t.Errorf("noted again: %d, want a conflict", got.Code)
	}
	if body := r.get("/certificates/" + string(c.ID)).Body.String(); !strings.Contains(body, "reference R-7") {
		t.Error("the certificate does not say that it was reported")
	}
	if body := r.get("/reports").Body.String(); strings.Contains(body, at+`"`) {
		t.Error("it is still to be reported")
	}
}

func TestWhatWasNotCountersignedOnTheDayIsCountersignedLater(t *testing.T) {
	s := open(t)
	cheap := *running.Hashing
	running.Hashing.Memory, running.Hashing.Iterations = 64, 1
	t.Cleanup(func() { *running.Hashing = cheap })
	_, held := s.proposed()
	r := s.as(access.Administrator)
	at := "/sessions/" + string(held.Holds[0].Session.ID) + "/trainees/" + string(held.Trainee.ID) + "/countersign"
	one, err := s.journeys.Running.SignedOf(context.Background(), s.actorOf(access.Administrator), held.Holds[0].Session.ID, held.Trainee.ID)
	if err != nil {
		t.Fatal(err)
	}
	form := url.Values{"key": {"c1"}, "rev": {fmt.Sprint(one.Rev)}, "results": {fmt.Sprint(one.ResultsRev)}, "code": {"short"}}
	if got := r.post(at, form); got.Code != http.StatusUnprocessableEntity || !strings.Contains(got.Body.String(), "at least 6 characters") {
		t.Errorf("a short code: %d", got.Code)
	}
	if got := s.as(access.TraineeRole).get(at); got.Code != http.StatusNotFound {
		t.Errorf("another trainee: %d, want not found", got.Code)
	}
	form.Set("code", "long enough")
	if got := r.post(at, form); got.Code != http.StatusSeeOther {
		t.Fatalf("countersigning: %d", got.Code)
	}
	if body := r.get(at).Body.String(); !strings.Contains(body, "Countersigned Mon 12 Apr") {
		t.Error("the page does not say when it was countersigned")
	}
	if body := r.get("/proposals").Body.String(); !strings.Contains(body, "2 certificates may be given.") {
		t.Error("the other certificate is held still")
	}
}

func TestATraineeWhoForgotTheirCodeTypesANewOneTwiceBesideWhoSawThem(t *testing.T) {
	s := open(t)
	cheap := *running.Hashing
	running.Hashing.Memory, running.Hashing.Iterations = 64, 1
	t.Cleanup(func() { *running.Hashing = cheap })
	_, held := s.proposed()
	sid, of := held.Holds[0].Session.ID, held.Trainee.ID
	r, base := s.as(access.Administrator), "/sessions/"+string(sid)+"/trainees/"+string(of)
	one, err := s.journeys.Running.SignedOf(context.Background(), s.actorOf(access.Administrator), sid, of)
	if err != nil {
		t.Fatal(err)
	}
	sign := func(key, code string, want int) {
		t.Helper()
		form := url.Values{"key": {key}, "rev": {fmt.Sprint(one.Rev)}, "results": {fmt.Sprint(one.ResultsRev)}, "code": {code}}
		if got := r.post(base+"/countersign", form); got.Code != want {
			t.Fatalf("countersigning with %q: %d, want %d: %s", code, got.Code, want, text(parse(t, got)))
		}
	}
	renew := func(r *reader, want int, kv ...string) string {
		t.Helper()
		w := r.post(base+"/own-code", with(vals("key", strings.Join(kv, "-"), "rev", "1", "identity", "picture-document", "code", "another one", "again", "another one"), vals(kv...)))
		if w.Code != want {
			t.Fatalf("%v: %d, want %d: %s", kv, w.Code, want, text(parse(t, w)))
		}
		return w.Body.String()
	}
	const bad = http.StatusUnprocessableEntity
	if none := r.get(base + "/own-code").Body.String(); !strings.Contains(none, "They have chosen no code yet") || strings.Contains(none, `name="code"`) {
		t.Error("where no code was chosen a new one is asked for")
	}
	renew(r, http.StatusConflict, "key", "none yet")
	if !strings.Contains(r.get(base+"/countersign").Body.String(), base+"/own-code") {
		t.Error("the page to countersign on does not lead to it")
	}
	sign("first", "long enough", http.StatusSeeOther)
	if said := renew(r, bad, "again", "another on"); !strings.Contains(said, "not the same") || strings.Contains(said, "another on") {
		t.Error("two codes that differ are not told, or stand on the page")
	}
	if said := renew(r, bad, "identity", ""); !strings.Contains(said, "Say how you saw who they are.") {
		t.Error("identity is not asked for")
	}
	renew(r, bad, "code", "long enough", "again", "long enough")
	renew(s.as(access.Auditor), http.StatusForbidden, "key", "auditor")
	renew(s.as(access.TraineeRole), http.StatusForbidden, "key", "trainee")
	renew(r, http.StatusSeeOther, "key", "anew")
	sign("old", "long enough", bad)
	sign("new", "another one", http.StatusConflict) // it is theirs, and what was signed before stays signed
	page := parse(t, r.get(base+"/own-code"))
	table := find(page, func(n *html.Node) bool { return n.Data == "table" && strings.Contains(text(n), "Codes chosen") })
	if table == nil {
		t.Fatalf("the codes are in no table: %.700s", text(page))
	}
	rows := []string{}
	for n := range table.Descendants() {
		if n.Data == "tr" && strings.Contains(text(n), "Mon 12 Apr") {
			rows = append(rows, text(n))
		}
	}
	if len(rows) != 2 || !strings.Contains(strings.Join(rows, "\n"), "At their first countersignature") || !strings.Contains(strings.Join(rows, "\n"), "A document with their picture was seen") || !strings.Contains(strings.Join(rows, "\n"), "Ní Mhaolchatha") {
		t.Errorf("the table reads %q", rows)
	}
}
