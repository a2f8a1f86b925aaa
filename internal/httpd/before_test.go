package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/running"
)

// prepareAll does by its pages all that is done at the rig before a session.
func (s *site) prepareAll(sid id.Session) {
	s.Helper()
	r := s.as(access.Instructor)
	for _, b := range befores() {
		at := "/yard/sessions/" + string(sid) + "/" + b.path
		page := parse(s, r.get(at))
		if find(page, isForm(at)) == nil {
			continue // nothing to be done
		}
		if w := r.post(at, answered(s, page, at)); w.Code != http.StatusSeeOther {
			s.Fatalf("%s: %d, %s", b.path, w.Code, text(parse(s, w)))
		}
	}
}

func isForm(action string) func(*html.Node) bool {
	return func(n *html.Node) bool { return n.Data == "form" && attr(n, "action") == action }
}

// answered is a page's form with the first answer to each question: it passes, the
// first who may take a role takes it, every box is ticked.
func answered(t testing.TB, page *html.Node, action string) url.Values {
	t.Helper()
	out := url.Values{}
	for n := range find(page, isForm(action)).Descendants() {
		name := attr(n, "name")
		switch {
		case n.Type != html.ElementNode || name == "":
		case n.Data == "select":
			for o := range n.Descendants() {
				if o.Data == "option" && attr(o, "value") != "" && !out.Has(name) {
					out.Set(name, attr(o, "value"))
				}
			}
		case attr(n, "type") == "radio" && out.Has(name):
		default:
			out.Add(name, attr(n, "value"))
		}
	}
	return out
}

func TestEachThingBeforeASessionIsALineThatLeadsToItsPage(t *testing.T) {
	s := open(t)
	sid := s.canStart(func(x running.Shown) bool { return len(x.Exercise.Uses) > 0 }).ID
	// Without the check of its kit it waits again.
	r := s.as(access.Instructor)
	at := "/yard/sessions/" + string(sid) + "/pre-use"
	page := parse(t, r.get(at))
	form := answered(t, page, at)
	for name := range form {
		if strings.HasPrefix(name, "item.") {
			form.Set(name, "failed")
		}
	}
	refused := r.post(at, form)
	if refused.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, refused)), "Say what is wrong") {
		t.Fatalf("a failure without a note: %d, %s", refused.Code, text(parse(t, refused)))
	}
	for name := range form {
		if strings.HasPrefix(name, "note.") {
			form.Set(name, "A strap is cut")
		}
	}
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("keeping it: %d, %s", w.Code, text(parse(t, w)))
	}
	page = parse(t, r.get(at))
	if said := text(page); !strings.Contains(said, "A strap is cut") || !strings.Contains(said, "The check before use failed") {
		t.Errorf("the page says %q", said)
	}
	shut := find(page, func(n *html.Node) bool { return n.Data == "form" && strings.HasSuffix(attr(n, "action"), "/shut") })
	out := find(page, func(n *html.Node) bool { return n.Data == "form" && strings.HasSuffix(attr(n, "action"), "/take-out") })
	if shut == nil || out == nil {
		t.Fatal("the station can't be shut, or the kit not taken out, in one press")
	}
	run := parse(t, r.get("/yard/sessions/"+string(sid)))
	if find(run, func(n *html.Node) bool {
		return n.Data == "a" && attr(n, "href") == at && strings.Contains(text(n), "failed")
	}) == nil {
		t.Error("no line leads to the check that failed")
	}
	for _, f := range []*html.Node{shut, out} {
		if w := r.post(attr(f, "action"), answered(t, page, attr(f, "action"))); w.Code != http.StatusSeeOther {
			t.Errorf("%s: %d, %s", attr(f, "action"), w.Code, text(parse(t, w)))
		}
	}
	if said := text(parse(t, r.get("/yard/sessions/"+string(sid)))); !strings.Contains(said, "is shut") || !strings.Contains(said, "out of date") {
		t.Errorf("after shutting and taking out the page says %q", said)
	}
}

func TestTheListsOfTheCentreAreKeptOneItemALine(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	at := "/set-up/check-lists"
	page := parse(t, r.get(at))
	form := answered(t, page, at)
	form.Set("rescue-kit", "Seal is whole\r\n\r\n  Rope is dry \r\n")
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d, %s", w.Code, text(parse(t, w)))
	}
	area := find(parse(t, r.get(at)), func(n *html.Node) bool { return n.Data == "textarea" && attr(n, "name") == "rescue-kit" })
	if got := text(area); !strings.Contains(got, "Rope is dry") || strings.Contains(got, "Device") {
		t.Errorf("kept %q", got)
	}
	long := url.Values{"key": {"another"}, "rescue-kit": {strings.Repeat("x", 300)}}
	if w := r.post(at, long); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("an item of 300 characters: %d", w.Code)
	}
}

func TestWhatWasPreparedStandsOnTheDaySheetAndInTheHistory(t *testing.T) {
	s := open(t)
	sid := s.canStart(func(running.Shown) bool { return true }).ID // it is prepared by its pages
	r := s.as(access.Instructor)
	sheet, history := text(parse(t, r.get("/sessions/"+string(sid)+"/sheet"))), text(parse(t, r.get("/sessions/"+string(sid))))
	for _, want := range []string{"Check before use", "passed, ", "Warm-up"} {
		if !strings.Contains(sheet, want) {
			t.Errorf("the day sheet lacks %q", want)
		}
	}
	for _, want := range []string{"checked before use", "warmed up"} {
		if !strings.Contains(strings.ToLower(history), want) {
			t.Errorf("the history lacks %q", want)
		}
	}
}
