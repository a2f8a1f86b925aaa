// Package bringing is the journey of those who bring in what a centre already
// has: lists of people, papers, inspections, intakes and past sessions. Every row
// of a file is judged, what can't be relied on is refused with its cell, and what
// is taken becomes one batch in one transaction, which can be taken back as a
// whole as long as nothing rests on it.
//
// It knows what the columns of a list mean and when a row may be taken. It does
// not know how a file is read (sheets), and leaves what makes a record right to
// the domain's Check methods.
//
// Read bringing.go first, then people.go as the model of one list.
package bringing

import (
	"context"
	"crypto/sha256"
	"encoding/hex"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/sheets"
	"rungbook/internal/store"
)

// Desk brings in files.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// Mapping is what a person sets about a file. Columns names a column's letters
// for each field; Heads the texts of their heads, by which a later file is read.
type Mapping struct {
	Sheet     string            `json:"sheet,omitempty"`
	Encoding  string            `json:"encoding,omitempty"`
	Separator string            `json:"separator,omitempty"`
	Columns   map[string]string `json:"columns"`
	Heads     map[string]string `json:"heads"`
	Habits    sheets.Habits     `json:"habits"`
	Rest      []id.Profile      `json:"rest,omitempty"` // limits on rest that bind the trainees of an intake
}

// Options are what reading the file needs of the mapping.
func (m Mapping) Options() sheets.Options {
	return sheets.Options{Sheet: m.Sheet, Encoding: m.Encoding, Separator: m.Separator}
}

// File is what was sent: its name, bytes and what it lists.
type File struct {
	List batch.List
	Name string
	Data []byte
}

// Hash returns the SHA-256 of the file's bytes in hex.
func (f File) Hash() string {
	sum := sha256.Sum256(f.Data)
	return hex.EncodeToString(sum[:])
}

// actionOf is the action of the access table that a list's facts need.
func actionOf(l batch.List) access.Action {
	switch l {
	case batch.Certificates, batch.Qualifications:
		return access.RecordCertificate
	case batch.Inspections:
		return access.RecordInspection
	}
	return access.ChangeRecords
}

// require returns the role in which the actor may bring in a list.
func require(actor access.Actor, l batch.List) (access.Role, error) {
	if _, ok := fieldsOf[l]; !ok {
		return "", fault.New(fault.Invalid, "%q is not a list that can be brought in.", l)
	}
	if _, err := access.Require(actor, access.BringIn); err != nil {
		return "", err
	}
	return access.Require(actor, actionOf(l))
}

// Guess reads a file and says which column is which field: as last time for that
// list where the heads are the same, else by the words of the heads.
func (d *Desk) Guess(ctx context.Context, actor access.Actor, f File, m Mapping) (*sheets.Table, Mapping, error) {
	if _, err := require(actor, f.List); err != nil {
		return nil, m, err
	}
	t, err := sheets.Read(f.Data, m.Options())
	if err != nil {
		return nil, m, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		last, err := lastMapping(v, f.List)
		if err == nil {
			m = guess(f.List, t, m, last)
		}
		return err
	})
	return t, m, err
}

// Judge judges every row of a file and changes nothing. t is what Guess read by
// the same options, nil to read the file here. tell, which may be nil, is called
// now and then with how many rows were judged.
func (d *Desk) Judge(ctx context.Context, actor access.Actor, f File, m Mapping, t *sheets.Table, tell func(done, all int)) (*Judgement, error) {
	if _, err := require(actor, f.List); err != nil {
		return nil, err
	}
	if t == nil {
		var err error
		if t, err = sheets.Read(f.Data, m.Options()); err != nil {
			return nil, err
		}
	}
	var out *Judgement
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = judge(ctx, v, f, m, t, tell)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out.toLookAt(), nil
}
