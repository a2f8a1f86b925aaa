package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
)

// gate is a session's gate by name.
func (r *rigside) gate(sid id.Session, name string) running.Gate {
	r.Helper()
	gates := r.show(sid).Gates
	i := slices.IndexFunc(gates, func(g running.Gate) bool { return g.Name == name })
	if i < 0 {
		r.Fatalf("no gate is called %q", name)
	}
	return gates[i]
}

// wantHolds asks whether a gate holds.
func (r *rigside) wantHolds(sid id.Session, name string, want bool) {
	r.Helper()
	if g := r.gate(sid, name); g.Holds != want {
		r.Errorf("%s holds %t, want %t: %v", name, g.Holds, want, g.Found)
	}
}

func TestACheckThatFailedStopsUntilOneIsWholeAndPassed(t *testing.T) {
	r := open(t)
	s := r.ready()
	c := r.show(s.ID)
	for _, thing := range c.Asked {
		r.no(r.preUse(s.ID, thing.Of))
		r.wantHolds(s.ID, "pre-use", false)
		r.no(r.preUse(s.ID, ""))
		r.wantHolds(s.ID, "pre-use", true)
	}
	// One item without an answer, a failure without a note: nothing is kept.
	var looked []running.Looked
	for _, a := range c.Asked {
		looked = append(looked, running.Looked{Of: a.Of, Passed: a.Items})
	}
	looked[0].Passed = looked[0].Passed[1:]
	_, err := r.PreUse(ctx, r.instructor, s.ID, r.send(s.ID), looked)
	r.kind(err, fault.Invalid)
	looked[0].Failed = c.Asked[0].Items[:1]
	_, err = r.PreUse(ctx, r.instructor, s.ID, r.send(s.ID), looked)
	r.kind(err, fault.Invalid)
	_, err = r.PreUse(ctx, r.instructor, s.ID, r.send(s.ID), looked[1:])
	r.kind(err, fault.Invalid)
}

func TestAnItemAddedToAListWasNotLookedAt(t *testing.T) {
	r := open(t)
	s := r.ready()
	keeper := keeping.New(r.store)
	lists, err := keeper.CheckLists(ctx, demotest.Actor(r, r.store, access.Administrator))
	r.no(err)
	kind := rig.CheckedKind(r.show(s.ID).Rig.Kind)
	r.no(keeper.KeepCheckLists(ctx, demotest.Actor(r, r.store, access.Administrator), keeping.Lists{kind: append(slices.Clone(lists[kind]), "No ice")}, r.key()))
	r.wantHolds(s.ID, "pre-use", false)
	r.no(r.preUse(s.ID, ""))
	r.wantHolds(s.ID, "pre-use", true)
	// The same items in another order were looked at; a list without items stops.
	slices.Reverse(lists[kind])
	r.no(keeper.KeepCheckLists(ctx, demotest.Actor(r, r.store, access.Administrator), keeping.Lists{kind: lists[kind]}, r.key()))
	r.wantHolds(s.ID, "pre-use", true)
	r.no(keeper.KeepCheckLists(ctx, demotest.Actor(r, r.store, access.Administrator), keeping.Lists{kind: {}}, r.key()))
	r.wantHolds(s.ID, "pre-use", false)
	r.kind(r.preUse(s.ID, ""), fault.Invalid)
}

func TestACheckCountsForItsOwnStationAndDayOnly(t *testing.T) {
	r := open(t)
	s := r.ready()
	prepared := r.show(s.ID).Prepared
	other := prepared
	pre := *prepared.PreUse
	pre.Station = r.otherStation(s.ID, s.Station)
	other.PreUse = &pre
	r.put("checked", other)
	r.wantHolds(s.ID, "pre-use", false)
	pre = *prepared.PreUse
	pre.Done.At = pre.Done.At.Add(-24 * 60)
	other.PreUse = &pre
	warm := *prepared.WarmUp
	warm.At = warm.At.Add(-24 * 60)
	other.WarmUp = &warm
	r.put("checked", other)
	r.wantHolds(s.ID, "pre-use", false)
	r.wantHolds(s.ID, "warm-up", false)
	r.put("checked", prepared)
	r.wantHolds(s.ID, "pre-use", true)
	r.wantHolds(s.ID, "warm-up", true)
}

