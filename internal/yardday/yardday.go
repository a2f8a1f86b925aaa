// Package yardday is the day at the yard: what state each rig is in, what runs
// on each station now and next, which ground and which energy is in use. It
// changes nothing.
package yardday

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Yard reads the yard's day.
type Yard struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns the journey over a store.
func New(s *store.Store) *Yard { return &Yard{s, &planning.Builder{}} }

// Today is the yard at a moment.
type Today struct {
	Yard     rig.Yard
	Now      civil.Instant
	Day      civil.Day
	Rigs     []Rig
	Zones    map[id.Zone]id.Session   // ground in use now
	Circuits map[id.Circuit]EnergyUse // energy asked for now
	Due      []rig.Due                // clocks that run out within their notice, the earliest first
	Names    map[id.Person]string
	Ref      *store.Reference
	Zone     civil.Zone
	Head     int64
}

// EnergyUse is the state in which a running session needs a circuit.
type EnergyUse struct {
	State   string
	Station id.Station
}

// Rig is one rig with its stations.
type Rig struct {
	Rig      rig.Rig
	Out      verdict.Text // why it is not in service, nil when it is
	Stations []Station
}

// Station is one station now.
type Station struct {
	Station rig.Station
	Shut    verdict.Text   // why it can't be used now, nil when it can
	Until   civil.Instant  // end of that, where one is known today
	Cause   planning.Cause // behind Shut; zero when it can be used
	Now     *Running
	Next    *Running
}

// Running is a session on a station with its exercise.
type Running struct {
	Session  session.Session
	Exercise curriculum.Exercise
	Name     string
}

// Today returns the yard as it is now.
func (y *Yard) Today(ctx context.Context, actor access.Actor) (Today, error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return Today{}, err
	}
	var out Today
	err := y.store.Read(ctx, func(v *store.View) (err error) {
		out, err = y.read(v)
		return err
	})
	return out, err
}

func (y *Yard) read(v *store.View) (Today, error) {
	today := v.Today()
	s, err := y.builder.Yard(v, today, today)
	if err != nil {
		return Today{}, err
	}
	ref := s.Reference()
	yard, _ := ref.YardOn(today)
	out := Today{Yard: yard, Now: v.Now(), Day: today, Ref: ref, Zone: v.Zone(), Head: v.Head(),
		Zones: map[id.Zone]id.Session{}, Circuits: map[id.Circuit]EnergyUse{}}
	sessions, err := v.SessionsBetween(out.Zone.StartOfDay(today), out.Zone.StartOfDay(today+1))
	if err != nil {
		return Today{}, err
	}
	var staff []id.Person
	for _, r := range sessions {
		staff = append(append(staff, r.Instructors...), r.Rescuers...)
	}
	if out.Names, err = v.PersonNames(staff...); err != nil {
		return Today{}, err
	}
	for _, r := range ref.Rigs.All(today) {
		entry := Rig{Rig: r, Out: s.RigOut(r.ID, v.Now())}
		for _, st := range ref.Stations.All(today) {
			if st.Rig == r.ID && (st.Retired == 0 || st.Retired > today) {
				entry.Stations = append(entry.Stations, out.station(s, st, sessions))
				out.addDue(s.Register().Due(st.ID, today))
			}
		}
		out.Rigs = append(out.Rigs, entry)
	}
	slices.SortStableFunc(out.Due, func(a, b rig.Due) int { return cmp.Compare(a.Last, b.Last) })
	return out, nil
}

// addDue keeps the clocks that run out soon. A rig's and a kit's are told by each
// of their stations; one plan's review once for all of them.
func (t *Today) addDue(list []rig.Due) {
	for _, d := range list {
		same := func(x rig.Due) bool {
			return x.Kind == d.Kind && x.Line == d.Line && x.Plan == d.Plan && (x.Subject == d.Subject || d.Plan != "")
		}
		if d.Soon(t.Day) && !slices.ContainsFunc(t.Due, same) {
			t.Due = append(t.Due, d)
		}
	}
}

