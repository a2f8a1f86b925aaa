package httpd

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// spareAuthority is one that a walk may take back.
func (s *site) spareAuthority() string {
	s.Helper()
	cmd := store.Command{Key: "spare authority", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		_, err = tx.Put("authorised", 0, rig.Authority{ID: "spare-authority", Circuit: ref.Circuits.Keys()[0], Person: ref.Staff.Keys()[0], From: monday, Until: monday, By: ref.Staff.Keys()[1]})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-authority"
}

// appointForEnergy makes the instructor responsible for energy too.
func (s *site) appointForEnergy() string {
	s.Helper()
	me := s.actorOf(access.Instructor).Person
	cmd := store.Command{Key: "appoint for energy", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("appointed", 0, people.Appointment{ID: "energy-too", Person: me, Field: verdict.Energy, From: monday, Until: monday + 365})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return string(me)
}

// circuitNow is a circuit with its recorded state.
func (s *site) circuitNow(of id.Circuit) (is rig.Isolation, rev string) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) error {
		row, err := v.Isolation(of)
		is, rev = row.Value, strconv.FormatInt(row.Rev, 10)
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	return is, rev
}

// inState finds the demo's circuit in a state.
func (s *site) inState(want rig.EnergyState) id.Circuit {
	s.Helper()
	for _, c := range s.reference().Circuits.Keys() {
		if is, _ := s.circuitNow(c); is.State == want {
			return c
		}
	}
	s.Fatalf("no circuit of the demo is %s", want)
	return ""
}

func TestACircuitGoesFromLiveToDeadAndBackAndIsRefusedWhatIsUnsafe(t *testing.T) {
	s := open(t)
	me := s.appointForEnergy()
	boss := s.as(access.Instructor)
	c := s.inState(rig.EnergyLive)
	here := "/circuits/" + string(c)
	n := 0
	send := func(r *reader, path string, want int, state rig.EnergyState, kv ...string) string {
		t.Helper()
		n++
		_, rev := s.circuitNow(c)
		w := r.post(here+path, vals(append([]string{"key", "energy" + strconv.Itoa(n), "rev", rev}, kv...)...))
		is, _ := s.circuitNow(c)
		if w.Code != want || is.State != state {
			t.Fatalf("%s %v: %d, %s; want %d, %s: %s", path, kv, w.Code, is.State, want, state, text(parse(t, w)))
		}
		return text(parse(t, w))
	}
	const again = http.StatusUnprocessableEntity
	const done = http.StatusSeeOther
	send(boss, "/isolate", again, rig.EnergyLive, "permit", "", "in_charge", me)
	send(boss, "/authorise", again, rig.EnergyLive, "person", me, "from", monday.String(), "until", monday.String())
	mine := s.as(access.Auditor)
	if said := text(parse(t, mine.get(here))); !strings.Contains(said, "It is live") || !strings.Contains(said, "their word comes before this page") {
		t.Errorf("the page does not say that it is live, or lacks its caution")
	}
	other := ""
	for _, st := range s.reference().Staff.Keys() {
		if string(st) != me && s.reference().StaffName(st) == "Cormac Devanny" {
			other = string(st)
		}
	}
	send(boss, "/isolate", again, rig.EnergyLive, "permit", "HP-0042", "in_charge", other)
	send(boss, "/authorise", done, rig.EnergyLive, "person", other, "from", monday.String(), "until", (monday + 90).String())
	send(boss, "/isolate", done, rig.EnergyIsolated, "permit", "HP-0042", "in_charge", other)
	if said := text(parse(t, mine.get(here))); !strings.Contains(said, "Take it for live") || !strings.Contains(said, "HP-0042") {
		t.Errorf("an isolated circuit does not read so")
	}
	send(boss, "/live", again, rig.EnergyIsolated, "clear", "yes")
	send(boss, "/test", again, rig.EnergyIsolated, "by", other, "instrument", "T4", "proved_before", "yes", "stored_released", "yes")
	send(boss, "/lock", done, rig.EnergyIsolated, "person", me)
	send(boss, "/test", done, rig.EnergyDead, "by", other, "instrument", "T4", "proved_before", "yes", "proved_after", "yes", "stored_released", "yes")
	if said := send(boss, "/live", again, rig.EnergyDead, "clear", "yes"); !strings.Contains(said, "a lock is on") {
		t.Errorf("it does not say that a lock is on: %s", said)
	}
	if w := boss.get(here + "/permit"); !strings.Contains(text(parse(t, w)), "HP-0042") || strings.Contains(text(parse(t, w)), "Do not work on it") {
		t.Error("the permit sheet lacks its permit, or stops though it is dead")
	}
	send(boss, "/unlock", done, rig.EnergyDead, "person", me)
	send(boss, "/force", again, rig.EnergyDead, "person", other)
	send(boss, "/force", done, rig.EnergyLocksOff, "person", other, "sure", "yes")
	send(boss, "/live", again, rig.EnergyLocksOff)
	if !strings.Contains(text(parse(t, boss.get(here+"/permit"))), "Do not work on it") {
		t.Error("the permit sheet does not stop though no lock is on")
	}
	send(boss, "/live", done, rig.EnergyLive, "clear", "yes")
	if w := boss.post(here+"/doubt", url.Values{"key": {"old"}, "rev": {"1"}}); w.Code != http.StatusConflict {
		t.Errorf("what another has changed meanwhile: %d", w.Code)
	}
}
