package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/web"
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
		own := []string{"pre-use", "rescue-brief", "cautions-read", "warm-up", "theory-recheck", "mass", "roll"}
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

// A phone keeps the pages of a day while its reader sends forms: it sees no answer
// that is meant for the reader, and what is put down for them meanwhile stays.
func TestWhatAPhoneKeepsTellsNothingThatWasDone(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	keep := http.Header{keepHeader: {"yes"}}
	if w := r.post("/yard/weather/reading", aReading("kept")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	for _, path := range []string{"/yard/weather", "/yard"} {
		w := r.do("GET", path, nil, keep)
		if w.Code != http.StatusOK || strings.Contains(text(parse(t, w)), "The reading is kept.") || len(w.Result().Cookies()) > 0 {
			t.Errorf("%s as a phone keeps it: %d, %d cookies", path, w.Code, len(w.Result().Cookies()))
		}
	}
	if said := r.weather(); !strings.Contains(said, "The reading is kept.") {
		t.Error("the reader is not told that the reading is kept")
	}
	if w := s.visitor().do("GET", "/yard", nil, keep); w.Code == http.StatusOK {
		t.Errorf("a phone that is signed out keeps a page: %d", w.Code)
	}
}

func TestASignatureDrawnOnThePhoneIsShownAndTooLittleOfOneIsRefused(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	x := s.canStart()
	at := "/yard/sessions/" + string(x.ID)
	if got := r.post(at+"/roll", formTo(t, parse(t, r.get(at)), at+"/roll", true)); got.Code != http.StatusSeeOther {
		t.Fatalf("the roll: %d", got.Code)
	}
	if got := r.post(at+"/start", formTo(t, parse(t, r.get(at)), at+"/start", true)); got.Code != http.StatusSeeOther {
		t.Fatalf("the start: %d", got.Code)
	}
	one := at + "/trainees/" + string(x.Trainees[0])
	found := formTo(t, parse(t, r.get(one)), one, true)
	for name := range found {
		if strings.HasPrefix(name, "result-") {
			found.Set(name, "competent")
		}
		if strings.HasPrefix(name, "how-") {
			found.Set(name, "watched")
		}
	}
	if got := r.post(one, found); got.Code != http.StatusSeeOther {
		t.Fatalf("the results: %d", got.Code)
	}
	sign := formTo(t, parse(t, r.get(one)), one+"/countersign-drawn", true)
	before := s.head()
	for drawn, says := range map[string]string{"": "Nothing is drawn", "5,5 9,9": "too little for a signature", "<svg>": "could not be read"} {
		sign.Set("drawn", drawn)
		if got := r.post(one+"/countersign-drawn", sign); got.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, got)), says) {
			t.Errorf("%q: %d, want %q", drawn, got.Code, says)
		}
	}
	if s.head() != before {
		t.Error("a signature that was refused wrote something")
	}
	sign.Set("drawn", "10,10 300,100;20,150 500,160")
	if got := r.post(one+"/countersign-drawn", sign); got.Code != http.StatusSeeOther {
		t.Fatalf("the signature: %d", got.Code)
	}
	page := parse(t, r.get(one))
	line := find(page, func(n *html.Node) bool { return n.Data == "polyline" && attr(n, "points") == "20,150 500,160" })
	if line == nil || !strings.Contains(text(page), "signature drawn") {
		t.Errorf("the page does not show the signature: %s", text(page))
	}
}

// TestWhatAPhoneLoadsFirstIsSmall counts what goes over the air before a page at the
// rig can be used: itself, its style and its scripts, as they are packed. 60 kB come
// within two seconds at 400 kbit/s.
func TestWhatAPhoneLoadsFirstIsSmall(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	x := s.canStart()
	at := "/yard/sessions/" + string(x.ID)
	packed := func(path string) int {
		w := r.do("GET", path, nil, http.Header{"Accept-Encoding": {"gzip"}})
		if w.Code != http.StatusOK || w.Header().Get("Content-Encoding") != "gzip" {
			t.Fatalf("%s: %d, packed %q", path, w.Code, w.Header().Get("Content-Encoding"))
		}
		return w.Body.Len()
	}
	for _, path := range []string{"/yard", at, at + "/pre-use", at + "/rescue-brief", at + "/sign", at + "/trainees/" + string(x.Trainees[0])} {
		all, parts := packed(path), 0
		for n := range parse(t, r.get(path)).Descendants() {
			address := attr(n, "href") + attr(n, "src")
			if n.Type == html.ElementNode && (n.Data == "script" || n.Data == "link" && attr(n, "rel") == "stylesheet") {
				all += packed(address)
				parts++
			}
		}
		if parts < 3 {
			t.Fatalf("%s loads %d parts, want its style and both scripts", path, parts)
		}
		if all > 60_000 {
			t.Errorf("%s takes %d bytes, want at most 60,000", path, all)
		}
		t.Logf("%s takes %d bytes", path, all)
	}
}

// What is ended the morning after, or waited on a phone overnight, has times of the
// session's own day.
func TestATimeTypedAtTheRigIsOneOfTheSessionsDay(t *testing.T) {
	zone := demo.Zone()
	v := &visit{today: monday + 1, now: zone.At(monday+1, 8*60), words: web.Words{Zone: zone}}
	entered := fmt.Sprint(int64(zone.At(monday, 11*60)))
	ahead := fmt.Sprint(int64(zone.At(monday+3, 11*60)))
	for name, c := range map[string]struct {
		form url.Values
		want civil.Day
	}{
		"the session's day":                   {vals("day", monday.String()), monday},
		"the session's day, entered later":    {vals("day", monday.String(), "happened", fmt.Sprint(int64(v.now))), monday},
		"kept by a phone, without the day":    {vals("happened", entered), monday},
		"a phone whose clock is fast":         {vals("happened", ahead), monday + 1},
		"nothing said":                        {vals(), monday + 1},
		"a day that is none":                  {vals("day", "the first"), monday + 1},
		"a day that is none, and when it was": {vals("day", "the first", "happened", entered), monday},
	} {
		if got := v.dayMeant(c.form); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
