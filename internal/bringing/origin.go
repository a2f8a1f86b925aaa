package bringing

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Record names a record by its kind and id.
type Record struct{ Kind, ID string }

// Origin says where a record came from that was not recorded here first-hand.
type Origin struct {
	Batch id.Batch
	Row   int
	File  string // its name, "" once erased
	Hash  string
	By    string // who vouched
}

// Origins returns where records about a person came from; those that were
// recorded here are missing. Whoever may see the person may ask.
func (d *Desk) Origins(ctx context.Context, actor access.Actor, of id.Person, records []Record) (map[Record]Origin, error) {
	if _, err := access.RequirePerson(actor, of); err != nil {
		return nil, err
	}
	return d.origins(ctx, records)
}

// SessionOrigin is Origins for a session.
func (d *Desk) SessionOrigin(ctx context.Context, actor access.Actor, of id.Session) (Origin, bool, error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Origin{}, false, err
	}
	r := Record{"session", string(of)}
	all, err := d.origins(ctx, []Record{r})
	o, ok := all[r]
	return o, ok, err
}

func (d *Desk) origins(ctx context.Context, records []Record) (map[Record]Origin, error) {
	out := map[Record]Origin{}
	err := d.store.Read(ctx, func(v *store.View) error {
		batches := map[id.Batch]Origin{}
		for _, r := range records {
			from, row, _, ok, err := v.BroughtIn(r.Kind, r.ID)
			if err != nil {
				return err
			}
			if !ok {
				continue
			}
			o, known := batches[from]
			if !known {
				if o, err = originOf(v, from); err != nil {
					return err
				}
				batches[from] = o
			}
			o.Row = row
			out[r] = o
		}
		return nil
	})
	return out, err
}

// originOf reads a batch. One that is not known still says that a record is not
// first-hand.
func originOf(v *store.View, of id.Batch) (Origin, error) {
	row, err := v.Batch(of)
	if fault.Of(err) == fault.NotFound {
		return Origin{Batch: of}, nil
	}
	if err != nil {
		return Origin{}, err
	}
	b, err := shown(v, row.Value)
	return Origin{Batch: of, File: b.Name, Hash: b.File, By: b.By}, err
}
