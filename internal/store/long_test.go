package store

import (
	"context"
	"strings"
	"testing"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// holding begins a write of so many facts and returns what ends it.
func (b *bench) holding(facts int) (end func() error) {
	b.t.Helper()
	begun, release, done := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	cmd := b.command()
	go func() {
		_, err := b.Write(context.Background(), cmd, func(tx *Tx) (Outcome, error) {
			err := tx.Long("A large list is being brought in", facts)
			close(begun)
			<-release
			if err == nil {
				_, err = tx.Put("brought-in", 0, people.Person{ID: id.Person(tx.ID()), Name: tx.Seal("late", "name", "Late Comer")})
			}
			return "", err
		})
		done <- err
	}()
	<-begun
	return func() error { close(release); return <-done }
}

func TestAWriteIsToldOfALongOneAndWhenToTryAgain(t *testing.T) {
	b := newBench(t)
	b.yard()
	end := b.holding(10_000_000)
	cmd := b.command()
	write := func() error {
		_, err := b.Write(context.Background(), cmd, func(tx *Tx) (Outcome, error) {
			_, err := tx.Put("booked", 0, booked(id.Session(tx.ID()), nine))
			return "", err
		})
		return err
	}
	err := write()
	if fault.Of(err) != fault.Busy || fault.After(err) < 1 || !strings.Contains(fault.Message(err), "try again in about") {
		t.Errorf("beside a long write: got %v (%d s), want busy and when to try again", err, fault.After(err))
	}
	if err := b.Read(context.Background(), func(v *View) error { _, err := v.Reference(); return err }); err != nil {
		t.Errorf("reading beside a long write: %v", err)
	}
	if err := end(); err != nil {
		t.Fatal(err)
	}
	if err := write(); err != nil {
		t.Errorf("the same again, after it: %v", err)
	}
	b.equalsRebuilt()
}

func TestAShortWriteIsWaitedFor(t *testing.T) {
	b := newBench(t)
	b.yard()
	end := b.holding(longFrom) // long, but over before anybody loses patience
	cmd, done := b.command(), make(chan error, 1)
	go func() {
		_, err := b.Write(context.Background(), cmd, func(tx *Tx) (Outcome, error) {
			_, err := tx.Put("booked", 0, booked(id.Session(tx.ID()), nine))
			return "", err
		})
		done <- err
	}()
	if err := end(); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Errorf("got %v", err)
	}
	b.equalsRebuilt()
}

func TestALongWriteThatFailsLeavesNothingAndHoldsNobodyUp(t *testing.T) {
	b := newBench(t)
	b.yard()
	before := b.snapshot()
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
		if err := tx.Long("A large list is being brought in", 10_000_000); err != nil {
			return "", err
		}
		if err := putAll(tx, people.Person{ID: id.Person(tx.ID()), Name: tx.Seal("late", "name", "Late Comer")}); err != nil {
			return "", err
		}
		return "", errStop
	})
	if err == nil || b.snapshot() != before {
		t.Errorf("got %v, and tables changed: %t", err, b.snapshot() != before)
	}
	b.put(booked("first", nine))
	b.equalsRebuilt()
}
