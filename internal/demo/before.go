package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// layCheckLists keeps what is looked at before each use as the yard's own.
func (b *builder) layCheckLists() {
	for _, kind := range rig.CheckedKinds() {
		l := rig.CheckList{ID: idOf[id.CheckList](b, "check-list", string(kind)), For: kind}
		for _, item := range rig.ExampleItems(kind) {
			l.Items = append(l.Items, text(item))
		}
		b.write(groundwork, b.opened(), b.person(administrator), "check-list-kept", l)
	}
}

func (p *pen) sealCheckList(l rig.CheckList) rig.CheckList {
	items := make([]id.Commitment, len(l.Items))
	for i, item := range l.Items {
		items[i] = item
		p.text(string(l.ID), "items", &items[i])
	}
	l.Items = items
	return l
}

// prepared is what was done before a session by one of its instructors: everything
// passed, and each role of the rescue is taken.
func prepared(v *store.View, x session.Session, at civil.Instant) (session.Preparation, error) {
	done := session.Done{By: x.Instructors[0], At: at}
	p := session.Preparation{Session: x.ID, PreUse: &session.PreUse{Done: done, Station: x.Station}, WarmUp: &done,
		Recheck: &session.Recheck{Done: done, Trainees: x.Trainees}}
	ref, err := v.Reference()
	if err != nil {
		return p, err
	}
	lists, err := v.CheckLists()
	if err != nil {
		return p, err
	}
	check := func(of string, kind rig.CheckedKind) {
		thing := session.Checked{Of: of}
		for _, item := range lists[kind].Items {
			thing.Items = append(thing.Items, session.CheckedItem{Item: item, Passed: true})
		}
		p.PreUse.Things = append(p.PreUse.Things, thing)
	}
	station, _ := ref.Stations.On(x.Station, v.Today())
	on, _ := ref.Rigs.On(station.Rig, v.Today())
	exercise, _ := ref.Exercises.On(x.Exercise, v.Today())
	p.Mass = withinRating(ref, x, station, exercise, v.Today(), done)
	check(string(x.Station), rig.CheckedKind(on.Kind))
	for _, use := range exercise.Uses {
		check(string(use.Kit), rig.CourseKit)
	}
	if station.Rescue != nil && station.Rescue.Kit != "" {
		check(string(station.Rescue.Kit), rig.RescueKit)
	}
	for _, plan := range ref.RescuePlans.All(v.Today()) {
		if slices.Contains(plan.Stations, x.Station) && plan.Approved() && plan.InForce <= v.Today() {
			crew := slices.Sorted(slices.Values(slices.Concat(x.Instructors, x.Rescuers)))
			p.Brief = &session.Brief{Done: done, Station: x.Station, Plan: plan.ID, Version: plan.Version, Heard: crew, Kit: true, Route: true, Muster: true}
			for i, a := range session.AskedRoles(plan) {
				for n := range a.Count {
					p.Brief.Roles = append(p.Brief.Roles, session.RoleTaken{Role: a.Role, Person: crew[(i+n)%len(crew)]})
				}
			}
		}
	}
	return p, nil
}
