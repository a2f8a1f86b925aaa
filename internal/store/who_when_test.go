package store

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/migrations"
)

// rows counts the rows of a table.
func (b *bench) rows(table string) (n int) {
	b.t.Helper()
	b.read(func(v *View) error {
		_, err := v.one([]any{&n}, `SELECT count(*) FROM `+table)
		return err
	})
	return n
}

// whoWhen is a session as one entry put it, and on which days who must be found in it.
type whoWhen struct {
	put   session.Session
	found map[string][]civil.Day // who → the days after the first on which the session is found
}

func revised() []whoWhen {
	first := booked("s", nine)
	later := booked("s", nine.Add(3*60))
	signed := booked("s", nine.Add(3*60+7))
	signed.State, signed.End = session.SignedOff, signed.Start.Add(81)
	swapped := booked("s", nine)
	swapped.Instructors, swapped.Trainees = []id.Person{"ivo"}, []id.Trainee{"t-tilde"}
	away := booked("s", nine.Add(2*24*60))
	return []whoWhen{
		{first, map[string][]civil.Day{"brona": {0}, "t-osei": {0}, "t-tilde": {0}}},
		{later, map[string][]civil.Day{"brona": {0}, "t-osei": {0}, "t-tilde": {0}}},
		{swapped, map[string][]civil.Day{"brona": nil, "t-osei": nil, "t-tilde": {0}}},
		{away, map[string][]civil.Day{"brona": {2}, "t-osei": {2}, "t-tilde": {2}}},
		{signed, map[string][]civil.Day{"brona": {0}, "t-osei": {0}, "t-tilde": {0}}},
	}
}

// TestPeopleAreFoundInASessionAsItStoodAtEachEntry though the list of who takes part
// when is of all revisions at once.
func TestPeopleAreFoundInASessionAsItStoodAtEachEntry(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.at = b.at.Add(5 * 24 * time.Hour)
	var at []int64
	told := revised()
	for _, one := range told {
		b.put(one.put)
		b.read(func(v *View) error { at = append(at, v.Head()); return nil })
	}
	b.read(func(v *View) error {
		for i, one := range told {
			then := v.At(at[i], v.Today())
			for who, days := range one.found {
				for day := civil.Day(-2); day <= 4; day++ {
					from := nine.Add(civil.Minutes(day)*24*60 - 9*60)
					got, err := then.SessionsOf([]id.Person{id.Person(who)}, []id.Trainee{id.Trainee(who)}, from, from.Add(24*60))
					if err != nil || (len(got) > 0) != slices.Contains(days, day) || len(got) > 1 || len(got) == 1 && got[0].Start != one.put.Start {
						t.Errorf("revision %d, %s, day %d: %v, %v", i+1, who, day, called(got), err)
					}
				}
			}
		}
		for who, revs := range map[id.Person][]int64{"brona": {1, 2, 4, 5}, "ivo": {1, 2, 3, 4, 5}, "osei": {1, 2, 4, 5}, "tilde": {1, 2, 3, 4, 5}} {
			ever, err := v.EverOf(who, nine.Add(-24*60), nine.Add(4*24*60))
			var want []civil.Instant
			for _, rev := range revs {
				want = append(want, told[rev-1].put.Start)
			}
			var got []civil.Instant
			for _, s := range ever {
				got = append(got, s.Start)
			}
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("ever of %s: %v, %v; want %v", who, got, err, want)
			}
		}
		return nil
	})
	b.equalsRebuilt()
}

// TestASessionThatKeepsItsPeopleAndDayAddsNobody: each such row is a page more of
// the disk to write while the instructor waits for the signature.
func TestASessionThatKeepsItsPeopleAndDayAddsNobody(t *testing.T) {
	b := newBench(t)
	b.yard()
	told := revised()
	there := func(from, to civil.Minutes, mark session.Mark) (out []session.Presence) {
		for _, who := range []string{"t-osei", "t-tilde"} {
			p := session.Presence{Who: who, Part: session.AsTrainee, Mark: mark}
			if mark != session.DidNotCome {
				p.Start = nine.Add(from)
			}
			if to > 0 && p.Start > 0 {
				p.End = nine.Add(to)
			}
			out = append(out, p)
		}
		return append(out, session.Presence{Who: "brona", Part: session.AsInstructor, Mark: session.Present, Start: nine.Add(from), End: nine.Add(max(to, 1))})
	}
	for _, step := range []struct {
		put         any
		of, present int
	}{
		{told[0].put, 4, 0},
		{told[1].put, 4, 0},
		{session.Attendance{Session: "s", Presences: there(0, 90, session.DidNotCome)}, 4, 0},
		{session.Attendance{Session: "s", Presences: there(0, 0, session.Present)}, 4, 2}, // they are there
		{session.Attendance{Session: "s", Presences: there(0, 90, session.Left)}, 4, 2},
		{told[2].put, 4, 2},
		{told[3].put, 8, 2},
		{told[4].put, 8, 2},
		{session.Attendance{Session: "s", Presences: there(190, 260, session.Present)}, 8, 2},
	} {
		b.put(step.put)
		if of, present := b.rows("session_person"), b.rows("presence"); of != step.of || present != step.present {
			t.Errorf("after %+v: %d take part, %d were present; want %d and %d", step.put, of, present, step.of, step.present)
		}
	}
	b.equalsRebuilt()
}

