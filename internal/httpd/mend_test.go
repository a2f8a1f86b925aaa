package httpd

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// coming is a booked session of one of the next days, with that day.
func (s *site) coming() (session.Session, civil.Day) {
	s.Helper()
	for _, x := range s.ahead() {
		if d := demo.Zone().DayOf(x.Start); x.State == session.Booked && monday+1 < d && d < monday+12 && len(x.Instructors) > 0 {
			return x, d
		}
	}
	s.Fatal("the demo has no session in the next days")
	return session.Session{}, 0
}

// lossForms are the four forms, filled in sound.
func (s *site) lossForms() map[string]url.Values {
	x, d := s.coming()
	return map[string]url.Values{
		"station":   vals("kind", "station", "station", string(x.Station), "reason", "fault", "from", monday.String(), "from_time", "06:00", "to", d.String(), "to_time", "22:00"),
		"weather":   vals("kind", "weather", "scope", "all", "from", d.String(), "until", d.String()),
		"person":    vals("kind", "person", "person", string(x.Instructors[0]), "from", d.String(), "from_time", "", "until", ""), // that day alone
		"no-height": vals("kind", "no-height", "person", string(x.Instructors[0]), "from", d.String(), "until", (d + 3).String()),
	}
}

// lossForm finds the form of a kind of loss on the page.
func lossForm(page *html.Node, kind string) *html.Node {
	return find(page, func(n *html.Node) bool {
		return n.Data == "form" && attr(n, "action") == "/mend/losses" &&
			find(n, func(x *html.Node) bool { return attr(x, "name") == "kind" && attr(x, "value") == kind }) != nil
	})
}

func TestALossFilledInWrongSaysWhereAndKeepsWhatWasTyped(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	cases := []struct {
		kind, name string
		wrong      url.Values
		field, say string
	}{
		{"station", "no station", vals("station", ""), "station", "Choose a station"},
		{"station", "no reason", vals("reason", ""), "reason", "Choose why"},
		{"station", "it opens before it is shut", vals("to", (monday - 1).String()), "to", "later end"},
		{"station", "no day", vals("from", "", "from_time", ""), "from", "from which"},
		{"station", "a time that is none", vals("from_time", "25:00"), "from_time", ""},
		{"weather", "no scope", vals("scope", ""), "scope", "Choose a station"},
		{"weather", "the last day before the first", vals("until", (monday - 1).String()), "until", "not before the first"},
		{"weather", "a day that is none", vals("from", "2027-02-30"), "from", ""},
		{"person", "nobody", vals("person", ""), "person", "one of the staff"},
		{"person", "back before they are gone", vals("until", monday.String()), "until", "after they are gone"},
		{"no-height", "nobody", vals("person", ""), "person", "one of the staff"},
		{"no-height", "too long", vals("until", (monday + 900).String()), "until", "within a year"},
	}
	for i, c := range cases {
		t.Run(c.kind+"/"+c.name, func(t *testing.T) {
			form := with(s.lossForms()[c.kind], c.wrong)
			form.Set("key", "wrong "+strconv.Itoa(i))
			before := s.head()
			w := r.post("/mend/losses", form)
			if w.Code != http.StatusUnprocessableEntity || s.head() != before {
				t.Fatalf("%d, %d entries written", w.Code, s.head()-before)
			}
			page := parse(t, w)
			shown := lossForm(page, c.kind)
			field := find(shown, func(n *html.Node) bool { return attr(n, "name") == c.field })
			if said := saidOf(page, field); said == "" || !strings.Contains(said, c.say) {
				t.Errorf("beside %s: %q, want %q", c.field, said, c.say)
			}
			fold := shown.Parent
			if fold.Data != "details" || !has(fold, "open") {
				t.Error("the form with the mistake is folded away")
			}
			for name, want := range form {
				if f := find(shown, func(n *html.Node) bool { return attr(n, "name") == name }); f != nil && f.Data == "input" && attr(f, "type") != "radio" && attr(f, "type") != "hidden" && attr(f, "value") != want[0] {
					t.Errorf("%s now holds %q, typed was %q", name, attr(f, "value"), want[0])
				}
			}
		})
	}
}

