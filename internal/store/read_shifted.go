package store

import (
	"database/sql"
	"slices"
	"strings"

	"rungbook/internal/session"
)

// Shifted returns the sessions to come whose start was recorded under an offset
// that is no longer the zone's on that day, because the zone's law changed since:
// the clock on the wall now shows another time than was agreed.
func (v *View) Shifted() ([]session.Session, error) {
	ahead, err := v.BookedAfter(v.now)
	if err != nil {
		return nil, err
	}
	recorded := map[string]string{}
	err = v.each(func(rows *sql.Rows) error {
		var of, start string
		if err := rows.Scan(&of, &start); err != nil {
			return err
		}
		recorded[of] = start
		return nil
	}, `SELECT s.id, json_extract(s.body, '$.start') FROM session AS s
		WHERE s.state IN ('pencilled', 'booked') AND s.start > ?3 AND `+v.at("s"), int64(v.now))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(ahead, func(s session.Session) bool {
		local, _, _ := strings.Cut(recorded[string(s.ID)], "[")
		return local == v.zone.Format(s.Start)
	}), nil
}
