//go:build browser

package browsertest

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"
	"github.com/xuri/excelize/v2"
)

// TestAnAuditorTakesListsOutUnderTheFilterThatIsSet narrows sessions to a rig and a
// month, takes them and their attendance out, and finds every other list by the page
// that names them.
func TestAnAuditorTakesListsOutUnderTheFilterThatIsSet(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "auditor", func(t *testing.T, p *Page) {
		p.menu("Week")
		p.Click("link", "sessions of any days")
		p.WantH1("Sessions")
		p.Fill("First day", "2027-02-01")
		p.Fill("Last day", "2027-02-28")
		rig := p.Options("Rig")[1]
		p.Choose("Rig", rig)
		p.Click("button", "Show")
		p.WantSound()
		shown := p.Within("table", "Sessions by start").lines()
		if len(shown) < 5 {
			t.Fatalf("%d sessions of %s in a month", len(shown), rig)
		}
		name, text := p.Download("link", "CSV")
		rows := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
		rows.FieldsPerRecord = -1
		all, err := rows.ReadAll()
		if err != nil || name != "Sessions 2027-02-01 to 2027-02-28.csv" {
			t.Fatalf("%s: %v", name, err)
		}
		about, list := all[:7], all[7:] // the title, who and as of when, three filters, and the heads
		if said := strings.Join(flat(about), "; "); !strings.Contains(said, "Rig: "+rig) || !strings.Contains(said, "Taken out by ") || !strings.Contains(said, "entry ") {
			t.Errorf("the file is about %q", said)
		}
		for _, row := range list {
			if row[3] != rig {
				t.Errorf("a session on %s in the file of %s", row[3], rig)
			}
		}
		if len(list) < len(shown) || len(shown) < 100 && len(list) != len(shown) {
			t.Errorf("%d sessions in the file, %d on the page", len(list), len(shown))
		}
		_, text = p.Download("link", "Attendance as XLSX")
		book, err := excelize.OpenReader(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		defer book.Close()
		present, err := book.GetRows("List")
		if err != nil || len(present) <= len(list) || present[1][2] != rig {
			t.Errorf("%d rows of attendance, %v", len(present), err)
		}
		p.Click("link", "all lists")
		p.WantH1("Lists to take out")
		p.WantSound()
		_, text = p.Download("link", "Ledger as JSON")
		var ledger struct{ Rows []map[string]any }
		if err := json.Unmarshal(text, &ledger); err != nil || len(ledger.Rows) < 1000 || ledger.Rows[0]["Entry"] != 0.0 {
			t.Errorf("%d entries, %v", len(ledger.Rows), err)
		}
	})
}

func flat(rows [][]string) (out []string) {
	for _, r := range rows {
		out = append(out, r...)
	}
	return out
}

// TestAPersonTakesTheirWholeRecordAndCalendarAlong does so as staff of a person, and as
// a trainee of their own.
func TestAPersonTakesTheirWholeRecordAndCalendarAlong(t *testing.T) {
	t.Parallel()
	for _, role := range []string{"instructor", "trainee"} {
		t.Run(role, func(t *testing.T) {
			readers(t, []Look{Phone, DesktopNoScript}, role, func(t *testing.T, p *Page) {
				if role == "instructor" {
					p.menu("People")
					p.Click("link", p.Within("table", "People").Names("rowheader")[0])
				}
				name, text := p.Download("link", "XLSX")
				book, err := excelize.OpenReader(bytes.NewReader(text))
				if err != nil {
					t.Fatal(err)
				}
				defer book.Close()
				if sheets := strings.Join(book.GetSheetList(), ", "); sheets != "Path, Certificates, Sessions, Hours, Results, Appointments, About" {
					t.Errorf("%s has the sheets %s", name, sheets)
				}
				sessions, err := book.GetRows("Sessions")
				if err != nil || len(sessions) < 2 {
					t.Errorf("%d rows of sessions, %v", len(sessions), err)
				}
				_, text = p.Download("link", "calendar")
				c, err := ics.ParseCalendar(bytes.NewReader(text))
				if err != nil || len(c.Events()) < len(sessions)-1 {
					t.Errorf("%d events for %d sessions, %v", len(c.Events()), len(sessions)-1, err)
				}
			})
		})
	}
}
