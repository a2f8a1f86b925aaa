package store

import (
	"database/sql"

	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

func arrivalKind() *kind {
	return kindOf("arrival", traits[arrival.Arrival]{
		table: "arrival", facet: true,
		id: func(a arrival.Arrival) string { return string(a.Trainee) },
		texts: func(a arrival.Arrival) []id.Commitment {
			out := append(texts{a.Contact}, a.Issued...)
			for _, s := range a.Kit {
				if out = append(out, s.Serial); s.Back != nil {
					out = append(out, s.Back.Found)
				}
			}
			return out
		},
		refers: func(a arrival.Arrival) []string {
			out := append(ids(a.Items...), string(a.By))
			for _, p := range arrival.Papers() {
				if s := *a.Of(p); s != nil {
					out = append(out, string(s.By))
				}
			}
			for _, s := range a.Kit {
				if out = append(out, string(s.Item)); s.Given != nil {
					out = append(out, string(s.Given.By))
				}
				if s.Back != nil {
					out = append(out, string(s.Back.By), string(s.Back.Quarantine))
				}
			}
			return out
		},
		columns: []string{"at", "kit_open"},
		values:  func(a arrival.Arrival) []any { return []any{int64(a.At), a.KitOpen()} },
	})
}

func stayKind() *kind {
	return kindOf("stay", traits[arrival.Stay]{
		table:   "stay",
		id:      func(s arrival.Stay) string { return string(s.ID) },
		texts:   func(s arrival.Stay) []id.Commitment { return texts{s.Name} },
		refers:  func(s arrival.Stay) []string { return ids(s.Person) },
		columns: []string{"person", "came", "went"},
		values:  func(s arrival.Stay) []any { return []any{orNull(s.Person), int64(s.In), int64(s.Out)} },
	})
}

// Arrivals returns what was seen of trainees, by trainee; those of whom nothing is
// on record are missing.
func (v *View) Arrivals(of ...id.Trainee) ([]arrival.Arrival, error) {
	return rowsFor[arrival.Arrival](v, of, `arrival AS r ON r.id = want.value WHERE r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.id`)
}

// ArrivalRevs returns the newest revision of each arrival, for Tx.Expect.
func (v *View) ArrivalRevs(of ...id.Trainee) (map[id.Trainee]int64, error) {
	out := map[id.Trainee]int64{}
	if len(of) == 0 {
		return out, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	err = v.each(func(rows *sql.Rows) error {
		var t id.Trainee
		var rev int64
		err := rows.Scan(&t, &rev)
		out[t] = rev
		return err
	}, `SELECT e.id, max(e.rev) FROM json_each(?3) AS want
		CROSS JOIN entry AS e ON e.kind = 'arrival' AND e.id = want.value AND e.idx <= ?1 GROUP BY e.id`, want)
	return out, err
}

// CameBetween returns the arrivals of trainees who came in [from, to).
func (v *View) CameBetween(from, to civil.Instant) ([]arrival.Arrival, error) {
	return list(v, scanBody[arrival.Arrival], `SELECT r.body FROM arrival AS r
		WHERE r.at >= ?3 AND r.at < ?4 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.at, r.id`, int64(from), int64(to))
}

// KitAnswersFor returns the arrivals of trainees whose kit is still to be answered for
// (arrival.Arrival.KitOpen), by trainee.
func (v *View) KitAnswersFor() ([]arrival.Arrival, error) {
	return list(v, scanBody[arrival.Arrival], `SELECT r.body FROM arrival AS r
		WHERE r.kit_open = 1 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.id`)
}

// Stay returns one stay. Error: fault.NotFound.
func (v *View) Stay(of id.Stay) (Row[arrival.Stay], error) {
	return row[arrival.Stay](v, "stay", "stay", string(of))
}

// Stays returns those that have not ended, and those that began or ended since a
// moment, by when they began. Each part is found by its own index, or all stays that
// ever were would be read for who is here.
func (v *View) Stays(since civil.Instant) ([]arrival.Stay, error) {
	return list(v, scanBody[arrival.Stay], `SELECT r.body FROM stay AS r WHERE r.rowid IN (
			SELECT h.rowid FROM stay AS h WHERE h.went = 0 AND `+v.known("h")+`
			UNION ALL SELECT rowid FROM stay WHERE came >= ?3 UNION ALL SELECT rowid FROM stay WHERE went >= ?3)
		AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.came, r.id`, int64(since))
}
