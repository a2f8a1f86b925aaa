package store

import (
	"context"
	"errors"
	"log/slog"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

// A bench is a store in a folder of its own, with a clock that stands still
// until it is moved.
type bench struct {
	*Store
	t    testing.TB
	dir  string
	at   time.Time
	keys int

	hasty bool
}

var morning = time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)

func newBench(t testing.TB) *bench {
	t.Helper()
	b := &bench{t: t, dir: t.TempDir(), at: morning}
	b.open()
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

func (b *bench) options() Options {
	return Options{Dir: b.dir, Clock: func() time.Time { return b.at }, Log: slog.New(slog.DiscardHandler), hasty: b.hasty}
}

func (b *bench) open() {
	b.t.Helper()
	s, err := Open(context.Background(), b.options())
	if err != nil {
		b.t.Fatal(err)
	}
	b.Store = s
}

// reopen closes the store and opens it again.
func (b *bench) reopen() {
	b.t.Helper()
	if err := b.Close(); err != nil {
		b.t.Fatal(err)
	}
	b.open()
}

func (b *bench) command() Command {
	b.keys++
	return Command{Key: "key-" + b.maker.New(), Content: b.keys, Actor: access.Actor{Person: "brona"}, Role: access.Instructor}
}

// write runs one write that must hold.
func (b *bench) do(fn func(*Tx) error) {
	b.t.Helper()
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) { return "/done", fn(tx) })
	if err != nil {
		b.t.Fatal(err)
	}
}

// put writes records, each as its own fact, effective today.
func (b *bench) put(records ...any) {
	b.t.Helper()
	b.do(func(tx *Tx) error { return putAll(tx, records...) })
}

func putAll(tx *Tx, records ...any) error { return putFrom(tx, 0, records...) }

func putFrom(tx *Tx, day civil.Day, records ...any) error {
	for _, r := range records {
		if _, err := tx.Put("recorded", day, r); err != nil {
			return err
		}
	}
	return nil
}

func (b *bench) read(fn func(*View) error) {
	b.t.Helper()
	if err := b.Read(context.Background(), fn); err != nil {
		b.t.Fatal(err)
	}
}

// equalsRebuilt fails unless the ledger replayed gives the tables that stand.
func (b *bench) equalsRebuilt() {
	b.t.Helper()
	report, err := b.Rebuild(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	if !report.Equal() {
		b.t.Errorf("rebuilt tables differ: %+v", report)
	}
}

// yard puts a small yard: one rig with two stations, two exercises, one intake
// with two trainees, two of the staff,
// all of it a year old.
func (b *bench) yard() {
	b.t.Helper()
	b.do(func(tx *Tx) error {
		name := func(of, s string) id.Commitment { return tx.Seal(of, "name", s) }
		return putFrom(tx, tx.Today()-365,
			rig.Yard{ID: b.YardID(), Name: name(string(b.YardID()), "Carrowmoyle"), Zone: "Europe/Dublin", Grid: 15},
			rig.Rig{ID: "tower", Name: name("tower", "Tower platform"), Kind: rig.TowerPlatform, State: rig.InService, PeopleMax: 20},
			rig.Station{ID: "deck-a", Rig: "tower", Name: name("deck-a", "Deck A"), Places: 6, Order: 2},
			rig.Station{ID: "deck-b", Rig: "tower", Name: name("deck-b", "Deck B"), Places: 6, Order: 1},
			curriculum.Outcome{ID: "harness-on", Name: name("harness-on", "Puts a harness on")},
			curriculum.Exercise{ID: "harness", Name: name("harness", "Harness basics"), Minutes: 90, Stations: []id.Station{"deck-a"},
				Outcomes: []id.Outcome{"harness-on"}, Pauses: []curriculum.Pause{{After: 40, Minutes: 10}}},
			curriculum.Exercise{ID: "descent", Name: name("descent", "Descent"), Minutes: 60, Stations: []id.Station{"deck-a", "deck-b"}},
			curriculum.Programme{ID: "heights", Name: name("heights", "Work at height"), Exercises: []id.Exercise{"harness", "descent"}},
			people.Employer{ID: "windward", Name: name("windward", "Windward Upkeep")},
			people.Person{ID: "brona", Name: name("brona", "Bróna Keane")},
			people.Person{ID: "ivo", Name: name("ivo", "Ivo Šarić")},
			people.Person{ID: "tilde", Name: name("tilde", "Tilde Bjørnsen"), Employer: "windward"},
			people.Person{ID: "osei", Name: name("osei", "Osei Darko"), Employer: "windward"},
			people.Staff{ID: "brona", From: 1, Weekdays: []int{1, 2, 3, 4, 5}},
			people.Staff{ID: "ivo", From: 1, Weekdays: []int{1, 2, 3, 4, 5}},
			people.Intake{ID: "march", Name: name("march", "March"), Employer: "windward", Programme: "heights", From: tx.Today(), Until: tx.Today() + 11},
			people.Trainee{ID: "t-tilde", Person: "tilde", Intake: "march", Needs: []id.Exercise{"harness", "descent"}},
			people.Trainee{ID: "t-osei", Person: "osei", Intake: "march", Needs: []id.Exercise{"harness", "descent"}},
		)
	})
}

// nine is 09:00 on the first day of the tests.
var nine = civil.InstantOf(morning).Add(60)

func booked(of id.Session, start civil.Instant) session.Session {
	return session.Session{ID: of, State: session.Booked, Exercise: "harness", Station: "deck-a", Start: start, End: start.Add(90),
		Trainees: []id.Trainee{"t-osei", "t-tilde"}, Instructors: []id.Person{"brona"}, Rescuers: []id.Person{"ivo"}}
}

func TestEveryKindOfRecordIsReadBackAsPut(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("first", nine))
	b.read(func(v *View) error {
		got, err := v.Session("first")
		if err != nil {
			return err
		}
		if got.Value.Start != nine || got.Rev != 1 || got.Entry != v.Head() {
			t.Errorf("got %+v", got)
		}
		return nil
	})
	b.equalsRebuilt()
	b.reopen()
	if b.Zone().Name() != "Europe/Dublin" {
		t.Errorf("zone after opening again is %s", b.Zone().Name())
	}
}

var errStop = errors.New("stopped by the test")
