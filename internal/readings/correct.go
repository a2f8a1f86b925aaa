package readings

import (
	"context"
	"errors"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/weather"
)

// One is a reading with what it said before, and what the reader may do about it.
type One struct {
	weather.Reading
	Ref      *store.Reference
	Rev      int64
	Unagreed bool  // a storm stands until a second person has agreed to a correction
	Agree    error // why the reader may not; nil where they may
	Notes    map[id.Commitment]string
	Names    map[id.Person]string
}

// One returns one reading. Error: fault.NotFound.
func (d *Desk) One(ctx context.Context, actor access.Actor, of id.Reading) (out One, err error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		row, err := v.Reading(of)
		if err != nil {
			return err
		}
		out.Reading, out.Rev = row.Value, row.Rev
		out.Unagreed = row.Value.Unagreed(rulebook.LeastStormGust)
		if _, out.Agree = access.Require(actor, access.RecordWeather); out.Agree == nil {
			out.Agree = row.Value.MayAgree(actor.Person)
		}
		out.Notes, out.Names, err = saidOf(v, row.Value)
		return err
	})
	return out, err
}

// Correct replaces what a reading says by a new entry that names the one it corrects.
// Errors: fault.Invalid field by field, fault.Conflict.
func (d *Desk) Correct(ctx context.Context, actor access.Actor, of id.Reading, rev int64, why weather.CorrectionReason, to weather.Said, note, key string) error {
	note = strings.TrimSpace(note)
	return d.change(ctx, actor, of, rev, []any{"correct", of, rev, why, to, note}, key, "corrected", func(tx *store.Tx, was weather.Reading) (weather.Reading, error) {
		bad := fault.Fields{}
		if len(note) > longestNotes {
			bad.Add("what", "The note is too long. At most %d letters.", longestNotes)
		}
		c := weather.Correction{By: actor.Person, At: tx.Now(), Why: why}
		r, err := was.Corrected(c, to)
		if err != nil {
			return r, err
		}
		if r.At > tx.Now() {
			bad.Add("at", "It is not that late yet. Give when it was over.")
		}
		var form *fault.Form
		if errors.As(r.Check(), &form) {
			for field, says := range form.Fields {
				bad.Add(field, "%s", says)
			}
		}
		if len(bad) > 0 {
			return r, bad.Err()
		}
		r.Corrections[len(r.Corrections)-1].Note = tx.Seal("reading/"+string(of), "note", note)
		return r, nil
	})
}

// Agree is the word of a second person that what was corrected is right.
func (d *Desk) Agree(ctx context.Context, actor access.Actor, of id.Reading, rev int64, key string) error {
	return d.change(ctx, actor, of, rev, []any{"agree", of, rev}, key, "agreed", func(tx *store.Tx, was weather.Reading) (weather.Reading, error) {
		return was.AgreedTo(weather.Agreement{By: actor.Person, At: tx.Now()})
	})
}

// change puts a reading in the place of the one that stands. It counts from the day
// that one counted from: it was so then.
func (d *Desk) change(ctx context.Context, actor access.Actor, of id.Reading, rev int64, content []any, key, act string, to func(*store.Tx, weather.Reading) (weather.Reading, error)) error {
	role, err := access.Require(actor, access.RecordWeather)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: append([]any{access.RecordWeather}, content...), Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		if err := tx.Expect("reading", string(of), rev); err != nil {
			return "", err
		}
		v := tx.View()
		row, err := v.Reading(of)
		if err != nil {
			return "", err
		}
		r, err := to(tx, row.Value)
		if err != nil {
			return "", err
		}
		was, err := v.Entry(row.Entry)
		if err != nil {
			return "", err
		}
		_, err = tx.PutCorrecting(act, was.EffectiveDay, []int64{row.Entry}, r)
		return store.Outcome(of), err
	})
	return err
}

// saidOf reads the notes of readings and the names of those who wrote them.
func saidOf(v *store.View, list ...weather.Reading) (notes map[id.Commitment]string, names map[id.Person]string, err error) {
	var texts []id.Commitment
	var who []id.Person
	for _, r := range list {
		texts, who = append(texts, r.Note), append(who, r.By)
		for _, c := range r.Corrections {
			texts, who = append(texts, c.Note), append(who, c.By)
			if c.Agreed != nil {
				who = append(who, c.Agreed.By)
			}
		}
	}
	if notes, err = v.Texts(texts...); err != nil {
		return nil, nil, err
	}
	names, err = v.PersonNames(who...)
	return notes, names, err
}
