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

// concerned lists the people whose sessions change (see plan.MovesBetween), trainees
// first, by name.
func (p *proposal) concerned(v *store.View) ([]Concerned, error) {
	people := map[id.Person]*Concerned{}
	var was, is []plan.Session
	for _, c := range p.changes {
		if c.Was != nil {
			was = append(was, *c.Was)
		}
		if c.Kind != Gone {
			is = append(is, c.Session)
		}
	}
	for _, m := range plan.MovesBetween(was, is) {
		to := p.who(m.Person, people)
		to.Before = append(to.Before, partsOf(m.Person, m.Before)...)
		to.After = append(to.After, partsOf(m.Person, m.After)...)
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
	byStart := func(a, b Part) int { return cmp.Compare(a.Session.Start, b.Session.Start) }
	for _, c := range people {
		slices.SortStableFunc(c.Before, byStart)
		slices.SortStableFunc(c.After, byStart)
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

// who finds the person behind an id of the problem, and begins their list. A
// person who trains and works is one.
func (p *proposal) who(of string, people map[id.Person]*Concerned) *Concerned {
	to := Concerned{Person: id.Person(of), Staff: true}
	ref := verdict.Ref{Kind: verdict.Person, ID: of}
	if tr, ok := p.slice.Trainee(id.Trainee(of)); ok {
		to.Person, to.Staff, ref.Kind = tr.Person, false, verdict.Trainee
	}
	if people[to.Person] == nil {
		to.Name = p.slice.Name(ref)
		people[to.Person] = &to
	}
	return people[to.Person]
}

func partsOf(who string, list []plan.Session) (out []Part) {
	for _, s := range list {
		as := session.AsRescuer
		switch {
		case slices.Contains(s.Trainees, who):
			as = session.AsTrainee
		case slices.Contains(s.Instructors, who):
			as = session.AsInstructor
		}
		out = append(out, Part{s, as})
	}
	return out
}

// Told notes that people were told of what an accepted draft changes for them: all
// of them, or nobody. Errors: fault.NotFound for a person whom it does not concern,
// fault.Conflict for a draft that is not accepted.
func (d *Desk) Told(ctx context.Context, actor access.Actor, of id.Draft, people ...id.Person) error {
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
		if err != nil {
			return err
		}
		for _, person := range people {
			if !slices.ContainsFunc(list, func(c Concerned) bool { return c.Person == person }) {
				return fault.New(fault.NotFound, "This draft changes nothing for one of the people ticked. Nobody was noted; tick again.")
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	told := make([]store.Told, len(people))
	for i, person := range people {
		told[i] = store.Told{Person: person, At: d.now(), By: actor.Person}
	}
	return d.store.Tell(ctx, of, told)
}
