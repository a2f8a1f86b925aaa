package running

import (
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// costs is what a failure in the session costs each trainee, by their programme and
// the rule book of the session's day.
func (s *Scene) costs(v *store.View) (map[id.Trainee]credential.Cost, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	list, err := v.Trainees(s.Session.Trainees...)
	if err != nil {
		return nil, err
	}
	out, books := map[id.Trainee]credential.Cost{}, ref.RuleBooks.All(civil.LastDay)
	for _, t := range list {
		in, _ := ref.Intakes.On(t.Intake, v.Today())
		p, _ := ref.Programmes.On(in.Programme, s.Day)
		out[t.ID] = credential.CostOf(books, p.Validity, s.Day)
	}
	return out, nil
}