func (t *Today) station(s *planning.Slice, st rig.Station, sessions []session.Session) Station {
	out := Station{Station: st}
	for _, x := range s.Shut(st.ID) {
		if x.Holds(t.Now) && out.Shut == nil {
			out.Shut, out.Until, out.Cause = x.Cause.Say, x.End, x.Cause
		}
	}
	for _, r := range sessions {
		if r.Station != st.ID || !r.State.Holds() {
			continue
		}
		e, _ := t.Ref.Exercises.On(r.Exercise, t.Day)
		running := &Running{Session: r, Exercise: e, Name: t.Ref.Text(e.Name)}
		switch {
		case r.Start <= t.Now && t.Now < r.End:
			out.Now = running
			if r.State != session.Pencilled { // a pencilled one is not to start
				t.use(st, running)
			}
		case r.Start > t.Now && (out.Next == nil || r.Start < out.Next.Session.Start):
			out.Next = running
		}
	}
	return out
}

// use marks the ground and the energy that a running session takes.
func (t *Today) use(st rig.Station, r *Running) {
	for _, z := range st.Zones {
		t.Zones[z] = r.Session.ID
	}
	for _, n := range r.Exercise.Energy {
		t.Circuits[n.Circuit] = EnergyUse{n.State, st.ID}
	}
}

// RigPage is one rig or station in full: what keeps it in service.
type RigPage struct {
	Rig      rig.Rig
	Stations []StationPage
	Checks   []planning.Check
	Out      verdict.Text
	Why      []rig.Cause // why it is not in service, one by one
	Ref      *store.Reference
	Today    civil.Day
	Now      civil.Instant
	Head     int64
	Texts    map[id.Commitment]string
	Names    map[id.Person]string
}

// StationPage is one station: its inspections, shut periods and rescue plan.
type StationPage struct {
	Station rig.Station
	Checks  []planning.Check
	Shut    []rig.Shut // not over
	Causes  []planning.Shut
	Why     []rig.Cause      // why it can't be used now, one by one
	Plan    *rig.RescuePlan  // in force today
	Plans   []rig.RescuePlan // latest version of every plan that names it
	Drill   *rig.Drill
}

// Rig returns one rig's page.
func (y *Yard) Rig(ctx context.Context, actor access.Actor, rid id.Rig) (RigPage, error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return RigPage{}, err
	}
	var out RigPage
	err := y.store.Read(ctx, func(v *store.View) (err error) {
		out, err = y.rig(v, rid)
		return err
	})
	return out, err
}

func (y *Yard) rig(v *store.View, rid id.Rig) (RigPage, error) {
	today := v.Today()
	s, err := y.builder.Yard(v, today, today)
	if err != nil {
		return RigPage{}, err
	}
	ref := s.Reference()
	r, ok := ref.Rigs.On(rid, today)
	if !ok {
		return RigPage{}, fault.New(fault.NotFound, "There is no such rig.")
	}
	out := RigPage{Rig: r, Out: s.RigOut(rid, v.Now()), Why: s.Register().RigAt(rid, v.Now()), Checks: s.RigChecks(r), Ref: ref, Today: today, Now: v.Now(), Head: v.Head()}
	var texts []id.Commitment
	for _, st := range ref.Stations.All(today) {
		if st.Rig != rid {
			continue
		}
		page := StationPage{Station: st, Checks: s.StationChecks(st), Causes: s.Shut(st.ID),
			Why: s.Register().StationAt(st.ID, civil.Period{Start: v.Now(), End: v.Now() + 1})}
		for _, x := range ref.Shuts.All(today) {
			if x.Station == st.ID && (x.End == 0 || x.End > v.Now()) {
				page.Shut = append(page.Shut, x)
				texts = append(texts, x.Note)
			}
		}
		if p, ok := s.Register().RescueInForce(st.ID, today); ok {
			page.Plan = &p
			texts = append(texts, p.Text)
		}
		if page.Plan != nil {
			if drill, ok := s.Register().LastDrill(page.Plan.ID, today); ok {
				page.Drill = &drill
			}
		}
		page.Plans = plansOf(ref, st.ID)
		out.Stations = append(out.Stations, page)
	}
	if out.Texts, err = v.Texts(texts...); err != nil {
		return RigPage{}, err
	}
	var staff []id.Person
	for _, st := range ref.Staff.All(today) {
		staff = append(staff, st.ID)
	}
	out.Names, err = v.PersonNames(staff...)
	return out, err
}

// plansOf returns the latest version of every rescue plan that names a station.
func plansOf(ref *store.Reference, st id.Station) []rig.RescuePlan {
	var out []rig.RescuePlan
	for _, p := range ref.RescuePlans.All(civil.LastDay) {
		if slices.Contains(p.Stations, st) {
			out = append(out, p)
		}
	}
	return out
}
