package running_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

// monday is the day on which the tests' yard stands.
var (
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
	ctx    = context.Background()
)

var yard = demotest.New(eight, 1)

// rigside is a desk over a yard of its own, with a clock that tests set.
type rigside struct {
	testing.TB
	*running.Desk
	store  *store.Store
	now    civil.Instant
	keys   int
	fairAt civil.Instant // when the weather was last read

	instructor, auditor access.Actor
}

func open(t testing.TB) *rigside {
	t.Helper()
	r := &rigside{TB: t, now: eight}
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return r.now })
	r.store, r.Desk = s, running.New(s)
	r.instructor, r.auditor = demotest.Actor(t, s, access.Instructor), demotest.Actor(t, s, access.Auditor)
	return r
}

func (r *rigside) read(do func(*store.View) error) {
	r.Helper()
	if err := r.store.Read(ctx, do); err != nil {
		r.Fatal(err)
	}
}

func (r *rigside) put(act string, records ...any) {
	r.Helper()
	_, err := r.store.Write(ctx, store.Command{Key: r.key(), Actor: r.instructor, Role: access.Instructor}, func(tx *store.Tx) (store.Outcome, error) {
		for _, rec := range records {
			if _, err := tx.Put(act, 0, rec); err != nil {
				return "", err
			}
		}
		return "", nil
	})
	if err != nil {
		r.Fatal(err)
	}
}

func (r *rigside) key() string {
	r.keys++
	return fmt.Sprintf("test %d", r.keys)
}

func (r *rigside) show(sid id.Session) running.Shown {
	r.Helper()
	r.fair()
	out, err := r.Show(ctx, r.instructor, sid)
	if err != nil {
		r.Fatal(err)
	}
	return out
}

// fair reads fair weather where the last reading is about to be too old. What the
// gate makes of weather has tests of its own, which read it themselves.
func (r *rigside) fair() {
	if r.now.Sub(r.fairAt) < 20 {
		return
	}
	r.fairAt = r.now
	r.put("read", fair(r.now))
}

func fair(at civil.Instant) weather.Reading {
	height, mean, gust, air := weather.Height(100), weather.Speed(40), weather.Speed(60), weather.Celsius(120)
	return weather.Reading{ID: id.Reading(fmt.Sprint("fair-", at)), Kind: weather.Measured, At: at, Instrument: "mast", Averaging: weather.TenMinutes,
		Height: &height, Mean: &mean, Gust: &gust, Celsius: &air, Ice: weather.NoIce}
}

func (r *rigside) send(sid id.Session) running.Send {
	return running.Send{Key: r.key(), Rev: r.show(sid).Row.Rev}
}

// ready is a session of today that every rule lets run with all who are booked. It
// sets the clock to its start, and makes the signed-in instructor one of its own.
func (r *rigside) ready() session.Session {
	r.Helper()
	var today []session.Session
	r.read(func(v *store.View) (err error) {
		today, err = v.SessionsBetween(demo.Zone().StartOfDay(monday), demo.Zone().StartOfDay(monday+1))
		return err
	})
	for _, s := range today {
		r.now = max(eight, s.Start)
		if s.State != session.Booked || len(s.Trainees) < 3 {
			continue
		}
		shown := r.show(s.ID)
		if rescue := shown.Station.Rescue; rescue == nil || rescue.Rescuers == 0 || len(s.Instructors) != 1 {
			continue
		}
		if !toPrepare(running.Shut(shown.Gates, s.State)) {
			continue
		}
		r.prepare(s.ID)
		if shut := running.Shut(r.show(s.ID).Gates, s.State); len(shut) == 1 && shut[0].Name == "roll" {
			return s
		}
	}
	r.Fatal("the demo's yard has no session that could start today")
	return session.Session{}
}

// toPrepare reports whether a session lacks its roll, and else only what is done at
// the rig before it.
func toPrepare(shut []running.Gate) bool {
	own := []string{"pre-use", "rescue-brief", "cautions-read", "warm-up", "theory-recheck", "mass", "roll"}
	return slices.ContainsFunc(shut, func(g running.Gate) bool { return g.Name == "roll" }) &&
		!slices.ContainsFunc(shut, func(g running.Gate) bool { return !slices.Contains(own, g.Name) })
}

