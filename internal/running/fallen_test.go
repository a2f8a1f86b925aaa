package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
)

// Somebody else takes away what a running session stands on, and knows of no session:
// its page says stop at once, and the pause begins at that moment, whoever writes next.
func TestWhatSomebodyElseTakesAwayStopsTheSessionFromThatMoment(t *testing.T) {
	for name, fall := range map[string]func(*rigside, running.Shown) []any{
		"the station is shut": func(r *rigside, s running.Shown) []any {
			return []any{rig.Shut{ID: "shut", Station: s.Station.ID, Start: r.now, Reason: rig.ShutFault}}
		},
		"its rescue kit goes into quarantine": func(r *rigside, s running.Shown) []any {
			return []any{rig.Quarantine{ID: "quarantine", Subject: string(s.Station.Rescue.Kit), Start: r.now, By: s.Session.Instructors[0]}}
		},
		"its rig goes into quarantine": func(r *rigside, s running.Shown) []any {
			return []any{rig.Quarantine{ID: "quarantine", Subject: string(s.Rig.ID), Start: r.now, By: s.Session.Instructors[0]}}
		},
		"whoever covers it is not available": func(r *rigside, s running.Shown) (out []any) {
			for i, who := range s.Session.Rescuers {
				out = append(out, people.Away{ID: id.Away("away" + string(rune('a'+i))), Person: who, Start: r.now.Add(-60), End: s.Session.End.Add(60)})
			}
			return out
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := open(t)
			s := r.start()
			if len(s.Rescuers) == 0 {
				t.Fatal("nobody stands by")
			}
			page := r.send(s.ID) // as somebody has it open
			rolls := r.show(s.ID).RollRev
			r.now = r.now.Add(5)
			page.Key = r.key()
			r.put("taken-away", fall(r, r.show(s.ID))...)
			fell := r.now
			if shut := running.Shut(r.show(s.ID).Gates, session.UnderWay); len(shut) == 0 || !slices.ContainsFunc(shut, func(g running.Gate) bool { return g.Name == "rules" && g.Running }) {
				t.Fatalf("the page says nothing: %v", names(shut))
			}
			paused, err := r.PauseFallen(ctx)
			if err != nil || !slices.Equal(paused, []id.Session{s.ID}) {
				t.Fatalf("paused %v: %v", paused, err)
			}
			r.now = r.now.Add(7)
			if _, err := r.Roll(ctx, r.instructor, s.ID, page, rolls, 0, all(s)); err != nil {
				t.Errorf("the roll from the page of before: %v", err)
			}
			got := r.session(s)
			if last := got.LastPause(); !got.Paused() || len(got.Run.Pauses) != 1 || last.Start != fell || last.Why != session.PauseFellAway || !slices.Contains(last.Fell, "rules") {
				t.Errorf("fell at %d, pauses %+v", fell, got.Run.Pauses)
			}
			if shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) == 0 {
				t.Errorf("it goes on though nothing is mended: %v, %v", names(shut), err)
			}
		})
	}
}

// Where the program could not look in between, the next word from the rig pauses it.
func TestTheNextWordFromTheRigPausesWhatFellAwayUnseen(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(5)
	r.put("taken-away", rig.Shut{ID: "shut", Station: s.Station, Start: r.now, Reason: rig.ShutFault})
	r.now = r.now.Add(3)
	fell := r.call(s.ID, 0, all(s)...)
	if !slices.ContainsFunc(fell, func(g running.Gate) bool { return g.Name == "rules" }) {
		t.Fatalf("the answer to the roll says %v", names(fell))
	}
	got := r.session(s)
	if last := got.LastPause(); !got.Paused() || last.Start > r.now || last.Why != session.PauseFellAway {
		t.Errorf("pauses %+v at %d", got.Run.Pauses, r.now)
	}
	if paused, err := r.PauseFallen(ctx); err != nil || len(paused) > 0 {
		t.Errorf("paused once more: %v, %v", paused, err)
	}
}
