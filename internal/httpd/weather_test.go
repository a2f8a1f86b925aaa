package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"rungbook/internal/access"
)

// aReading is a form that is clear.
func aReading(key string, more ...string) url.Values {
	f := vals("key", key, "mean", "5,2", "gust", "7.8", "averaging", "ten-minutes", "instrument", "mast", "height", "10", "celsius", "12", "ice", "none", "thunder", "no")
	for i := 0; i < len(more); i += 2 {
		f.Set(more[i], more[i+1])
	}
	return f
}

func (r *reader) weather() string {
	r.Helper()
	w := r.get("/yard/weather")
	if w.Code != http.StatusOK {
		r.Fatalf("/yard/weather: %d", w.Code)
	}
	return text(parse(r.TB, w))
}

func TestAReadingIsKeptJudgedAndListed(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	if said := r.weather(); !strings.Contains(said, "The last reading is of") || strings.Contains(said, "Not below") {
		t.Errorf("the demo's morning: %.400s", said)
	}
	if w := r.post("/yard/weather/reading", aReading("gale", "mean", "9,9", "gust", "14,0", "note", "A squall from the west.")); w.Code != http.StatusSeeOther {
		t.Fatalf("a gale: %d: %s", w.Code, text(parse(t, w)))
	}
	said := r.weather()
	for _, want := range []string{"Gust", "14.0 m/s at 10.0 m", "below 14.0 m/s", "A squall from the west.", "9.9, gust 14.0"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	rows := s.as(access.Auditor).taken("/lists/readings.json?from=" + monday.String() + "&until=" + monday.String()).Rows
	found := false
	for _, row := range rows {
		found = found || row["Mean in dm/s"] == 99.0 && row["Gust in dm/s"] == 140.0 && row["Note"] == "A squall from the west."
	}
	if !found {
		t.Errorf("the auditor's list lacks it: %v", rows)
	}
	if got := s.as(access.Auditor).weather(); strings.Contains(got, "Keep this reading") {
		t.Error("an auditor is offered the form")
	}
}

func TestAReadingThatCannotBeComesBackWithWhatWasTyped(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	for name, c := range map[string]struct {
		form url.Values
		says string
	}{
		"no mean":          {aReading("a", "mean", ""), "Give the mean wind."},
		"two commas":       {aReading("b", "mean", "1.234,5"), "is not a number"},
		"a gust too small": {aReading("c", "gust", "5.1"), "never below the mean"},
		"no ice":           {aReading("d", "ice", ""), "Choose one."},
		"no thunder":       {aReading("e", "thunder", ""), "Say whether thunder was heard."},
		"of later":         {aReading("f", "at", "08:01"), "It is not that late yet."},
		"of no station":    {aReading("g", "station", "nowhere"), "There is no such station."},
		"humidity":         {aReading("h", "humidity", "101"), "from 1 to 100"},
	} {
		w := r.post("/yard/weather/reading", c.form)
		page := parse(t, w)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(page), c.says) {
			t.Errorf("%s: %d, want %q: %.300s", name, w.Code, c.says, text(page))
		}
		if body := w.Body.String(); !strings.Contains(body, `value="7.8"`) && c.form.Get("gust") == "7.8" {
			t.Errorf("%s: what was typed is gone", name)
		}
	}
}

func TestThunderIsOneTapAndStopsTheYardForItsWait(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	r.tap(parse(t, r.get("/yard/weather")), "Thunder heard now")
	said := r.weather()
	for _, want := range []string{"Stop, bring people down", "Work may resume at 08:30"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, path := range []string{"/", "/yard"} {
		if page := text(parse(t, r.get(path))); !strings.Contains(page, "hunder") {
			t.Errorf("%s does not tell of thunder", path)
		}
	}
}

func TestAForecastIsACautionOfItsDay(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	if w := r.post("/yard/weather/forecast", vals("key", "f", "day", monday.String(), "mean", "11", "gust", "16", "height", "10", "thunder", "yes", "ice", "none")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	said := r.weather()
	for _, want := range []string{"Forecast mean wind", "Thunderstorms are forecast"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if w := r.post("/yard/weather/forecast", vals("key", "g", "day", (monday-1).String(), "mean", "11", "height", "10")); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("of yesterday: %d", w.Code)
	}
	for _, unsaid := range []string{"thunder", "ice"} {
		f := vals("key", "h"+unsaid, "day", monday.String(), "mean", "4", "height", "10", "thunder", "no", "ice", "none")
		f.Del(unsaid)
		if w := r.post("/yard/weather/forecast", f); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "to be expected.") {
			t.Errorf("a forecast that does not say %s: %d", unsaid, w.Code)
		}
	}
}

func FuzzDecimalOf(f *testing.F) {
	for _, s := range []string{"6.2", "6,2", "−3", "1.234,5", "", "-", "99999999999999999999", "0x10", "\xff", "१", ".5", "5,"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, ok := decimalOf(text, 1)
		swapped, also := decimalOf(strings.NewReplacer(",", ".", ".", ",").Replace(text), 1)
		if ok != also || n != swapped {
			t.Errorf("%q: %d (%t), with its decimal signs exchanged %d (%t)", text, n, ok, swapped, also)
		}
		if ok && strings.ContainsAny(text, "eExXnN") {
			t.Errorf("%q is read as %d", text, n)
		}
	})
}