func TestKitThatIsTakenOutStopsEverySessionThatNeedsIt(t *testing.T) {
	r := open(t)
	s := r.ready()
	shown := r.show(s.ID)
	if len(shown.Exercise.Uses) == 0 {
		t.Fatal("the session takes no kit")
	}
	kit := shown.Exercise.Uses[0].Kit
	r.no(r.TakeOut(ctx, r.instructor, s.ID, r.send(s.ID), kit))
	r.wantHolds(s.ID, "rules", false)
	r.kind(r.TakeOut(ctx, r.instructor, s.ID, r.send(s.ID), "another"), fault.NotFound)
}

func TestTheRescueBriefStopsWhenPlanOrPeopleAreOthers(t *testing.T) {
	r := open(t)
	s := r.ready()
	r.wantHolds(s.ID, "rescue-brief", true)
	plan, _ := r.show(s.ID).PlanInForce()
	next := plan
	next.Version, next.InForce = plan.Version+1, monday
	r.put("approved", next)
	r.wantHolds(s.ID, "rescue-brief", false)
	b := *r.show(s.ID).Prepared.Brief
	roles := map[session.RescueRole][]id.Person{}
	for _, x := range b.Roles {
		roles[x.Role] = append(roles[x.Role], x.Person)
	}
	again := running.Briefing{Plan: plan.ID, Version: plan.Version, Roles: roles, Kit: true, Route: true, Muster: true}
	r.kind(r.Brief(ctx, r.instructor, s.ID, r.send(s.ID), again), fault.Conflict)
	r.no(r.brief(s.ID))
	r.wantHolds(s.ID, "rescue-brief", true)
	// The one who came is not there: the roles are not taken by who is here.
	r.call(s.ID, 0, without(all(s), session.AsRescuer, string(s.Rescuers[0]))...)
	r.wantHolds(s.ID, "rescue-brief", false)
	r.call(s.ID, 0, all(s)...)
	r.wantHolds(s.ID, "rescue-brief", true)
}

func TestABriefIsKeptOnlyWithAllRolesAndAllWaysClear(t *testing.T) {
	r := open(t)
	s := r.ready()
	kept := *r.show(s.ID).Prepared.Brief
	whole := func() running.Briefing {
		b := running.Briefing{Plan: kept.Plan, Version: kept.Version, Roles: map[session.RescueRole][]id.Person{}, Kit: true, Route: true, Muster: true}
		for _, x := range kept.Roles {
			b.Roles[x.Role] = append(b.Roles[x.Role], x.Person)
		}
		return b
	}
	r.no(r.Brief(ctx, r.instructor, s.ID, r.send(s.ID), whole()))
	for name, spoil := range map[string]func(*running.Briefing){
		"a role is free":           func(b *running.Briefing) { delete(b.Roles, kept.Roles[0].Role) },
		"a stranger leads":         func(b *running.Briefing) { b.Roles[kept.Roles[0].Role] = []id.Person{"stranger"} },
		"the kit is not there":     func(b *running.Briefing) { b.Kit = false },
		"the route is not clear":   func(b *running.Briefing) { b.Route = false },
		"the muster point is shut": func(b *running.Briefing) { b.Muster = false },
	} {
		b := whole()
		spoil(&b)
		if err := r.Brief(ctx, r.instructor, s.ID, r.send(s.ID), b); err == nil || fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func (r *rigside) otherStation(of id.Session, not id.Station) id.Station {
	r.Helper()
	for _, x := range r.show(of).Slice.Reference().Stations.All(monday) {
		if x.ID != not {
			return x.ID
		}
	}
	r.Fatal("the yard has one station")
	return ""
}
