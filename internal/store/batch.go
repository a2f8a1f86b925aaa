package store

import (
	"database/sql"
	"slices"

	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

func batchKind() *kind {
	return kindOf("batch", traits[batch.Batch]{
		table:   "batch",
		id:      func(b batch.Batch) string { return string(b.ID) },
		texts:   func(b batch.Batch) []id.Commitment { return texts{b.Name, b.Mapping} },
		refers:  func(b batch.Batch) []string { return ids(b.By) },
		columns: []string{"list", "file", "back"},
		values:  func(b batch.Batch) []any { return []any{string(b.List), b.File, b.Back} },
	})
}

// Batch returns one batch as it stands. Error: fault.NotFound.
func (v *View) Batch(of id.Batch) (Row[batch.Batch], error) {
	return row[batch.Batch](v, "batch", "batch", string(of))
}

// Batches returns the batches that stand, the newest first; file "" = of any file.
func (v *View) Batches(file string) ([]batch.Batch, error) {
	return list(v, scanBody[batch.Batch], `SELECT r.body FROM batch AS r WHERE (?3 = '' OR r.file = ?3) AND `+v.at("r")+` ORDER BY r.entry DESC`, file)
}

// Mark sets what the entries that follow say they are for: an id or a word of
// ours, never typed text.
func (tx *Tx) Mark(of string) { tx.cmd.For = of }

// struckOut is the act by which a record stands no more: what was brought in and
// is taken back. Its rows end; the entries stay.
const struckOut = "struck-out"

// StrikeOut takes back a record as the entry put it, by a correcting entry. From
// here on it stands on no day. The caller has asked that nothing rests on it. A
// record that has changed since is fault.Conflict.
func (tx *Tx) StrikeOut(entry int64) error {
	e, err := tx.View().Entry(entry)
	if err != nil {
		return err
	}
	f, err := factOf(entry, e)
	if err != nil {
		return err
	}
	rev, err := tx.revision(e.Kind, e.ID)
	if err != nil {
		return err
	}
	if e.Rev != rev {
		return fault.New(fault.Conflict, "The %s %s has changed since it was recorded; it can't be struck out.", e.Kind, e.ID)
	}
	_, err = tx.PutCorrecting(struckOut, 0, []int64{entry}, f.record)
	return err
}

// strikeOut ends every row of the fact's record that stands.
func (p *projector) strikeOut(f fact) error {
	where := `id = ?2`
	args := []any{f.index, f.entry.ID}
	if f.kind.slow {
		where, args = `kind = ?3 AND id = ?2`, append(args, f.kind.name)
	}
	if err := p.exec(`UPDATE `+f.kind.table+` SET until_entry = ?1 WHERE `+where+` AND until_entry = `+openText, args...); err != nil {
		return err
	}
	switch f.kind.name {
	case "session", "attendance", "results":
		return p.exec(`UPDATE completion SET until_entry = ?1 WHERE session = ?2 AND until_entry = `+openText, f.index, f.entry.ID)
	case "certificate":
		return p.noteStaff(f, f.record.(credential.Certificate).Person)
	case "person":
		return p.noteStaff(f, id.Person(f.entry.ID))
	}
	if f.kind.slow {
		return p.noteReference(f, f.kind.name, f.entry.ID)
	}
	return nil
}

// Resting is a record that stands and speaks of, or describes, another one.
type Resting struct {
	Kind, ID string
	On       string // the record it rests on
}

// RestsOn returns what was put after an entry, was not struck out since, and
// rests on any of the records: those that speak of one, describe one, or are a
// later revision of one.
func (v *View) RestsOn(of map[string]bool, after int64) ([]Resting, error) {
	var out []Resting
	gone := map[string]bool{}
	err := v.each(func(rows *sql.Rows) error {
		var index int64
		var raw []byte
		if err := rows.Scan(&index, &raw); err != nil {
			return err
		}
		e, err := ledger.Decode(raw)
		if err != nil || e.Kind == "batch" {
			return err
		}
		f, err := factOf(index, e)
		if err != nil {
			return err
		}
		if e.Act == struckOut {
			gone[e.Kind+e.ID] = true
			return nil
		}
		on := append(f.kind.refers(f.record), e.ID)
		if i := slices.IndexFunc(on, func(other string) bool { return of[other] }); i >= 0 {
			out = append(out, Resting{e.Kind, e.ID, on[i]})
		}
		return nil
	}, `SELECT idx, bytes FROM entry WHERE idx > ?3 AND idx <= ?1 ORDER BY idx`, after)
	out = slices.DeleteFunc(out, func(r Resting) bool { return gone[r.Kind+r.ID] })
	return slices.Compact(out), err
}

// FactsOf returns the entries of a batch with their places in the ledger, in order.
func (v *View) FactsOf(b batch.Batch) (out []Fact, err error) {
	entries, err := v.entriesOf("batch", string(b.ID))
	if err != nil {
		return nil, err
	}
	if len(entries) == 0 {
		return nil, fault.New(fault.NotFound, "There is no batch %s.", b.ID)
	}
	return list(v, func(rows *sql.Rows) (x Fact, err error) {
		var raw []byte
		if err := rows.Scan(&x.Index, &raw); err != nil {
			return x, err
		}
		x.Entry, err = ledger.Decode(raw)
		return x, err
	}, `SELECT idx, bytes FROM entry WHERE idx >= ?3 AND idx < ?4 ORDER BY idx`, b.First, entries[0].index)
}

// Fact is an entry with its place in the ledger.
type Fact struct {
	Index int64
	Entry ledger.Entry
}

// BroughtIn returns from which batch and row a record came; ok is false for one
// that was recorded here.
func (v *View) BroughtIn(kind, of string) (b id.Batch, row int, on civil.Instant, ok bool, err error) {
	entries, err := v.entriesOf(kind, of)
	if err != nil || len(entries) == 0 {
		return "", 0, 0, false, err
	}
	b, row, ok = batch.Marked(entries[0].entry.For)
	return b, row, entries[0].entry.Recorded(), ok, nil
}

// Fold returns a text for comparison: lower case, without marks, single spaces.
func Fold(s string) string { return fold(s) }

// StruckOut returns the newest entries of the people who were struck out and are
// not on record again, the latest first.
func (v *View) StruckOut() ([]Fact, error) {
	all, err := list(v, func(rows *sql.Rows) (x Fact, err error) {
		var raw []byte
		if err := rows.Scan(&x.Index, &raw); err != nil {
			return x, err
		}
		x.Entry, err = ledger.Decode(raw)
		return x, err
	}, `SELECT e.idx, e.bytes FROM entry AS e WHERE e.kind = 'person' AND e.rev > 1 AND e.idx <= ?1
		AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.kind = 'person' AND later.id = e.id AND later.rev > e.rev AND later.idx <= ?1)
		ORDER BY e.idx DESC`)
	return slices.DeleteFunc(all, func(x Fact) bool { return x.Entry.Act != struckOut }), err
}

// Together returns the entries of one command, which stand side by side, from
// the first up to one of them.
func (v *View) Together(last int64) (out []Fact, err error) {
	end, err := v.Entry(last)
	if err != nil {
		return nil, err
	}
	for i := last; i >= 0; i-- {
		e, err := v.Entry(i)
		if err != nil {
			return nil, err
		}
		if e.Key != end.Key {
			break
		}
		out = append(out, Fact{i, e})
	}
	slices.Reverse(out)
	return out, nil
}
