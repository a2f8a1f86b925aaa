package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

func TestASecondSendOfOneFormIsHarmless(t *testing.T) {
	b := newBench(t)
	b.yard()
	cmd := Command{Key: "form-1", Content: map[string]any{"at": nine, "who": "tilde"}, Role: access.Instructor}
	runs := 0
	send := func(c Command) (Outcome, error) {
		return b.Write(context.Background(), c, func(tx *Tx) (Outcome, error) {
			runs++
			_, err := tx.Put("booked", 0, booked(id.Session(tx.ID()), nine))
			return "/first", err
		})
	}
	for range 3 {
		if out, err := send(cmd); err != nil || out != "/first" {
			t.Fatalf("got %q, %v", out, err)
		}
	}
	b.reopen()
	if out, err := send(cmd); err != nil || out != "/first" || runs != 1 {
		t.Errorf("after opening again: %q, %v, fn ran %d times", out, err, runs)
	}
	cmd.Content = map[string]any{"at": nine, "who": "osei"}
	out, err := send(cmd)
	if out != "" || fault.Of(err) != fault.Conflict || !strings.Contains(fault.Message(err), "/first") || runs != 1 {
		t.Errorf("same key, other content: %q, %v", out, err)
	}
	cmd.Key = ""
	if _, err := send(cmd); fault.Of(err) != fault.Invalid {
		t.Errorf("no key: %v", err)
	}
}

func TestAKeyOfAWriteThatFailedIsFree(t *testing.T) {
	b := newBench(t)
	b.yard()
	cmd := b.command()
	for i, want := range []error{errStop, nil} {
		out, err := b.Write(context.Background(), cmd, func(*Tx) (Outcome, error) { return Outcome(fmt.Sprint(i)), want })
		if !errors.Is(err, want) || err == nil && out != "1" {
			t.Errorf("try %d: %q, %v", i, out, err)
		}
	}
}

// snapshot is every row of every table, the ledger and the private ones too.
func (b *bench) snapshot() string {
	b.t.Helper()
	var out strings.Builder
	b.read(func(v *View) error {
		tables, err := list(v, scanText, `SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name`)
		if err != nil {
			return err
		}
		for _, table := range tables {
			fmt.Fprintln(&out, table)
			rows, err := openRows(v.ctx, v.c, table, "1, 2")
			if err != nil {
				return err
			}
			for row, err := nextRow(rows); row != "" || err != nil; row, err = nextRow(rows) {
				if err != nil {
					return err
				}
				fmt.Fprintln(&out, row)
			}
			if err := rows.Close(); err != nil {
				return err
			}
		}
		return nil
	})
	return out.String()
}

// TestAWriteBrokenAtAnyStepLeavesNothing breaks one and the same write at its
// first step, its second, and so on, until it goes through.
func TestAWriteBrokenAtAnyStepLeavesNothing(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("first", nine))
	before := b.snapshot()
	at, seen := 0, map[string]bool{}
	arm := func(stop int) {
		at = 0
		b.Store.options.breakAt = func(step string) error {
			if at++; at == stop {
				seen[step] = true
				return errStop
			}
			return nil
		}
	}
	work := func(tx *Tx) (Outcome, error) {
		moved := booked("first", nine.Add(120))
		moved.Note = tx.Seal("first", "note", "moved for the weather")
		err := putAll(tx, moved, people.Person{ID: "late", Name: tx.Seal("late", "name", "Late Comer")},
			rig.Kit{ID: "kit", Count: 2}, session.Attendance{Session: "first"})
		return "/done", err
	}
	for stop := 1; ; stop++ {
		arm(stop)
		_, err := b.Write(context.Background(), b.command(), work)
		if err == nil {
			break
		}
		if !errors.Is(err, errStop) {
			t.Fatalf("step %d: %v", stop, err)
		}
		if after := b.snapshot(); after != before {
			t.Fatalf("broken at step %d: the tables changed", stop)
		}
		b.equalsRebuilt()
	}
	b.Store.options.breakAt = nil
	if b.snapshot() == before {
		t.Error("the write that went through changed nothing")
	}
	for _, step := range []string{"append", "derive", "derived", "hash", "checkpoint", "command", "commit"} {
		if !seen[step] {
			t.Errorf("step %s was never broken", step)
		}
	}
	b.equalsRebuilt()
	b.reopen()
}

