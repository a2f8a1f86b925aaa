package running_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// asTrial makes a session that could start a trial.
func (r *rigside) asTrial(s session.Session) session.Session {
	r.Helper()
	r.read(func(v *store.View) error { row, err := v.Session(s.ID); s = row.Value; return err })
	s.Trial, s.TrialOf = true, session.TrialDrill
	r.put("people-changed", s)
	return s
}

func TestATrialIsRunAndSignedAndNobodyIsCreditedAnything(t *testing.T) {
	r := open(t)
	s := r.asTrial(r.ready())
	r.teach(s)
	r.call(s.ID, 0, all(s)...)
	shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || len(shut) > 0 {
		t.Fatalf("a trial does not start: %v, %v", names(shut), err)
	}
	r.now = s.End.Add(-30)
	who := s.Trainees[0]
	err = r.Note(ctx, r.instructor, s.ID, r.send(s.ID), 0, found(r.show(s.ID), who, session.Competent))
	if fault.Of(err) != fault.Conflict || !strings.Contains(err.Error(), "trial") {
		t.Errorf("results of a trial: %v", err)
	}
	r.no(r.End(ctx, r.instructor, s.ID, r.send(s.ID), r.now))
	if missing, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{}); err != nil || len(missing) > 0 {
		t.Fatalf("signing: %v, %v", names(missing), err)
	}
	for _, x := range s.Trainees {
		if r.completed(x, s.ID) || r.hours(x, s.ID) != 0 {
			t.Errorf("%s is credited with %s", x, r.hours(x, s.ID))
		}
	}
	got := r.show(s.ID)
	if got.Session.State != session.SignedOff || !got.Session.Trial || len(got.Attendance.Presences) == 0 {
		t.Errorf("signed it is %+v with %d presences", got.Session, len(got.Attendance.Presences))
	}
	// Its time counts for rest all the same: whoever taught it can't teach elsewhere then.
	r.read(func(v *store.View) error {
		list, err := v.SessionsOf(s.Instructors, nil, s.Start, s.End)
		if !slices.ContainsFunc(list, func(x session.Session) bool { return x.ID == s.ID }) {
			t.Error("the trial takes no time of its instructor")
		}
		return err
	})
}

func TestOthersComeToTheRigAndAreCountedAndCreditedNothing(t *testing.T) {
	r := open(t)
	s := r.start()
	before := r.show(s.ID)
	visitor := running.Comer{Visitor: "Ines Halvard", Part: session.AsOther, As: session.Candidate}
	send := r.send(s.ID)
	shut, err := r.Swap(ctx, r.instructor, s.ID, send, 0, visitor)
	if err != nil {
		t.Fatal(err)
	}
	if len(shut) > 0 { // as many as it takes are there already: one goes first
		r.call(s.ID, 0, without(all(s), session.AsTrainee, string(s.Trainees[0]))...)
		if shut, err = r.Swap(ctx, r.instructor, s.ID, r.send(s.ID), 0, visitor); err != nil || len(shut) > 0 {
			t.Fatalf("a candidate is not let in: %v, %v", names(shut), err)
		}
	}
	got := r.show(s.ID)
	if n := len(got.Session.Others); n != 1 || got.Session.TheOthers()[0].As != session.Candidate {
		t.Fatalf("the others are %v", got.Session.TheOthers())
	}
	who := got.Session.Others[0]
	if got.Persons[who] != "Ines Halvard" || !slices.Contains(got.Attendance.Here(session.AsOther), string(who)) {
		t.Errorf("%q is here: %v", got.Persons[who], got.Attendance.Here(""))
	}
	if got.Figures.Others != 1 || got.Figures.Instructors != before.Figures.Instructors {
		t.Errorf("figures with a candidate: %+v, before %+v", got.Figures, before.Figures)
	}
	if !slices.Contains(got.Roped(), string(who)) {
		t.Error("nobody asks whether the kit bears the candidate")
	}
	r.now = r.now.Add(10)
	r.call(s.ID, 0, all(s)...) // the candidate is not ticked: they left
	if slices.Contains(r.show(s.ID).Attendance.Here(""), string(who)) {
		t.Error("who left is here")
	}
	if f := r.show(s.ID).Figures; f.Others != 0 {
		t.Errorf("who left is counted: %+v", f)
	}
	r.read(func(v *store.View) error {
		rows, err := v.HoursOf(who)
		if len(rows) > 0 {
			t.Errorf("a candidate has hours: %v", rows)
		}
		return err
	})
}

func TestOneMoreToLookAfterIsRefusedWhereTheRigIsFull(t *testing.T) {
	r := open(t)
	s := r.start()
	for n := 0; ; n++ {
		before := r.show(s.ID)
		shut, err := r.Swap(ctx, r.instructor, s.ID, r.send(s.ID), 0, running.Comer{Visitor: "Somebody", Part: session.AsOther, As: session.Visitor})
		if err != nil {
			t.Fatal(err)
		}
		if after := r.show(s.ID); len(shut) > 0 {
			if len(after.Session.Others) != n || after.Row.Rev != before.Row.Rev {
				t.Error("one who was refused is in the session")
			}
			return
		}
		if n > 40 {
			t.Fatal("forty visitors are let in")
		}
		r.now = r.now.Add(1)
	}
}

func TestWhoComesByNameAloneTeachesNothing(t *testing.T) {
	r := open(t)
	s := r.start()
	var staff id.Person
	for _, c := range []struct {
		name string
		who  running.Comer
	}{
		{"as an instructor", running.Comer{Visitor: "Somebody", Part: session.AsInstructor}},
		{"in no part", running.Comer{Visitor: "Somebody", Part: session.AsOther}},
		{"nobody", running.Comer{Person: staff, Part: session.AsOther, As: session.Visitor}},
		{"a stranger by id", running.Comer{Person: "no-such-person", Part: session.AsOther, As: session.Visitor}},
	} {
		before := r.show(s.ID).Row.Rev
		if _, err := r.Swap(ctx, r.instructor, s.ID, r.send(s.ID), 0, c.who); fault.Of(err) != fault.Invalid || r.show(s.ID).Row.Rev != before {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
