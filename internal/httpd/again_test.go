package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func TestAfterStandingDownTheTraineesAreOfferedOtherTimesToBookInOnePress(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	var x session.Session
	s.read(func(v *store.View) error {
		ahead, err := v.BookedAfter(v.Now())
		for _, one := range ahead {
			if x.ID == "" && one.State == session.Booked && len(one.Trainees) > 1 && v.Zone().DayOf(one.Start) > monday {
				x = one
			}
		}
		return err
	})
	at := "/sessions/" + string(x.ID)
	f := formTo(t, parse(t, r.get(at+"/stand-down")), at+"/stand-down", false)
	f.Set("reason", "weather")
	w := r.post(at+"/stand-down", f)
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), at+"/again") {
		t.Fatalf("%d, to %q", w.Code, w.Header().Get("Location"))
	}
	page := parse(t, r.get(at+"/again"))
	if said := text(page); !strings.Contains(said, "wait: it was stood down") || !strings.Contains(said, "free time") {
		t.Fatalf("the page says %q", said)
	}
	for _, path := range []string{at, "/attention"} {
		if find(parse(t, r.get(path)), func(n *html.Node) bool { return attr(n, "href") == at+"/again" }) == nil {
			t.Errorf("%s does not lead to the other times", path)
		}
	}
	var person string
	s.read(func(v *store.View) error {
		list, err := v.Trainees(x.Trainees[0])
		person = string(list[0].Person)
		return err
	})
	if said := text(parse(t, r.get("/people/"+person))); !strings.Contains(said, "Waits for another time") {
		t.Errorf("their page does not say that they wait: %s", said)
	}
	sent := url.Values{}
	for n := range formOn(page, "/book").Descendants() {
		if attr(n, "name") != "" {
			sent.Add(attr(n, "name"), value(n))
		}
	}
	if w := r.post("/book", sent); w.Code != http.StatusSeeOther {
		t.Fatalf("booking the offer: %d, %s", w.Code, text(parse(t, w)))
	}
	if said := text(parse(t, r.get(at+"/again"))); len(sent["trainee"]) == len(x.Trainees) && !strings.Contains(said, "Nobody waits") {
		t.Errorf("after all are booked: %q", said)
	}
	if said := text(parse(t, s.as(access.Auditor).get(at))); strings.Contains(said, "nobody waits for another") {
		t.Errorf("the session's page says %q", said)
	}
}

func TestASessionThatStandsLeavesNobodyWaiting(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	var x session.Session
	s.read(func(v *store.View) error {
		ahead, err := v.BookedAfter(v.Now())
		x = ahead[len(ahead)-1]
		return err
	})
	w := r.get("/sessions/" + string(x.ID) + "/again")
	if said := text(parse(t, w)); w.Code != http.StatusOK || !strings.Contains(said, "nobody waits") {
		t.Errorf("%d: %s", w.Code, said)
	}
	if w := r.get("/sessions/none/again"); w.Code != http.StatusNotFound {
		t.Errorf("no session: %d", w.Code)
	}
}
