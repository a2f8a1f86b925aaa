package running

import (
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

// weatherGate: where weather counts it was read, not too long ago, and nothing that
// was read stops. What only cautions is told and holds.
func weatherGate(s *Scene) ([]Gate, error) {
	sky, err := planning.SkyOf(s.View)
	if err != nil {
		return nil, err
	}
	standing, counts := sky.At(s.Rig, s.Station)
	if !counts {
		return []Gate{{Name: "weather", Holds: true, Running: true, Found: verdict.Say("weather does not count indoors")}}, nil
	}
	mend := "/yard/weather?station=" + string(s.Station.ID) + "#reading"
	var out []Gate
	for _, f := range standing.Findings {
		found := verdict.Say(verdict.RuleName(f.Rule), ": ", f.Found)
		if f.Level == verdict.Stops {
			out = append(out, Gate{Name: "weather", Running: true, Found: found, Required: f.Required, Mend: mend, Do: "Read the weather"})
		} else {
			out = append(out, Gate{Name: "weather", Holds: true, Running: true, Found: verdict.Say("a caution. ", found), Required: f.Required, Mend: mend})
		}
	}
	for _, f := range sky.Expected(s.Rig, s.Station, s.Day) {
		out = append(out, Gate{Name: "weather", Holds: true, Found: verdict.Say("a caution. ", verdict.RuleName(f.Rule), ": ", f.Found), Required: f.Required, Mend: mend})
	}
	if standing.Level() != verdict.Stops {
		read := "the weather was read at "
		if len(standing.Newest.Corrections) > 0 {
			read = "the weather, corrected since, was read at "
		}
		out = append(out, Gate{Name: "weather", Holds: true, Running: true, Mend: mend,
			Found: verdict.Say(read, standing.Newest.At, "; the next reading is due by ", standing.Due)})
	}
	return out, nil
}
