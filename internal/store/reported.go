package store

import (
	"rungbook/internal/credential"
	"rungbook/internal/id"
)

func reportedKind() *kind {
	return kindOf("reported", traits[credential.Reported]{
		table: "reported", facet: true,
		id:     func(r credential.Reported) string { return string(r.Certificate) },
		texts:  func(r credential.Reported) []id.Commitment { return texts{r.Reference} },
		refers: func(r credential.Reported) []string { return []string{string(r.Certificate), string(r.By)} },
	})
}

// Reported returns which of some certificates the scheme was told of, by id.
func (v *View) Reported(of ...id.Certificate) ([]credential.Reported, error) {
	return rowsFor[credential.Reported](v, of, `reported AS r ON r.id = want.value WHERE `+v.at("r")+` ORDER BY r.id`)
}

// NotReported returns the certificates that were given here for a programme and of
// which the scheme was not told, by completion day. One declared void is none.
func (v *View) NotReported() ([]credential.Certificate, error) {
	return list(v, scanBody[credential.Certificate], `SELECT c.body FROM certificate AS c
		WHERE c.covers = 'programme' AND c.state <> ?3 AND `+v.at("c")+` AND coalesce(c.body ->> '$.trainee', '') <> ''
			AND NOT EXISTS (SELECT 1 FROM reported AS r WHERE r.id = c.id AND `+v.at("r")+`)
		ORDER BY c.body ->> '$.completed', c.number, c.id`, string(credential.Void))
}
