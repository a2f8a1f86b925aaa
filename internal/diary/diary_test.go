package diary

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

func TestADiaryReadsBackWithItsEventsAndLinesAreFolded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("abc ,;:\\ñ漢\"'")))
		d := Diary{Name: text.Draw(t, "name"), Made: 30_000_000}
		for i := range rapid.IntRange(0, 5).Draw(t, "events") {
			start := civil.Instant(30_000_000 + rapid.IntRange(0, 500_000).Draw(t, "start"))
			d.Events = append(d.Events, Event{ID: "s" + string(rune('a'+i)), Sequence: int64(i + 3), Period: civil.Period{Start: start, End: start.Add(90)},
				Title: text.Draw(t, "title"), Place: text.Draw(t, "place"), Note: text.Draw(t, "note"), State: State(i % 3)})
		}
		var b bytes.Buffer
		if err := d.Write(&b); err != nil {
			t.Fatal(err)
		}
		for line := range strings.SplitSeq(b.String(), "\r\n") {
			if len(line) > 75 || strings.ContainsAny(line, "\r\n") { // RFC 5545, section 3.1: 75 octets
				t.Errorf("a line of %d octets: %q", len(line), line)
			}
		}
		got, err := ics.ParseCalendar(&b)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Events()) != len(d.Events) {
			t.Fatalf("%d events, want %d", len(got.Events()), len(d.Events))
		}
		for i, e := range got.Events() {
			start, err := e.GetStartAt()
			if err != nil || start.Unix() != int64(d.Events[i].Period.Start)*60 || e.Id() != d.Events[i].ID+"@rungbook" {
				t.Errorf("event %d: %v %v %q", i, start, err, e.Id())
			}
			if p := e.GetProperty(ics.ComponentPropertySummary); d.Events[i].Title != "" && strings.TrimSpace(p.Value) != strings.TrimSpace(d.Events[i].Title) {
				t.Errorf("title %q, want %q", p.Value, d.Events[i].Title)
			}
			if p := e.GetProperty(ics.ComponentPropertySequence); p.Value != strconv.Itoa(i+3) {
				t.Errorf("sequence %q", p.Value)
			}
			status := []string{"CONFIRMED", "TENTATIVE", "CANCELLED"}[d.Events[i].State]
			if p := e.GetProperty(ics.ComponentPropertyStatus); p.Value != status {
				t.Errorf("status %q, want %q", p.Value, status)
			}
		}
	})
}
