package store

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

// called returns the ids of sessions in the order given.
func called(sessions []session.Session) (out []string) {
	for _, s := range sessions {
		out = append(out, string(s.ID))
	}
	return out
}

func want(t *testing.T, what string, got []string, err error, ids ...string) {
	t.Helper()
	if err != nil || !slices.Equal(got, ids) {
		t.Errorf("%s: got %q, %v; want %q", what, got, err, ids)
	}
}

func TestSessionsThatTouchASpanDoNotOverlapIt(t *testing.T) {
	b := newBench(t)
	b.yard()
	long := booked("long", nine.Add(-24*60)) // ends at nine
	long.End = nine
	down := booked("down", nine)
	down.State = session.StoodDown
	b.put(long, booked("before", nine.Add(-90)), down, booked("after", nine.Add(90)))
	b.read(func(v *View) error {
		for name, c := range map[string]struct {
			from, to civil.Instant
			want     []string
		}{
			"the minute before":   {nine.Add(-1), nine, []string{"long", "before"}},
			"the first minute":    {nine, nine.Add(1), []string{"down"}},
			"the last minute":     {nine.Add(89), nine.Add(90), []string{"down"}},
			"one minute more":     {nine.Add(89), nine.Add(91), []string{"down", "after"}},
			"a day later":         {nine.Add(24 * 60), nine.Add(48 * 60), nil},
			"begin of the long":   {nine.Add(-24 * 60), nine.Add(-24*60 + 1), []string{"long"}},
			"before everything":   {nine.Add(-48 * 60), nine.Add(-24 * 60), nil},
			"all of it, in order": {0, nine.Add(999), []string{"long", "before", "down", "after"}},
		} {
			got, err := v.SessionsBetween(c.from, c.to)
			want(t, name, called(got), err, c.want...)
			got, err = v.SessionsOf([]id.Person{"brona"}, nil, c.from, c.to)
			want(t, name+" of brona", called(got), err, c.want...)
		}
		return nil
	})
}

func TestSessionsOfFindsPeopleInEveryPart(t *testing.T) {
	b := newBench(t)
	b.yard()
	plain := func(of id.Session) session.Session {
		return session.Session{ID: of, State: session.Booked, Exercise: "descent", Station: "deck-b", Start: nine, End: nine.Add(60)}
	}
	asTrainee, asInstructor, asRescuer, asOther := plain("a"), plain("b"), plain("c"), plain("d")
	asTrainee.Trainees = []id.Trainee{"t-tilde", "t-tilde"} // a list that names somebody twice is one part
	asInstructor.Instructors = []id.Person{"tilde"}
	asRescuer.Rescuers = []id.Person{"tilde"}
	asOther.Others = []id.Person{"tilde"}
	b.put(asTrainee, asInstructor, asRescuer, asOther, plain("nobody"))
	b.read(func(v *View) error {
		from, to := nine, nine.Add(1)
		got, err := v.SessionsOf([]id.Person{"tilde", "tilde"}, nil, from, to)
		want(t, "the person", called(got), err, "a", "b", "c", "d")
		got, err = v.SessionsOf(nil, []id.Trainee{"t-tilde"}, from, to)
		want(t, "the enrolment", called(got), err, "a")
		got, err = v.SessionsOf(nil, nil, from, to)
		want(t, "nobody", called(got), err)
		got, err = v.SessionsOfTrainees([]id.Trainee{"t-tilde", "t-osei"})
		want(t, "enrolments, ever", called(got), err, "a")
		return nil
	})
	moved := asTrainee
	moved.Trainees = nil
	b.put(moved)
	b.read(func(v *View) error {
		got, err := v.SessionsOf(nil, []id.Trainee{"t-tilde"}, nine, nine.Add(1))
		want(t, "left out again", called(got), err)
		got, err = v.At(v.Head()-1, v.Today()).SessionsOf(nil, []id.Trainee{"t-tilde"}, nine, nine.Add(1))
		want(t, "as known before", called(got), err, "a")
		return nil
	})
}

func TestWhatACallerDoesToItsListsReachesNobodyElse(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine))
	for range 2 {
		b.read(func(v *View) error {
			got, err := v.SessionsBetween(nine, nine.Add(1))
			if err != nil {
				return err
			}
			if !slices.Equal(got[0].Trainees, []id.Trainee{"t-osei", "t-tilde"}) {
				t.Errorf("trainees are %v", got[0].Trainees)
			}
			got[0].Trainees[0] = "spoilt"
			return nil
		})
	}
}

