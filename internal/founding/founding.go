// Package founding is the journey of those who set a yard up and change what it
// is made of: its hours, rule book, rigs, stations and means, what is taught, who
// works and trains here, and when they can't. Each form is one command and one or
// more entries; nothing that a record rests on is ever deleted.
//
// It knows how a form becomes records. What is right about one record by itself
// the domain's Check methods say; whether a session may be booked, planning and
// the judge say: startlist.go asks them what is still missing.
//
// Read founding.go first, then station.go as the model of one kind.
package founding

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/store"
)

// Founder sets a yard up.
type Founder struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a founder over a store.
func New(s *store.Store) *Founder { return &Founder{s, &planning.Builder{}} }

// Of says which record a form is about.
type Of struct {
	ID   string    // "" = a new one
	Rev  int64     // the revision that the form showed; 0 for a new one
	From civil.Day // the day from which what is typed counts; 0 = today
}

// desk is one form being written: the transaction, what stands, and the record.
type desk struct {
	*store.Tx
	ref  *store.Reference
	of   Of
	kind string
	id   string // of.ID, or the one that a new record is given
}

// write runs one form under an action of the access table and returns the id of
// the record it is about. A record that has moved on since the form was shown is
// fault.Conflict.
func (f *Founder) write(ctx context.Context, actor access.Actor, action access.Action, key, kind string, of Of, content any, do func(*desk) error) (string, error) {
	role, err := access.Require(actor, action)
	if err != nil {
		return "", err
	}
	cmd := store.Command{Key: key, Content: []any{action, kind, of, content}, Actor: actor, Role: role}
	out, err := f.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		d := &desk{Tx: tx, ref: ref, of: of, kind: kind, id: of.ID}
		if of.From != 0 && of.From < tx.Today() {
			return "", fault.Field("from", "It would count from %s, which is past; what was recorded stays as it was. Give today or a later day.", of.From)
		}
		if d.id == "" {
			d.id = tx.ID()
		} else if err := tx.Expect(kind, d.id, of.Rev); err != nil {
			return "", err
		}
		return store.Outcome(d.id), do(d)
	})
	return string(out), err
}

// fresh reports whether the form makes a new record.
func (d *desk) fresh() bool { return d.of.ID == "" }

// act is what the form does to its record.
func (d *desk) act() string {
	if d.fresh() {
		return "recorded"
	}
	return "changed"
}

// put writes the record of the form.
func (d *desk) put(record any) error {
	_, err := d.Put(d.act(), d.of.From, record)
	return err
}

// text returns what stands for a typed text in the form's record: was, where the
// text is the same, else a new commitment.
func (d *desk) text(field, typed string, was id.Commitment) id.Commitment {
	typed = strings.TrimSpace(typed)
	if typed != "" && was != "" && d.ref.Text(was) == typed {
		return was
	}
	return d.Seal(d.kind+"/"+d.id, field, typed)
}

// gone is the answer to a form about a record that does not stand.
func gone(what string) error { return fault.New(fault.NotFound, "There is no such %s.", what) }

// taken refuses a name that another record of its kind has: two things called
// alike are mistaken for each other at the rig.
func taken[T any](ref *store.Reference, all []T, name string, of func(T) (id string, name id.Commitment), own string) error {
	for _, x := range all {
		other, text := of(x)
		if other != own && sameName(ref.Text(text), name) {
			return fault.Field("name", "%q is there already. Give a name that tells the two apart.", strings.TrimSpace(name))
		}
	}
	return nil
}

func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
