package store

import (
	"context"
	"database/sql"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/people"
)

// Seal keeps a text apart from the ledger and returns what stands for it in a
// record. subject is the id of the record it belongs to, field what it is. An
// empty text is "" and nothing is kept. A failure ends the write at the next Put
// or at its end.
func (tx *Tx) Seal(subject, field, value string) id.Commitment {
	if value == "" || tx.err != nil {
		return ""
	}
	tx.s.mu.Lock()
	salt := ledger.Salt(tx.s.maker.Random(len(ledger.Salt{})))
	tx.s.mu.Unlock()
	c, err := ledger.Commit(salt, value)
	if err != nil {
		tx.err = fault.Field(field, "The text is not readable as UTF-8.")
		return ""
	}
	tx.err = tx.c.exec(tx.ctx, `INSERT INTO private_value (commitment, subject, field, salt, value) VALUES (?1, ?2, ?3, ?4, ?5)`,
		string(c), subject, field, salt[:], value)
	if tx.err != nil {
		return ""
	}
	tx.sealed[c] = value
	return c
}

// nameOf keeps the folded name of a person beside the record, for lists and
// search. It lives with the private values: the derived tables hold no name.
// sealed, which may be nil, holds what need not be read.
func nameOf(ctx context.Context, c *conn, record any, sealed map[id.Commitment]string) error {
	p, ok := record.(people.Person)
	if !ok {
		return nil
	}
	name, known := sealed[p.Name]
	if !known {
		if _, err := c.one(ctx, []any{&name}, `SELECT value FROM private_value WHERE commitment = ?1`, string(p.Name)); err != nil {
			return err
		}
	}
	return c.exec(ctx, `INSERT INTO person_name (person, folded) VALUES (?1, ?2)
		ON CONFLICT (person) DO UPDATE SET folded = excluded.folded`, string(p.ID), fold(name))
}

// Texts returns what commitments stand for; those that were erased are missing.
func (v *View) Texts(of ...id.Commitment) (map[id.Commitment]string, error) {
	return pairs[id.Commitment](v, of, `SELECT p.commitment, p.value FROM json_each(?3) AS want
		CROSS JOIN private_value AS p ON p.commitment = want.value`)
}

// PersonNames returns the names of persons; those that were erased are missing.
func (v *View) PersonNames(of ...id.Person) (map[id.Person]string, error) {
	return pairs[id.Person](v, of, `SELECT p.id, n.value FROM json_each(?3) AS want
		CROSS JOIN person AS p ON p.id = want.value CROSS JOIN private_value AS n ON n.commitment = p.name WHERE `+v.at("p"))
}

// TraineeNames returns the names of trainees; those that were erased are missing.
func (v *View) TraineeNames(of ...id.Trainee) (map[id.Trainee]string, error) {
	return pairs[id.Trainee](v, of, `SELECT t.id, n.value FROM json_each(?3) AS want
		CROSS JOIN trainee AS t ON t.id = want.value CROSS JOIN person AS p ON p.id = t.person
		CROSS JOIN private_value AS n ON n.commitment = p.name WHERE `+v.at("t")+` AND `+v.at("p"))
}

func pairs[K ~string](v *View, of []K, query string) (map[K]string, error) {
	out := make(map[K]string, len(of))
	if len(of) == 0 {
		return out, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	err = v.each(func(rows *sql.Rows) error {
		var key, value string
		err := rows.Scan(&key, &value)
		out[K(key)] = value
		return err
	}, query, want)
	return out, err
}
