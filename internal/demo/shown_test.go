package demo

import (
	"slices"
	"testing"

	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// What the demo is to show besides a busy yard, asked of the domain.

func TestOneRigIsInConversionAndLacksThreePoints(t *testing.T) {
	for _, today := range []string{"2027-03-02", "2026-12-25", "2028-02-29"} {
		s := scenario(t, today)
		r := recordsOf(s)
		open := 0
		for _, x := range Records(s, func(x rig.Rig) id.Rig { return x.ID }) {
			d := r.register.Dossier(x.ID, s.Today)
			if x.State == rig.InService && d.Complete() {
				continue
			}
			open++
			var lacks []rig.Point
			for _, p := range d.Open() {
				lacks = append(lacks, p.Point)
				if p.State != rig.PointMissing {
					t.Errorf("%s: %s is %s, want never accepted", today, p.Point, p.State)
				}
			}
			if x.State != rig.InConversion || d.State() != rig.InConversion || !slices.Equal(lacks, stillOpen) || len(lacks) != 3 {
				t.Errorf("%s: %s is %s and lacks %s", today, x.Name, x.State, lacks)
			}
			waits := 0
			for _, e := range Records(s, func(e rig.Evidence) id.Evidence { return e.ID }) {
				if e.Rig == x.ID && e.Waits() {
					waits++
				}
			}
			if waits != 1 {
				t.Errorf("%s: %d papers wait for acceptance, want 1", today, waits)
			}
		}
		if open != 1 {
			t.Errorf("%s: %d rigs are not in service, want 1", today, open)
		}
	}
}

func TestOneKitIsOutOfDateAndOneSetOfHarnesses(t *testing.T) {
	for _, today := range []string{"2027-03-02", "2026-12-25"} {
		s := scenario(t, today)
		r := recordsOf(s)
		var stopped []id.Commitment
		for _, k := range Records(s, func(k rig.Kit) id.Kit { return k.ID }) {
			causes := r.register.Kit(k.ID, s.Today)
			if len(causes) == 0 {
				continue
			}
			stopped = append(stopped, k.Name)
			if causes[0].Kind != rig.KitOutOfDate {
				t.Errorf("%s: %s stops by %v", today, k.Name, causes)
			}
			for _, e := range r.exercises {
				if slices.ContainsFunc(e.Uses, func(u curriculum.KitUse) bool { return u.Kit == k.ID }) {
					t.Errorf("%s: an exercise takes %s", today, k.Name)
				}
			}
		}
		if len(stopped) != 1 {
			t.Errorf("%s: kits out of use: %s, want one", today, stopped)
		}
		sets := 0
		for _, k := range Records(s, func(k rig.Kit) id.Kit { return k.ID }) {
			if p := r.register.PiecesOn(k.ID, s.Today); p.Listed {
				sets += k.Count - p.Usable
			}
		}
		if sets != 1 {
			t.Errorf("%s: %d sets with a harness past its day, want 1", today, sets)
		}
	}
}

func TestOneSessionIsUnderWayAndSignedOnesCarryAttendance(t *testing.T) {
	c := Config{Today: day(t, "2027-03-02"), Seed: 1, Years: 1}
	err := filled(t, c).Read(t.Context(), func(v *store.View) error {
		list, err := v.SessionsBetween(Zone().StartOfDay(c.Today), Zone().StartOfDay(c.Today+1))
		if err != nil {
			return err
		}
		running := slices.DeleteFunc(list, func(x session.Session) bool { return x.State != session.UnderWay })
		if len(running) != 1 {
			t.Errorf("%d sessions are under way, want 1", len(running))
		}
		past, err := v.SessionsBetween(Zone().StartOfDay(c.Today-60), Zone().StartOfDay(c.Today))
		if err != nil {
			return err
		}
		var signed []id.Session
		for _, x := range past {
			if x.State.Signed() {
				signed = append(signed, x.ID)
			}
		}
		rolls, err := v.Attendance(signed...)
		if err != nil {
			return err
		}
		marks := map[session.Mark]int{}
		for _, a := range rolls {
			for _, p := range a.Presences {
				marks[p.Mark]++
			}
		}
		if len(signed) < 60 || len(rolls) != len(signed) {
			t.Errorf("%d signed sessions with %d rolls in sixty days", len(signed), len(rolls))
		}
		for _, m := range []session.Mark{session.Present, session.Late, session.Left, session.DidNotCome} {
			if marks[m] == 0 {
				t.Errorf("nobody in sixty days is marked %s", m)
			}
		}
		if marks[session.Present] < 10*(marks[session.Late]+marks[session.Left]+marks[session.DidNotCome]) {
			t.Errorf("too few are simply present: %v", marks)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
