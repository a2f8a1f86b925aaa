package httpd

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// spareQuarantine is one that hits nothing: of the item that is too old already.
func (s *site) spareQuarantine() string {
	s.Helper()
	cmd := store.Command{Key: "spare quarantine", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		_, err = tx.Put("put-in-quarantine", 0, rig.Quarantine{ID: "spare-quarantine", Subject: string(ref.Items.Keys()[0]), Start: eight, By: ref.Staff.Keys()[0]})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-quarantine"
}

// kitNamed returns the id of the demo's kit with a name.
func (s *site) kitNamed(name string) id.Kit {
	s.Helper()
	ref := s.reference()
	for _, k := range ref.Kits.All(monday) {
		if ref.Text(k.Name) == name {
			return k.ID
		}
	}
	s.Fatalf("the demo has no kit %q", name)
	return ""
}

func TestAKitInQuarantineStopsItsSessionsUntilAResponsiblePersonLiftsItOnAnInspection(t *testing.T) {
	s := open(t)
	kit := s.kitNamed("Rescue kit, nacelle")
	page := "/kits/" + string(kit)
	boss, clerk, auditor := s.as(access.Instructor), s.as(access.Administrator), s.as(access.Auditor)
	of := verdict.Ref{Kind: verdict.Kit, ID: string(kit)}
	hits := func() int {
		t.Helper()
		hit, err := s.journeys.Desk.Hit(s.Context(), s.actorOf(access.Administrator), of)
		if err != nil {
			t.Fatal(err)
		}
		return len(hit)
	}
	if said := text(parse(t, boss.get(page))); !strings.Contains(said, "1 of 1 may be used") || !strings.Contains(said, "No item of it is on record") || !strings.Contains(said, "Their word, the maker’s instructions and local law") {
		t.Errorf("a kit that is fit, without items, reads %s", said)
	}
	if n := hits(); n > 0 {
		t.Fatalf("%d sessions are hit before anything happened", n)
	}
	if w := auditor.post("/quarantines", vals("key", "q0", "subject", string(kit))); w.Code != http.StatusForbidden {
		t.Errorf("an auditor: %d", w.Code)
	}
	w := clerk.post("/quarantines", vals("key", "q1", "subject", string(kit)))
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(at, "/quarantines/") {
		t.Fatalf("%d to %s", w.Code, at)
	}
	if again := boss.post("/quarantines", vals("key", "q2", "subject", string(kit))); again.Header().Get("Location") != at {
		t.Error("pressed by two it makes two quarantines")
	}
	said := text(parse(t, clerk.get(at)))
	if n := hits(); n == 0 || !strings.Contains(said, "Mend these days") || !strings.Contains(said, "Rescue kit, nacelle is in quarantine") {
		t.Fatalf("%d sessions are hit; the page says %s", n, said)
	}
	if said := text(parse(t, boss.get(page))); !strings.Contains(said, "0 of 1 may be used") || !strings.Contains(said, "is in quarantine since") {
		t.Errorf("its page reads %s", said)
	}
	if said := text(parse(t, clerk.get("/attention"))); !strings.Contains(said, "Rescue kit, nacelle is in quarantine since") {
		t.Error("what needs attention does not name it")
	}
	lift := func(r *reader, n int, on string, want int) string {
		t.Helper()
		w := r.post(at+"/lift", vals("key", "lift"+strconv.Itoa(n), "inspection", on, "why", "rope changed"))
		if w.Code != want {
			t.Fatalf("lifting, attempt %d: %d, want %d", n, w.Code, want)
		}
		return text(parse(t, w))
	}
	old := ""
	for _, i := range s.reference().Inspections.All(civil.LastDay) {
		if i.Subject == string(kit) {
			old = string(i.ID)
		}
	}
	lift(boss, 1, old, http.StatusUnprocessableEntity)
	line := s.kitLine(kit)
	inspect := func(result string) {
		t.Helper()
		w := clerk.post("/inspections", vals("key", "inspect "+result, "subject", string(kit), "line", line, "done", monday.String(), "done_time", "08:00", "result", result))
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != page {
			t.Fatalf("recording an inspection that %s: %d to %s", result, w.Code, w.Header().Get("Location"))
		}
	}
	inspect("failed")
	if said := text(parse(t, boss.get(page))); !strings.Contains(said, "Inspection of Rescue kit, nacelle failed on") {
		t.Errorf("a failed inspection does not stop it: %s", said)
	}
	inspect("passed")
	newest := ""
	for _, i := range s.reference().Inspections.All(civil.LastDay) {
		if i.Subject == string(kit) && i.Done == monday && i.Passed {
			newest = string(i.ID)
		}
	}
	lift(auditor, 2, newest, http.StatusForbidden)
	lift(boss, 3, newest, http.StatusSeeOther)
	if lifted := s.reference().Quarantines.All(civil.LastDay); lifted[0].Lift == nil {
		t.Error("it stands though it is lifted")
	}
	lift(boss, 4, newest, http.StatusConflict)
}

func (s *site) kitLine(k id.Kit) string {
	rec, _ := s.reference().Kits.On(k, monday)
	return rec.Inspections[0]
}

func TestItemsAreRecordedManyAtOnceAndOneThatIsOutWaitsForAnotherInItsPlace(t *testing.T) {
	s := open(t)
	boss := s.as(access.Administrator)
	kit := s.kitNamed("Stretcher and casualty bag")
	n := 0
	record := func(want int, kv ...string) string {
		t.Helper()
		n++
		w := boss.post("/set-up/items", with(vals("key", "item"+strconv.Itoa(n), "kit", string(kit), "piece", "1", "sort", "rope", "first_use", "2025-03-01"), vals(kv...)))
		if w.Code != want {
			t.Fatalf("%v: %d, want %d: %s", kv, w.Code, want, text(parse(t, w)))
		}
		return text(parse(t, w))
	}
	const bad, done = http.StatusUnprocessableEntity, http.StatusSeeOther
	record(bad, "serial", "")
	record(bad, "serial", "S-1\nS-2\nS-3", "each", "yes") // two stretchers, no third piece
	record(bad, "serial", "S-1", "first_use", "")
	if said := record(bad, "serial", "CM-H101"); !strings.Contains(said, "on record already") {
		t.Errorf("a serial twice: %s", said)
	}
	record(done, "serial", "S-1\nS-2", "each", "yes")
	usable := func() string { return text(parse(t, boss.get("/kits/"+string(kit)))) }
	if !strings.Contains(usable(), "2 of 2 may be used") {
		t.Error("two items do not make two pieces")
	}
	item := func(serial string) string {
		ref := s.reference()
		for _, i := range ref.Items.All(civil.LastDay) {
			if ref.Text(i.Serial) == serial {
				return string(i.ID)
			}
		}
		t.Fatalf("no item %s", serial)
		return ""
	}
	record(bad, "serial", "S-4", "replaces", item("S-1")) // still in use
	if w := boss.post("/items/"+item("S-1")+"/out", vals("key", "out1", "why", " ")); w.Code != bad {
		t.Errorf("out of use without a reason: %d", w.Code)
	}
	if w := boss.post("/items/"+item("S-1")+"/out", vals("key", "out2", "why", "sheath worn through")); w.Code != done {
		t.Errorf("out of use: %d", w.Code)
	}
	if said := usable(); !strings.Contains(said, "1 of 2 may be used") || !strings.Contains(said, "out of use since") {
		t.Errorf("a kit that lacks an item reads %s", said)
	}
	record(done, "serial", "S-4", "replaces", item("S-1"))
	if said := usable(); !strings.Contains(said, "2 of 2 may be used") || !strings.Contains(said, "replaced") {
		t.Errorf("a kit whose item was replaced reads %s", said)
	}
	if said := text(parse(t, boss.get("/items/"+item("S-1")))); !strings.Contains(said, "sheath worn through") {
		t.Error("the item's page does not say why it is out of use")
	}
}

func TestTheDemoHasAKitOfWhichAPieceIsOutOfDate(t *testing.T) {
	s := open(t)
	said := text(parse(t, s.as(access.Instructor).get("/kits/"+string(s.kitNamed("Harness set of six")))))
	if !strings.Contains(said, "3 of 4 may be used") || !strings.Contains(said, "CM-H124 is past its last day since") {
		t.Errorf("it reads %s", said)
	}
}

func TestKitIsHandedOutBySerialToOneTraineeAndOnlyWhatMayBeUsed(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	in, at := s.arrivalsOf()
	n := 0
	send := func(row int, want int, issued string) string {
		t.Helper()
		n++
		now, _ := s.arrivalsOf()
		x := now.Rows[row]
		w := r.post(at, vals("key", "issue"+strconv.Itoa(n), "trainee", string(x.Trainee.ID), "rev", strconv.FormatInt(x.Rev, 10), "came", "yes", "at_day", monday.String(), "at", "07:30", "issued", issued))
		if w.Code != want {
			t.Fatalf("handing out %q: %d, want %d: %s", issued, w.Code, want, text(parse(t, w)))
		}
		return text(parse(t, w))
	}
	says := func(said, want string) {
		t.Helper()
		if !strings.Contains(said, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	const bad, done = http.StatusUnprocessableEntity, http.StatusSeeOther
	says(send(0, bad, "X-1"), "No item with the serial X-1 is on record")
	says(send(0, bad, "CM-H124"), "CM-H124 may not be handed out: harness CM-H124 is past its last day since")
	send(0, done, "cm-h101")
	says(send(1, bad, "CM-H101"), "CM-H101 is handed out to "+in.Rows[0].Name+". Take it back from them first.")
	ref := s.reference()
	item := map[string]string{}
	for _, i := range ref.Items.All(monday) {
		item[ref.Text(i.Serial)] = string(i.ID)
	}
	says(text(parse(t, r.get("/items/"+item["CM-H101"]))), in.Rows[0].Name)
	send(0, done, "") // nothing more: they hold it still
	says(send(1, bad, "CM-H101"), "CM-H101 is handed out to "+in.Rows[0].Name)
	says(send(0, bad, "CM-H101"), "CM-H101 is handed out to them already")
	s.takeBack(in.Rows[0].Trainee.Person, arrival.BackFit)
	send(1, done, "CM-H101")
	if w := r.post("/quarantines", vals("key", "issue q", "subject", item["CM-H102"])); w.Code != done {
		t.Fatalf("quarantine: %d", w.Code)
	}
	says(send(0, bad, "CM-H102"), "harness CM-H102 is in quarantine since")
	if w := r.post("/items/"+item["CM-H103"]+"/out", vals("key", "issue out", "why", "torn")); w.Code != done {
		t.Fatalf("out of use: %d", w.Code)
	}
	says(send(0, bad, "CM-H103"), "harness CM-H103 is retired since")
}

func TestAnItemOfAKitInQuarantineIsNotCalledClear(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	var of rig.Item
	for _, i := range s.reference().Items.All(monday) {
		if s.reference().Text(i.Serial) == "CM-H101" {
			of = i
		}
	}
	at := "/items/" + string(of.ID)
	if said := text(parse(t, r.get(at))); !strings.Contains(said, "Clear may be used") {
		t.Fatalf("before: %.300s", said)
	}
	if w := r.post("/quarantines", vals("key", "its kit", "subject", string(of.Kit))); w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	if said := text(parse(t, r.get(at))); strings.Contains(said, "Clear may be used") || !strings.Contains(said, "may not be used") || !strings.Contains(said, "in quarantine") {
		t.Errorf("with its kit in quarantine: %.400s", said)
	}
}
