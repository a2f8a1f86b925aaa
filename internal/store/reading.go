package store

import (
	"database/sql"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/weather"
)

func readingKind() *kind {
	return kindOf("reading", traits[weather.Reading]{
		table: "reading",
		id:    func(r weather.Reading) string { return string(r.ID) },
		texts: func(r weather.Reading) []id.Commitment {
			out := texts{r.Note}
			for _, c := range r.Corrections {
				out = append(out, c.Note)
			}
			return out
		},
		refers: func(r weather.Reading) []string {
			out := append(ids(r.Station), string(r.By))
			for _, c := range r.Corrections {
				if out = append(out, string(c.By)); c.Agreed != nil {
					out = append(out, string(c.Agreed.By))
				}
			}
			return out
		},
		check:   weather.Reading.Check,
		columns: []string{"at"},
		values:  func(r weather.Reading) []any { return []any{int64(r.At)} },
		derive: func(p *projector, f fact, r weather.Reading) error {
			if f.entry.Rev == 1 && !mayBeStorm(r) {
				return nil
			}
			return p.noteReference(f, stormKind, string(r.ID)) // a correction may make it one, or none any more
		},
	})
}

// stormKind is the kind under which readings that may be storms are read with the
// slowly changing records: rigs wait for an inspection after them, however long ago.
const stormKind = "storm"

func mayBeStorm(r weather.Reading) bool { return r.MayBeStorm(rulebook.LeastStormGust) }

// loadStorms reads the readings that may be storms; nil which = all of them.
func loadStorms(v *View, r *Reference, which []string) (said []id.Commitment, err error) {
	changed := map[id.Reading][]Dated[weather.Reading]{}
	for _, of := range which {
		changed[id.Reading(of)] = nil
	}
	scan := func(rows *sql.Rows) error {
		x, err := scanBody[weather.Reading](rows)
		if err == nil && mayBeStorm(x) {
			changed[x.ID] = []Dated[weather.Reading]{{Value: x}}
		}
		return err
	}
	if which == nil {
		err = v.each(scan, `SELECT r.body FROM reading AS r WHERE r.id IN (SELECT id FROM reference_entry WHERE kind = 'storm' AND entry <= ?1)
			AND r.until_day = 'open' AND `+v.known("r"))
	} else {
		var want string
		if want, err = idList(which); err != nil {
			return nil, err
		}
		err = v.each(scan, `SELECT r.body FROM json_each(?3) AS want CROSS JOIN reading AS r ON r.id = want.value
			WHERE r.until_day = 'open' AND `+v.known("r"), want)
	}
	r.Storms = r.Storms.with(changed)
	return nil, err
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
