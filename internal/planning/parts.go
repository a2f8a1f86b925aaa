package planning

import (
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// PartsBegan is, of each trainee, when the part of their course began that runs on a
// day; who is in their first part is not among them.
func PartsBegan(v *store.View, trainees []id.Trainee, day civil.Day) (map[id.Trainee]civil.Instant, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	list, err := v.SessionsOfTrainees(trainees)
	if err != nil {
		return nil, err
	}
	taught := map[id.Trainee][]civil.Day{}
	for _, s := range list {
		if s.Trial || !s.State.Signed() && s.State != session.UnderWay {
			continue
		}
		for _, t := range s.Trainees {
			taught[t] = append(taught[t], v.Zone().DayOf(s.Start))
		}
	}
	open := func(d civil.Day) bool {
		yard, known := ref.YardOn(d)
		return !known || yard.Workday(d) // what is not known splits
	}
	out := map[id.Trainee]civil.Instant{}
	for _, t := range trainees {
		if began := arrival.PartBegan(day, taught[t], open); began != 0 {
			out[t] = v.Zone().At(began, 0)
		}
	}
	return out, nil
}
