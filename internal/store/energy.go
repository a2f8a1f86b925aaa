package store

import (
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

func isolationKind() *kind {
	return kindOf("isolation", traits[rig.Isolation]{
		table: "isolation", facet: true,
		id: func(i rig.Isolation) string { return string(i.Circuit) },
		texts: func(i rig.Isolation) []id.Commitment {
			if i.Test == nil {
				return texts{i.Permit}
			}
			return texts{i.Permit, i.Test.Instrument}
		},
		refers: func(i rig.Isolation) []string {
			out := ids(i.InCharge)
			for _, l := range i.Locks {
				out = append(out, string(l.Person), string(l.OffBy))
			}
			if i.Test != nil {
				out = append(out, string(i.Test.By))
			}
			return out
		},
		columns: []string{"state", "locked"},
		values:  func(i rig.Isolation) []any { return []any{string(i.State), i.Locked()} },
	})
}

func authorityKind() *kind {
	return kindOf("authority", traits[rig.Authority]{
		table:   "authority",
		id:      func(a rig.Authority) string { return string(a.ID) },
		refers:  func(a rig.Authority) []string { return ids(string(a.Circuit), string(a.Person), string(a.By)) },
		columns: []string{"circuit", "person", "ended"},
		values:  func(a rig.Authority) []any { return []any{string(a.Circuit), string(a.Person), a.Ended} },
	})
}

// Isolation returns the recorded state of a circuit; one without a record is
// unknown, of revision 0.
func (v *View) Isolation(of id.Circuit) (Row[rig.Isolation], error) {
	r, err := row[rig.Isolation](v, "isolation", "isolation", string(of))
	if fault.Of(err) == fault.NotFound {
		return Row[rig.Isolation]{Value: rig.Isolation{Circuit: of, State: rig.EnergyUnknown}}, nil
	}
	return r, err
}

// Isolations returns the recorded state of every circuit that has one.
func (v *View) Isolations() ([]rig.Isolation, error) {
	return list(v, scanBody[rig.Isolation], `SELECT r.body FROM isolation AS r WHERE `+v.at("r")+` ORDER BY r.id`)
}

// IsolationHistory returns every revision of a circuit's state known to the view.
func (v *View) IsolationHistory(of id.Circuit) ([]Revision[rig.Isolation], error) {
	return revisions[rig.Isolation](v, "isolation", string(of))
}

// Authority returns one authority as it stands. Error: fault.NotFound.
func (v *View) Authority(of id.Authority) (Row[rig.Authority], error) {
	return row[rig.Authority](v, "authority", "authority", string(of))
}

// Authorities returns who may be in charge of a circuit and from when to when, those
// taken back too; "" = of all circuits.
func (v *View) Authorities(of id.Circuit) ([]rig.Authority, error) {
	return list(v, scanBody[rig.Authority], `SELECT r.body FROM authority AS r
		WHERE (?3 = '' OR r.circuit = ?3) AND `+v.at("r")+` ORDER BY r.circuit, r.entry, r.id`, string(of))
}
