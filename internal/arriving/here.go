package arriving

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Body is somebody on the yard now.
type Body struct {
	arrival.Sighting
	Name  string
	Staff bool
	Part  string // "trainee", "staff" or "visitor"
	Kit   []Held // out with them
}

// Here is who is on the yard.
type Here struct {
	Bodies []Body
	Out    []Held  // all kit that is out, whoever has left
	Staff  []Named // who may sign in: the staff of today
	Ref    *store.Reference
	Now    civil.Instant
}

// HeldBy is the kit that is out with a person.
func (h Here) HeldBy(p id.Person) (out []Held) {
	for _, x := range h.Out {
		if x.Person == p {
			out = append(out, x)
		}
	}
	return out
}

// Named is a person with a name.
type Named struct {
	Person id.Person
	Name   string
}

// Here returns who is on the yard, the last seen first.
func (d *Desk) Here(ctx context.Context, actor access.Actor) (out Here, err error) {
	if _, err := access.Require(actor, access.SeeArrivals); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = here(v)
		return err
	})
	return out, err
}

func here(v *store.View) (out Here, err error) {
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	out.Now = v.Now()
	w := watch{view: v, person: map[id.Trainee]id.Person{}, visitor: map[string]id.Commitment{}, other: map[string]session.OtherPart{}}
	for _, look := range []func(civil.Instant) error{w.stays, w.arrivals, w.rolls} {
		if err := look(v.Zone().StartOfDay(v.Today())); err != nil {
			return out, err
		}
	}
	list := arrival.Here(w.seen)
	var persons []id.Person
	var said []id.Commitment
	for _, s := range list {
		persons, said = append(persons, id.Person(s.Who)), append(said, w.visitor[s.Who])
	}
	for _, s := range out.Ref.Staff.All(v.Today()) {
		out.Staff = append(out.Staff, Named{Person: s.ID, Name: out.Ref.StaffName(s.ID)})
	}
	slices.SortFunc(out.Staff, func(a, b Named) int { return strings.Compare(store.Fold(a.Name), store.Fold(b.Name)) })
	names, err := v.PersonNames(persons...)
	if err != nil {
		return out, err
	}
	texts, err := v.Texts(said...)
	if err != nil {
		return out, err
	}
	kit, err := answeredFor(v, out.Ref)
	if err != nil {
		return out, err
	}
	out.Out = outOf(kit)
	for _, s := range list {
		b := Body{Sighting: s, Name: names[id.Person(s.Who)], Part: "trainee", Kit: out.HeldBy(id.Person(s.Who))}
		if c, visits := w.visitor[s.Who]; visits {
			b.Name, b.Part = texts[c], "visitor"
		} else if _, works := out.Ref.Staff.On(id.Person(s.Who), v.Today()); works {
			b.Part, b.Staff = "staff", true
		} else if as := w.other[s.Who]; as != "" {
			b.Part = string(as)
		}
		out.Bodies = append(out.Bodies, b)
	}
	return out, nil
}

// watch gathers who was seen.
type watch struct {
	view    *store.View
	seen    []arrival.Sighting
	person  map[id.Trainee]id.Person
	visitor map[string]id.Commitment
	other   map[string]session.OtherPart // who is among the others of a session
}

func (w *watch) stays(since civil.Instant) error {
	list, err := w.view.Stays(since)
	for _, s := range list {
		who := string(s.Person)
		if who == "" {
			who = string(s.ID)
			w.visitor[who] = s.Name
		}
		if s.Out != 0 {
			w.seen = append(w.seen, arrival.Sighting{Who: who, How: arrival.SignedOut, At: s.Out, Stay: s.ID})
			continue
		}
		w.seen = append(w.seen, arrival.Sighting{Who: who, How: arrival.SignedIn, At: s.In, Stay: s.ID})
	}
	return err
}

func (w *watch) arrivals(since civil.Instant) error {
	list, err := w.view.CameBetween(since, w.view.Now()+1)
	if err != nil {
		return err
	}
	of := make([]id.Trainee, len(list))
	for i, a := range list {
		of[i] = a.Trainee
	}
	if err := w.know(of); err != nil {
		return err
	}
	for _, a := range list {
		w.seen = append(w.seen, arrival.Sighting{Who: string(w.person[a.Trainee]), How: arrival.Arrived, At: a.At})
	}
	return nil
}

