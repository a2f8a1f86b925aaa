package httpd

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

func TestARunningSessionIsNamedThoughOnlyAPieceOfItsKitIsOut(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	var of rig.Item
	for _, i := range s.reference().Items.All(monday) {
		if s.reference().Text(i.Serial) == "CM-H101" {
			of = i
		}
	}
	kit, _ := s.reference().Kits.On(of.Kit, monday)
	if kit.Count < 2 {
		t.Fatalf("there is %d of the kit: no part of it can be out alone", kit.Count)
	}
	x := s.canStart(func(x running.Shown) bool {
		return slices.ContainsFunc(x.Exercise.Uses, func(u curriculum.KitUse) bool { return u.Kit == of.Kit })
	})
	at := "/yard/sessions/" + string(x.ID)
	for _, step := range []struct {
		path string
		tick bool
	}{{"/roll", true}, {"/start", false}} {
		if w := r.post(at+step.path, formTo(t, parse(t, r.get(at)), at+step.path, step.tick)); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d, %s", step.path, w.Code, text(parse(t, w)))
		}
	}
	hit := func() bool {
		list, err := s.journeys.Desk.Hit(s.Context(), s.actorOf(access.Administrator), verdict.Ref{Kind: verdict.Item, ID: string(of.ID)})
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(list, func(y session.Session) bool { return y.ID == x.ID })
	}
	if hit() {
		t.Fatal("it is hit before anything happened")
	}
	w := r.post("/quarantines", vals("key", "one piece", "subject", string(of.ID)))
	if w.Code != http.StatusSeeOther || !hit() {
		t.Fatalf("%d: a session under way with the kit is not named", w.Code)
	}
	if find(parse(t, r.get(w.Header().Get("Location"))), func(n *html.Node) bool { return attr(n, "href") == "/sessions/"+string(x.ID) }) == nil {
		t.Error("the quarantine's page does not lead to it")
	}
}

func TestWhatHasNoInspectionSaysWhereOneIsSetBeforeItLeavesQuarantine(t *testing.T) {
	s := open(t)
	clerk := s.as(access.Administrator)
	all := s.reference().Stations.All(monday)
	st := all[slices.IndexFunc(all, func(x rig.Station) bool { return len(x.Inspections) > 0 })]
	line := st.Inspections[0]
	st.Inspections = nil
	s.putAll("dropped", st)
	w := clerk.post("/quarantines", vals("key", "q", "subject", string(st.ID)))
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	setUp := "/set-up/stations/" + string(st.ID)
	page := parse(t, clerk.get(at))
	if find(page, func(n *html.Node) bool { return attr(n, "href") == setUp }) == nil || !strings.Contains(text(page), "can't be lifted") {
		t.Errorf("the page does not say where the inspection is set: %s", text(page))
	}
	if w := clerk.get(setUp); w.Code != http.StatusOK || !strings.Contains(text(parse(t, w)), "nspections") {
		t.Errorf("the link leads to %d", w.Code)
	}
	if page := parse(t, s.as(access.Auditor).get(at)); find(page, func(n *html.Node) bool { return attr(n, "href") == setUp }) != nil || !strings.Contains(text(page), "An administrator does that") {
		t.Error("an auditor is sent where they may not go")
	}
	st.Inspections = []string{line}
	s.putAll("set-again", st)
	if w := clerk.post("/inspections", vals("key", "i", "subject", string(st.ID), "line", line, "done", monday.String(), "done_time", "08:00", "result", "passed")); w.Code != http.StatusSeeOther {
		t.Fatalf("recording it: %d, %s", w.Code, text(parse(t, w)))
	}
	var passed id.Inspection
	for _, x := range s.reference().Inspections.All(civil.LastDay) {
		if x.Subject == string(st.ID) && x.Done == monday && x.Passed {
			passed = x.ID
		}
	}
	if w := s.as(access.Instructor).post(at+"/lift", vals("key", "l", "inspection", string(passed), "why", "mended and looked at")); w.Code != http.StatusSeeOther {
		t.Errorf("lifting it on that: %d, %s", w.Code, text(parse(t, w)))
	}
}
