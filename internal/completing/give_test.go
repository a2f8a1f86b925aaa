package completing_test

import (
	"sync"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/completing"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/store"
)

func (o *office) give(p completing.Proposal, key string) (id.Certificate, error) {
	o.Helper()
	page, err := o.Proposal(ctx, o.administrator, p.Trainee.ID)
	if err != nil {
		return "", err
	}
	return o.Give(ctx, o.administrator, completing.Giving{Trainee: p.Trainee.ID, Called: page.Called}, key)
}

func (o *office) head() (n int64) {
	o.read(func(v *store.View) error { n = v.Head(); return nil })
	return n
}

func TestACertificateIsGivenOnceByOneEntryHoweverOftenItIsPressed(t *testing.T) {
	o := open(t)
	ready, _ := o.two()
	before, had := o.head(), o.certificates(ready.Trainee.Person)
	given, err := o.give(ready, "press")
	if err != nil {
		t.Fatal(err)
	}
	if n := o.head() - before; n != 1 {
		t.Errorf("giving wrote %d entries, want one", n)
	}
	again, err := o.Give(ctx, o.administrator, completing.Giving{Trainee: ready.Trainee.ID, Called: o.called(given)}, "press")
	if err != nil || again != given {
		t.Errorf("pressed twice: %s, %v; want the same certificate %s", again, err, given)
	}
	_, err = o.Give(ctx, o.administrator, completing.Giving{Trainee: ready.Trainee.ID}, "another form")
	if fault.Of(err) != fault.Conflict {
		t.Errorf("given again: %v, want a conflict", err)
	}
	if n := o.certificates(ready.Trainee.Person); n != had+1 {
		t.Errorf("%d certificates more, want one", n-had)
	}
	o.read(func(v *store.View) error {
		c, err := v.Certificate(given)
		want, err2 := v.Reference()
		dates, err3 := credential.Issue(want.RuleBooks.All(tuesday), ready.Programme.Validity, ready.Completed, 0)
		if err != nil || err2 != nil || err3 != nil {
			t.Fatal(err, err2, err3)
		}
		if c.Value.Until != dates.Until || c.Value.Trainee != ready.Trainee.ID || c.Value.Number == 0 || c.Value.Holds == "" {
			t.Errorf("given as %+v, want it valid to %s", c.Value, dates.Until)
		}
		return nil
	})
	list, err := o.Proposals(ctx, o.administrator)
	if err != nil || len(list.Proposals) != 1 {
		t.Errorf("%d proposals are left, %v; want the held one", len(list.Proposals), err)
	}
}

func (o *office) called(c id.Certificate) (name string) {
	o.read(func(v *store.View) error {
		row, err := v.Certificate(c)
		name = row.Value.Holds
		return err
	})
	return name
}

func TestTwoAdministratorsAtOnceGiveOne(t *testing.T) {
	o := open(t)
	ready, _ := o.two()
	had := o.certificates(ready.Trainee.Person)
	var wait sync.WaitGroup
	for _, key := range []string{"a", "b", "c"} {
		wait.Go(func() {
			_, _ = o.Give(ctx, o.administrator, completing.Giving{Trainee: ready.Trainee.ID}, key) // all but one are refused
		})
	}
	wait.Wait()
	if n := o.certificates(ready.Trainee.Person) - had; n != 1 {
		t.Errorf("%d certificates were given, want one", n)
	}
}

func TestAHeldCertificateIsRefusedUntilTheTraineeCountersigns(t *testing.T) {
	o := open(t)
	_, held := o.two()
	if len(held.Holds) != 1 || held.Holds[0].Kind != completing.NotCountersigned {
		t.Fatalf("held by %+v, want one missing countersignature", held.Holds)
	}
	if _, err := o.give(held, "early"); fault.Of(err) != fault.Conflict {
		t.Errorf("given while it is held: %v, want a conflict", err)
	}
	rig, sid, own := running.New(o.store), held.Holds[0].Session.ID, held.Trainee.ID
	sign := func(actor access.Actor, code string) error {
		shown, err := rig.SignedOf(ctx, actor, sid, own)
		if err != nil {
			return err
		}
		return rig.CountersignLater(ctx, actor, sid, running.Send{Key: o.key(), Rev: shown.Rev}, shown.ResultsRev, own, code)
	}
	if err := sign(o.administrator, "short"); fault.Of(err) != fault.Invalid {
		t.Errorf("a code of five: %v, want it refused", err)
	}
	other := access.Actor{Account: "x", Person: "somebody-else", Roles: []access.Role{access.TraineeRole}, Today: tuesday}
	if err := sign(other, "own code"); fault.Of(err) != fault.NotFound {
		t.Errorf("another trainee: %v, want not found", err)
	}
	themselves := other
	themselves.Person = held.Trainee.Person
	if err := sign(themselves, "own code"); err != nil {
		t.Fatal(err)
	}
	if err := sign(o.instructor, "own code"); fault.Of(err) != fault.Conflict {
		t.Errorf("countersigned twice: %v, want a conflict", err)
	}
	if list, err := o.Proposals(ctx, o.administrator); err != nil || list.Ready() != 2 {
		t.Errorf("%d may be given, %v; want both", list.Ready(), err)
	}
	if _, err := o.give(held, "mended"); err != nil {
		t.Error(err)
	}
}

func TestOneWhoWasReplacedOrComesForNothingIsNotProposed(t *testing.T) {
	for name, change := range map[string]func(*office, completing.Proposal){
		"replaced": func(o *office, p completing.Proposal) {
			o.put("replaced", arrival.Arrival{Trainee: p.Trainee.ID, State: arrival.Replaced, By: p.Trainee.ID})
		},
		"needs emptied": func(o *office, p completing.Proposal) {
			left := p.Trainee
			left.Needs = nil
			o.put("changed", left)
		},
	} {
		t.Run(name, func(t *testing.T) {
			o := open(t)
			ready, held := o.two()
			change(o, ready)
			list, err := o.Proposals(ctx, o.administrator)
			if err != nil || len(list.Proposals) != 1 || list.Proposals[0].Trainee.ID != held.Trainee.ID {
				t.Errorf("%d proposals, %v; want the other one alone", len(list.Proposals), err)
			}
			if _, err := o.Give(ctx, o.administrator, completing.Giving{Trainee: ready.Trainee.ID}, "give"); fault.Of(err) != fault.Conflict {
				t.Errorf("given: %v, want a conflict", err)
			}
		})
	}
}

func TestWhoMayNotGiveACertificateIsRefused(t *testing.T) {
	o := open(t)
	ready, _ := o.two()
	if _, err := o.Give(ctx, o.instructor, completing.Giving{Trainee: ready.Trainee.ID}, "i"); fault.Of(err) != fault.Forbidden {
		t.Errorf("an instructor: %v, want forbidden", err)
	}
	own := o.administrator
	own.Person = ready.Trainee.Person
	if _, err := o.Give(ctx, own, completing.Giving{Trainee: ready.Trainee.ID}, "own"); fault.Of(err) != fault.Conflict {
		t.Errorf("to themselves: %v, want a conflict", err)
	}
	if _, err := o.Give(ctx, o.administrator, completing.Giving{Trainee: ready.Trainee.ID, Called: "unheard-of"}, "u"); fault.Of(err) != fault.Invalid {
		t.Errorf("called what nothing requires: %v, want it refused", err)
	}
}
