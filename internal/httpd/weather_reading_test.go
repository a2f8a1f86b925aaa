package httpd

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"rungbook/internal/access"
)

var readingAt = regexp.MustCompile(`/yard/weather/readings/[^"/]+`)

// correctedReading is a form that corrects a reading as it was entered by aReading.
func correctedReading(key, rev string, more ...string) map[string][]string {
	f := aReading(key, append([]string{"rev", rev, "why", "entered-wrongly", "what", "The figures were exchanged."}, more...)...)
	return f
}

func TestAMistypedGustIsCorrectedAndBothStayReadable(t *testing.T) {
	s := open(t)
	r, other := s.as(access.Instructor), s.as(access.Administrator)
	tower, _ := s.outdoors()
	waits, rigAt := "waits for its inspection after the storm of", "/rigs/"+string(tower.ID)
	if w := r.post("/yard/weather/reading", aReading("slip", "mean", "9.9", "gust", "61")); w.Code != http.StatusSeeOther {
		t.Fatalf("the reading: %d", w.Code)
	}
	said := func(who *reader, at string) string { return text(parse(t, who.get(at))) }
	if !strings.Contains(said(r, rigAt), waits) {
		t.Fatal("a gust of 61 m/s is no storm")
	}
	at := readingAt.FindString(strings.SplitN(r.get("/yard/weather").Body.String(), `id="readings"`, 2)[1])
	for name, c := range map[string]struct {
		form map[string][]string
		code int
		says string
	}{
		"no reason":       {correctedReading("a", "1", "gust", "16", "why", ""), 422, "Choose why it is corrected."},
		"nothing differs": {correctedReading("b", "1", "mean", "9.9", "gust", "61", "thunder", "no"), 422, "Nothing differs"},
		"below the mean":  {correctedReading("c", "1", "mean", "9.9", "gust", "6"), 422, "never below the mean"},
		"of before":       {correctedReading("d", "0", "gust", "16"), 409, "This was changed meanwhile"},
	} {
		w := r.post(at+"/correct", c.form)
		if got := text(parse(t, w)); w.Code != c.code || !strings.Contains(got, c.says) {
			t.Errorf("%s: %d, want %q: %.400s", name, w.Code, c.says, got)
		}
	}
	if w := s.as(access.Auditor).post(at+"/correct", correctedReading("e", "1", "gust", "16")); w.Code != http.StatusForbidden {
		t.Errorf("an auditor corrects: %d", w.Code)
	}
	if w := r.get(at); !strings.Contains(w.Body.String(), `value="61.0"`) {
		t.Error("the form does not begin with what stands")
	}
	if w := r.post(at+"/correct", correctedReading("f", "1", "mean", "9.9", "gust", "11.6")); w.Code != http.StatusSeeOther {
		t.Fatalf("corrected: %d: %s", w.Code, text(parse(t, w)))
	}
	for page, wants := range map[string][]string{
		"/yard/weather": {"corrected; it said 9.9, gust 61.0", "9.9, gust 11.6", "so it said before it was corrected", "waits for a second person"},
		at:              {"Corrected", "entered wrongly", "The figures were exchanged.", "What it said before", "9.9, gust 61.0", "9.9, gust 11.6", "You corrected it."},
		"/":             {"and corrected"},
		rigAt:           {waits},
	} {
		got := said(r, page)
		for _, want := range wants {
			if !strings.Contains(got, want) {
				t.Errorf("%s does not say %q: %.900s", page, want, got)
			}
		}
	}
	if got := said(s.as(access.Auditor), at); strings.Contains(got, "Correct it") || strings.Contains(got, "Agree that") || !strings.Contains(got, "gust 61.0") {
		t.Error("an auditor does not read both, or is offered the forms")
	}
	if w := r.post(at+"/agree", vals("key", "alone", "rev", "2")); w.Code != http.StatusForbidden {
		t.Errorf("who corrected it agrees: %d", w.Code)
	}
	if w := other.post(at+"/agree", vals("key", "two", "rev", "2")); w.Code != http.StatusSeeOther {
		t.Fatalf("a second person: %d: %s", w.Code, text(parse(t, w)))
	}
	if got := said(r, rigAt); strings.Contains(got, waits) {
		t.Error("two people agree, and the rig waits")
	}
	if got := said(r, "/yard/weather"); !strings.Contains(got, "so it said before it was corrected") || strings.Contains(got, "waits for a second person") {
		t.Error("what it stopped is clear without a new reading, or still waits for a second person")
	}
	if got := said(r, at); !strings.Contains(got, "Agreed by") {
		t.Error("the page does not say who agreed")
	}
	for _, row := range s.as(access.Auditor).taken("/lists/readings.json?from=" + monday.String() + "&until=" + monday.String()).Rows {
		if row["Gust in dm/s"] == 116.0 && (row["Gust before, dm/s"] != 610.0 || row["Reason"] != "entered wrongly: The figures were exchanged.") {
			t.Errorf("the list says %v", row)
		}
	}
}

func TestAStormToldByMistakeIsStruckOut(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	if w := r.post("/yard/weather/storm", vals("key", "told", "from_day", (monday-1).String(), "from", "22:10", "at_day", monday.String(), "at", "03:40")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	at := ""
	for _, part := range strings.Split(r.get("/yard/weather").Body.String(), "<tr>") {
		if strings.Contains(part, "storm that passed, from") {
			at = readingAt.FindString(part)
		}
	}
	if w := r.post(at+"/correct", vals("key", "c", "rev", "1", "why", "never-so", "what", "It was the town’s siren.")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	if got := text(parse(t, r.get("/yard/weather"))); !strings.Contains(got, "struck out: never so") || !strings.Contains(got, "waits for a second person") || !strings.Contains(got, "To be inspected after a storm") {
		t.Errorf("struck out by one person: %.900s", got)
	}
	if w := r.post(at+"/correct", vals("key", "d", "rev", "2", "why", "never-so")); w.Code != http.StatusConflict {
		t.Errorf("struck out twice: %d", w.Code)
	}
	s.as(access.Administrator).tap(parse(t, s.as(access.Administrator).get(at)), "Agree that it is right now")
	if got := text(parse(t, r.get("/yard/weather"))); strings.Contains(got, "To be inspected after a storm") || !strings.Contains(got, "struck out: never so") {
		t.Errorf("two people agree, and it stands or is gone: %.900s", got)
	}
}
