package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/store"
)

// filledIn is what a browser would send of a form that nobody touched.
func filledIn(form *html.Node) url.Values {
	out := url.Values{}
	for n := range form.Descendants() {
		if n.Type != html.ElementNode || attr(n, "name") == "" {
			continue
		}
		name := attr(n, "name")
		switch n.Data {
		case "textarea":
			out.Add(name, rawText(n))
		case "select":
			chosen := find(n, func(o *html.Node) bool { return o.Data == "option" && has(o, "selected") })
			if chosen == nil {
				chosen = find(n, func(o *html.Node) bool { return o.Data == "option" })
			}
			if chosen != nil {
				out.Add(name, attr(chosen, "value"))
			}
		case "input":
			if kind := attr(n, "type"); kind != "checkbox" && kind != "radio" || has(n, "checked") {
				out.Add(name, attr(n, "value"))
			}
		}
	}
	return out
}

func rawText(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// entries are those of one record.
func (s *site) entries(kind, of string) (out []ledger.Entry) {
	s.Helper()
	s.read(func(v *store.View) (err error) {
		out, err = v.EntriesOf(kind, of)
		return err
	})
	return out
}

// TestAFormSentAsItStandsChangesNothing opens the form of every thing of the demo
// and sends it untouched: the record's new state is the old one to the byte, so no
// form loses what it does not ask for.
func TestAFormSentAsItStandsChangesNothing(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	for _, th := range things() {
		t.Run(th.path, func(t *testing.T) {
			list := parse(t, r.get("/set-up/"+th.path))
			n := 0
			for a := range list.Descendants() {
				href := attr(a, "href")
				of, ok := strings.CutPrefix(href, "/set-up/"+th.path+"/")
				if !ok || strings.Contains(of, "/") || of == "new" {
					continue
				}
				n++
				form := formOn(parse(t, r.get(href)), href)
				if form == nil {
					t.Fatalf("%s shows no form", href)
				}
				if w := r.post(href, filledIn(form)); w.Code != http.StatusSeeOther {
					t.Fatalf("%s sent as it stands: %d: %s", href, w.Code, firstAlert(parse(t, w)))
				}
				kinds := []string{th.kind}
				if th.kind == "person" {
					kinds = append(kinds, "staff")
				}
				for _, kind := range kinds {
					list := s.entries(kind, of)
					last := list[len(list)-1]
					if len(list) > 1 && string(list[len(list)-2].Body) != string(last.Body) {
						t.Errorf("%s %s is now\n%s\nand was\n%s", kind, of, last.Body, list[len(list)-2].Body)
					}
				}
			}
			if n == 0 {
				t.Error("the demo has none")
			}
		})
	}
}

func firstAlert(page *html.Node) string {
	if n := find(page, func(n *html.Node) bool { return attr(n, "role") == "alert" }); n != nil {
		return text(n)
	}
	return ""
}

// TestAnEmptyFormSaysWhatIsMissing sends the form of every new thing with nothing
// in it.
func TestAnEmptyFormSaysWhatIsMissing(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	var addresses []string
	for _, th := range things() {
		if th.path != "yard" {
			addresses = append(addresses, "/set-up/"+th.path)
		}
	}
	places := s.places()
	for _, more := range []string{"/set-up/rule-book", "/set-up/appointments", "/set-up/inspections", "/set-up/starter", "/set-up/drills",
		"/set-up/people/{person}/qualifications", "/set-up/people/{person}/times", "/set-up/intakes/{intake}/trainees"} {
		addresses = append(addresses, fill(more, places))
	}
	for _, at := range addresses {
		t.Run(at[1:], func(t *testing.T) {
			before := s.head()
			w := r.post(at, url.Values{"key": {"empty " + at}})
			if w.Code != http.StatusUnprocessableEntity || s.head() != before {
				t.Fatalf("%d, and %d entries; want 422 and none", w.Code, s.head()-before)
			}
			page := parse(t, w)
			if firstAlert(page) == "" || formOn(page, at) == nil {
				t.Errorf("the page does not say what is missing beside the same form: %q", firstAlert(page))
			}
		})
	}
}

// TestAChangeThatSomebodyElseMadeMeanwhileIsNotOverwritten sends a form that was
// shown before another was saved.
func TestAChangeThatSomebodyElseMadeMeanwhileIsNotOverwritten(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	at := "/set-up/kits/" + string(s.reference().Kits.Keys()[0])
	early, late := filledIn(formOn(parse(t, r.get(at)), at)), filledIn(formOn(parse(t, r.get(at)), at))
	early.Set("count", "9")
	if w := r.post(at, early); w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	late.Set("count", "1")
	if w := r.post(at, late); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "changed meanwhile") {
		t.Errorf("%d, want 409 that says who was first", w.Code)
	}
	if k, _ := s.reference().Kits.On(id.Kit(strings.TrimPrefix(at, "/set-up/kits/")), monday); k.Count != 9 {
		t.Errorf("there are now %d", k.Count)
	}
}

// TestTheDrawingFollowsWhatIsTyped asks for the drawing of a tower that is not
// recorded yet.
func TestTheDrawingFollowsWhatIsTyped(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	q := vals("draw", "yes", "name", "Second tower", "kind", "tower-platform", "height", "21", "width", "4.2", "decks", "6 12.5 21", "people_max", "12")
	before := s.head()
	plain, drawn := r.get("/set-up/rigs/new").Body.String(), r.get("/set-up/rigs/new?"+q.Encode()).Body.String()
	if s.head() != before {
		t.Error("drawing saved something")
	}
	if strings.Contains(plain, "Second tower") || !strings.Contains(drawn, "Second tower") || strings.Count(drawn, "<path") <= strings.Count(plain, "<path") {
		t.Error("the drawing does not show the tower that is typed")
	}
	for _, bad := range []string{"height=-3", "height=0", "width=99999999", "height=x", "decks=1%3B1%3B99999", "kind=", "kind=blade-face"} {
		if w := r.get("/set-up/rigs/new?draw=yes&name=x&kind=tower-platform&height=10&width=4&" + bad); w.Code != http.StatusOK {
			t.Errorf("%s: %d, want the page without it", bad, w.Code)
		}
	}
}

// TestWhatARecordRestsOnIsShownBeforeAChange opens an exercise that sessions were
// held of.
func TestWhatARecordRestsOnIsShownBeforeAChange(t *testing.T) {
	s := open(t)
	ref := s.reference()
	i := slices.IndexFunc(ref.Exercises.All(monday), func(e curriculum.Exercise) bool { return ref.Text(e.Name) == "Harness and anchor" })
	said := text(parse(t, s.as(access.Administrator).get("/set-up/exercises/"+string(ref.Exercises.All(monday)[i].ID))))
	for _, want := range []string{"Who uses this", "sessions that were held", "enrolments", "programme Work at height", "History", "Counts from", "Retire this exercise"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// TestWhatRestsOnAPersonIsCounted opens the form of an instructor who has taught.
func TestWhatRestsOnAPersonIsCounted(t *testing.T) {
	s := open(t)
	said := text(parse(t, s.as(access.Administrator).get("/set-up/people/"+string(s.actorOf(access.Instructor).Person))))
	for _, want := range []string{"sessions that were held", "certificates", "These times count from"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
