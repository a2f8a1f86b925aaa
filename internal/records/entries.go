package records

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/ledger"
	"rungbook/internal/store"
)

// Entry is one fact of the ledger with its place in it.
type Entry struct {
	Index int64
	ledger.Entry
}

// Entries returns up to limit entries of the ledger from an index on, in their
// order, and the number of all. Error: fault.Invalid for a negative index.
func (d *Desk) Entries(ctx context.Context, actor access.Actor, from int64, limit int) (out []Entry, all int64, err error) {
	if _, err := access.Require(actor, access.SeeEntries); err != nil {
		return nil, 0, err
	}
	if from < 0 {
		return nil, 0, fault.Field("from", "Entries are numbered from 0.")
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		all = v.Entries()
		for i := from; i < min(all, from+int64(limit)); i++ {
			e, err := v.Entry(i)
			if err != nil {
				return err
			}
			out = append(out, Entry{i, e})
		}
		return nil
	})
	return out, all, err
}
