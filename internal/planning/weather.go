package planning

import (
	"rungbook/internal/civil"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
)

// Sky is the weather as it was read and forecast, with the limits of the day.
type Sky struct {
	Readings []weather.Reading // of today and the day before, by time
	Limits   weather.Limits
	Now      civil.Instant
	zone     civil.Zone
}

// forecastAhead is how long before a day its forecasts are looked for.
const forecastAhead = 3 * 24 * civil.Minutes(60)

// SkyOf reads the weather of a view's moment.
func SkyOf(v *store.View) (Sky, error) {
	ref, err := v.Reference()
	if err != nil {
		return Sky{}, err
	}
	list, err := v.Readings(v.Now().Add(-forecastAhead), v.Now()+1)
	book, ok := rulebook.InForce(ref.RuleBooks.All(civil.LastDay), v.Today())
	return Sky{Readings: list, Limits: weather.LimitsOf(book, ok), Now: v.Now(), zone: v.Zone()}, err
}

func placeOf(r rig.Rig, st rig.Station) weather.Place {
	return weather.Place{Station: st.ID, Height: weather.Height(rig.WorkingHeight(r, st))}
}

// At says what the readings say of a station now. ok is false where weather does
// not count there.
func (s Sky) At(r rig.Rig, st rig.Station) (standing weather.Standing, ok bool) {
	if !rig.Outdoors(r, st) {
		return weather.Standing{}, false
	}
	return weather.Judge(s.Limits, placeOf(r, st), s.Readings, s.Now), true
}

// Expected says what the forecast of a day cautions of at a station; none where
// weather does not count there.
func (s Sky) Expected(r rig.Rig, st rig.Station, day civil.Day) []verdict.Finding {
	if !rig.Outdoors(r, st) {
		return nil
	}
	out, _ := weather.Expected(s.Limits, placeOf(r, st), s.Readings, day, s.zone, s.Now)
	return out
}

// Last is the last measured reading that counts, nil where none is known.
func (s Sky) Last() *weather.Reading {
	for i := len(s.Readings) - 1; i >= 0; i-- {
		if r := &s.Readings[i]; r.Kind == weather.Measured && !r.Struck() && s.Now.Sub(r.At) <= weather.LookBack {
			return r
		}
	}
	return nil
}
