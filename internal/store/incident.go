package store

import (
	"rungbook/internal/id"
	"rungbook/internal/incident"
)

func incidentKind() *kind {
	return kindOf("incident", traits[incident.Incident]{
		table: "incident",
		id:    func(i incident.Incident) string { return string(i.ID) },
		texts: func(i incident.Incident) []id.Commitment {
			if i.Release == nil {
				return texts{i.Note}
			}
			return texts{i.Note, i.Release.Text}
		},
		refers: func(i incident.Incident) []string {
			out := []string{string(i.Session), string(i.Exercise), string(i.Station), string(i.Rig), string(i.Kit), string(i.Item)}
			out = append(out, ids(i.Quarantines...)...)
			if i.Class != nil {
				out = append(append(out, string(i.Class.By)), ids(i.Class.Programmes...)...)
			}
			if i.Release != nil {
				out = append(out, string(i.Release.By))
			}
			for _, s := range []*incident.Signed{i.Told, i.KitBack} {
				if s != nil {
					out = append(out, string(s.By))
				}
			}
			return out
		},
		columns: []string{"at", "waits"},
		values:  func(i incident.Incident) []any { return []any{int64(i.At), i.Open()} },
	})
}

// Incident returns one incident as it stands. Error: fault.NotFound.
func (v *View) Incident(of id.Incident) (Row[incident.Incident], error) {
	return row[incident.Incident](v, "incident", "incident", string(of))
}

// OpenIncidents returns the incidents of which something waits, by time: those
// that stop something among them, on whatever day one asks.
func (v *View) OpenIncidents() ([]incident.Incident, error) {
	return list(v, scanBody[incident.Incident], `SELECT r.body FROM incident AS r
		WHERE r.waits = 1 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.at, r.id`)
}

// Incidents returns every incident, the newest first.
func (v *View) Incidents() ([]incident.Incident, error) {
	return list(v, scanBody[incident.Incident], `SELECT r.body FROM incident AS r
		WHERE r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.at DESC, r.id`)
}

// IncidentHistory returns every revision of an incident known to the view.
func (v *View) IncidentHistory(of id.Incident) ([]Revision[incident.Incident], error) {
	return revisions[incident.Incident](v, "incident", string(of))
}