// rolls are the presences of today's sessions.
func (w *watch) rolls(since civil.Instant) error {
	sessions, err := w.view.SessionsBetween(since, w.view.Now()+1)
	if err != nil {
		return err
	}
	var of []id.Session
	var trainees []id.Trainee
	for _, s := range sessions {
		of, trainees = append(of, s.ID), append(trainees, s.Trainees...)
		for _, x := range s.TheOthers() {
			w.other[string(x.Person)] = x.As
		}
	}
	if err := w.know(trainees); err != nil {
		return err
	}
	rolls, err := w.view.Attendance(of...)
	for _, roll := range rolls {
		for _, p := range roll.Presences {
			who := p.Who
			if p.Part == session.AsTrainee {
				who = string(w.person[id.Trainee(p.Who)])
			}
			switch {
			case p.Mark == session.DidNotCome || who == "":
			case p.Open():
				w.seen = append(w.seen, arrival.Sighting{Who: who, How: arrival.InSession, At: p.Start, Where: roll.Session})
			case p.End <= w.view.Now():
				w.seen = append(w.seen, arrival.Sighting{Who: who, How: arrival.LeftOne, At: p.End, Where: roll.Session})
			}
		}
	}
	return err
}

// know finds the persons behind trainees.
func (w *watch) know(of []id.Trainee) error {
	list, err := w.view.Trainees(of...)
	for _, t := range list {
		w.person[t.ID] = t.Person
	}
	return err
}

// SignIn notes that somebody came onto the yard: one of the staff, or a visitor by
// name.
func (d *Desk) SignIn(ctx context.Context, actor access.Actor, staff id.Person, visitor, key string) error {
	visitor = strings.TrimSpace(visitor)
	return d.comesOrGoes(ctx, actor, []any{"in", string(staff), visitor}, key, func(tx *store.Tx, h Here) error {
		s := arrival.Stay{ID: id.Stay(tx.ID()), Person: staff, In: tx.Now()}
		if staff != "" {
			if visitor != "" {
				return fault.Field("visitor", "Sign in one at a time: a visitor, or one of the staff.")
			}
			if _, works := h.Ref.Staff.On(staff, tx.Today()); !works {
				return fault.Field("staff", "They do not work here today. Sign them in as a visitor.")
			}
			if slices.ContainsFunc(h.Bodies, func(b Body) bool { return b.Who == string(staff) && b.How == arrival.SignedIn }) {
				return fault.Field("staff", "They are signed in already.")
			}
		} else if visitor != "" {
			s.Name = tx.Seal("stay/"+string(s.ID), "visitor", visitor)
		} else {
			return fault.Field("visitor", "Give the visitor’s name, or choose one of the staff.")
		}
		if err := s.Check(); err != nil {
			return err
		}
		_, err := tx.Put("signed-in", 0, s)
		return err
	})
}

// SignOut notes that somebody on the list left the yard. Who holds kit is signed out
// by TakeBack.
func (d *Desk) SignOut(ctx context.Context, actor access.Actor, who, key string) error {
	return d.comesOrGoes(ctx, actor, []any{"out", who}, key, func(tx *store.Tx, h Here) error {
		if held := h.HeldBy(id.Person(who)); len(held) > 0 {
			return fault.New(fault.Conflict, "%s is out with %s. Say what became of it, then they leave: open their name on the list of who is here.", held[0].Word(), held[0].Name)
		}
		return signOut(tx, h, who)
	})
}

// signOut writes that somebody on the list left.
func signOut(tx *store.Tx, h Here, who string) error {
	i := slices.IndexFunc(h.Bodies, func(b Body) bool { return b.Who == who })
	if i < 0 {
		return fault.New(fault.Conflict, "They are not on the list of who is here.")
	}
	b := h.Bodies[i]
	if b.How == arrival.InSession {
		return fault.New(fault.Conflict, "%s is in a session by its roll. Call the roll there first.", b.Name)
	}
	s := arrival.Stay{ID: b.Stay, Person: id.Person(who), In: b.At, Out: tx.Now()}
	if b.Stay != "" {
		row, err := tx.View().Stay(b.Stay)
		if err != nil {
			return err
		}
		s = row.Value
		s.Out = tx.Now()
	} else {
		s.ID = id.Stay(tx.ID())
	}
	_, err := tx.Put("signed-out", 0, s)
	return err
}

func (d *Desk) comesOrGoes(ctx context.Context, actor access.Actor, content []any, key string, do func(*store.Tx, Here) error) error {
	role, err := access.Require(actor, access.RecordArrival)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: content, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		h, err := here(tx.View())
		if err != nil {
			return "", err
		}
		return "", do(tx, h)
	})
	return err
}
