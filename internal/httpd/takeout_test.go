package httpd

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"
	"github.com/xuri/excelize/v2"

	"rungbook/internal/access"
	"rungbook/internal/civil"
)

func TestAListIsTakenOutWholeInEveryFormatUnderThePagesFilter(t *testing.T) {
	s := open(t)
	r := s.as(access.Auditor)
	for _, path := range []string{"/people/list", "/certificates/list", "/intakes/list", "/week/2027-W10/list"} {
		t.Run(path, func(t *testing.T) {
			got := r.get(path + ".json")
			var list struct {
				Title string
				About []string
				Rows  []map[string]any
			}
			if err := json.Unmarshal(got.Body.Bytes(), &list); err != nil || got.Code != http.StatusOK {
				t.Fatalf("%d, %v", got.Code, err)
			}
			if len(list.Rows) < 3 || len(list.About) < 3 || !strings.Contains(list.About[0], "entry") {
				t.Errorf("%d rows; about %q", len(list.Rows), list.About)
			}
			if d := got.Header().Get("Content-Disposition"); !strings.Contains(d, "attachment") || !strings.Contains(d, ".json") {
				t.Errorf("sent as %q", d)
			}
			rows := csv.NewReader(strings.NewReader(strings.TrimPrefix(r.get(path+".csv").Body.String(), "\ufeff")))
			rows.FieldsPerRecord = -1
			if all, err := rows.ReadAll(); err != nil || len(all) != len(list.Rows)+len(list.About)+2 {
				t.Errorf("%d lines, %v, for %d rows", len(all), err, len(list.Rows))
			}
			book, err := excelize.OpenReader(bytes.NewReader(r.get(path + ".xlsx").Body.Bytes()))
			if err != nil {
				t.Fatal(err)
			}
			defer book.Close()
			if all, err := book.GetRows("List"); err != nil || len(all) != len(list.Rows)+1 {
				t.Errorf("%d rows of the workbook, %v, want %d and a head", len(all), err, len(list.Rows))
			}
		})
	}
	if n := strings.Count(r.get("/people/list.json").Body.String(), `"Part"`); n <= 100 { // a page holds 50
		t.Errorf("%d people are taken out; the list goes on after its first page", n)
	}
	all, some := r.get("/people/list.json").Body.Len(), r.get("/people/list.json?q=vaughan").Body.Len()
	if some >= all || some == 0 {
		t.Errorf("%d bytes under a filter, %d without", some, all)
	}
	if page := r.get("/people?q=vaughan").Body.String(); !strings.Contains(page, "/people/list.csv?q=vaughan") {
		t.Error("the page does not lead to its list with its filter")
	}
}

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
	for _, path := range []string{"/people/list.csv", "/certificates/list.xlsx", "/intakes/list.json", "/week/2027-W10/list.csv", "/week/2027-W10/calendar.ics"} {
		if got := r.get(path); got.Code != http.StatusForbidden {
			t.Errorf("%s: %d, want %d", path, got.Code, http.StatusForbidden)
		}
	}
}

func TestAnAddressThatWasSaidBeginsLinksAndKeepsSignInsToTLS(t *testing.T) {
	from, err := template()
	if err != nil {
		t.Fatal(err)
	}
	for address, link := range map[string]string{"": "http://", "https://yard.example": "https://yard.example/sessions/"} {
		dir := filepath.Join(t.TempDir(), "yard")
		if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(filepath.Join(dir, "rungbook.key"), 0o600); err != nil {
			t.Fatal(err)
		}
		r := serveAt(t, dir, address).as(access.Auditor)
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
