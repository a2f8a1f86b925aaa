package demo

import (
	"fmt"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/weather"
)

// layWeather writes the forecasts of today and what was read this morning: a fair
// day of which the forecast cautions.
func (b *builder) layWeather() {
	by := b.person(demoInstructor)
	wind := func(mean, gust weather.Speed, r weather.Reading) weather.Reading {
		height := weather.Height(100)
		r.By, r.Mean, r.Gust, r.Height, r.Direction = by, &mean, &gust, &height, "SW"
		return r
	}
	note := func(key string, r weather.Reading) {
		r.ID = idOf[id.Reading](b, "reading", key)
		act := "read"
		if r.Kind == weather.Forecast {
			act = "forecast"
		}
		b.write(upkeep, b.zone.DayOf(r.At), by, act, r)
	}
	told := func(at civil.Instant, says string) weather.Reading {
		return weather.Reading{Kind: weather.Forecast, At: at, Day: b.Today, Ice: weather.NoIce, Note: text(says)}
	}
	note("evening", wind(90, 135, told(b.zone.At(b.Today-1, 17*clock+40), "Freshening towards noon, dry.")))
	note("morning", wind(80, 125, told(b.zone.At(b.Today, 6*clock+30), "Fresh in the afternoon, dry.")))
	for i, row := range []struct {
		at         civil.Minutes
		mean, gust weather.Speed
		air        weather.Celsius
	}{{7*clock + 50, 52, 78, 61}, {8*clock + 20, 54, 80, 64}, {8*clock + 50, 58, 85, 70}, {9*clock + 20, 57, 88, 73}} {
		air := row.air
		note(fmt.Sprint("today ", i), wind(row.mean, row.gust, weather.Reading{Kind: weather.Measured, At: b.zone.At(b.Today, row.at),
			Instrument: "mast", Averaging: weather.TenMinutes, Celsius: &air, Ice: weather.NoIce}))
	}
}
