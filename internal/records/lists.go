package records

import (
	"context"
	"iter"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Lists are the yard's lists as they stand at one entry of the ledger. They are read
// a part at a time, so that a long one takes little memory, and end with the call
// that gave them.
type Lists struct {
	view  *store.View
	Entry int64
	Now   civil.Instant
	Today civil.Day
	Zone  civil.Zone
	Ref   *store.Reference
}

// atOnce is how many rows of a list are read in one go.
const atOnce = 1000

// Lists gives the lists at the last entry to fn, for an actor who may do an action
// that shows them.
func (d *Desk) Lists(ctx context.Context, actor access.Actor, action access.Action, fn func(*Lists) error) error {
	if _, err := access.Require(actor, action); err != nil {
		return err
	}
	return d.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		return fn(&Lists{v, v.Head(), v.Now(), v.Today(), v.Zone(), ref})
	})
}

// PersonRecord gives a person's whole record and its entry to fn. A trainee may see
// their own and no other.
func (d *Desk) PersonRecord(ctx context.Context, actor access.Actor, of id.Person, fn func(*Lists, Person) error) error {
	if _, err := access.RequirePerson(actor, of); err != nil {
		return err
	}
	return d.store.Read(ctx, func(v *store.View) error {
		p, err := read(v, of)
		if err != nil {
			return err
		}
		return fn(&Lists{v, v.Head(), v.Now(), v.Today(), v.Zone(), p.Ref}, p)
	})
}

// People lists persons by name.
func (l *Lists) People(f PersonFilter) iter.Seq2[PersonRow, error] {
	f.Limit = atOnce
	return pageByPage(&f.AfterKey, func() ([]PersonRow, string, error) { return l.view.Persons(f) })
}

// Certificates lists certificates by last valid day.
func (l *Lists) Certificates(f CertificateFilter) iter.Seq2[CertificateRow, error] {
	f.Limit = atOnce
	return pageByPage(&f.AfterKey, func() ([]CertificateRow, string, error) { return l.view.Certificates(f) })
}

// pageByPage reads a list to its end.
func pageByPage[T any](after *string, next func() ([]T, string, error)) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for {
			rows, key, err := next()
			for _, r := range rows {
				if !yield(r, nil) {
					return
				}
			}
			if err != nil {
				var none T
				yield(none, err)
				return
			}
			if *after = key; key == "" {
				return
			}
		}
	}
}

// Intakes lists those that end on a day or later, the latest first.
func (l *Lists) Intakes(since civil.Day) ([]IntakeRow, error) { return intakeRows(l.view, since) }

// Intake is one with its trainees. Error: fault.NotFound.
func (l *Lists) Intake(of id.Intake) (Intake, error) { return readIntake(l.view, of) }

// Names returns the names of persons; those that were erased are missing.
func (l *Lists) Names(of ...id.Person) (map[id.Person]string, error) {
	return l.view.PersonNames(of...)
}

// EntryRow is an entry of the ledger with the name of who wrote it, "" if erased or
// before anybody was on record.
type EntryRow struct {
	store.Numbered
	By string
}

// Entries lists the ledger in its order, from an index on.
func (l *Lists) Entries(first int64) iter.Seq2[EntryRow, error] {
	return func(yield func(EntryRow, error) bool) {
		for {
			some, err := l.view.EntriesFrom(first, atOnce)
			var actors []id.Person
			for _, n := range some {
				if n.Actor != "" && !slices.Contains(actors, n.Actor) {
					actors = append(actors, n.Actor)
				}
			}
			var names map[id.Person]string
			if err == nil {
				names, err = l.view.PersonNames(actors...)
			}
			if err != nil {
				yield(EntryRow{}, err)
				return
			}
			for _, n := range some {
				if !yield(EntryRow{n, names[n.Actor]}, nil) {
					return
				}
				first = n.Index + 1
			}
			if len(some) < atOnce {
				return
			}
		}
	}
}

// AccountRow is an account with the name of its person.
type AccountRow struct {
	access.Account
	store.AccountUse
	Name string
}

// Accounts lists them by name, then address.
func (l *Lists) Accounts() (out []AccountRow, err error) {
	uses, err := l.view.AccountUses()
	if err != nil {
		return nil, err
	}
	var persons []id.Person
	for _, a := range l.Ref.Accounts.All(l.Today) {
		out, persons = append(out, AccountRow{Account: a, AccountUse: uses[a.ID]}), append(persons, a.Person)
	}
	names, err := l.view.PersonNames(persons...)
	for i := range out {
		out[i].Name = names[out[i].Person]
	}
	slices.SortStableFunc(out, func(a, b AccountRow) int { return compareText(a.Name, b.Name, a.Email, b.Email) })
	return out, err
}

// BatchRow is what was brought in from one file.
type BatchRow struct {
	batch.Batch
	Name string // of the file
	By   string // who vouched
	At   civil.Instant
}

// Batches lists them, the newest first.
func (l *Lists) Batches() (out []BatchRow, err error) {
	list, err := l.view.Batches("")
	if err != nil {
		return nil, err
	}
	var names []id.Commitment
	var persons []id.Person
	for _, b := range list {
		names, persons = append(names, b.Name), append(persons, b.By)
	}
	said, err := l.view.Texts(names...)
	if err != nil {
		return nil, err
	}
	by, err := l.view.PersonNames(persons...)
	if err != nil {
		return nil, err
	}
	for _, b := range list {
		row, err := l.view.Batch(b.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, BatchRow{b, said[b.Name], by[b.By], row.RecordedAt})
	}
	return out, nil
}

// TakenOver says where a record came from that was not recorded here first-hand.
type TakenOver struct {
	Batch id.Batch
	Row   int
	File  string // its name, "" once erased
}

// TakenOver returns it for a record by kind and id; ok is false for one recorded
// here.
func (l *Lists) TakenOver(kind, of string) (out TakenOver, ok bool, err error) {
	out.Batch, out.Row, _, ok, err = l.view.BroughtIn(kind, of)
	if err != nil || !ok {
		return out, false, err
	}
	row, err := l.view.Batch(out.Batch)
	if err != nil {
		return out, true, nil // not on record any more: still not first-hand
	}
	said, err := l.view.Texts(row.Value.Name)
	out.File = said[row.Value.Name]
	return out, true, err
}