// TestHoursAreThoseOfTheAttendanceKnownAtTheEntry though who was ever present is kept once.
func TestHoursAreThoseOfTheAttendanceKnownAtTheEntry(t *testing.T) {
	b := newBench(t)
	b.yard()
	s := booked("s", nine)
	s.State = session.SignedOff
	at := map[int64]civil.Minutes{}
	for _, minutes := range []civil.Minutes{30, 40, 0, 20} {
		a := session.Attendance{Session: "s", Presences: []session.Presence{
			{Who: "brona", Part: session.AsInstructor, Mark: session.Present, Start: nine, End: nine.Add(90)},
			{Who: "t-osei", Part: session.AsTrainee, Mark: session.Present, Start: nine, End: nine.Add(35)}}}
		if minutes > 0 {
			a.Presences = append(a.Presences, session.Presence{Who: "t-tilde", Part: session.AsTrainee, Mark: session.Present, Start: nine, End: nine.Add(minutes)})
		}
		b.put(s, a)
		b.read(func(v *View) error { at[v.Head()] = minutes; return nil })
	}
	b.read(func(v *View) error {
		for entry, want := range at {
			var sum civil.Minutes
			got, err := v.At(entry, v.Today()).HoursOf("tilde")
			for _, h := range got {
				sum += h.Minutes
			}
			if err != nil || sum != want || len(got) > 1 || len(got) == 1 && want == 0 {
				t.Errorf("at entry %d: %+v, %v; want %d minutes", entry, got, err, want)
			}
		}
		got, err := v.HoursOf("brona")
		if err != nil || len(got) != 0 {
			t.Errorf("an instructor's presence is no hour of a trainee: %v, %v", got, err)
		}
		return nil
	})
}

func TestAnAttendanceOfAnUnknownPartOrMarkIsRefused(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine))
	for _, p := range []session.Presence{
		{Who: "t-tilde", Part: "guest", Mark: session.Present, Start: nine, End: nine.Add(1)},
		{Who: "t-tilde", Part: session.AsTrainee, Mark: "there", Start: nine, End: nine.Add(1)},
	} {
		err := b.try(func(tx *Tx) error {
			return putAll(tx, session.Attendance{Session: "s", Presences: []session.Presence{p}})
		})
		if fault.Of(err) != fault.Invalid {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

// TestTheStepThatListsWhoWasWhenFindsWhatTheProgramLists fills the tables that the
// step replaces as they were kept before it.
func TestTheStepThatListsWhoWasWhenFindsWhatTheProgramLists(t *testing.T) {
	b := newBench(t)
	b.yard()
	for i, one := range revised() {
		one.put.ID = id.Session(fmt.Sprint("s", i%2))
		b.put(one.put, session.Attendance{Session: one.put.ID, Presences: []session.Presence{
			{Who: "t-tilde", Part: session.AsTrainee, Mark: session.Present, Start: nine},
			{Who: "t-osei", Part: session.AsTrainee, Mark: session.DidNotCome},
			{Who: "ivo", Part: session.AsRescuer, Mark: session.Present, Start: nine, End: nine.Add(9)}}})
	}
	b.put(session.Attendance{Session: "s0"})
	before, err := migrations.Files.ReadFile("0002_derived.sql")
	if err != nil {
		t.Fatal(err)
	}
	step, err := migrations.Files.ReadFile("0021_who_when.sql")
	if err != nil {
		t.Fatal(err)
	}
	statements := []string{`DROP TABLE session_person`, `DROP TABLE presence`}
	for _, table := range []string{"session_person", "presence"} {
		_, made, _ := strings.Cut(string(before), "CREATE TABLE "+table+" (")
		made, _, _ = strings.Cut(made, ";")
		statements = append(statements, "CREATE TABLE "+table+" ("+made)
	}
	for _, list := range []string{"trainee", "instructor", "rescuer", "other"} {
		statements = append(statements, `INSERT INTO session_person (entry, session, who, part, start, finish)
			SELECT DISTINCT s.entry, s.id, w.value, '`+list+`', s.start, s.finish FROM session AS s, json_each(s.body, '$.`+list+`s') AS w`)
	}
	for _, s := range append(statements, string(step)) {
		if err := b.write0(s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
	if b.rows("session_person") == 0 || b.rows("presence") != 2 {
		t.Errorf("%d take part, %d were present", b.rows("session_person"), b.rows("presence"))
	}
	b.equalsRebuilt()
}
