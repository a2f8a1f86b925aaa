package complaints

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Choices are what somebody may choose who writes down what came.
type Choices struct {
	Matters []Choice    // what was asked for, and what of it each trainee may appeal against
	People  []id.Person // the staff, and the trainees of what it is against; by name
	Names   map[id.Person]string
	Ref     *store.Reference
	staff   []id.Person
}

// Choice is a thing that it may be against, with the trainee's name.
type Choice struct {
	Offer
	Of string
}

// Staffed reports whether a person is on the staff.
func (c Choices) Staffed(p id.Person) bool { return slices.Contains(c.staff, p) }

// Choices returns what may be chosen of a matter that a page led from.
func (d *Desk) Choices(ctx context.Context, actor access.Actor, m complaint.Matter) (out Choices, err error) {
	if _, err := access.Require(actor, access.HandleComplaint); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = choices(v, m)
		return err
	})
	return out, err
}

func choices(v *store.View, m complaint.Matter) (out Choices, err error) {
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	for _, s := range out.Ref.Staff.All(v.Today()) {
		out.staff = append(out.staff, s.ID)
	}
	out.People = slices.Clone(out.staff)
	if !m.Told() {
		offer, err := offerOf(v, out.Ref, m)
		if err != nil {
			return out, err
		}
		if err := out.add(v, offer); err != nil {
			return out, err
		}
	}
	slices.Sort(out.People)
	out.People = slices.Compact(out.People)
	if out.Names, err = v.PersonNames(out.People...); err != nil {
		return out, err
	}
	slices.SortStableFunc(out.People, func(a, b id.Person) int { return cmp.Compare(out.Names[a], out.Names[b]) })
	return out, nil
}

// add offers a matter: of a session also what was found of each of its trainees.
func (c *Choices) add(v *store.View, o Offer) error {
	var trainees []id.Trainee
	switch m := o.Matter; {
	case m.Certificate != "":
		c.People = append(c.People, o.Certificate.Person)
		c.Matters = append(c.Matters, Choice{Offer: o})
		return nil
	case m.Session != "":
		session := o
		session.Matter.Trainee = ""
		c.Matters = append(c.Matters, Choice{Offer: session})
		trainees = o.Session.Trainees
	default:
		trainees = []id.Trainee{m.Trainee}
	}
	rows, err := v.Trainees(trainees...)
	if err != nil {
		return err
	}
	names, err := v.TraineeNames(trainees...)
	for _, t := range rows {
		one := o
		one.Matter.Trainee = t.ID
		c.Matters = append(c.Matters, Choice{Offer: one, Of: names[t.ID]})
		c.People = append(c.People, t.Person)
	}
	return err
}
