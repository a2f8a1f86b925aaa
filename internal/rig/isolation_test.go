package rig

import (
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// TestACircuitIsNeverLiveWhileALockIsOnAndNeverDeadWithoutATest plays random moves,
// sensible and not, and looks after each at what must hold.
func TestACircuitIsNeverLiveWhileALockIsOnAndNeverDeadWithoutATest(t *testing.T) {
	who := []id.Person{"", "ada", "ben", "cleo"}
	rapid.Check(t, func(t *rapid.T) {
		is, now := Isolation{Circuit: "c"}, civil.Instant(1000)
		person := func(name string) id.Person { return rapid.SampledFrom(who).Draw(t, name) }
		yes := func(name string) bool { return rapid.Bool().Draw(t, name) }
		for range rapid.IntRange(1, 40).Draw(t, "moves") {
			now++
			before := is
			was := slices.Clone(before.Locks)
			var next Isolation
			var err error
			move := rapid.SampledFrom([]string{"isolate", "lock", "test", "unlock", "handover", "live", "doubt"}).Draw(t, "move")
			switch move {
			case "isolate":
				next, err = is.Isolate(id.Commitment(rapid.SampledFrom([]string{"", "p"}).Draw(t, "permit")), person("in charge"), yes("authorised"), now)
			case "lock":
				next, err = is.LockOn(person("lock"), now)
			case "test":
				next, err = is.TestDead(DeadTest{By: person("by"), At: now, Instrument: id.Commitment(rapid.SampledFrom([]string{"", "i"}).Draw(t, "instrument")),
					ProvedBefore: yes("before"), ProvedAfter: yes("after"), StoredReleased: yes("released")}, yes("authorised"))
			case "unlock":
				next, err = is.LockOff(person("owner"), person("by"), yes("absent"), now)
			case "handover":
				next, err = is.Handover(person("to"), yes("authorised"))
			case "live":
				next, err = is.Energise(yes("authorised"), yes("clear"), now)
			default:
				next, err = is.Doubt(now)
			}
			if !slices.Equal(before.Locks, was) {
				t.Fatalf("%s changes the state it began from", move)
			}
			if err != nil {
				if fault.Of(err) != fault.Conflict && fault.Of(err) != fault.Invalid {
					t.Fatalf("%s: %v is none that a person can act on", move, err)
				}
				continue
			}
			is = next
			locks := len(is.On())
			if is.State == EnergyLive && locks > 0 || is.Live() && locks > 0 {
				t.Fatalf("%s: live with %d locks on", move, locks)
			}
			if (is.State == EnergyIsolated || is.State == EnergyDead) != (locks > 0) {
				t.Fatalf("%s: %s with %d locks on", move, is.State, locks)
			}
			if is.Dead() != (is.State == EnergyDead) || is.Dead() && (is.Test == nil || is.Test.At < is.Locks[0].On) {
				t.Fatalf("%s: dead %v in %s with the test %v", move, is.Dead(), is.State, is.Test)
			}
			if is.Dead() && move != "test" && !before.Dead() {
				t.Fatalf("%s made it dead", move)
			}
			if is.Live() && move != "live" && !before.Live() {
				t.Fatalf("%s made it live", move)
			}
			if locks > 0 && !is.LockedBy(is.InCharge) {
				t.Fatalf("%s: the lock of whoever is in charge is off while others are on", move)
			}
		}
	})
}

func TestACircuitWithoutARecordIsNeitherLiveNorDead(t *testing.T) {
	for name, is := range map[string]Isolation{
		"no record": {}, "unknown": {State: EnergyUnknown}, "a word of tomorrow": {State: "safe"},
		"dead without a test": {State: EnergyDead, Permit: "p", InCharge: "ada", Locks: []Lock{{Person: "ada", On: 1}}},
		"dead without a lock": {State: EnergyDead, Permit: "p", InCharge: "ada", Test: &DeadTest{ProvedBefore: true, ProvedAfter: true, StoredReleased: true}},
		"live under a lock":   {State: EnergyLive, Locks: []Lock{{Person: "ada", On: 1}}},
	} {
		if is.Live() || is.Dead() {
			t.Errorf("%s: live %v, dead %v", name, is.Live(), is.Dead())
		}
	}
}

// The steps are those that the training standard for the control of hazardous
// energies teaches (V4 of 2 May 2025, page 37): isolate, dissipate stored energy,
// lock, test for absence.
func TestATestLacksNothing(t *testing.T) {
	whole := DeadTest{By: "ada", At: 5, Instrument: "i", ProvedBefore: true, ProvedAfter: true, StoredReleased: true}
	isolated, err := Isolation{Circuit: "c"}.Isolate("p", "ada", true, 1)
	if err != nil {
		t.Fatal(err)
	}
	if is, err := isolated.TestDead(whole, true); err != nil || !is.Dead() {
		t.Fatalf("the whole test: %v, %v", is, err)
	}
	for field, less := range map[string]func(*DeadTest){
		"by":              func(d *DeadTest) { d.By = "ben" },
		"instrument":      func(d *DeadTest) { d.Instrument = "" },
		"proved_before":   func(d *DeadTest) { d.ProvedBefore = false },
		"proved_after":    func(d *DeadTest) { d.ProvedAfter = false },
		"stored_released": func(d *DeadTest) { d.StoredReleased = false },
	} {
		test := whole
		less(&test)
		is, err := isolated.TestDead(test, true)
		if fields := new(fault.Form); !errors.As(err, &fields) || fields.Fields[field] == "" || is.Dead() {
			t.Errorf("without %s: %v", field, err)
		}
	}
	if is, err := isolated.TestDead(whole, false); err == nil || is.Dead() {
		t.Error("somebody who is not authorised tests")
	}
}

func TestAnAuthorityStandsOnItsDaysAndIsGivenBySomebodyElse(t *testing.T) {
	a := Authority{Circuit: "c", Person: "ada", From: day("2027-03-01"), Until: day("2027-03-31"), By: "ben"}
	for name, x := range map[string]struct {
		d    civil.Day
		with func(*Authority)
		want bool
	}{
		"the day before":     {day("2027-02-28"), nil, false},
		"the first day":      {day("2027-03-01"), nil, true},
		"the last day":       {day("2027-03-31"), nil, true},
		"the day after":      {day("2027-04-01"), nil, false},
		"taken back":         {day("2027-03-02"), func(a *Authority) { a.Ended = true }, false},
		"given to oneself":   {day("2027-03-02"), func(a *Authority) { a.By = "ada" }, false},
		"given by nobody":    {day("2027-03-02"), func(a *Authority) { a.By = "" }, false},
		"of another circuit": {day("2027-03-02"), func(a *Authority) { a.Circuit = "d" }, false},
	} {
		one := a
		if x.with != nil {
			x.with(&one)
		}
		if got := Authorised("c", "ada", x.d, false, []Authority{one}); got != x.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	if !Authorised("c", "ada", 1, true, nil) || Authorised("c", "", 1, true, nil) {
		t.Error("who is responsible for energy may, nobody may not")
	}
}
