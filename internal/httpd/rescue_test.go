package httpd

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// spareWritten is a version of a rescue plan that the administrator wrote and a walk
// may look at.
func (s *site) spareWritten() string {
	s.Helper()
	actor := s.actorOf(access.Administrator)
	cmd := store.Command{Key: "spare written plan", Actor: actor, Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		plan, _ := ref.RescuePlans.On(ref.RescuePlans.Keys()[0], monday)
		seal := func(text string) id.Commitment { return tx.Seal("written-plan/spare-written", "text", text) }
		_, err = tx.Put("written", 0, rig.WrittenPlan{ID: "spare-written", Plan: plan.ID, After: plan.Version, Name: plan.Name, Text: plan.Text, Stations: plan.Stations, Target: 5, InForce: monday, ReviewBy: monday + 300,
			Author: actor.Person, State: rig.PlanWritten, Procedure: rig.Procedure{SafeWithin: 15, Steps: []id.Commitment{seal("Raise the alarm.")}, Roles: []rig.PlanRole{{Name: seal("Leader"), Does: seal("Commands."), Competent: true, Count: 1}}}})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-written"
}

// appointForHeight makes somebody responsible for height and rescue.
func (s *site) appointForHeight(who id.Person) {
	s.Helper()
	cmd := store.Command{Key: "appoint for height " + string(who), Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("appointed", 0, people.Appointment{ID: id.Appointment("height-" + string(who)), Person: who, Field: verdict.HeightRescue, From: monday, Until: monday + 365})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
}

func TestAVersionOfARescuePlanIsWrittenSentAndApprovedBySomebodyElse(t *testing.T) {
	s := open(t)
	ref := s.reference()
	plan, _ := ref.RescuePlans.On(ref.RescuePlans.Keys()[0], monday)
	admin, boss := s.actorOf(access.Administrator).Person, s.actorOf(access.Instructor).Person
	s.appointForHeight(admin)
	s.appointForHeight(boss)
	author, other := s.as(access.Administrator), s.as(access.Instructor)

	form := formTo(t, parse(t, author.get("/rescue/"+string(plan.ID)+"/write")), "/rescue/"+string(plan.ID)+"/write", false)
	form.Set("steps", "Raise the alarm.\nLower the casualty.")
	form.Set("role_name_0", "Leader")
	form.Set("role_does_0", "Commands the rescue.")
	form.Set("role_who_0", "competent")
	form.Set("role_count_0", "1")
	for i := 1; i < rig.MostRoles; i++ {
		form.Del(rowName("role_name", i))
		form.Del(rowName("role_does", i))
	}
	form.Set("target_minutes", "5")
	form.Set("safe_minutes", "4")
	form["kits"] = nil
	for _, k := range ref.Kits.All(monday) {
		form.Add("kits", string(k.ID))
	}
	w := author.post("/rescue/"+string(plan.ID)+"/write", form)
	if said := text(parse(t, w)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(said, "not at a safe place before") {
		t.Fatalf("a safe place sooner than the casualty is reached: %d %s", w.Code, said)
	}
	form.Set("safe_minutes", "12")
	form.Set("key", "kept")
	if w = author.post("/rescue/"+string(plan.ID)+"/write", form); w.Code != http.StatusSeeOther {
		t.Fatalf("it is not kept: %d %s", w.Code, text(parse(t, w)))
	}
	here := w.Header().Get("Location")
	act := func(r *reader, path, key, rev string, want int, kv ...string) string {
		t.Helper()
		w := r.post(here+path, vals(append([]string{"key", key, "rev", rev}, kv...)...))
		if w.Code != want {
			t.Fatalf("%s %v: %d, want %d: %s", path, kv, w.Code, want, text(parse(t, w)))
		}
		return text(parse(t, w))
	}
	inForce := func() rig.RescuePlan { p, _ := s.reference().RescuePlans.On(plan.ID, monday); return p }
	act(other, "/send", "k1", "1", http.StatusForbidden)
	act(other, "/approve", "k2", "1", http.StatusConflict, "read", "yes")
	act(author, "/send", "k3", "1", http.StatusSeeOther)
	act(author, "/approve", "k4", "2", http.StatusForbidden, "read", "yes")
	if said := text(parse(t, author.get(here))); strings.Contains(said, "Approve and put in force") || !strings.Contains(said, "waits for approval") {
		t.Error("its author is offered to approve it, or it does not say that it waits")
	}
	if said := text(parse(t, author.get("/attention"))); !strings.Contains(said, "waits for approval") {
		t.Error("what needs attention does not name it")
	}
	act(other, "/return", "k5", "2", http.StatusUnprocessableEntity)
	act(other, "/return", "k6", "2", http.StatusSeeOther, "reason", "Name the safe place.")
	if said := text(parse(t, author.get(here))); !strings.Contains(said, "Name the safe place.") {
		t.Error("the reason is not shown to its author")
	}
	act(other, "/approve", "k7", "3", http.StatusConflict, "read", "yes")
	act(author, "/send", "k8", "3", http.StatusSeeOther)
	act(other, "/approve", "k9", "4", http.StatusUnprocessableEntity)
	if got := inForce(); got.Version != plan.Version {
		t.Fatalf("version %d counts before anybody approved it", got.Version)
	}
	act(other, "/approve", "k10", "3", http.StatusConflict, "read", "yes")
	act(other, "/approve", "k11", "4", http.StatusSeeOther, "read", "yes")
	got := inForce()
	if got.Version != plan.Version+1 || got.Author != admin || got.ApprovedBy != boss || got.Procedure == nil || len(got.Procedure.Steps) != 2 || got.Procedure.SafeWithin != 12 {
		t.Fatalf("not what was written is in force: %+v", got)
	}
	said := text(parse(t, other.get("/rescue/"+string(plan.ID))))
	for _, want := range []string{"Lower the casualty.", "Commands the rescue.", "the rescue-competent alone", "Step 1 is new: Raise the alarm.", "their word comes before this page"} {
		if !strings.Contains(said, want) {
			t.Errorf("the page of the plan lacks %q", want)
		}
	}
	if !strings.Contains(text(parse(t, other.get("/rescue"))), "version "+strconv.Itoa(got.Version)+" since") {
		t.Error("the list does not name the version in force")
	}
}

func TestAPlanOlderThanItsStepsSaysSoAndStaysInForce(t *testing.T) {
	s := open(t)
	ref := s.reference()
	old := ""
	for _, k := range ref.RescuePlans.Keys() {
		if p, ok := ref.RescuePlans.On(k, monday); ok && p.Procedure == nil {
			old = string(k)
		}
	}
	if old == "" {
		t.Fatal("every plan of the demo has steps")
	}
	if said := text(parse(t, s.as(access.Auditor).get("/rescue/"+old))); !strings.Contains(said, "No steps recorded.") || !strings.Contains(said, "is in force since") {
		t.Error("it does not say that no steps are recorded, or is not in force any more")
	}
}

func TestADrillSlowerThanItsPlansOwnWordLeadsToTheVersionThatSaysIt(t *testing.T) {
	s := open(t)
	var plan rig.RescuePlan
	for _, p := range s.reference().RescuePlans.All(monday) {
		if p.Procedure != nil && len(p.Stations) > 0 && p.Withdrawn == 0 {
			plan = p
		}
	}
	if plan.ID == "" {
		t.Fatal("the demo has no plan with steps")
	}
	plan.Procedure.SafeWithin = 6 // no minutes of the rule book are reached
	cmd := store.Command{Key: "slow", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	if _, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		if _, err := tx.Put("approved", plan.InForce, plan); err != nil {
			return "", err
		}
		_, err := tx.Put("drilled", 0, rig.Drill{ID: "slow", Plan: plan.ID, Version: plan.Version, Day: monday, At: tx.Now(), Minutes: 7, Accepted: true})
		return "", err
	}); err != nil {
		t.Fatal(err)
	}
	r := s.as(access.Instructor)
	href := "/rescue/" + string(plan.ID) + "#version-" + strconv.Itoa(plan.Version)
	for _, at := range []string{"/stations/" + string(plan.Stations[0]), "/rescue/" + string(plan.ID)} {
		page := parse(t, r.get(at))
		said := text(page)
		link := find(page, func(n *html.Node) bool { return n.Data == "a" && attr(n, "href") == href })
		if link == nil || !strings.Contains(said, "than version "+strconv.Itoa(plan.Version)+" of the plan says") {
			t.Errorf("%s does not lead to %s: %.600s", at, href, said)
		}
	}
	page := parse(t, r.get("/rescue/"+string(plan.ID)))
	if find(page, func(n *html.Node) bool { return attr(n, "id") == "version-"+strconv.Itoa(plan.Version) }) == nil {
		t.Error("the version has no place to lead to")
	}
}
