package completing

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Giving is what a form says of the certificate that is to be given.
type Giving struct {
	Trainee id.Trainee
	Called  string         // what exercises call it; "" where none requires it
	Until   civil.Day      // last valid day as printed; 0 = as the rule book counts it
	Renews  id.Certificate // "" for one that counts from its own completion day
	// Decided: somebody said whether it renews one that the person holds.
	Decided bool
}

// Give gives the certificate that a completed programme leads to, and returns it.
// It is judged again inside the write: fault.Conflict where it was given meanwhile
// or something holds it, and nothing is written. The certificate is one entry; one
// that it renews is replaced by another.
func (d *Desk) Give(ctx context.Context, actor access.Actor, g Giving, key string) (id.Certificate, error) {
	role, err := access.Require(actor, access.RecordCertificate)
	if err != nil {
		return "", err
	}
	out, err := d.store.Write(ctx, store.Command{Key: key, Content: []any{access.RecordCertificate, "give", g}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			c, old, err := ready(tx, g)
			if err != nil {
				return "", err
			}
			if _, err := tx.Put("given", 0, c); err != nil {
				return "", err
			}
			if old != nil {
				old.State = credential.Replaced
				_, err = tx.Put("replaced", 0, *old)
			}
			return store.Outcome(c.ID), err
		})
	return id.Certificate(out), err
}

// ready returns the certificate as it would be given now, and the one that it
// replaces.
func ready(tx *store.Tx, g Giving) (c credential.Certificate, old *credential.Certificate, err error) {
	f, p, err := proposed(tx.View(), g.Trainee)
	switch {
	case fault.Of(err) == fault.NotFound && f.trainee.ID != "":
		return c, nil, fault.New(fault.Conflict, "%s", err.Error())
	case err != nil:
		return c, nil, err
	case len(p.Holds) > 0:
		return c, nil, fault.New(fault.Conflict, "The certificate is held: something that it rests on is missing. Open the proposal; each missing thing leads to where it is mended.")
	case f.trainee.Person == tx.Actor().Person:
		return c, nil, fault.New(fault.Conflict, "Nobody gives a certificate to themselves. Another administrator may.")
	}
	dates, old, err := dated(tx, f, p, g)
	if err != nil {
		return c, nil, err
	}
	number, err := tx.View().LastCertificateNumber()
	if err != nil {
		return c, nil, err
	}
	return dates.Put(credential.Certificate{ID: id.Certificate(tx.ID()), Number: number + 1, Person: f.trainee.Person, Kind: credential.ForProgramme,
		Programme: p.Programme.ID, Holds: g.Called, State: credential.Valid, Intake: f.trainee.Intake, Trainee: f.trainee.ID}), old, nil
}

// dated returns the dates that credential works out, by the rule book in force on
// the completion day.
func dated(tx *store.Tx, f file, p Proposal, g Giving) (credential.Dates, *credential.Certificate, error) {
	ref, err := tx.View().Reference()
	if err != nil {
		return credential.Dates{}, nil, err
	}
	all, last, err := called(tx.View(), ref, p)
	if err != nil {
		return credential.Dates{}, nil, err
	}
	if g.Called != "" && !slices.Contains(all, g.Called) {
		return credential.Dates{}, nil, fault.Field("called", "No exercise calls a paper so. Choose from the list.")
	}
	books, may := ref.RuleBooks.All(civil.LastDay), renewable(f, last)
	if g.Renews == "" {
		if len(may) > 0 && !g.Decided {
			return credential.Dates{}, nil, fault.Field("renews", "Say whether it renews a certificate that they hold.")
		}
		dates, err := credential.Issue(books, p.Programme.Validity, p.Completed, g.Until)
		return dates, nil, err
	}
	i := slices.IndexFunc(may, func(c credential.Certificate) bool { return c.ID == g.Renews })
	if i < 0 {
		return credential.Dates{}, nil, fault.Field("renews", "That certificate does not stand any more, or is called otherwise.")
	}
	if g.Called != may[i].Holds {
		return credential.Dates{}, nil, fault.Field("called", "It renews a certificate that exercises call %q. Choose the same.", may[i].Holds)
	}
	renewal, err := credential.Renew(books, may[i], p.Completed, g.Until)
	if err == nil && renewal.Counts == credential.NotCounted {
		err = fault.Field("renews", "A refresher completed on %s renews it no more; the rule book asks for another step, “%s”.", p.Completed, renewal.Need)
	}
	return renewal.Dates, &may[i], err
}
