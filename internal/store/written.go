package store

import (
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// procedureTexts are the texts of a rescue's steps and roles; none for nil.
func procedureTexts(p *rig.Procedure) (out texts) {
	if p == nil {
		return nil
	}
	out = append(out, p.Steps...)
	for _, r := range p.Roles {
		out = append(out, r.Name, r.Does)
	}
	return out
}

func procedureKits(p *rig.Procedure) []string {
	if p == nil {
		return nil
	}
	return ids(p.Kits...)
}

func writtenPlanKind() *kind {
	return kindOf("written-plan", traits[rig.WrittenPlan]{
		table: "written_plan",
		id:    func(w rig.WrittenPlan) string { return string(w.ID) },
		texts: func(w rig.WrittenPlan) []id.Commitment {
			return append(texts{w.Name, w.Text, w.Reason}, procedureTexts(&w.Procedure)...)
		},
		refers: func(w rig.WrittenPlan) []string {
			out := append(ids(w.Stations...), procedureKits(&w.Procedure)...)
			return append(out, string(w.Plan), string(w.Author), string(w.DecidedBy))
		},
		columns: []string{"plan", "state", "author", "decided_by"},
		values: func(w rig.WrittenPlan) []any {
			return []any{orNull(w.Plan), string(w.State), string(w.Author), orNull(w.DecidedBy)}
		},
	})
}

// WrittenPlan returns one written plan as it stands. Error: fault.NotFound.
func (v *View) WrittenPlan(of id.WrittenPlan) (Row[rig.WrittenPlan], error) {
	return row[rig.WrittenPlan](v, "written-plan", "written_plan", string(of))
}

// WrittenPlans returns the written plans, oldest first; "" = in any state.
func (v *View) WrittenPlans(in rig.WrittenState) ([]rig.WrittenPlan, error) {
	return list(v, scanBody[rig.WrittenPlan], `SELECT r.body FROM written_plan AS r
		WHERE (?3 = '' OR r.state = ?3) AND `+v.at("r")+` ORDER BY r.entry, r.id`, string(in))
}

// WrittenPlanHistory returns every revision of one known to the view.
func (v *View) WrittenPlanHistory(of id.WrittenPlan) ([]Revision[rig.WrittenPlan], error) {
	return revisions[rig.WrittenPlan](v, "written-plan", string(of))
}

// RescuePlanHistory returns every entry of a rescue plan known to the view: each of
// its versions as approved, those too that another one took the place of before
// their first day.
func (v *View) RescuePlanHistory(of id.RescuePlan) ([]Revision[rig.RescuePlan], error) {
	return revisions[rig.RescuePlan](v, "rescue-plan", string(of))
}
