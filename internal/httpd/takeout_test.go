package httpd

import (
	"bytes"
	"net/http"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"

	"rungbook/internal/access"
	"rungbook/internal/civil"
)

func TestACalendarHoldsTheSessionsOfTheirPageAndNobodysName(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	got := r.get("/week/2027-W10/calendar.ics")
	c, err := ics.ParseCalendar(bytes.NewReader(got.Body.Bytes()))
	if err != nil || got.Code != http.StatusOK || !strings.HasPrefix(got.Header().Get("Content-Type"), "text/calendar") {
		t.Fatalf("%d, %v", got.Code, err)
	}
	if len(c.Events()) < 10 {
		t.Errorf("%d events", len(c.Events()))
	}
	if page := r.get("/week/2027-W10").Body.String(); !strings.Contains(page, "Devanny") || strings.Contains(got.Body.String(), "Devanny") {
		t.Error("the week's page does not name who teaches, or its calendar does")
	}
	for _, e := range c.Events() {
		if e.GetProperty(ics.ComponentPropertyLocation).Value == "" {
			t.Errorf("an event without a place: %v", e)
		}
	}
	station := string(s.reference().Stations.All(civil.LastDay)[0].ID)
	for _, path := range []string{"/stations/" + station + "/calendar.ics", "/people/" + string(s.actorOf(access.Instructor).Person) + "/calendar.ics"} {
		if got := r.get(path); got.Code != http.StatusOK {
			t.Errorf("%s: %d", path, got.Code)
		}
	}
	if got := r.get("/stations/none/calendar.ics"); got.Code != http.StatusNotFound {
		t.Errorf("a station that is none: %d", got.Code)
	}
}

func TestATraineeTakesOutTheirOwnCalendarAndNoList(t *testing.T) {
	s := open(t)
	r := s.as(access.TraineeRole)
	if got := r.get("/path/calendar.ics"); got.Code != http.StatusOK || !strings.Contains(got.Body.String(), "BEGIN:VEVENT") {
		t.Errorf("own calendar: %d", got.Code)
	}
	own := r.get("/path/record.json")
	if own.Code != http.StatusOK || !strings.Contains(own.Body.String(), "Eluned Vaughan-Prys") {
		t.Errorf("own record: %d", own.Code)
	}
	for _, path := range []string{"/lists", "/sessions", "/lists/people.csv", "/lists/certificates.xlsx", "/lists/intakes.json", "/lists/sessions.csv", "/lists/entries.csv", "/people/" + string(s.actorOf(access.TraineeRole).Person) + "/record.csv", "/week/2027-W10/calendar.ics"} {
		if got := r.get(path); got.Code != http.StatusForbidden {
			t.Errorf("%s: %d, want %d", path, got.Code, http.StatusForbidden)
		}
	}
}

func TestAnAddressThatWasSaidBeginsLinksAndKeepsSignInsToTLS(t *testing.T) {
	for address, link := range map[string]string{"": "http://", "https://yard.example": "https://yard.example/sessions/"} {
		r := serveAt(t, yard.Copy(t), address).as(access.Auditor)
		for _, c := range r.cookies {
			if c.Name == "rungbook" && c.Secure != (address != "") {
				t.Errorf("address %q: the sign-in's cookie is secure: %v", address, c.Secure)
			}
		}
		c, err := ics.ParseCalendar(r.get("/week/2027-W10/calendar.ics").Body)
		if err != nil || len(c.Events()) == 0 {
			t.Fatal(err)
		}
		if got := c.Events()[0].GetProperty(ics.ComponentPropertyUrl).Value; !strings.HasPrefix(got, link) {
			t.Errorf("address %q: an event leads to %q", address, got)
		}
	}
}
