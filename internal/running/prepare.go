package running

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Looked is one station or kit as somebody looked at it: the items that passed and
// those that failed, and what is wrong.
type Looked struct {
	Of             string
	Passed, Failed []id.Commitment
	Note           string
}

// PreUse keeps the check of station and kit. Every item of the lists as they stand
// needs an answer; a thing with one that failed needs a note. A check that failed
// is kept too, and stops the start.
func (d *Desk) PreUse(ctx context.Context, actor access.Actor, sid id.Session, send Send, looked []Looked) (failed []string, err error) {
	err = d.prepare(ctx, actor, sid, send, "checked", looked, func(tx *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		asked, err := s.ToCheck()
		if err != nil {
			return err
		}
		check := session.PreUse{Done: done, Station: s.Session.Station}
		bad := fault.Fields{}
		for _, a := range asked {
			i := slices.IndexFunc(looked, func(l Looked) bool { return l.Of == a.Of })
			if i < 0 {
				bad.Add(a.Of, "Nothing is ticked here. Look at each item.")
				continue
			}
			thing := looked[i].judge(a, bad)
			thing.Note = tx.Seal("session/"+string(sid), "note", strings.TrimSpace(looked[i].Note))
			check.Things = append(check.Things, thing)
		}
		if err := bad.Err(); err != nil {
			return err
		}
		p.PreUse, failed = &check, check.Failed()
		return nil
	})
	return failed, err
}

// judge puts answers beside the items of a list.
func (l Looked) judge(asked session.ToCheck, bad fault.Fields) session.Checked {
	out := session.Checked{Of: asked.Of}
	for n, item := range asked.Items {
		passed, failed := slices.Contains(l.Passed, item), slices.Contains(l.Failed, item)
		if passed == failed {
			bad.Add(asked.Of, "Item %d has no answer. Look at each item: it passes or it fails.", n+1)
		}
		out.Items = append(out.Items, session.CheckedItem{Item: item, Passed: passed})
	}
	switch {
	case len(asked.Items) == 0:
		bad.Add(asked.Of, "The centre has no check list for this yet. A competent person writes it first.")
	case out.Failed() && strings.TrimSpace(l.Note) == "":
		bad.Add(asked.Of, "Something failed. Say what is wrong.")
	}
	return out
}

// ToCheck is what a check looks at: the station by the list of its rig's kind, each
// kit that the exercise takes, and the station's rescue kit.
func (s *Scene) ToCheck() ([]session.ToCheck, error) {
	if s.toCheck != nil {
		return s.toCheck, nil
	}
	lists, err := s.View.CheckLists()
	if err != nil {
		return nil, err
	}
	var out []session.ToCheck
	add := func(of string, kind rig.CheckedKind) {
		if of != "" && !slices.ContainsFunc(out, func(a session.ToCheck) bool { return a.Of == of }) {
			out = append(out, session.ToCheck{Of: of, Items: lists[kind].Items})
		}
	}
	add(string(s.Session.Station), rig.CheckedKind(s.Rig.Kind))
	for _, use := range s.Exercise.Uses {
		add(string(use.Kit), rig.CourseKit)
	}
	if s.Station.Rescue != nil {
		add(string(s.Station.Rescue.Kit), rig.RescueKit)
	}
	s.toCheck = out
	return out, nil
}

// checkTexts are the items of a session's check lists, and what was noted of them.
func (s *Scene) checkTexts(asked []session.ToCheck) (texts []id.Commitment) {
	for _, a := range asked {
		texts = append(texts, a.Items...)
	}
	if p := s.Prepared.PreUse; p != nil {
		for _, c := range p.Things {
			texts = append(texts, c.Note)
			for _, x := range c.Items {
				texts = append(texts, x.Item)
			}
		}
	}
	return texts
}

// kits are the kits of a session: those the exercise takes and the rescue kit.
func (s *Scene) kits() (out []id.Kit) {
	for _, use := range s.Exercise.Uses {
		out = append(out, use.Kit)
	}
	if s.Station.Rescue != nil && s.Station.Rescue.Kit != "" {
		out = append(out, s.Station.Rescue.Kit)
	}
	return out
}

// TakeOut takes a kit of the session out of use at once: it counts as out of date
// since today, for every session, until somebody gives it a new last valid day.
func (d *Desk) TakeOut(ctx context.Context, actor access.Actor, sid id.Session, send Send, kit id.Kit) error {
	_, err := d.change(ctx, actor, sid, send, []any{"kit-taken-out", kit}, func(tx *store.Tx, s *Scene) error {
		ref, err := tx.View().Reference()
		if err != nil {
			return err
		}
		rec, ok := ref.Kits.On(kit, tx.Today())
		if !ok || !slices.Contains(s.kits(), kit) {
			return fault.New(fault.NotFound, "This kit is not of the session.")
		}
		if rec.LastValid != 0 && rec.LastValid < tx.Today() {
			return nil // it is out already
		}
		rec.LastValid = tx.Today() - 1
		_, err = tx.Put("kit-taken-out", tx.Today(), rec)
		return err
	})
	return err
}

// Briefing is a rescue brief as it was held.
type Briefing struct {
	Plan               id.RescuePlan
	Version            int
	Roles              map[session.RescueRole][]id.Person
	Kit, Route, Muster bool
}

