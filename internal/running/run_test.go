package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
)

func names(list []running.Gate) (out []string) {
	for _, g := range list {
		out = append(out, g.Name)
	}
	return out
}

func TestASessionStartsOnceEverybodyIsCalledAndNotBefore(t *testing.T) {
	r := open(t)
	s := r.ready()
	shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || !slices.Equal(names(shut), []string{"roll"}) || r.show(s.ID).Session.State != session.Booked {
		t.Fatalf("without a roll: %v, %v", names(shut), err)
	}
	// The instructor alone: who stands by for rescue is not there.
	r.call(s.ID, 0, all(s)[0], all(s)[len(all(s))-1])
	if shut, err = r.Start(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) == 0 || r.show(s.ID).Session.State != session.Booked {
		t.Fatalf("without the others: %v, %v", names(shut), err)
	}
	r.call(s.ID, 0, all(s)...)
	if shut, err = r.Start(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) > 0 {
		t.Fatalf("with everybody: %v, %v", shut, err)
	}
	got := r.show(s.ID).Session
	if got.State != session.UnderWay || got.Run == nil || got.Run.Began != r.now || got.Start != s.Start || got.End != s.End {
		t.Errorf("under way as %+v", got)
	}
	_, err = r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
	r.kind(err, fault.Conflict)
}

func TestWhoMayNotRunASessionIsRefused(t *testing.T) {
	r := open(t)
	s := r.ready()
	_, err := r.Start(ctx, r.auditor, s.ID, r.send(s.ID))
	r.kind(err, fault.Forbidden)
	stale := r.send(s.ID)
	r.call(s.ID, 0, all(s)...)
	_, err = r.Roll(ctx, r.instructor, s.ID, running.Send{Key: r.key(), Rev: stale.Rev}, 0, 0, all(s))
	r.kind(err, fault.Conflict)
}

func TestASessionStartsOnlyInItsTime(t *testing.T) {
	r := open(t)
	s := r.ready()
	r.now = max(eight, s.Start)
	r.call(s.ID, 0, all(s)...)
	for at, want := range map[civil.Instant]bool{s.End - 1: true, s.End: false} {
		r.now = at
		i := slices.IndexFunc(r.show(s.ID).Gates, func(g running.Gate) bool { return g.Name == "time" })
		if got := r.show(s.ID).Gates[i].Holds; got != want {
			t.Errorf("%d minutes before its end: holds %t", s.End.Sub(at), got)
		}
	}
}

func TestWhenCoverLeavesTheSessionIsPausedFromThatMomentUntilItIsBack(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(30)
	left := r.now.Add(-10)
	if len(s.Rescuers) == 0 {
		t.Fatal("the session has no standby rescuer")
	}
	gone := without(all(s), session.AsRescuer, string(s.Rescuers[0]))
	fell := r.call(s.ID, left, gone...)
	got := r.show(s.ID).Session
	if len(fell) == 0 || !got.Paused() || got.LastPause().Start != left || got.LastPause().Why != session.PauseFellAway || !slices.Contains(got.LastPause().Fell, "rules") {
		t.Fatalf("fell %v, run %+v", names(fell), got.Run)
	}
	shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || len(shut) == 0 || !r.show(s.ID).Session.Paused() {
		t.Fatalf("going on without cover: %v, %v", names(shut), err)
	}
	r.now = r.now.Add(5)
	r.call(s.ID, 0, all(s)...)
	if shut, err = r.Resume(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) > 0 {
		t.Fatalf("with cover again: %v, %v", names(shut), err)
	}
	if got = r.show(s.ID).Session; got.Paused() || got.Run.Pauses[0].End != r.now {
		t.Errorf("run %+v", got.Run)
	}
}

func TestAShutStationStopsASessionThatRuns(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(15)
	r.put("shut", rig.Shut{ID: "shut-now", Station: s.Station, Start: r.now, Reason: rig.ShutFault})
	shown := r.show(s.ID)
	if len(running.Shut(shown.Gates, shown.Session.State)) == 0 {
		t.Fatal("nothing stops it")
	}
	if err := r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseFellAway); err != nil {
		t.Fatal(err)
	}
	shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || len(shut) == 0 {
		t.Errorf("going on at a shut station: %v, %v", names(shut), err)
	}
}

func TestAPauseThatNothingAsksForNeedsAReasonOfTheList(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(10)
	r.kind(r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseFellAway), fault.Conflict)
	r.kind(r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, "tea"), fault.Invalid)
	r.kind(r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), r.now+1, session.PauseBreak), fault.Invalid)
	if err := r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseWeather); err != nil {
		t.Fatal(err)
	}
	r.kind(r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseBreak), fault.Conflict)
}

func TestOneOfTheStaffTakesOverIfNoRuleStopsThem(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(10)
	ref := r.show(s.ID).Slice.Reference()
	added, refused := 0, 0
	for _, st := range ref.Staff.All(monday) {
		if s.PartOf(st.ID) != session.AsOther {
			continue
		}
		shut, err := r.Swap(ctx, r.instructor, s.ID, r.send(s.ID), 0, running.Comer{Person: st.ID, Part: session.AsInstructor})
		if err != nil {
			t.Fatal(err)
		}
		here := slices.Contains(r.show(s.ID).Attendance.Here(session.AsInstructor), string(st.ID))
		if here != (len(shut) == 0) {
			t.Errorf("%s: stopped by %v, on the roll %t", st.ID, names(shut), here)
		}
		if here {
			added++
		} else {
			refused++
		}
	}
	if added == 0 || refused == 0 {
		t.Errorf("%d added, %d refused: the test says nothing of one of them", added, refused)
	}
}

func TestEndingClosesEverythingAndNothingGoesOnAfterwards(t *testing.T) {
	r := open(t)
	s := r.start()
	began := r.now
	r.now = r.now.Add(60)
	if err := r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseBreak); err != nil {
		t.Fatal(err)
	}
	r.now = r.now.Add(20)
	r.kind(r.End(ctx, r.instructor, s.ID, r.send(s.ID), began), fault.Invalid)
	if err := r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0); err != nil {
		t.Fatal(err)
	}
	shown := r.show(s.ID)
	if len(shown.Attendance.Here("")) > 0 || shown.Session.Paused() || shown.Session.Run.Ended != r.now {
		t.Errorf("ended as %+v with %v", shown.Session.Run, shown.Attendance.Here(""))
	}
	_, err := r.Roll(ctx, r.instructor, s.ID, r.send(s.ID), shown.RollRev, 0, all(s))
	r.kind(err, fault.Conflict)
	_, err = r.Resume(ctx, r.instructor, s.ID, r.send(s.ID))
	r.kind(err, fault.Conflict)
}
