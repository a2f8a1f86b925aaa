package drafting

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Concerned is a person whose sessions a draft changes.
type Concerned struct {
	Person        id.Person
	Name          string
	Staff         bool   // a member of staff; else a trainee
	Before, After []Part // in sessions that change, by start
	Told          *Told  // nil = not yet
}

// Part is what one person does in a session.
type Part struct {
	Session plan.Session
	As      session.Part
}

// Told says when somebody was told, and by whom.
type Told struct {
	At civil.Instant
	By string // name
}

// concerned lists the people in sessions that change, trainees first, by name.
// Whose part in a session is the same before and after is concerned by it only if
// its time or place is not.
func (p *proposal) concerned(v *store.View) ([]Concerned, error) {
	people := map[id.Person]*Concerned{}
	for _, c := range p.changes {
		if c.Was != nil {
			p.eachPart(*c.Was, c, c.Session, people, func(to *Concerned, part Part) { to.Before = append(to.Before, part) })
		}
		if c.Kind == Gone {
			continue
		}
		var was plan.Session
		if c.Was != nil {
			was = *c.Was
		}
		p.eachPart(c.Session, c, was, people, func(to *Concerned, part Part) { to.After = append(to.After, part) })
	}
	told, err := v.Told(p.row.ID)
	if err != nil {
		return nil, err
	}
	var by []id.Person
	for _, t := range told {
		by = append(by, t.By)
	}
	names, err := v.PersonNames(by...)
	if err != nil {
		return nil, err
	}
	for _, t := range told {
		if c := people[t.Person]; c != nil {
			c.Told = &Told{t.At, names[t.By]}
		}
	}
	var out []Concerned
	for _, c := range people {
		out = append(out, *c)
	}
	staff := func(c Concerned) int {
		if c.Staff {
			return 1
		}
		return 0
	}
	slices.SortFunc(out, func(a, b Concerned) int {
		return cmp.Or(staff(a)-staff(b), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Person, b.Person))
	})
	return out, nil
}

// eachPart tells the parts in a session that a change alters, and whose each is.
// other is the session on the other side of the change.
func (p *proposal) eachPart(s plan.Session, c Change, other plan.Session, people map[id.Person]*Concerned, tell func(*Concerned, Part)) {
	each := func(list, others []string, as session.Part) {
		for _, who := range list {
			if c.Kind == PeopleChanged && slices.Contains(others, who) {
				continue // in the same part at the same time and place
			}
			person, name := id.Person(who), p.slice.Name(verdict.Ref{Kind: verdict.Person, ID: who})
			if as == session.AsTrainee {
				tr, _ := p.slice.Trainee(id.Trainee(who))
				person, name = tr.Person, p.slice.Name(verdict.Ref{Kind: verdict.Trainee, ID: who})
			}
			if people[person] == nil {
				people[person] = &Concerned{Person: person, Name: name, Staff: as != session.AsTrainee}
			}
			tell(people[person], Part{s, as})
		}
	}
	each(s.Trainees, other.Trainees, session.AsTrainee)
	each(s.Instructors, other.Instructors, session.AsInstructor)
	each(s.Rescuers, other.Rescuers, session.AsRescuer)
}

// Told notes that a person was told of what an accepted draft changes for them.
// Errors: fault.NotFound for a person whom it does not concern, fault.Conflict
// for a draft that is not accepted.
func (d *Desk) Told(ctx context.Context, actor access.Actor, of id.Draft, person id.Person) error {
	if _, err := access.Require(actor, access.TellPeople); err != nil {
		return err
	}
	err := d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Draft(of)
		if err != nil {
			return err
		}
		if row.State != string(Accepted) {
			return fault.New(fault.Conflict, "This draft is not accepted: there is nothing yet to tell.")
		}
		p, err := d.proposal(v, row)
		if err != nil {
			return err
		}
		list, err := p.concerned(v)
		if err == nil && !slices.ContainsFunc(list, func(c Concerned) bool { return c.Person == person }) {
			err = fault.New(fault.NotFound, "This draft changes nothing for that person.")
		}
		return err
	})
	if err != nil {
		return err
	}
	return d.store.Tell(ctx, of, store.Told{Person: person, At: d.now(), By: actor.Person})
}
