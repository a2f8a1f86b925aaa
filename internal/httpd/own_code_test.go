package httpd

import (
	"net/http"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
)

func TestARunningSessionsPageLeadsTheOfficeToANewCodeForEachTrainee(t *testing.T) {
	s := open(t)
	r, office := s.as(access.Instructor), s.as(access.Administrator)
	x := s.canStart()
	at, page := "/yard/sessions/"+string(x.ID), "/sessions/"+string(x.ID)
	links := func(who *reader) (out []string) {
		for n := range who.page(page).Descendants() {
			if n.Type == html.ElementNode && n.Data == "a" && strings.HasSuffix(attr(n, "href"), "/own-code") {
				out = append(out, attr(n, "href"))
			}
		}
		return out
	}
	if got := links(office); len(got) > 0 {
		t.Errorf("before it runs: %v", got)
	}
	for _, do := range []string{"/roll", "/start"} {
		if w := r.post(at+do, formTo(t, r.page(at), at+do, true)); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d", do, w.Code)
		}
	}
	got := links(office)
	if len(got) != len(x.Trainees) {
		t.Fatalf("%d trainees, led to %v", len(x.Trainees), got)
	}
	for n, of := range x.Trainees {
		if want := page + "/trainees/" + string(of) + "/own-code"; got[n] != want || office.get(want).Code != http.StatusOK {
			t.Errorf("led to %q, want %q", got[n], want)
		}
	}
	if got := links(s.as(access.Auditor)); len(got) > 0 {
		t.Errorf("an auditor is led to %v", got)
	}
}
