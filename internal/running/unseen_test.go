package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/fault"
	"rungbook/internal/running"
	"rungbook/internal/session"
)

func TestAStartWithoutSignalIsKeptWithWhatDidNotStand(t *testing.T) {
	r := open(t)
	s := r.ready()
	r.now = r.now.Add(20)
	send := r.send(s.ID)
	send.Happened = r.now.Add(-15)
	for voice, at := range map[string]running.At{"": 0, "Gate house": r.now + 1} {
		_, err := r.StartUnseen(ctx, r.instructor, s.ID, send, running.Unseen{Voice: voice, At: at})
		r.kind(err, fault.Invalid)
	}
	missing, err := r.StartUnseen(ctx, r.instructor, s.ID, send, running.Unseen{AsOf: r.now.Add(-40), Voice: " Gate house ", At: r.now.Add(-18)})
	if err != nil || !slices.Contains(names(missing), "roll") {
		t.Fatalf("missing %v, %v", names(missing), err)
	}
	shown := r.show(s.ID)
	run := shown.Session.Run
	if shown.Session.State != session.UnderWay || run.Began != send.Happened || run.Unseen == nil || run.Unseen.Sent != r.now ||
		run.Unseen.AsOf != r.now.Add(-40) || run.Unseen.VoiceAt != r.now.Add(-18) || shown.Voice != "Gate house" || !slices.Contains(run.Unseen.Missing, "roll") {
		t.Errorf("kept as %+v, %+v, by %q", run, run.Unseen, shown.Voice)
	}
	// Nobody is known to be there, so nothing is credited from its start on.
	if !shown.Session.Paused() || shown.Session.LastPause().Start != send.Happened {
		t.Errorf("pauses %+v, want one from the start", run.Pauses)
	}
}

func TestAStartWithoutSignalRunsOnWhereAllStood(t *testing.T) {
	r := open(t)
	s := r.ready()
	page := r.send(s.ID)
	r.now = r.now.Add(10)
	roll := page
	roll.Key, roll.Happened = r.key(), r.now.Add(-8)
	if _, err := r.Roll(ctx, r.instructor, s.ID, roll, 0, 0, all(s)); err != nil {
		t.Fatal(err)
	}
	start := page
	start.Key, start.Happened, start.After = r.key(), r.now.Add(-7), []string{roll.Key}
	missing, err := r.StartUnseen(ctx, r.instructor, s.ID, start, running.Unseen{Voice: "Gate house"})
	if err != nil || len(missing) > 0 {
		t.Fatalf("missing %v, %v", names(missing), err)
	}
	shown := r.show(s.ID)
	if shown.Session.Paused() || shown.Session.Run.Began != start.Happened || shown.Attendance.Presences[0].Start != roll.Happened {
		t.Errorf("run %+v, %+v", shown.Session.Run, shown.Attendance.Presences)
	}
}

// TestWhatOnePhoneEnteredInARowIsNoConflictWithItself sends three forms of one page.
func TestWhatOnePhoneEnteredInARowIsNoConflictWithItself(t *testing.T) {
	r := open(t)
	s := r.start()
	page, roll := r.send(s.ID), r.show(s.ID).RollRev
	r.now = r.now.Add(30)
	pause, gone, stranger := page, page, page
	pause.Key, gone.Key, stranger.Key = r.key(), r.key(), r.key()
	if err := r.Pause(ctx, r.instructor, s.ID, pause, r.now.Add(-20), session.PauseBreak); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Resume(ctx, r.instructor, s.ID, gone); fault.Of(err) != fault.Conflict {
		t.Errorf("a page from before somebody's pause: %v", err)
	}
	gone.After, gone.Happened = []string{pause.Key}, r.now.Add(-5)
	if shut, err := r.Resume(ctx, r.instructor, s.ID, gone); err != nil || len(shut) > 0 {
		t.Fatalf("%v, %v", names(shut), err)
	}
	if got := r.show(s.ID).Session.Run.Pauses; len(got) != 1 || got[0].End != gone.Happened {
		t.Errorf("pauses %+v, want one that ended when it was entered", got)
	}
	last := page
	last.Key, last.After = r.key(), []string{pause.Key, gone.Key}
	if _, err := r.Roll(ctx, r.instructor, s.ID, last, roll, 0, all(s)); err != nil {
		t.Errorf("the third in a row: %v", err)
	}
	// Another person who names those keys is still somebody else.
	stranger.After = last.After
	other := r.instructor
	other.Person = s.Instructors[0]
	if other.Person == r.instructor.Person {
		other.Person = r.auditor.Person
	}
	if err := r.Pause(ctx, other, s.ID, stranger, 0, session.PauseBreak); fault.Of(err) != fault.Conflict {
		t.Errorf("another person with the same keys: %v", err)
	}
}
