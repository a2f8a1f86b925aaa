package bringing

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/sheets"
	"rungbook/internal/store"
)

// broughtIn is the act of every fact that came from a file.
const broughtIn = "brought-in"

// writer writes the facts of one batch.
type writer struct {
	tx        *store.Tx
	batch     id.Batch
	by        id.Person
	rest      []id.Profile
	employers map[string]id.Employer // by folded name
	facts     int
}

// put writes one fact, marked with its row. effective 0 = today.
func (w *writer) put(row int, effective civil.Day, record any) error {
	w.tx.Mark(batch.Mark(w.batch, row))
	w.facts++
	_, err := w.tx.Put(broughtIn, effective, record)
	return err
}

// Seen is what a person saw of a judgement when they confirmed it.
type Seen struct{ Taken, Cautions, Refused int }

// SeenOf returns what a page shows of a judgement.
func (j *Judgement) SeenOf() Seen {
	return Seen{j.Takes(), j.Count(WithCaution), j.Count(Refused)}
}

// Bring judges a file again and writes what is taken as one batch, all or
// nothing. Errors: fault.Conflict where the judgement is not the one seen,
// fault.Invalid where no row is taken.
func (d *Desk) Bring(ctx context.Context, actor access.Actor, f File, m Mapping, seen Seen, key string) (id.Batch, error) {
	role, err := require(actor, f.List)
	if err != nil {
		return "", err
	}
	t, err := sheets.Read(f.Data, m.Options())
	if err != nil {
		return "", err
	}
	before, err := d.judged(ctx, f, m, t)
	if err != nil {
		return "", err
	}
	cmd := store.Command{Key: key, Content: []any{access.BringIn, f.List, f.Hash(), m, seen}, Actor: actor, Role: role}
	out, err := d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		j, err := before.stillAt(ctx, tx)
		if err != nil {
			return "", err
		}
		switch {
		case j.SeenOf() != seen:
			return "", fault.New(fault.Conflict, "The records have changed since the rows were judged. Nothing was saved; look at the rows again.")
		case seen.Taken == 0:
			return "", fault.New(fault.Invalid, "No row can be taken; nothing was saved.")
		case len(j.Before) > 0:
			return "", fault.New(fault.Conflict, "This very file was brought in already. Take that batch back first, or send a file with other rows.")
		}
		return write(tx, j, actor)
	})
	return id.Batch(out), err
}

// A judgedBefore is a file that was judged before its write began: nobody waits
// for the judging of a long list.
type judgedBefore struct {
	file    File
	mapping Mapping
	table   *sheets.Table
	entry   int64 // of the records that it was judged by
	today   civil.Day
	j       *Judgement
	err     error // of judging, told only where it still stands
}

func (d *Desk) judged(ctx context.Context, f File, m Mapping, t *sheets.Table) (*judgedBefore, error) {
	out := &judgedBefore{file: f, mapping: m, table: t}
	err := d.store.Read(ctx, func(v *store.View) error {
		out.entry, out.today = v.Head()+1, v.Today()
		out.j, out.err = judge(ctx, v, f, m, t, nil)
		return ctx.Err()
	})
	return out, err
}

// stillAt returns the judgement by the records as the write finds them, judged
// anew where something was recorded since.
func (b *judgedBefore) stillAt(ctx context.Context, tx *store.Tx) (*Judgement, error) {
	if tx.Entry() == b.entry && tx.Today() == b.today {
		b.table = nil // the rows as they were read are not needed any more
		return b.j, b.err
	}
	return judge(ctx, tx.View(), b.file, b.mapping, b.table, nil)
}

func write(tx *store.Tx, j *Judgement, actor access.Actor) (store.Outcome, error) {
	w := &writer{tx: tx, batch: id.Batch(tx.ID()), by: actor.Person, rest: j.Mapping.Rest}
	first := tx.Entry()
	ref, err := tx.View().Reference()
	if err != nil {
		return "", err
	}
	w.employers = employersOf(ref, tx.View())
	if err := tx.Long("A large list is being brought in", j.facts()); err != nil {
		return "", err
	}
	for _, r := range j.Rows {
		if r.Verdict == Refused || r.do == nil {
			continue
		}
		if err := r.do(w); err != nil {
			return "", fmt.Errorf("row %d: %w", r.Row, err)
		}
	}
	for _, do := range j.last {
		if err := do(w); err != nil {
			return "", err
		}
	}
	mapping, err := json.Marshal(j.Mapping)
	if err != nil {
		return "", err
	}
	subject := "batch/" + string(w.batch)
	seen := j.SeenOf()
	tx.Mark("")
	_, err = tx.Put(broughtIn, 0, batch.Batch{ID: w.batch, List: j.File.List, File: j.File.Hash(), Name: tx.Seal(subject, "name", j.File.Name),
		Mapping: tx.Seal(subject, "mapping", string(mapping)), Rows: len(j.Rows), Taken: seen.Taken, Cautions: seen.Cautions, Refused: seen.Refused,
		First: first, By: actor.Person})
	return store.Outcome(w.batch), err
}

