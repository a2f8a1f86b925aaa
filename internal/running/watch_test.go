package running_test

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"testing"
	"time"

	"rungbook/internal/fault"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/weather"
)

func TestWhatFallsAwayWithoutAFormIsPausedByItselfOnceAndSaysWhatFell(t *testing.T) {
	fell := map[string]string{"thunder": "weather", "a storm that somebody tells of": "rules", "a stale sight": "weather"}
	for name, fall := range map[string]func(*rigside){
		"thunder": func(r *rigside) { r.put("heard", weather.Reading{ID: "thunder", Kind: weather.Thunder, At: r.now}) },
		"a storm that somebody tells of": func(r *rigside) {
			r.put("passed", weather.Reading{ID: "storm", Kind: weather.StormPassed, From: r.now.Add(-600), At: r.now.Add(-60)})
		},
		"a stale sight": func(r *rigside) { r.now = r.now.Add(31) },
	} {
		r := open(t)
		s := r.start()
		if paused, err := r.PauseFallen(ctx); err != nil || len(paused) > 0 {
			t.Fatalf("%s: paused %v though everything stands: %v", name, paused, err)
		}
		r.now = r.now.Add(5)
		fall(r)
		for n := range 3 { // however often it is looked at
			paused, err := r.PauseFallen(ctx)
			if err != nil || len(paused) != 1 && n == 0 || len(paused) > 0 && n > 0 {
				t.Errorf("%s: look %d: %v, %v", name, n, paused, err)
			}
		}
		got := r.session(s)
		last := got.LastPause()
		if !got.Paused() || len(got.Run.Pauses) != 1 || last.Start != r.now || last.Why != session.PauseFellAway || !slices.Contains(last.Fell, fell[name]) {
			t.Errorf("%s: pauses %+v at %d", name, got.Run.Pauses, r.now)
		}
	}
}

func (r *rigside) session(s session.Session) (out session.Session) {
	r.Helper()
	r.read(func(v *store.View) error {
		row, err := v.Session(s.ID)
		out = row.Value
		return err
	})
	return out
}

func TestWhoActsOnThePageFromBeforeIsNotOvertakenByThePauseTheProgramRecorded(t *testing.T) {
	r := open(t)
	s := r.start()
	began := r.now
	r.now = r.now.Add(5)
	roll, down, end := r.send(s.ID), r.send(s.ID), r.send(s.ID)
	roll.Key, down.Key = r.key(), r.key()
	r.now = r.now.Add(31)
	if paused, err := r.PauseFallen(ctx); err != nil || len(paused) != 1 {
		t.Fatal(paused, err)
	}
	if _, err := r.Roll(ctx, r.instructor, s.ID, roll, r.show(s.ID).RollRev, 0, all(s)); err != nil {
		t.Errorf("the roll is refused: %v", err)
	}
	if err := r.Pause(ctx, r.instructor, s.ID, down, began.Add(10), session.PauseWeather); err != nil {
		t.Errorf("their own pause is refused: %v", err)
	}
	if got := r.session(s); len(got.Run.Pauses) != 1 || got.LastPause().Start != began.Add(10) {
		t.Errorf("nobody worked since %d, recorded is %+v", began.Add(10), got.Run.Pauses)
	}
	end.After = []string{down.Key}
	if err := r.End(ctx, r.instructor, s.ID, end, began.Add(8)); err != nil {
		t.Errorf("an end before the pause is refused: %v", err)
	}
	if got := r.session(s); !got.Ended() || got.Run.Ended != began.Add(8) || len(got.Run.Pauses) != 0 {
		t.Errorf("ran %+v", got.Run)
	}
}

func TestManyLooksAndWritesAtOnceLeaveOnePause(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(5)
	thunder := weather.Reading{ID: "thunder", Kind: weather.Thunder, At: r.now}
	roll, rev := r.send(s.ID), r.show(s.ID).RollRev
	watching, stop := context.WithCancel(ctx)
	var work sync.WaitGroup
	work.Go(func() { r.Watch(watching, slog.New(slog.DiscardHandler)) })
	r.put("heard", thunder)
	for range 4 {
		work.Go(func() {
			if _, err := r.PauseFallen(ctx); err != nil {
				t.Error(err)
			}
		})
	}
	work.Go(func() {
		if _, err := r.Roll(ctx, r.instructor, s.ID, roll, rev, 0, all(s)); err != nil && fault.Of(err) != fault.Conflict {
			t.Error(err)
		}
	})
	for wait := 0; !r.session(s).Paused(); wait++ {
		if wait > 500 {
			t.Fatal(errors.New("nothing was paused"))
		}
		time.Sleep(10 * time.Millisecond)
	}
	stop()
	work.Wait()
	if got := r.session(s); len(got.Run.Pauses) != 1 {
		t.Errorf("pauses %+v", got.Run.Pauses)
	}
}