func TestAWriteThatPanicsLeavesNothing(t *testing.T) {
	b := newBench(t)
	b.yard()
	before := b.snapshot()
	func() {
		defer func() { _ = recover() }()
		b.do(func(tx *Tx) error {
			if err := putAll(tx, rig.Kit{ID: "kit"}); err != nil {
				return err
			}
			panic("stopped by the test")
		})
	}()
	if b.snapshot() != before {
		t.Error("the tables changed")
	}
	b.put(rig.Kit{ID: "kit"})
}

func TestAFailedPutEndsTheWriteEvenIfTheCallerGoesOn(t *testing.T) {
	b := newBench(t)
	b.yard()
	before := b.snapshot()
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
		long := booked("long", nine)
		long.End = long.Start.Add(24*60 + 1)
		if _, err := tx.Put("booked", 0, long); fault.Of(err) != fault.Invalid {
			t.Errorf("a session of 24 h 01: %v", err)
		}
		if _, err := tx.Put("recorded", 0, rig.Kit{ID: "kit"}); err == nil {
			t.Error("went on after a failed Put")
		}
		return "", nil
	})
	if fault.Of(err) != fault.Invalid || b.snapshot() != before {
		t.Errorf("got %v", err)
	}
}

func TestPutRefusesWhatNoTableCanHold(t *testing.T) {
	b := newBench(t)
	b.yard()
	tomorrow := b.Zone().DayOf(nine) + 1
	backwards := booked("s", nine)
	backwards.End = backwards.Start
	stranger := booked("s", nine)
	stranger.Instructors = []id.Person{"nobody"}
	for name, c := range map[string]struct {
		day    civil.Day
		record any
	}{
		"a session from tomorrow":          {tomorrow, booked("s", nine)},
		"a person from tomorrow":           {tomorrow, people.Person{ID: "p"}},
		"a session without length":         {0, backwards},
		"a session with somebody unknown":  {0, stranger},
		"a duty that ends before it began": {0, people.Duty{ID: "d", Person: "brona", Kind: people.OfficeDuty, Start: nine, End: nine.Add(-1)}},
		"an absence without length":        {0, people.Away{ID: "a", Person: "brona", Start: nine, End: nine}},
		"a trainee of no person":           {0, people.Trainee{ID: "t", Person: "nobody", Intake: "march"}},
		"a yard in no zone":                {0, rig.Yard{ID: "y", Zone: "Europe/Nowhere"}},
		"presence of one who did not come": {0, session.Attendance{Session: "s", Presences: []session.Presence{{Who: "tilde", Part: session.AsOther, Mark: session.DidNotCome, Start: nine, End: nine.Add(1)}}}},
		"presence without length":          {0, session.Attendance{Session: "s", Presences: []session.Presence{{Who: "tilde", Part: session.AsOther, Mark: session.Present, Start: nine, End: nine}}}},
	} {
		_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
			_, err := tx.Put("recorded", c.day, c.record)
			return "", err
		})
		if fault.Of(err) != fault.Invalid || fault.Message(err) == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, record := range map[string]any{
		"a pointer": &people.Person{ID: "p"}, "no record at all": "hello", "a state that is none": session.Session{
			ID: "s", State: "open", Exercise: "harness", Station: "deck-a", Start: nine, End: nine.Add(60)},
		"an id of another kind": rig.Kit{ID: "brona"}, "an id in capitals": rig.Kit{ID: "Kit"},
	} {
		_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
			_, err := tx.Put("recorded", 0, record)
			return "", err
		})
		if err == nil {
			t.Errorf("%s was put", name)
		}
	}
	b.equalsRebuilt()
}

func TestRecordsMaySpeakOfOnesPutLaterInTheSameWrite(t *testing.T) {
	b := newBench(t)
	b.put(rig.Station{ID: "deck", Rig: "tower"}, rig.Rig{ID: "tower"})
	b.equalsRebuilt()
}