// Batch is a batch as a page shows it.
type Batch struct {
	batch.Batch
	Rev    int64
	Name   string // of the file
	By     string
	At     civil.Instant
	Counts []Count // what it put on record
	Rests  []Count // what rests on it; none = it can be taken back
}

// Count is how many records of a kind.
type Count struct {
	Kind  string
	Count int
}

// Batches returns every batch, the newest first.
func (d *Desk) Batches(ctx context.Context, actor access.Actor) (out []Batch, err error) {
	if _, err := access.Require(actor, access.BringIn); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.Batches("")
		if err != nil {
			return err
		}
		for _, b := range list {
			one, err := shown(v, b)
			if err != nil {
				return err
			}
			out = append(out, one)
		}
		return nil
	})
	return out, err
}

// Batch returns one batch with what it put on record and what rests on it.
func (d *Desk) Batch(ctx context.Context, actor access.Actor, of id.Batch) (out Batch, err error) {
	if _, err := access.Require(actor, access.BringIn); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Batch(of)
		if err != nil {
			return err
		}
		if out, err = shown(v, row.Value); err != nil {
			return err
		}
		out.Rev = row.Rev
		facts, err := v.FactsOf(row.Value)
		if err != nil {
			return err
		}
		out.Counts = counted(facts, func(f store.Fact) string { return f.Entry.Kind })
		if out.Back {
			return nil
		}
		rests, err := restsOn(v, row.Value, facts)
		out.Rests = counted(rests, func(r store.Resting) string { return r.Kind })
		return err
	})
	return out, err
}

func shown(v *store.View, b batch.Batch) (Batch, error) {
	texts, err := v.Texts(b.Name)
	if err != nil {
		return Batch{}, err
	}
	names, err := v.PersonNames(b.By)
	if err != nil {
		return Batch{}, err
	}
	entries, err := v.EntriesOf("batch", string(b.ID))
	if err != nil {
		return Batch{}, err
	}
	return Batch{Batch: b, Name: texts[b.Name], By: names[b.By], At: entries[0].Recorded()}, nil
}

func counted[T any](list []T, kind func(T) string) (out []Count) {
	for _, x := range list {
		i := slices.IndexFunc(out, func(c Count) bool { return c.Kind == kind(x) })
		if i < 0 {
			out = append(out, Count{Kind: kind(x)})
			i = len(out) - 1
		}
		out[i].Count++
	}
	return out
}

// restsOn returns what was recorded since and rests on facts of the batch.
func restsOn(v *store.View, b batch.Batch, facts []store.Fact) ([]store.Resting, error) {
	of := map[string]bool{}
	after := b.First
	for _, f := range facts {
		of[f.Entry.ID] = true
		after = f.Index
	}
	return v.RestsOn(of, after)
}

// TakeBack takes a batch back as a whole: a correcting entry for each of its
// facts. Error: fault.Conflict that says what rests on it.
func (d *Desk) TakeBack(ctx context.Context, actor access.Actor, of id.Batch, rev int64, key string) error {
	role, err := access.Require(actor, access.BringIn)
	if err != nil {
		return err
	}
	cmd := store.Command{Key: key, Content: []any{access.BringIn, "back", of, rev}, Actor: actor, Role: role, For: string(of)}
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		if err := tx.Expect("batch", string(of), rev); err != nil {
			return "", err
		}
		row, err := tx.View().Batch(of)
		if err != nil {
			return "", err
		}
		if row.Value.Back {
			return "", fault.New(fault.Conflict, "This batch was taken back already.")
		}
		if _, err := require(actor, row.Value.List); err != nil {
			return "", err
		}
		facts, err := tx.View().FactsOf(row.Value)
		if err != nil {
			return "", err
		}
		rests, err := restsOn(tx.View(), row.Value, facts)
		if err != nil {
			return "", err
		}
		if len(rests) > 0 {
			return "", fault.New(fault.Conflict, "It can’t be taken back: %s.", restWords(rests))
		}
		if err := tx.Long("A large list is being taken back", len(facts)); err != nil {
			return "", err
		}
		for _, f := range slices.Backward(facts) {
			if err := tx.StrikeOut(f.Index); err != nil {
				return "", err
			}
		}
		row.Value.Back = true
		_, err = tx.PutCorrecting("taken-back", 0, []int64{row.Entry}, row.Value)
		return store.Outcome(of), err
	})
	return err
}

// restWords says what rests on a batch.
func restWords(list []store.Resting) string {
	var parts []string
	for _, c := range counted(list, func(r store.Resting) string { return r.Kind }) {
		parts = append(parts, fmt.Sprintf("%d later %s", c.Count, plural(c.Kind, c.Count)))
	}
	return strings.Join(parts, ", ") + " rest on it"
}

func plural(kind string, n int) string {
	kind = strings.ReplaceAll(kind, "-", " ")
	if n == 1 || strings.HasSuffix(kind, "s") || kind == "attendance" || kind == "staff" {
		return kind + map[bool]string{true: " record", false: ""}[kind == "staff"]
	}
	return strings.TrimSuffix(kind, "y") + map[bool]string{true: "ies", false: "s"}[strings.HasSuffix(kind, "y")]
}
