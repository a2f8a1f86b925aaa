package store

import (
	"testing"

	"rungbook/internal/batch"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/people"
	"rungbook/internal/rig"
)

func TestWhatIsStruckOutStandsOnNoDayAndStaysInTheLedger(t *testing.T) {
	b := newBench(t)
	b.yard()
	var before int64
	b.read(func(v *View) error { before = v.Head(); return nil })
	b.do(func(tx *Tx) error {
		tx.Mark(batch.Mark("b1", 7))
		name := tx.Seal("person/newcomer", "name", "Newcomer Quill")
		if err := putFrom(tx, tx.Today(), people.Person{ID: "newcomer", Name: name}, rig.Kit{ID: "kit-9", Name: name, Count: 1},
			people.Employer{ID: "firm-9", Name: name},
			credential.Certificate{ID: "paper-9", Person: "newcomer", Kind: credential.FirstAid, From: 739000, Until: 740000, State: credential.Valid}); err != nil {
			return err
		}
		tx.Mark("")
		return putFrom(tx, tx.Today(), batch.Batch{ID: "b1", List: batch.People, File: "ab", First: before + 1, By: "brona"})
	})
	var facts []Fact
	b.read(func(v *View) error {
		one, err := v.Batch("b1")
		if err != nil {
			return err
		}
		if facts, err = v.FactsOf(one.Value); err != nil {
			return err
		}
		from, row, _, ok, err := v.BroughtIn("certificate", "paper-9")
		if err != nil || from != "b1" || row != 7 || !ok {
			t.Errorf("brought in: got %s %d %t, %v", from, row, ok, err)
		}
		on, err := v.RestsOn(map[string]bool{"newcomer": true}, before)
		if err != nil || len(on) != 2 || on[1] != (Resting{"certificate", "paper-9", "newcomer"}) {
			t.Errorf("rests on: got %+v, %v", on, err)
		}
		return nil
	})
	if len(facts) != 4 {
		t.Fatalf("got %d facts, want 4", len(facts))
	}
	b.do(func(tx *Tx) error {
		for i := range facts {
			if err := tx.StrikeOut(facts[len(facts)-1-i].Index); err != nil {
				return err
			}
		}
		return nil
	})
	b.read(func(v *View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		if _, ok := ref.Kits.On("kit-9", v.Today()); ok || len(ref.Kits.Versions("kit-9")) > 0 {
			t.Error("the kit stands")
		}
		if _, err := v.Person("newcomer"); fault.Of(err) != fault.NotFound {
			t.Errorf("the person: got %v, want none", err)
		}
		if list, err := v.CertificatesOf("newcomer"); err != nil || len(list) > 0 {
			t.Errorf("certificates: got %v, %v", list, err)
		}
		if rows, _, err := v.Persons(PersonFilter{NamePart: "newcomer"}); err != nil || len(rows) > 0 {
			t.Errorf("found by name: got %v, %v", rows, err)
		}
		if _, err := v.At(v.Head()-4, v.Today()).Person("newcomer"); err != nil {
			t.Errorf("as known before: got %v, want the person", err)
		}
		if on, err := v.RestsOn(map[string]bool{"newcomer": true}, before+1); err != nil || len(on) > 0 {
			t.Errorf("rests on: got %+v, %v; want nothing", on, err)
		}
		return nil
	})
	if err := b.try(func(tx *Tx) error { return tx.StrikeOut(facts[0].Index) }); fault.Of(err) != fault.Conflict {
		t.Errorf("a second time: got %v, want a conflict", err)
	}
	b.equalsRebuilt()
}