// Brief keeps the rescue brief: for the plan version in force, with every role taken
// by one of the staff who are there, and with kit, route and muster point clear.
func (d *Desk) Brief(ctx context.Context, actor access.Actor, sid id.Session, send Send, b Briefing) error {
	return d.prepare(ctx, actor, sid, send, "briefed", b, func(_ *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		plan, ok := s.PlanInForce()
		if !ok {
			return fault.New(fault.Conflict, "No rescue plan is in force for this station today. Nobody goes up until one is.")
		}
		if plan.ID != b.Plan || plan.Version != b.Version {
			return fault.New(fault.Conflict, "Another plan is in force than the one shown. Open the page again and brief version %d.", plan.Version)
		}
		bad := fault.Fields{}
		rec := session.Brief{Done: done, Station: s.Session.Station, Plan: b.Plan, Version: b.Version, Heard: s.Crew(), Kit: b.Kit, Route: b.Route, Muster: b.Muster}
		rec.Roles = s.takeRoles(session.AskedRoles(plan), b.Roles, bad)
		if !b.Kit || !b.Route || !b.Muster {
			bad.Add("clear", "Kit, route and muster point must all be clear. Until they are nobody goes up.")
		}
		if err := bad.Err(); err != nil {
			return err
		}
		p.Brief = &rec
		return nil
	})
}

// takeRoles judges who takes which role: as many as the plan asks, of those who are
// here, competent where it asks that, and nobody two unless the plan lets them.
func (s *Scene) takeRoles(asked []session.AskedRole, given map[session.RescueRole][]id.Person, bad fault.Fields) (out []session.RoleTaken) {
	crew := s.Crew()
	for _, a := range asked {
		who := slices.Compact(slices.Sorted(slices.Values(given[a.Role])))
		who = slices.DeleteFunc(who, func(p id.Person) bool { return p == "" })
		for _, p := range who {
			_, competent := s.Figures.RescueCompetent[string(p)]
			switch {
			case !slices.Contains(crew, p):
				bad.Add(string(a.Role), "Choose from the staff who are here.")
			case a.Competent && !competent:
				bad.Add(string(a.Role), "Only somebody who is rescue-competent today takes this role.")
			}
			out = append(out, session.RoleTaken{Role: a.Role, Person: p})
		}
		switch {
		case len(who) != a.Count && a.Count == 1:
			bad.Add(string(a.Role), "Choose one of the staff who are here.")
		case len(who) != a.Count:
			bad.Add(string(a.Role), "Choose %d of the staff who are here, each once.", a.Count)
		}
	}
	for _, role := range session.Doubled(asked, out) {
		bad.Add(string(role), "They take another role already, and the plan lets nobody take both.")
	}
	return out
}

// Crew are the instructors and rescuers who are here, sorted; those booked while
// the roll is not called.
func (s *Scene) Crew() []id.Person {
	here := s.WithPresent()
	return slices.Compact(slices.Sorted(slices.Values(slices.Concat(here.Instructors, here.Rescuers))))
}

// PlanInForce is the rescue plan version in force at the station on the session's day.
func (s *Scene) PlanInForce() (rig.RescuePlan, bool) {
	return s.Slice.Register().RescueInForce(s.Session.Station, s.Day)
}

// ReadCautions keeps that the actor was shown every caution of the session as it is
// now; seen are the subjects that the page showed.
func (d *Desk) ReadCautions(ctx context.Context, actor access.Actor, sid id.Session, send Send, seen []string) error {
	return d.prepare(ctx, actor, sid, send, "cautions-read", seen, func(_ *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		shown := session.Shown{Done: done, Cautions: slices.Sorted(slices.Values(seen))}
		if len(shown.Unread(s.Report.At(verdict.Cautions), "")) > 0 {
			return fault.New(fault.Conflict, "A caution has come or become worse since the page was opened. Read them again.")
		}
		p.Seen = &shown
		return nil
	})
}

// WarmUp keeps that the group has warmed up.
func (d *Desk) WarmUp(ctx context.Context, actor access.Actor, sid id.Session, send Send) error {
	return d.prepare(ctx, actor, sid, send, "warmed-up", nil, func(_ *store.Tx, _ *Scene, p *session.Preparation, done session.Done) error {
		p.WarmUp = &done
		return nil
	})
}

// Recheck keeps of which trainees theory and safety points were asked again.
func (d *Desk) Recheck(ctx context.Context, actor access.Actor, sid id.Session, send Send, asked []id.Trainee) error {
	return d.prepare(ctx, actor, sid, send, "theory-rechecked", asked, func(_ *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		for _, t := range asked {
			if !slices.Contains(s.Session.Trainees, t) {
				return fault.New(fault.Invalid, "Somebody ticked is not in the session. Open the page again.")
			}
		}
		if len(asked) == 0 {
			return fault.Field("trainee", "Nobody is ticked. Tick whom you asked.")
		}
		p.Recheck = &session.Recheck{Done: done, Trainees: slices.Compact(slices.Sorted(slices.Values(asked)))}
		return nil
	})
}

// prepare changes what was done before a session.
func (d *Desk) prepare(ctx context.Context, actor access.Actor, sid id.Session, send Send, act string, what any,
	do func(*store.Tx, *Scene, *session.Preparation, session.Done) error) error {
	_, err := d.change(ctx, actor, sid, send, []any{act, what}, func(tx *store.Tx, s *Scene) error {
		if s.Session.State != session.Booked && !s.underWay() || s.Session.Ended() {
			return fault.New(fault.Conflict, "The session is not to be started any more, or is not booked yet.")
		}
		if err := s.today(); err != nil {
			return err
		}
		p := s.Prepared
		if err := do(tx, s, &p, session.Done{By: actor.Person, At: s.Then}); err != nil {
			return err
		}
		_, err := tx.Put(act, s.Day, p)
		return err
	})
	return err
}
