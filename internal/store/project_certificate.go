package store

import (
	"database/sql"

	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// deriveCertificate keeps the centre's running numbers apart and notes the
// certificates of staff. Number 0 is a credential that carries none of ours.
func deriveCertificate(p *projector, f fact, c credential.Certificate) error {
	if c.Number != 0 {
		var other string
		taken, err := p.c.one(p.ctx, []any{&other},
			`SELECT id FROM certificate WHERE number = ?1 AND id <> ?2 AND until_entry = `+openText+` LIMIT 1`, c.Number, string(c.ID))
		if err != nil {
			return err
		}
		if taken {
			return fault.New(fault.Conflict, "Certificate number %d is already given to another certificate.", c.Number)
		}
	}
	// A certificate that was put under the wrong person leaves that person too.
	var holders []id.Person
	err := p.c.each(p.ctx, func(rows *sql.Rows) error {
		var holder id.Person
		err := rows.Scan(&holder)
		holders = append(holders, holder)
		return err
	}, `SELECT DISTINCT person FROM certificate WHERE id = ?1 ORDER BY person`, string(c.ID))
	if err != nil {
		return err
	}
	for _, holder := range holders {
		if err := p.noteStaff(f, holder); err != nil {
			return err
		}
	}
	return nil
}