// prepare does everything that is done at the rig before a session.
func (r *rigside) prepare(sid id.Session) {
	r.Helper()
	r.no(r.preUse(sid, ""))
	if r.show(sid).Station.AsksForRescue() {
		r.no(r.brief(sid))
	}
	r.no(r.ReadCautions(ctx, r.instructor, sid, r.send(sid), r.cautions(sid)))
	r.no(r.WarmUp(ctx, r.instructor, sid, r.send(sid)))
	r.no(r.Recheck(ctx, r.instructor, sid, r.send(sid), r.show(sid).Session.Trainees))
	if _, rated := r.show(sid).Rated(); rated > 0 {
		r.no(r.Mass(ctx, r.instructor, sid, r.send(sid), rated, r.show(sid).Roped()))
	}
}

func (r *rigside) no(err error) {
	r.Helper()
	if err != nil {
		r.Fatal(err)
	}
}

// preUse keeps a check in which everything passes but the first item of one thing.
func (r *rigside) preUse(sid id.Session, fails string) error {
	r.Helper()
	var looked []running.Looked
	for _, a := range r.show(sid).Asked {
		l := running.Looked{Of: a.Of, Passed: a.Items}
		if a.Of == fails {
			l.Passed, l.Failed, l.Note = a.Items[1:], a.Items[:1], "A strap is cut."
		}
		looked = append(looked, l)
	}
	_, err := r.PreUse(ctx, r.instructor, sid, r.send(sid), looked)
	return err
}

// brief holds the rescue brief with the first of the crew who may take each role.
func (r *rigside) brief(sid id.Session) error {
	r.Helper()
	s := r.show(sid)
	plan, _ := s.PlanInForce()
	b := running.Briefing{Plan: plan.ID, Version: plan.Version, Roles: map[session.RescueRole][]id.Person{}, Kit: true, Route: true, Muster: true}
	taken := map[id.Person]bool{}
	for _, a := range session.AskedRoles(plan) {
		for _, who := range s.Crew() {
			_, competent := s.Figures.RescueCompetent[string(who)]
			if (competent || !a.Competent) && len(b.Roles[a.Role]) < a.Count && (a.Beside || !taken[who]) {
				b.Roles[a.Role], taken[who] = append(b.Roles[a.Role], who), taken[who] || !a.Beside
			}
		}
	}
	return r.Brief(ctx, r.instructor, sid, r.send(sid), b)
}

func (r *rigside) cautions(sid id.Session) (out []string) {
	for _, f := range r.show(sid).Report.At(verdict.Cautions) {
		out = append(out, session.SubjectOf(f))
	}
	return out
}

// all is everybody booked, as here.
func all(s session.Session) (out []session.Seen) {
	for _, p := range s.Instructors {
		out = append(out, session.Seen{Who: string(p), Part: session.AsInstructor, Here: true})
	}
	for _, p := range s.Rescuers {
		out = append(out, session.Seen{Who: string(p), Part: session.AsRescuer, Here: true})
	}
	for _, t := range s.Trainees {
		out = append(out, session.Seen{Who: string(t), Part: session.AsTrainee, Here: true})
	}
	return out
}

// call keeps a roll of those given.
func (r *rigside) call(sid id.Session, at civil.Instant, here ...session.Seen) []running.Gate {
	r.Helper()
	fell, err := r.Roll(ctx, r.instructor, sid, r.send(sid), r.show(sid).RollRev, at, here)
	if err != nil {
		r.Fatal(err)
	}
	return fell
}

// start puts a session under way with everybody.
func (r *rigside) start() session.Session {
	r.Helper()
	s := r.ready()
	r.call(s.ID, 0, all(s)...)
	shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
	if err != nil || len(shut) > 0 {
		r.Fatalf("starting: %v, %v", shut, err)
	}
	return s
}

func (r *rigside) kind(err error, want fault.Kind) {
	r.Helper()
	if err == nil || fault.Of(err) != want {
		r.Errorf("%v, want an error of kind %s", err, want)
	}
}

// without are those seen less the ones of a part that are named.
func without(seen []session.Seen, part session.Part, who ...string) []session.Seen {
	return slices.DeleteFunc(slices.Clone(seen), func(x session.Seen) bool { return x.Part == part && slices.Contains(who, x.Who) })
}
