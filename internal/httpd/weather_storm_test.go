package httpd

import (
	"net/http"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/rig"
)

// outdoors returns a rig that stands outdoors, with one of its stations.
func (s *site) outdoors() (rig.Rig, rig.Station) {
	s.Helper()
	ref := s.reference()
	for _, r := range ref.Rigs.All(monday) {
		for _, st := range ref.Stations.All(monday) {
			if st.Rig == r.ID && r.Kind == rig.TowerPlatform && st.Height {
				return r, st
			}
		}
	}
	s.Fatal("the demo has no tower")
	return rig.Rig{}, rig.Station{}
}

func TestAfterAStormEveryRigOutdoorsWaitsUntilItsInspectionPassed(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	tower, deck := s.outdoors()
	page := "/rigs/" + string(tower.ID)
	said := func(path string) string { return text(parse(t, r.get(path))) }
	waits := "waits for its inspection after the storm of"
	if strings.Contains(said(page), waits) {
		t.Fatal("it waits though nothing blew")
	}
	if w := r.post("/yard/weather/reading", aReading("storm", "mean", "9.9", "gust", "17.0", "at", "07:40")); w.Code != http.StatusSeeOther {
		t.Fatalf("the reading: %d", w.Code)
	}
	for _, at := range []string{page, "/stations/" + string(deck.ID), "/yard/weather", "/"} {
		if !strings.Contains(said(at), waits) {
			t.Errorf("%s does not say that it waits", at)
		}
	}
	if got := said("/yard"); !strings.Contains(got, "after the storm of") {
		t.Errorf("the day on the phone does not tell of it: %.300s", got)
	}
	if w := r.get(page + "?do=inspection&line=inspection.storm"); !strings.Contains(w.Body.String(), `value="inspection.storm" selected`) {
		t.Error("the link does not lead to the form of it")
	}
	record := func(key, clock, result string, want int) string {
		t.Helper()
		w := r.post("/inspections", vals("key", key, "subject", string(tower.ID), "line", "inspection.storm", "done", monday.String(), "done_time", clock, "result", result, "note", "typed & kept"))
		if w.Code != want {
			t.Fatalf("%s: %d, want %d: %.400s", key, w.Code, want, text(parse(t, w)))
		}
		return text(parse(t, w))
	}
	if got := record("no time", "", "passed", http.StatusUnprocessableEntity); !strings.Contains(got, "Give the time at which it ended.") || !strings.Contains(got, "typed & kept") {
		t.Errorf("without its time: %.400s", got)
	}
	record("before it blew", "07:30", "passed", http.StatusSeeOther)
	if !strings.Contains(said(page), waits) {
		t.Error("an inspection from before the storm lets it be used")
	}
	record("failed", "07:50", "failed", http.StatusSeeOther)
	if got := said(page); !strings.Contains(got, "failed on") || !strings.Contains(got, waits) {
		t.Error("one that failed lets it be used")
	}
	record("passed", "07:55", "passed", http.StatusSeeOther)
	if got := said(page); strings.Contains(got, waits) {
		t.Errorf("it waits though one passed: %.600s", got)
	}
}

func TestAStormThatNobodyReadIsToldAndKeepsWhatWasTyped(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	tower, _ := s.outdoors()
	night := func(key string, kv ...string) []string {
		return append([]string{"key", key, "from_day", (monday - 1).String(), "from", "22:10", "at_day", monday.String(), "at", "03:40", "gust", "", "note", "Two signs lay in the yard."}, kv...)
	}
	for name, c := range map[string]struct {
		kv   []string
		says string
	}{
		"over before it began": {[]string{"from_day", monday.String(), "from", "04:00"}, "It was over before it began."},
		"of later":             {[]string{"at", "08:01"}, "It is not that late yet."},
		"no beginning":         {[]string{"from_day", "", "from", ""}, "Give when it began."},
		"no end":               {[]string{"at_day", "", "at", ""}, "Give when it was over."},
		"long ago":             {[]string{"from_day", (monday - 40).String(), "at_day", (monday - 40).String(), "from", "01:00"}, "within 31 days"},
		"no number":            {[]string{"gust", "strong"}, "not a number"},
	} {
		w := r.post("/yard/weather/storm", with(vals(night(name)...), vals(c.kv...)))
		if got := text(parse(t, w)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(got, c.says) || !strings.Contains(got, "Two signs lay in the yard.") {
			t.Errorf("%s: %d, want %q: %.300s", name, w.Code, c.says, got)
		}
	}
	if n := s.reference().Storms.Len(); n != 0 {
		t.Fatalf("%d storms were kept of forms that were refused", n)
	}
	if w := r.post("/yard/weather/storm", vals(night("told")...)); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	got := text(parse(t, r.get("/yard/weather")))
	for _, want := range []string{"To be inspected after a storm", "storm that passed, from", "Two signs lay in the yard."} {
		if !strings.Contains(got, want) {
			t.Errorf("the weather does not say %q", want)
		}
	}
	stops := false
	for _, one := range s.as(access.Auditor).taken("/lists/readings.json?from=" + monday.String() + "&until=" + monday.String()).Rows {
		stops = stops || strings.HasPrefix(one["What"].(string), "storm that passed")
	}
	if !stops {
		t.Error("the auditor's list of readings lacks it")
	}
	if got := text(parse(t, r.get("/attention"))); !strings.Contains(got, "after the storm of") {
		t.Errorf("no booked session of %s needs attention", tower.ID)
	}
	if s.reference().Storms.All(civil.LastDay)[0].From == 0 {
		t.Error("when it began is lost")
	}
	if got := text(parse(t, s.as(access.Auditor).get("/yard/weather"))); strings.Contains(got, "Keep this storm") || !strings.Contains(got, "To be inspected after a storm") {
		t.Error("an auditor is offered the form, or does not see what waits")
	}
}
