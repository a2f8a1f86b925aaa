package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// canStart is a session that everything but the roll lets start now.
func (s *site) canStart(want ...func(running.Shown) bool) session.Session {
	s.Helper()
	desk := running.New(s.store)
	var all []session.Session
	s.read(func(v *store.View) (err error) {
		all, err = v.SessionsBetween(v.Zone().StartOfDay(monday), v.Zone().StartOfDay(monday+1))
		return err
	})
	for _, x := range all {
		shown, err := desk.Show(s.Context(), s.actorOf(access.Instructor), x.ID)
		if err != nil {
			s.Fatal(err)
		}
		own := []string{"pre-use", "rescue-brief", "cautions-read", "warm-up", "theory-recheck", "roll"}
		if len(want) > 0 && !want[0](shown) {
			continue
		}
		if x.State != session.Booked || slices.ContainsFunc(running.Shut(shown.Gates, x.State), func(g running.Gate) bool { return !slices.Contains(own, g.Name) }) {
			continue
		}
		s.prepareAll(x.ID)
		if shown, err = desk.Show(s.Context(), s.actorOf(access.Instructor), x.ID); err != nil {
			s.Fatal(err)
		}
		if shut := running.Shut(shown.Gates, x.State); len(shut) == 1 && shut[0].Name == "roll" {
			return x
		}
	}
	s.Fatal("no session can start at this moment")
	return session.Session{}
}

// formTo returns the fields of the page's form that leads to an address.
func formTo(t *testing.T, page *html.Node, action string, tick bool) url.Values {
	t.Helper()
	f := find(page, func(n *html.Node) bool { return n.Data == "form" && attr(n, "action") == action })
	if f == nil {
		t.Fatalf("the page has no form to %s", action)
	}
	out := url.Values{}
	for n := range f.Descendants() {
		if n.Type != html.ElementNode || attr(n, "name") == "" {
			continue
		}
		if attr(n, "type") == "checkbox" && !tick && !has(n, "checked") {
			continue
		}
		out.Add(attr(n, "name"), value(n))
	}
	return out
}

func TestASessionIsStartedFromThePhoneOnlyWhenTheRollIsCalled(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	x := s.canStart()
	at := "/yard/sessions/" + string(x.ID)
	page := r.get(at)
	if page.Code != http.StatusOK || !strings.Contains(text(parse(t, page)), "The roll is not called") {
		t.Fatalf("%d: %s", page.Code, text(parse(t, page)))
	}
	before := s.head()
	refused := r.post(at+"/start", formTo(t, parse(t, page), at+"/start", false))
	if refused.Code != http.StatusUnprocessableEntity || s.head() != before || !strings.Contains(text(parse(t, refused)), "Not started") {
		t.Fatalf("started without a roll: %d, %d entries", refused.Code, s.head()-before)
	}
	if w := r.post(at+"/roll", formTo(t, parse(t, page), at+"/roll", true)); w.Code != http.StatusSeeOther {
		t.Fatalf("the roll: %d, %s", w.Code, text(parse(t, w)))
	}
	page = r.get(at)
	if w := r.post(at+"/start", formTo(t, parse(t, page), at+"/start", false)); w.Code != http.StatusSeeOther {
		t.Fatalf("starting: %d, %s", w.Code, text(parse(t, w)))
	}
	said := text(parse(t, r.get(at)))
	if !strings.Contains(said, "under way") || strings.Contains(said, "bring people down") {
		t.Errorf("the page says %q", said)
	}
	// Everybody goes but is not ended: people come down and it is paused.
	gone := formTo(t, parse(t, r.get(at)), at+"/roll", false)
	gone.Del("here")
	if w := r.post(at+"/roll", gone); w.Code != http.StatusSeeOther {
		t.Fatalf("the roll of nobody: %d", w.Code)
	}
	if said = text(parse(t, r.get(at))); !strings.Contains(said, "Stop, bring people down") || !strings.Contains(said, "paused") {
		t.Errorf("the page says %q", said)
	}
}

func TestARefusedTimeKeepsWhatWasTicked(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	at := "/yard/sessions/" + string(s.canStart().ID)
	form := formTo(t, parse(t, r.get(at)), at+"/roll", true)
	form.Set("at", "23:59")
	w := r.post(at+"/roll", form)
	page := parse(t, w)
	again := formTo(t, page, at+"/roll", false)
	if w.Code != http.StatusUnprocessableEntity || len(again["here"]) != len(form["here"]) || again.Get("at") != "23:59" || !strings.Contains(text(page), "still to come") {
		t.Errorf("%d, ticked %d of %d: %s", w.Code, len(again["here"]), len(form["here"]), text(page))
	}
}

func TestWhoMayNotRunASessionSeesItWithoutButtons(t *testing.T) {
	s := open(t)
	at := "/yard/sessions/" + string(s.canStart().ID)
	w := s.as(access.Auditor).get(at)
	page := parse(t, w)
	if w.Code != http.StatusOK || find(page, func(n *html.Node) bool { return n.Data == "form" && strings.HasPrefix(attr(n, "action"), at) }) != nil {
		t.Errorf("%d: an auditor is offered a form", w.Code)
	}
}