func TestEachLossStandsHitsAndEnds(t *testing.T) {
	for kind, want := range map[string]string{"station": ": fault", "weather": ": weather", "person": " is away", "no-height": " may teach, but not at height"} {
		t.Run(kind, func(t *testing.T) {
			s := open(t)
			r := s.as(access.Administrator)
			before := endings(parse(t, r.get("/mend")))
			w := r.post("/mend/losses", with(s.lossForms()[kind], vals("key", "lose")))
			if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/mend#hit" {
				t.Fatalf("recording it: %d to %q: %s", w.Code, w.Header().Get("Location"), text(parse(t, w)))
			}
			page := parse(t, r.get("/mend"))
			if !strings.Contains(text(page), want) {
				t.Errorf("the page doesn't say %q", want)
			}
			x, _ := s.coming()
			hit := find(page, func(n *html.Node) bool { return attr(n, "id") == "hit" })
			if kind != "no-height" && find(hit, func(n *html.Node) bool { return attr(n, "href") == "/sessions/"+string(x.ID) }) == nil {
				t.Errorf("the session is not among what is hit: %s", text(hit))
			}
			added := 0
			for at, form := range endings(page) {
				if before[at] == nil {
					added++
					form.Set("key", "end")
					if w := r.post(at, form); w.Code != http.StatusSeeOther {
						t.Errorf("ending it: %d: %s", w.Code, text(parse(t, w)))
					}
				}
			}
			if added != 1 {
				t.Errorf("%d rows can be ended, want one", added)
			}
			if after := endings(parse(t, r.get("/mend"))); len(after) != len(before) {
				t.Errorf("%d losses stand, were %d", len(after), len(before))
			}
		})
	}
}

// endings are the forms that end a loss, by address.
func endings(page *html.Node) map[string]url.Values {
	out := map[string]url.Values{}
	for n := range page.Descendants() {
		if at := attr(n, "action"); n.Data == "form" && strings.HasPrefix(at, "/mend/losses/") {
			f := url.Values{}
			for x := range n.Descendants() {
				if name := attr(x, "name"); name != "" && name != "key" {
					f.Add(name, attr(x, "value"))
				}
			}
			out[at] = f
		}
	}
	return out
}

func TestWhatIsHitIsMendedByADraft(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	x, d := s.coming()
	if w := r.post("/mend/losses", with(s.lossForms()["station"], vals("key", "lose"))); w.Code != http.StatusSeeOther {
		t.Fatalf("shutting: %d", w.Code)
	}
	asked := vals("key", "mend", "from", monday.String(), "until", (d + 4).String(), "seconds", "1")
	w := r.post("/mend", asked)
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(at, "/drafts/") {
		t.Fatalf("making a repair draft: %d: %s", w.Code, text(parse(t, w)))
	}
	of := id.Draft(strings.TrimPrefix(at, "/drafts/"))
	s.search(of)
	page := text(parse(t, r.get(at)))
	for _, want := range []string{"Repair", "as they are", "People concerned", "Before", "After"} {
		if !strings.Contains(page, want) {
			t.Errorf("the draft doesn't say %q: %.600s", want, page)
		}
	}
	touched := false
	for _, c := range s.draft(of).Changes {
		touched = touched || c.Session.ID == string(x.ID)
	}
	if !touched {
		t.Error("the session that was hit stays where it was")
	}
	if w := r.post(at+"/accept", vals("key", "accept")); w.Code != http.StatusSeeOther {
		t.Fatalf("accepting: %d: %s", w.Code, text(parse(t, w)))
	}
	if page := text(parse(t, r.get("/mend?from="+monday.String()+"&until="+(d+4).String()))); strings.Contains(page, "Make a repair draft") && !strings.Contains(page, "Repair drafts") {
		t.Error("the repair is not listed")
	}
}

func TestARepairOfWrongDaysSaysSo(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	if w := r.post("/mend/losses", with(s.lossForms()["station"], vals("key", "lose"))); w.Code != http.StatusSeeOther {
		t.Fatalf("shutting: %d", w.Code)
	}
	sound := vals("from", monday.String(), "until", (monday + 13).String(), "seconds", "10")
	for name, wrong := range map[string]url.Values{"no length": vals("seconds", ""), "no number": vals("seconds", "soon"), "over": vals("from", (monday - 7).String()), "turned round": vals("until", (monday - 1).String())} {
		form := with(maps.Clone(sound), wrong)
		form.Set("key", name)
		w := r.post("/mend", form)
		page := parse(t, w)
		if w.Code != http.StatusUnprocessableEntity || find(page, func(n *html.Node) bool {
			return slices.Contains([]string{"alert"}, attr(n, "role")) || strings.HasSuffix(attr(n, "id"), "-error")
		}) == nil {
			t.Errorf("%s: %d without a message", name, w.Code)
		}
	}
	if w := r.get("/mend?from=2027-02-30"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a day that is none: %d", w.Code)
	}
}
