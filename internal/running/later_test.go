package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// signed is a session that ran for an hour and is signed, all competent.
func (r *rigside) signed() session.Session {
	r.Helper()
	s := r.start()
	r.teach(s)
	r.now = r.now.Add(60)
	if err := r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0); err != nil {
		r.Fatal(err)
	}
	for _, x := range s.Trainees {
		r.note(s.ID, x, session.Competent)
	}
	if missing, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev}); err != nil || len(missing) > 0 {
		r.Fatalf("signing: %v, %v", names(missing), err)
	}
	return r.show(s.ID).Session
}

func TestASignedSessionIsCorrectedByNewEntriesThatNameTheOld(t *testing.T) {
	r := open(t)
	s := r.signed()
	x, shown := s.Trainees[0], r.show(s.ID)
	c := running.Correction{Found: found(shown, x, session.NotYetCompetent), There: civil.Period{Start: s.Start, End: s.Start.Add(45)},
		Why: session.LaterEvidence, Note: "looked at the film", Roll: shown.RollRev, Rev: shown.ResultsRev}
	for name, change := range map[string]func(*running.Correction){
		"no reason":      func(c *running.Correction) { c.Why = "" },
		"longer than it": func(c *running.Correction) { c.There.End = s.End.Add(1) },
		"as it stands": func(c *running.Correction) {
			c.There, c.Found = civil.Period{Start: s.Start, End: s.End}, found(shown, x, session.Competent)
		},
		"end before coming": func(c *running.Correction) { c.There.End = c.There.Start },
	} {
		wrong := c
		change(&wrong)
		if err := r.Correct(ctx, r.instructor, s.ID, r.send(s.ID), wrong); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := r.Correct(ctx, r.instructor, s.ID, r.send(s.ID), c); err != nil {
		t.Fatal(err)
	}
	r.kind(r.Correct(ctx, r.instructor, s.ID, r.send(s.ID), c), fault.Conflict) // it has moved on
	if got := r.hours(x, s.ID); got != 45 || r.completed(x, s.ID) || !r.completed(s.Trainees[1], s.ID) {
		t.Errorf("%s credited, completed %t", got, r.completed(x, s.ID))
	}
	after := r.show(s.ID)
	if len(after.Attendance.Corrections) != 1 || len(after.Results.Corrections) != 1 || after.Results.Corrections[0].Why != session.LaterEvidence || after.Results.By != shown.Results.By {
		t.Errorf("corrections %+v, %+v", after.Attendance.Corrections, after.Results.Corrections)
	}
	if n, _ := after.Results.NoteOf(x); n.Signed != 0 {
		t.Error("what was corrected stands countersigned")
	}
	r.read(func(v *store.View) error {
		for _, kind := range []string{"attendance", "results"} {
			at, err := v.LastEntry(kind, string(s.ID))
			if err != nil {
				return err
			}
			if e, err := v.Entry(at); err != nil || len(e.Corrects) != 1 || e.Act != "corrected" {
				t.Errorf("%s: act %s corrects %v, %v", kind, e.Act, e.Corrects, err)
			}
		}
		return nil
	})
}

func TestOnlyASignedSessionIsCorrected(t *testing.T) {
	r := open(t)
	s := r.start()
	shown := r.show(s.ID)
	err := r.Correct(ctx, r.instructor, s.ID, r.send(s.ID), running.Correction{Found: found(shown, s.Trainees[0], session.Competent), Why: session.MistypedEntry, Roll: shown.RollRev})
	r.kind(err, fault.Conflict)
}

func TestADaySheetIsTypedUpOnceTheSessionIsOverAndSignedAsOnPaper(t *testing.T) {
	r := open(t)
	s := r.ready()
	sheet := running.Sheet{Stated: true, Run: session.Run{Began: s.Start.Add(5), Ended: s.Start.Add(65), Pauses: []session.Pause{{Start: s.Start.Add(20), End: s.Start.Add(30), Why: session.PauseOther}}}}
	for _, x := range without(all(s), session.AsTrainee, string(s.Trainees[1])) {
		sheet.Presences = append(sheet.Presences, session.Presence{Who: x.Who, Part: x.Part, Start: sheet.Run.Began, End: sheet.Run.Ended})
	}
	r.kind(r.TypeUp(ctx, r.instructor, s.ID, r.send(s.ID), sheet), fault.Conflict) // not over
	r.now = eight.Add(26 * 60)
	for name, change := range map[string]func(*running.Sheet){
		"not stated":          func(x *running.Sheet) { x.Stated = false },
		"ends as it begins":   func(x *running.Sheet) { x.Run.Ended = x.Run.Began },
		"a pause outside":     func(x *running.Sheet) { x.Run.Pauses = []session.Pause{{Start: s.Start, End: s.Start.Add(9)}} },
		"there after the end": func(x *running.Sheet) { x.Presences = slices.Clone(x.Presences); x.Presences[0].End++ },
		"nobody":              func(x *running.Sheet) { x.Presences = nil },
	} {
		wrong := sheet
		change(&wrong)
		if err := r.TypeUp(ctx, r.instructor, s.ID, r.send(s.ID), wrong); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := r.TypeUp(ctx, r.instructor, s.ID, r.send(s.ID), sheet); err != nil {
		t.Fatal(err)
	}
	for _, x := range s.Trainees {
		if x != s.Trainees[1] {
			r.note(s.ID, x, session.Competent)
		}
	}
	missing, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev, Paper: s.Rescuers[0]})
	if err != nil || !slices.Equal(names(missing), []string{"signer"}) {
		t.Fatalf("signed by one who did not teach: %v, %v", names(missing), err)
	}
	if missing, err = r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev, Paper: s.Instructors[0]}); err != nil || len(missing) > 0 {
		t.Fatalf("signing: %v, %v", names(missing), err)
	}
	got := r.show(s.ID)
	if !got.Session.Run.Paper || got.Results.By != s.Instructors[0] || r.hours(s.Trainees[0], s.ID) != 50 || r.hours(s.Trainees[1], s.ID) != 0 || !r.completed(s.Trainees[0], s.ID) {
		t.Errorf("%+v by %s, %s credited", got.Session.Run, got.Results.By, r.hours(s.Trainees[0], s.ID))
	}
}