func TestAWriteThatIsUndoneLeavesNothingDecoded(t *testing.T) {
	b := newBench(t)
	b.yard()
	look := func(tx *Tx, at civil.Instant) error {
		if _, err := tx.Put("booked", 0, booked("s", at)); err != nil {
			return err
		}
		got, err := tx.View().SessionsBetween(at, at.Add(1))
		if err != nil || len(got) != 1 {
			t.Errorf("a write does not see its own session: %v, %v", got, err)
		}
		if _, err := tx.Put("counted", 0, rig.Kit{ID: "kit", Count: int(at % 100)}); err != nil {
			return err
		}
		r, err := tx.View().Reference()
		if err != nil {
			return err
		}
		if kit, _ := r.Kits.On("kit", tx.Today()); kit.Count != int(at%100) {
			t.Errorf("a write does not see its own kit: %+v", kit)
		}
		return nil
	}
	if err := b.try(func(tx *Tx) error { _ = look(tx, nine.Add(7)); return errStop }); err == nil {
		t.Fatal("the write went through")
	}
	b.read(func(v *View) error {
		r, err := v.Reference()
		if err == nil && r.Kits.Len() != 0 {
			t.Error("a kit of an undone write is in the reference")
		}
		return err
	})
	b.do(func(tx *Tx) error { return look(tx, nine.Add(99)) }) // the same entry numbers, other content
	b.read(func(v *View) error {
		got, err := v.SessionsBetween(nine.Add(99), nine.Add(100))
		want(t, "after the second try", called(got), err, "s")
		r, err := v.Reference()
		if err == nil && len(r.Kits.All(v.Today())) != 1 {
			t.Errorf("kits: %v", r.Kits.All(v.Today()))
		}
		return err
	})
}

func TestSessionHistoryNamesEveryRevisionAndWhoMadeIt(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine))
	b.at = b.at.Add(time.Hour)
	down := booked("s", nine)
	down.State, down.Down = session.StoodDown, session.DownWeather
	b.do(func(tx *Tx) error { _, err := tx.Put("stood-down", 0, down); return err })
	b.read(func(v *View) error {
		got, err := v.SessionHistory("s")
		if err != nil || len(got) != 2 {
			t.Fatalf("%d revisions, %v", len(got), err)
		}
		last := got[1]
		if last.Act != "stood-down" || last.Actor != "brona" || last.Role != "instructor" || last.Rev != 2 || last.Entry != v.Head() ||
			last.RecordedAt != nine || last.Value.Down != session.DownWeather || got[0].Value.State != session.Booked || last.From != v.Today() {
			t.Errorf("got %+v", last)
		}
		row, err := v.Session("s")
		if err != nil || row.Rev != 2 || row.Entry != v.Head() || row.RecordedAt != nine {
			t.Errorf("got %+v, %v", row, err)
		}
		if got, err := v.At(v.Head()-1, v.Today()).SessionHistory("s"); err != nil || len(got) != 1 {
			t.Errorf("%d revisions known before, %v", len(got), err)
		}
		_, err = v.Session("none")
		if fault.Of(err) != fault.NotFound {
			t.Errorf("a session that is none: %v", err)
		}
		return nil
	})
}

func TestWorkThatWaitsIsFoundByStateAndTime(t *testing.T) {
	b := newBench(t)
	b.yard()
	var records []any
	for state, of := range map[session.State]id.Session{session.Pencilled: "pencilled", session.Booked: "booked",
		session.UnderWay: "under-way", session.SignedOff: "signed-off", session.CutShort: "cut-short", session.StoodDown: "stood-down"} {
		s := booked(of, nine)
		s.State = state
		records = append(records, s)
	}
	b.put(records...)
	b.read(func(v *View) error {
		end := nine.Add(90)
		got, err := v.NotSignedBefore(end)
		want(t, "ended just now", called(got), err, "booked", "under-way")
		got, err = v.NotSignedBefore(end - 1)
		want(t, "not yet ended", called(got), err)
		got, err = v.BookedAfter(nine - 1)
		want(t, "yet to start", called(got), err, "booked", "pencilled")
		got, err = v.BookedAfter(nine)
		want(t, "starts now", called(got), err)
		return nil
	})
}

