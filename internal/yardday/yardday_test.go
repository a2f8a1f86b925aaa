package yardday_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
)

var (
	ctx    = context.Background()
	monday = civil.DayOf(2027, time.April, 12)
	staff  = access.Actor{Person: "staff", Roles: []access.Role{access.Instructor}, Today: monday}
)

var (
	seven = demo.Zone().At(monday, 7*60)
	yard  = demotest.New(seven, 1)
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

// TestTheYardAtEachMomentOfADay walks a day and compares what the yard shows with
// the sessions of the records.
func TestTheYardAtEachMomentOfADay(t *testing.T) {
	now := seven
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return now })
	var sessions []session.Session
	z := demo.Zone()
	err := s.Read(ctx, func(v *store.View) (err error) {
		sessions, err = v.SessionsBetween(z.StartOfDay(monday), z.StartOfDay(monday+1))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	y := yardday.New(s)
	ran, shut := 0, 0
	for ; now < z.At(monday, 19*60); now += 15 {
		today, err := y.Today(ctx, staff)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range today.Rigs {
			for _, st := range r.Stations {
				wantNow, wantNext := onStation(sessions, st.Station.ID, now)
				if idOf(st.Now) != wantNow || idOf(st.Next) != wantNext {
					t.Errorf("%s on %s: now %q and next %q, want %q and %q", z.Format(now), st.Station.ID, idOf(st.Now), idOf(st.Next), wantNow, wantNext)
				}
				if st.Now != nil {
					ran++
					inUse(t, today, st)
				}
				if st.Shut != nil {
					shut++
					if text := st.Shut.In(verdict.PlainStyle(z)); text == "" {
						t.Error("shut without a cause")
					}
				}
			}
		}
	}
	if ran < 20 || shut == 0 {
		t.Errorf("%d times a session ran and %d times a station was shut; the demo shows more", ran, shut)
	}
	if _, err := y.Today(ctx, access.Actor{Roles: []access.Role{access.TraineeRole}}); fault.Of(err) != fault.Forbidden {
		t.Errorf("for a trainee: %v", err)
	}
	everyRigHasAPage(t, y, s)
}

func idOf(r *yardday.Running) id.Session {
	if r == nil {
		return ""
	}
	return r.Session.ID
}

func onStation(list []session.Session, st id.Station, now civil.Instant) (is, next id.Session) {
	var start civil.Instant
	for _, r := range list {
		if r.Station != st || r.State == session.StoodDown {
			continue
		}
		if r.Start <= now && now < r.End {
			is = r.ID
		}
		if r.Start > now && (next == "" || r.Start < start) {
			next, start = r.ID, r.Start
		}
	}
	return is, next
}

// inUse looks that the ground and the energy of a running session are marked.
func inUse(t *testing.T, today yardday.Today, st yardday.Station) {
	t.Helper()
	for _, z := range st.Station.Zones {
		if _, ok := today.Zones[z]; !ok {
			t.Errorf("ground %s is in use and not marked", z)
		}
	}
	for _, n := range st.Now.Exercise.Energy {
		if use, ok := today.Circuits[n.Circuit]; !ok || use.State != n.State {
			t.Errorf("circuit %s is needed %s and marked %q", n.Circuit, n.State, use.State)
		}
	}
}

// withoutStorm are the checks of a rig that its own record asks. A rig outdoors has one
// more that no record names, after a storm: in the demo none has passed, so that it has
// neither been done nor stops anything.
func withoutStorm(t *testing.T, p yardday.RigPage) (out []planning.Check) {
	t.Helper()
	outdoors := p.Rig.Kind != rig.Classroom && p.Rig.Kind != rig.Workshop
	for _, st := range p.Stations {
		outdoors = outdoors || st.Station.Height
	}
	storms := 0
	for _, c := range p.Checks {
		if c.LineID != rig.StormLine {
			out = append(out, c)
			continue
		}
		storms++
		if c.Interval != "storm from 17.0 m/s" || c.Last.ID != "" || c.Due != nil || c.Cause != nil {
			t.Errorf("%s: the check after a storm is %+v", p.Rig.ID, c)
		}
	}
	if outdoors != (storms == 1) || storms > 1 {
		t.Errorf("%s, a %s: %d checks after a storm, outdoors %t", p.Rig.ID, p.Rig.Kind, storms, outdoors)
	}
	return out
}

func everyRigHasAPage(t *testing.T, y *yardday.Yard, s *store.Store) {
	t.Helper()
	var ref *store.Reference
	if err := s.Read(ctx, func(v *store.View) (err error) { ref, err = v.Reference(); return err }); err != nil {
		t.Fatal(err)
	}
	for _, r := range ref.Rigs.All(monday) {
		p, err := y.Rig(ctx, staff, r.ID)
		if err != nil {
			t.Fatal(err)
		}
		checks := withoutStorm(t, p)
		if len(checks) != len(r.Inspections) {
			t.Errorf("%s: %d checks for %d inspections", r.ID, len(checks), len(r.Inspections))
		}
		for _, st := range p.Stations {
			if len(st.Checks) != len(st.Station.Inspections) {
				t.Errorf("%s: %d checks for %d inspections", st.Station.ID, len(st.Checks), len(st.Station.Inspections))
			}
			for _, c := range slices.Concat(checks, st.Checks) {
				if c.Last.ID == "" || c.Interval == "" || (c.Due == nil) == (c.Cause == nil) {
					t.Errorf("%s: a check of the demo is %+v", st.Station.ID, c)
				}
			}
			if st.Station.Height && p.Rig.State == rig.InService && (st.Plan == nil || st.Drill == nil) {
				t.Errorf("%s: no rescue plan or drill", st.Station.ID)
			}
		}
	}
	if _, err := y.Rig(ctx, staff, "none"); fault.Of(err) != fault.NotFound {
		t.Errorf("a rig that is not there: %v", err)
	}
}
