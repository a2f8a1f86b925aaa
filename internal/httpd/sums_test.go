package httpd

import (
	"net/http"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/sums"
)

func TestASumShowsItsStepsAndRefusesFieldByField(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	for _, x := range sums.All() {
		page := parse(t, r.get("/sums/"+x.Name))
		example := find(page, func(n *html.Node) bool { return n.Data == "a" && text(n) == "Look at an example" })
		said := text(parse(t, r.get(attr(example, "href"))))
		for _, want := range []string{x.Title, x.Formula, x.Source, x.Holds, "never an approval", "Formula"} {
			if !strings.Contains(said, want) {
				t.Errorf("%s: its example does not say %q", x.Name, want)
			}
		}
	}
	said := text(parse(t, r.get("/sums/sling-tension?mass=1000&legs=two&angle=45,0")))
	for _, want := range []string{"6.937 kN in each leg", "load angle factor = 1 / cos 45° = 1.414"} {
		if !strings.Contains(said, want) {
			t.Errorf("the sling does not say %q: %.500s", want, said)
		}
	}
	for query, want := range map[string]string{
		"mass=1000&legs=two&angle=60.1": "60.1 ° is out of range.", "mass=1.000,5&legs=two&angle=45": "is not a number", "mass=1000&angle=45": "Choose one.", "mass=&legs=two&angle=45": "Nothing stands here.",
	} {
		w := r.get("/sums/sling-tension?" + query)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), want) {
			t.Errorf("%s: %d, does not say %q", query, w.Code, want)
		}
	}
	if w := r.get("/sums/no-such"); w.Code != http.StatusNotFound {
		t.Errorf("no such sum: %d", w.Code)
	}
}
