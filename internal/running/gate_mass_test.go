package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// rerate gives a kit another rating.
func (r *rigside) rerate(k rig.Kit, kg int) {
	r.Helper()
	k.Rated = kg
	_, err := r.store.Write(ctx, store.Command{Key: r.key(), Actor: r.instructor, Role: access.Instructor}, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("changed", monday, k)
		return "", err
	})
	r.no(err)
}

func TestWhoWasNotSeenToBeWithinTheLowestRatingStopsTheStart(t *testing.T) {
	r := open(t)
	s := r.ready()
	of, rated := r.show(s.ID).Rated()
	everybody := r.show(s.ID).Roped()
	r.wantHolds(s.ID, "mass", true)
	r.no(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated, everybody[1:]))
	r.wantHolds(s.ID, "mass", false)
	if shown := r.show(s.ID); len(shown.Weigh) != 1 || shown.Weigh[0] != everybody[0] {
		t.Errorf("still to be seen: %v, want %v", shown.Weigh, everybody[:1])
	}
	r.no(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated, everybody))
	r.wantHolds(s.ID, "mass", true)

	// Kit of a lower rating was not asked about; of a higher one it was.
	var kit rig.Kit
	r.read(func(v *store.View) error {
		ref, err := v.Reference()
		kit, _ = ref.Kits.On(of, monday)
		return err
	})
	r.rerate(kit, rated-1)
	r.wantHolds(s.ID, "mass", false)
	r.kind(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated, everybody), fault.Conflict)
	r.no(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated-1, everybody))
	r.wantHolds(s.ID, "mass", true)
	r.rerate(kit, rated)
	r.wantHolds(s.ID, "mass", true)
	r.kind(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated, []string{"somebody"}), fault.Invalid)
}

func TestWhatWasSeenInAnotherSessionOfTheDayCountsUntilThisOneAsks(t *testing.T) {
	r := open(t)
	s := r.ready()
	shown := r.show(s.ID)
	_, rated := shown.Rated()
	everybody := shown.Roped()
	seen, other := shown.Prepared, session.Session{}
	own := *seen.Mass
	r.read(func(v *store.View) error {
		list, err := v.SessionsBetween(v.Zone().StartOfDay(monday), v.Zone().StartOfDay(monday+1))
		other = list[slices.IndexFunc(list, func(x session.Session) bool { return x.ID != s.ID })]
		return err
	})
	seen.Mass = nil
	r.put("checked", seen)
	r.wantHolds(s.ID, "mass", false)
	r.put("checked", session.Preparation{Session: other.ID, Mass: &own})
	r.wantHolds(s.ID, "mass", true)
	r.no(r.Mass(ctx, r.instructor, s.ID, r.send(s.ID), rated, everybody[1:])) // seen here, later, and by who is here
	r.wantHolds(s.ID, "mass", false)
}

func TestWhoIsHeldByASessionThatRunsOverCoversNoOther(t *testing.T) {
	r := open(t)
	s := r.ready()
	r.call(s.ID, 0, all(s)...)
	r.wantHolds(s.ID, "cover", true)
	// The one who teaches here stands on the roll of a session that never ended.
	held := session.Session{ID: "held-elsewhere", State: session.UnderWay, Exercise: s.Exercise, Station: s.Station, Start: s.Start.Add(-120), End: s.Start.Add(-60),
		Trainees: s.Trainees, Instructors: s.Instructors, Run: &session.Run{Began: s.Start.Add(-120)}}
	roll := session.Attendance{Session: held.ID, Presences: []session.Presence{{Who: string(s.Instructors[0]), Part: session.AsInstructor, Mark: session.Present, Start: held.Start}}}
	r.put("under-way", held, roll)
	r.wantHolds(s.ID, "cover", false)
	shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || len(shut) == 0 {
		t.Fatalf("it starts: %v, %v", shut, err)
	}
	roll.Presences[0].Mark, roll.Presences[0].End = session.Left, s.Start.Add(-30)
	r.put("roll-called", roll)
	r.wantHolds(s.ID, "cover", true)

	// Days ago is no sooner over: nobody ended it, and its roll names them.
	const days = 3 * 24 * 60
	held.ID, held.Start, held.End, held.Run = "held-for-days", held.Start.Add(-days), held.End.Add(-days), &session.Run{Began: held.Start.Add(-days)}
	r.put("under-way", held, session.Attendance{Session: held.ID, Presences: []session.Presence{{Who: string(s.Instructors[0]), Part: session.AsInstructor, Mark: session.Present, Start: held.Start}}})
	r.wantHolds(s.ID, "cover", false)
}
