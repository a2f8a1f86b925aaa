package store

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/weather"
)

func readingKind() *kind {
	return kindOf("reading", traits[weather.Reading]{
		table:   "reading",
		id:      func(r weather.Reading) string { return string(r.ID) },
		texts:   func(r weather.Reading) []id.Commitment { return texts{r.Note} },
		refers:  func(r weather.Reading) []string { return append(ids(r.Station), string(r.By)) },
		check:   weather.Reading.Check,
		columns: []string{"at"},
		values:  func(r weather.Reading) []any { return []any{int64(r.At)} },
	})
}

// Reading returns one weather reading. Error: fault.NotFound.
func (v *View) Reading(of id.Reading) (Row[weather.Reading], error) {
	return row[weather.Reading](v, "reading", "reading", string(of))
}

// Readings returns the weather readings of [from, to), forecasts entered then among
// them, by time.
func (v *View) Readings(from, to civil.Instant) ([]weather.Reading, error) {
	return list(v, scanBody[weather.Reading], `SELECT r.body FROM reading AS r
		WHERE r.at >= ?3 AND r.at < ?4 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.at, r.entry`, int64(from), int64(to))
}