func TestTheClockMayBeTwoMinutesBehindAndNoMore(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.at = morning.Add(-2 * time.Minute)
	b.put(rig.Kit{ID: "kit"})
	b.read(func(v *View) error {
		e, err := v.Entry(v.Head())
		if err == nil && e.RecordedAt != "2027-03-01T08:00:00+00:00[Europe/Dublin]" {
			t.Errorf("recorded at %s", e.RecordedAt)
		}
		return err
	})
	b.at = morning.Add(-3 * time.Minute)
	ran := false
	_, err := b.Write(context.Background(), b.command(), func(*Tx) (Outcome, error) { ran = true; return "", nil })
	if ran || fault.Of(err) != fault.Unusable || !strings.Contains(fault.Message(err), "Nothing is written until the clock is right") {
		t.Errorf("ran %t, got %v", ran, err)
	}
	b.at = morning
	b.put(rig.Kit{ID: "kit"})
}

func TestReadsRunBesideWritesAndSeeWholeWrites(t *testing.T) {
	b := newBench(t)
	b.yard()
	ctx, stop := context.WithCancel(context.Background())
	var readers sync.WaitGroup
	for range 4 {
		readers.Go(func() {
			for ctx.Err() == nil {
				err := b.Read(context.Background(), func(v *View) error {
					r, err := v.Reference()
					if err != nil {
						return err
					}
					if n := r.Kits.Len(); n%2 != 0 {
						t.Errorf("a read saw %d kits of a write that puts two", n)
					}
					sessions, err := v.SessionsBetween(nine, nine.Add(60))
					if len(sessions) != r.Kits.Len()/2 {
						t.Errorf("%d sessions beside %d kits", len(sessions), r.Kits.Len())
					}
					return err
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	for i := range 25 {
		b.do(func(tx *Tx) error {
			return putAll(tx, rig.Kit{ID: id.Kit(fmt.Sprintf("a%d", i))}, rig.Kit{ID: id.Kit(fmt.Sprintf("b%d", i))}, booked(id.Session(fmt.Sprintf("s%d", i)), nine))
		})
	}
	stop()
	readers.Wait()
	b.equalsRebuilt()
}

// TestWhatFailedFirstIsTold writes as a form does that names a field which is
// empty because its text could not be kept.
func TestWhatFailedFirstIsTold(t *testing.T) {
	b := newBench(t)
	b.yard()
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
		if tx.Seal("late", "name", "no \xff text") == "" {
			return "", fault.Field("born", "The name is missing.")
		}
		return "", nil
	})
	var told *fault.Error
	if !errors.As(err, &told) || told.Field != "name" {
		t.Errorf("got %v, want that the name could not be kept", err)
	}
}

// TestAWriteKnowsTheRevisionsThatItPutItself beside those that stood before it, also
// once it is a long one, which keeps none in mind.
func TestAWriteKnowsTheRevisionsThatItPutItself(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine))
	b.put(booked("s", nine.Add(15)))
	b.do(func(tx *Tx) error {
		before := tx.View()
		knows := func(now int64) {
			t.Helper()
			got, err := tx.View().Session("s")
			if err != nil || got.Rev != now || tx.Expect("session", "s", now) != nil || fault.Of(tx.Expect("session", "s", now-1)) != fault.Conflict {
				t.Errorf("%+v, %v; want revision %d", got, err, now)
			}
			then, err := tx.View().At(before.Head(), tx.Today()).Session("s")
			if err != nil || then.Rev != 2 || then.Value.Start != nine.Add(15) {
				t.Errorf("as it stood before: %+v, %v", then, err)
			}
		}
		for rev := int64(2); rev < 6; rev++ {
			knows(rev)
			if rev == 4 {
				if err := tx.Long("Much is put", longFrom); err != nil {
					return err
				}
			}
			index, err := tx.Put("moved", 0, booked("s", nine.Add(civil.Minutes(15*rev))))
			if err != nil {
				return err
			}
			if e, err := tx.View().Entry(index); err != nil || e.Rev != rev+1 {
				t.Errorf("entry %d has revision %d, %v; want %d", index, e.Rev, err, rev+1)
			}
		}
		knows(6)
		return nil
	})
	b.equalsRebuilt()
}
