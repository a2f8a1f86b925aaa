package complaints

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Offers are what somebody may file about from their own record.
type Offers struct {
	Matters []Offer
	People  []id.Person // of the staff whom they met in their sessions, for one of the staff all; sorted by name
	Names   map[id.Person]string
	Ref     *store.Reference
	Zone    civil.Zone
}

// Offer is one thing that a complaint or an appeal may be against.
type Offer struct {
	Matter      complaint.Matter
	Session     session.Session        // of a session, and of what was found in it
	Certificate credential.Certificate // of one
	Programme   id.Programme           // of a certificate not given
}

// recent is for how many days back one of the staff is offered their sessions.
const recent = 60

// Offers returns what the actor may file about.
func (d *Desk) Offers(ctx context.Context, actor access.Actor) (out Offers, err error) {
	if _, err := access.Require(actor, access.FileComplaint); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = offers(v, actor)
		return err
	})
	return out, err
}

func offers(v *store.View, actor access.Actor) (out Offers, err error) {
	out.Zone = v.Zone()
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	if actor.Person == "" {
		return out, nil
	}
	enrolled, err := v.TraineesOfPersons(actor.Person)
	if err != nil {
		return out, err
	}
	var trainees []id.Trainee
	for _, t := range enrolled {
		trainees = append(trainees, t.ID)
	}
	since := civil.Instant(0)
	if _, staff := out.Ref.Staff.On(actor.Person, v.Today()); staff {
		since = v.Zone().StartOfDay(v.Today() - recent)
		for _, s := range out.Ref.Staff.All(v.Today()) {
			out.People = append(out.People, s.ID)
		}
	}
	if err := out.addSessions(v, actor, trainees, since); err != nil {
		return out, err
	}
	certificates, err := v.CertificatesOf(actor.Person)
	if err != nil {
		return out, err
	}
	given := map[id.Trainee]bool{}
	for _, c := range certificates {
		given[c.Trainee] = given[c.Trainee] || c.State != credential.Void
		if c.Kind == credential.ForProgramme && c.State != credential.Replaced {
			out.Matters = append(out.Matters, Offer{Matter: complaint.Matter{Certificate: c.ID}, Certificate: c})
		}
	}
	for _, t := range enrolled {
		if in, ok := out.Ref.Intakes.On(t.Intake, v.Today()); ok && !given[t.ID] && in.From <= v.Today() {
			out.Matters = append(out.Matters, Offer{Matter: complaint.Matter{Trainee: t.ID}, Programme: in.Programme})
		}
	}
	return out, out.name(v, actor)
}

// addSessions offers the sessions that have begun, the latest first, and the staff met
// in them.
func (o *Offers) addSessions(v *store.View, actor access.Actor, trainees []id.Trainee, since civil.Instant) error {
	all, err := v.SessionsOf([]id.Person{actor.Person}, trainees, since, v.Now()+1)
	if err != nil {
		return err
	}
	slices.SortStableFunc(all, func(a, b session.Session) int { return cmp.Compare(b.Start, a.Start) })
	for _, s := range all {
		m := complaint.Matter{Session: s.ID}
		for _, t := range s.Trainees {
			if slices.Contains(trainees, t) {
				m.Trainee = t
			}
		}
		o.Matters = append(o.Matters, Offer{Matter: m, Session: s})
		o.People = append(append(o.People, s.Instructors...), s.Rescuers...)
	}
	return nil
}

func (o *Offers) name(v *store.View, actor access.Actor) (err error) {
	slices.Sort(o.People)
	o.People = slices.DeleteFunc(slices.Compact(o.People), func(p id.Person) bool { return p == actor.Person })
	if o.Names, err = v.PersonNames(o.People...); err != nil {
		return err
	}
	slices.SortStableFunc(o.People, func(a, b id.Person) int { return cmp.Compare(o.Names[a], o.Names[b]) })
	return nil
}

// holds refuses what was not offered: nobody files about the record of another.
func (o Offers) holds(f Filing) error {
	if !f.Against.Told() && !slices.ContainsFunc(o.Matters, func(x Offer) bool { return x.Matter == f.Against }) {
		return fault.Field("against", "This is not on your own record. Choose what it is against, or tell it in the text.")
	}
	for _, p := range f.About {
		if !slices.Contains(o.People, p) {
			return fault.Field("about", "Choose people whom you met here, or name others in the text.")
		}
	}
	return nil
}

// Own is one of what somebody filed, as they see it.
type Own struct {
	Row
	Offer
	Texts map[id.Commitment]string
}

// Owned is what somebody filed, the latest first.
type Owned struct {
	List []Own
	Ref  *store.Reference
	Zone civil.Zone
}

// Own returns what the actor filed, with what they were answered. Who answered and who
// decided is not told: the centre did.
func (d *Desk) Own(ctx context.Context, actor access.Actor) (out Owned, err error) {
	if _, err := access.Require(actor, access.FileComplaint); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Zone = v.Zone()
		all, err := v.ComplaintsOf(actor.Person)
		if err != nil || actor.Person == "" {
			return err
		}
		for _, c := range all {
			own := Own{Row: rowOf(out.Ref, v, c)}
			if own.Offer, err = offerOf(v, out.Ref, c.Against); err != nil {
				return err
			}
			if own.Texts, err = v.Texts(c.Texts()...); err != nil {
				return err
			}
			out.List = append(out.List, own)
		}
		return nil
	})
	return out, err
}

// offerOf looks up what a matter names.
func offerOf(v *store.View, ref *store.Reference, m complaint.Matter) (out Offer, err error) {
	out.Matter = m
	switch {
	case m.Certificate != "":
		c, err := v.Certificate(m.Certificate)
		out.Certificate = c.Value
		return out, err
	case m.Session != "":
		s, err := v.Session(m.Session)
		out.Session = s.Value
		return out, err
	case m.Trainee != "":
		t, err := v.Trainee(m.Trainee)
		in, _ := ref.Intakes.On(t.Value.Intake, v.Today())
		out.Programme = in.Programme
		return out, err
	}
	return out, nil
}
