package httpd

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/store"
)

// holdWriter takes the one writer as a long list does; the function it returns
// gives it back.
func (s *site) holdWriter() (end func()) {
	s.Helper()
	begun, release, done := make(chan error, 1), make(chan struct{}), make(chan error, 1)
	go func() {
		_, err := s.store.Write(context.Background(), store.Command{Key: "long", Actor: s.actorOf(access.Administrator), Role: access.Administrator}, func(tx *store.Tx) (store.Outcome, error) {
			begun <- tx.Long("A large list is being brought in", 10_000_000)
			<-release
			return "", nil
		})
		done <- err
	}()
	if err := <-begun; err != nil {
		s.Fatal(err)
	}
	return func() {
		close(release)
		if err := <-done; err != nil {
			s.Fatal(err)
		}
	}
}

func TestWhoWritesBesideALongListIsToldWhenAndKeepsTheForm(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	path := "/stations/" + s.places()["{station}"] + "/shut"
	day := (monday + 1).String()
	form := vals("key", "beside", "reason", "fault", "from", day, "from_time", "01:00", "to", day, "to_time", "06:00")
	end := s.holdWriter()
	before := s.head()
	w := r.post(path, form)
	if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "A large list is being brought in.") {
		t.Errorf("got %d, Retry-After %q: %s", w.Code, w.Header().Get("Retry-After"), text(parse(t, w)))
	}
	again, action := hiddenOf(parse(t, w), "Send it again")
	if action != path {
		t.Fatalf("the form that is kept goes to %q, not to %s", action, path)
	}
	for name := range form {
		if again.Get(name) != form.Get(name) {
			t.Errorf("%s: %q was sent, %q is kept", name, form.Get(name), again.Get(name))
		}
	}
	if w := r.get("/"); w.Code != http.StatusOK {
		t.Errorf("reading beside a long list: %d", w.Code)
	}
	end()
	if s.head() != before {
		t.Error("something was saved")
	}
	if w := r.post(path, again); w.Code != http.StatusSeeOther || s.head() == before {
		t.Errorf("sent again: %d, and nothing new on record: %t", w.Code, s.head() == before)
	}
}

func TestAPasswordIsNotKeptOnAPage(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	defer s.holdWriter()()
	w := r.post("/account/password", vals("key", "beside", "current", "carrowmoyle-demo", "password", longEnough, "again", longEnough))
	if w.Code != http.StatusServiceUnavailable || strings.Contains(w.Body.String(), longEnough) {
		t.Errorf("got %d: %s", w.Code, text(parse(t, w)))
	}
}

// hiddenOf returns what the form of a button holds, and where it goes.
func hiddenOf(n *html.Node, button string) (out url.Values, action string) {
	out = url.Values{}
	form := find(n, func(e *html.Node) bool {
		return e.Data == "form" && find(e, func(b *html.Node) bool { return b.Data == "button" && text(b) == button }) != nil
	})
	if form == nil {
		return out, ""
	}
	for d := range form.Descendants() {
		if d.Type == html.ElementNode && d.Data == "input" && attr(d, "type") == "hidden" {
			out.Add(attr(d, "name"), attr(d, "value"))
		}
	}
	return out, attr(form, "action")
}
