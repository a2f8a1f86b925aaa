// Package circuits is the journey of a circuit's isolation: who may be in charge,
// permit, locks, the test, and back to live. What each move asks is a rule of rig;
// what an isolation stops is asked at the start of a session, in running. It knows
// no page. Read desk.go first, then moves.go.
package circuits

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Desk is where isolations are recorded.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// Row is a circuit as it stands now.
type Row struct {
	Circuit    rig.Circuit
	Isolation  rig.Isolation // unknown where nothing is recorded
	Rev        int64         // of the isolation, 0 for none
	Needs      []Need        // of today, by start
	Authorised []rig.Authority
	Appointed  []id.Person // responsible for energy today: authorised for every circuit
}

// Need is a session of today that needs the circuit live or dead.
type Need struct {
	Session session.Session
	State   string // "live" or "dead"
}

// UnderWay returns the need in a state of a session that runs now.
func (r Row) UnderWay(state string) (Need, bool) {
	i := slices.IndexFunc(r.Needs, func(n Need) bool { return n.Session.State == session.UnderWay && n.State == state })
	if i < 0 {
		return Need{}, false
	}
	return r.Needs[i], true
}

// May reports whether a person may be in charge of the circuit on a day.
func (r Row) May(p id.Person, d civil.Day) bool {
	return rig.Authorised(r.Circuit.ID, p, d, slices.Contains(r.Appointed, p), r.Authorised)
}

// List is every circuit in use.
type List struct {
	Rows  []Row
	Ref   *store.Reference
	Names map[id.Person]string
	Texts map[id.Commitment]string
	Today civil.Day
}

// List returns the circuits with their states.
func (d *Desk) List(ctx context.Context, actor access.Actor) (out List, err error) {
	if _, err := access.Require(actor, access.SeeCircuits); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Today = v.Today()
		for _, c := range out.Ref.Circuits.All(out.Today) {
			if c.Retired != 0 && c.Retired <= out.Today {
				continue
			}
			row, err := look(v, out.Ref, c.ID)
			if err != nil {
				return err
			}
			out.Rows = append(out.Rows, row)
		}
		var who []id.Person
		var said []id.Commitment
		for _, r := range out.Rows {
			who, said = append(who, r.people()...), append(said, r.Isolation.Permit)
		}
		if out.Names, err = v.PersonNames(who...); err != nil {
			return err
		}
		out.Texts, err = v.Texts(said...)
		return err
	})
	return out, err
}

// people are all that a row names.
func (r Row) people() []id.Person {
	out := append([]id.Person{r.Isolation.InCharge}, r.Appointed...)
	for _, l := range r.Isolation.Locks {
		out = append(out, l.Person, l.OffBy)
	}
	if t := r.Isolation.Test; t != nil {
		out = append(out, t.By)
	}
	for _, a := range r.Authorised {
		out = append(out, a.Person, a.By)
	}
	return slices.DeleteFunc(out, func(p id.Person) bool { return p == "" })
}

// Page is one circuit with its history and whose locks may go on.
type Page struct {
	Row
	Ref     *store.Reference
	History []store.Revision[rig.Isolation]
	Lockers []id.Person // the staff, and the trainees of today's sessions that need it
	Names   map[id.Person]string
	Texts   map[id.Commitment]string
	Today   civil.Day
	Head    int64
}

// One returns a circuit. Error: fault.NotFound.
func (d *Desk) One(ctx context.Context, actor access.Actor, of id.Circuit) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeCircuits); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = read(v, of)
		return err
	})
	return out, err
}

func read(v *store.View, of id.Circuit) (out Page, err error) {
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	if out.Row, err = look(v, out.Ref, of); err != nil {
		return out, err
	}
	out.Today, out.Head = v.Today(), v.Head()
	if out.History, err = v.IsolationHistory(of); err != nil {
		return out, err
	}
	if out.Lockers, err = lockers(v, out); err != nil {
		return out, err
	}
	who := append(out.people(), out.Lockers...)
	said := []id.Commitment{out.Isolation.Permit}
	if t := out.Isolation.Test; t != nil {
		said = append(said, t.Instrument)
	}
	for _, h := range out.History {
		who, said = append(who, h.Actor), append(said, h.Value.Permit)
		for _, l := range h.Value.Locks {
			who = append(who, l.Person)
		}
	}
	if out.Names, err = v.PersonNames(who...); err != nil {
		return out, err
	}
	out.Texts, err = v.Texts(said...)
	return out, err
}

// look reads one circuit as it stands now.
func look(v *store.View, ref *store.Reference, of id.Circuit) (out Row, err error) {
	today := v.Today()
	var ok bool
	if out.Circuit, ok = ref.Circuits.On(of, today); !ok {
		return out, fault.New(fault.NotFound, "There is no circuit %s.", of)
	}
	is, err := v.Isolation(of)
	if err != nil {
		return out, err
	}
	out.Isolation, out.Rev = is.Value, is.Rev
	if out.Authorised, err = v.Authorities(of); err != nil {
		return out, err
	}
	slices.SortFunc(out.Authorised, func(a, b rig.Authority) int { return cmp.Or(cmp.Compare(b.Until, a.Until), cmp.Compare(a.ID, b.ID)) })
	for _, a := range people.AppointedOn(ref.Appointments.All(civil.LastDay), verdict.Energy, today) {
		out.Appointed = append(out.Appointed, a.Person)
	}
	z := v.Zone()
	list, err := v.SessionsBetween(z.At(today, 0), z.At(today+1, 0))
	if err != nil {
		return out, err
	}
	for _, s := range list {
		if !s.State.Holds() && s.State != session.UnderWay {
			continue
		}
		e, _ := ref.Exercises.On(s.Exercise, today)
		for _, n := range e.Energy {
			if n.Circuit == of {
				out.Needs = append(out.Needs, Need{s, n.State})
			}
		}
	}
	slices.SortFunc(out.Needs, func(a, b Need) int {
		return cmp.Or(cmp.Compare(a.Session.Start, b.Session.Start), cmp.Compare(a.Session.ID, b.Session.ID))
	})
	return out, nil
}

// lockers are those who may put a lock of their own on the circuit.
func lockers(v *store.View, p Page) ([]id.Person, error) {
	var out []id.Person
	for _, s := range p.Ref.Staff.All(p.Today) {
		out = append(out, s.ID)
	}
	var of []id.Trainee
	for _, n := range p.Needs {
		of = append(of, n.Session.Trainees...)
	}
	trainees, err := v.Trainees(of...)
	if err != nil {
		return nil, err
	}
	for _, t := range trainees {
		if !slices.Contains(out, t.Person) {
			out = append(out, t.Person)
		}
	}
	return out, nil
}