func TestAsKnownOnADayIsTheLastEntryRecordedByItsEnd(t *testing.T) {
	b := newBench(t)
	b.yard()
	var first int64
	b.read(func(v *View) error { first = v.Head(); return nil })
	b.at = time.Date(2027, 3, 28, 22, 59, 0, 0, time.UTC) // 23:59 in Dublin: summer time began that night
	b.put(rig.Kit{ID: "late"})
	b.at = b.at.Add(time.Minute)
	b.put(rig.Kit{ID: "next-day"})
	day := b.Zone().DayOf(nine)
	b.read(func(v *View) error {
		sunday := v.Today() - 1
		for _, c := range []struct {
			name string
			on   civil.Day
			want int64
		}{
			{"the day before the first", day - 1, -1}, {"the first day", day, first}, {"a day on which nothing happened", day + 1, first},
			{"the last minute of the Sunday", sunday, first + 1}, {"the Monday", sunday + 1, first + 2},
		} {
			got, err := v.EntryAsKnownOn(c.on)
			if err != nil || got != c.want {
				t.Errorf("%s: entry %d, %v; want %d", c.name, got, err, c.want)
			}
		}
		past := v.At(first, day)
		if got, err := past.EntryAsKnownOn(sunday + 1); err != nil || got != first || past.Head() != first || past.Entries() != first+1 || past.Day() != day {
			t.Errorf("from an older standpoint: %d, %v", got, err)
		}
		at, err := v.LastRecorded()
		if err != nil || at != civil.InstantOf(b.at) {
			t.Errorf("last recorded %d, %v", at, err)
		}
		r, err := past.Reference()
		if err == nil && r.Kits.Len() != 0 {
			t.Error("a kit was known before it was recorded")
		}
		if v.At(1<<40, day).Head() != v.Head() || v.At(-7, day).Head() != -1 {
			t.Error("a standpoint outside the ledger")
		}
		return err
	})
}

func TestDutiesAndAbsencesOverlapASpanUntilTakenBack(t *testing.T) {
	b := newBench(t)
	b.yard()
	duty := people.Duty{ID: "d", Person: "brona", Kind: people.DrillDuty, Start: nine, End: nine.Add(60)}
	away := people.Away{ID: "a", Person: "ivo", Start: nine, End: nine.Add(30 * 24 * 60)}
	b.put(duty, away)
	b.read(func(v *View) error {
		who := []id.Person{"brona", "ivo"}
		for _, c := range []struct {
			from, to         civil.Instant
			duties, absences int
		}{
			{nine.Add(-1), nine, 0, 0}, {nine.Add(59), nine.Add(60), 1, 1}, {nine.Add(60), nine.Add(61), 0, 1}, {nine.Add(30 * 24 * 60), nine.Add(99999), 0, 0},
		} {
			duties, err := v.Duties(who, c.from, c.to)
			if err != nil || len(duties) != c.duties || len(duties) == 1 && duties[0] != duty {
				t.Errorf("[%d, %d): duties %v, %v", c.from, c.to, duties, err)
			}
			absences, err := v.AwayOf(who, c.from, c.to)
			if err != nil || len(absences) != c.absences || len(absences) == 1 && absences[0] != away {
				t.Errorf("[%d, %d): absences %v, %v", c.from, c.to, absences, err)
			}
		}
		none, err := v.Duties(nil, nine, nine.Add(60))
		if len(none) > 0 || err != nil {
			t.Errorf("duties of nobody: %v, %v", none, err)
		}
		return nil
	})
	duty.Ended, away.Ended = true, true
	b.put(duty, away)
	b.read(func(v *View) error {
		duties, err := v.Duties([]id.Person{"brona"}, nine, nine.Add(1))
		absences, err2 := v.AwayOf([]id.Person{"ivo"}, nine, nine.Add(1))
		if len(duties)+len(absences) != 0 || err != nil || err2 != nil {
			t.Errorf("taken back: %v, %v", duties, absences)
		}
		row, err := v.Duty("d")
		if err != nil || !row.Value.Ended || row.Rev != 2 {
			t.Errorf("got %+v, %v", row, err)
		}
		if row, err := v.Away("a"); err != nil || row.Value != away {
			t.Errorf("got %+v, %v", row, err)
		}
		return nil
	})
}

func TestEnrolmentsAreFoundByPersonAndIntake(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.read(func(v *View) error {
		for name, read := range map[string]func() ([]people.Trainee, error){
			"by id":     func() ([]people.Trainee, error) { return v.Trainees("t-tilde", "t-osei", "none") },
			"by intake": func() ([]people.Trainee, error) { return v.TraineesOfIntake("march", "none") },
			"by person": func() ([]people.Trainee, error) { return v.TraineesOfPersons("tilde", "osei", "brona") },
		} {
			got, err := read()
			if err != nil || len(got) != 2 || got[0].ID != "t-osei" || got[1].ID != "t-tilde" {
				t.Errorf("%s: %v, %v", name, got, err)
			}
		}
		row, err := v.Trainee("t-tilde")
		diff := cmp.Diff(people.Trainee{ID: "t-tilde", Person: "tilde", Intake: "march", Needs: []id.Exercise{"harness", "descent"}, Rest: []id.Profile{}}, row.Value)
		if err != nil || diff != "" {
			t.Error(diff, err)
		}
		return nil
	})
}
