package weather

import (
	"rungbook/internal/civil"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// ForecastDue is the local clock from which the forecast of the morning itself is
// asked for.
const ForecastDue civil.Minutes = 6*60 + 30

// Expected says what the newest forecast of a day cautions of at a place. A
// forecast never stops: what is measured does. None cautions too. z is the yard's
// zone; now is the moment of asking.
func Expected(l Limits, p Place, readings []Reading, day civil.Day, z civil.Zone, now civil.Instant) (out []verdict.Finding, newest *Reading) {
	for i, r := range readings {
		if r.Kind == Forecast && !r.Struck() && r.Day == day && r.At <= now && (newest == nil || r.At >= newest.At) {
			newest = &readings[i]
		}
	}
	morning := z.At(day, ForecastDue)
	switch {
	case newest == nil && now >= z.StartOfDay(day):
		return []verdict.Finding{p.cautions(ForecastRule, verdict.Say("no forecast of the day was entered"), verdict.Say("the forecast of the evening before, and that of 06:30"))}, nil
	case newest == nil:
		return nil, nil
	case now >= morning && newest.At < morning.Add(-forecastEarly):
		out = append(out, p.cautions(ForecastRule, verdict.Say("the newest forecast is of ", newest.At), verdict.Say("that of 06:30")))
	}
	said := *newest
	said.Averaging = TenMinutes // as weather services give it
	if w, ok := said.Wind(p.Height); ok {
		for _, f := range []*verdict.Finding{l.mean(p, said, w), l.gust(p, said, w)} {
			if f != nil {
				out = append(out, l.foretold(p, *f))
			}
		}
	}
	if newest.Ice == IceSeen {
		out = append(out, p.cautions(ForecastRule, verdict.Say("ice is forecast"), verdict.Say("no ice on structure or kit when it starts")))
	}
	if newest.Thunder {
		wait, _ := l.Value(rulebook.ThunderWait)
		out = append(out, p.cautions(ForecastRule, verdict.Say("thunderstorms are forecast"), verdict.Say("somebody watches the sky; thunder stops for ", civil.Minutes(wait))))
	}
	return out, newest
}

// forecastEarly is how long before 06:30 a forecast counts as that of 06:30.
const forecastEarly civil.Minutes = 90

// foretold is a finding about a measured wind, said of a forecast one.
func (l Limits) foretold(p Place, f verdict.Finding) verdict.Finding {
	return p.cautions(ForecastRule, append(verdict.Say("forecast "), f.Found...), f.Required)
}
