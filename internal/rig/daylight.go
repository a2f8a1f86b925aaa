package rig

import (
	"math"
	"time"

	"github.com/nathan-osman/go-sunrise"

	"rungbook/internal/civil"
)

// Daylight is the time of a local day in which the sun is up: [From, To) of the
// local clock.
type Daylight struct {
	Day      civil.Day
	From, To civil.Minutes
}

// sunUp is the height of the sun's centre, in degrees, from which the sun counts
// as up. Almanacs take −50 arc minutes: 34 of refraction, 16 of half the disc
// (U.S. Naval Observatory, "Rise, Set, and Twilight Definitions", from memory).
// The rest is a margin on the safe side: the formulas used are right to about
// 0.01 degrees, which near the polar circles is some minutes.
const sunUp = -50.0/60.0 + 0.02

// DaylightOn returns the daylight of a local day at the yard. Minutes are rounded
// inward. ok is false where the sun does not rise, and where the yard does not
// state its place: latitude and longitude both 0, or outside ±90 and ±180 degrees.
func DaylightOn(y Yard, z civil.Zone, d civil.Day) (light Daylight, ok bool) {
	at, ok := placeOf(y)
	if !ok {
		return Daylight{}, false
	}
	noon, ok := at.noon(z, d)
	if !ok || at.height(noon) < sunUp {
		return Daylight{}, false
	}
	day := z.DayPeriod(d)
	rise := at.edge(noon, -1, day.Start)
	set := at.edge(noon, +1, day.End)
	light = Daylight{Day: d, From: z.Clock(rise), To: z.Clock(set)}
	if set == day.End {
		light.To = 24 * 60
	}
	// A clock time shown twice is read as its first showing, which may lie before
	// sunrise.
	for z.At(d, light.From) < rise {
		light.From++
	}
	return light, light.From < light.To
}

// Daylights returns the daylight of the local days from … from + days − 1 that
// have any.
func Daylights(y Yard, z civil.Zone, from civil.Day, days int) []Daylight {
	var out []Daylight
	for i := range days {
		if light, ok := DaylightOn(y, z, from+civil.Day(i)); ok {
			out = append(out, light)
		}
	}
	return out
}

// place is where the sun is looked at from, in degrees.
type place struct{ latitude, longitude float64 }

func placeOf(y Yard) (place, bool) {
	p := place{float64(y.Latitude) / 1e6, float64(y.Longitude) / 1e6}
	stated := y.Latitude != 0 || y.Longitude != 0
	return p, stated && math.Abs(p.latitude) <= 90 && math.Abs(p.longitude) <= 180
}

// noon returns the instant within local day d at which the sun stands highest.
// ok is false if no such instant lies in that day: the zone skipped it.
func (p place) noon(z civil.Zone, d civil.Day) (civil.Instant, bool) {
	year, month, dayOfMonth := d.Date()
	mean := sunrise.MeanSolarNoon(p.longitude, year, month, dayOfMonth)
	for _, days := range []float64{0, -1, 1} {
		at := mean + days
		_, transit := sun(at)
		t := civil.InstantOf(sunrise.JulianDayToTime(at + transit))
		if z.DayOf(t) == d {
			return t, true
		}
	}
	return 0, false
}

// sun returns the sun's declination in degrees and the days from mean to true
// noon, at a Julian day. The library counts longitudes from the equinox of 2000;
// the equinox wanders by 50.3 arc seconds a year (Meeus, Astronomical Algorithms,
// from memory), which by 2026 is a minute and a half at 70 degrees north.
func sun(julian float64) (declination, transit float64) {
	const (
		wander     = 1.397 // degrees a century
		aberration = 0.0057
		obliquity  = 23.44 // as the library's declination takes it
	)
	anomaly := sunrise.SolarMeanAnomaly(julian)
	shift := wander*(julian-sunrise.J2000)/36525 - aberration
	mean := sunrise.EclipticLongitude(anomaly, 0, julian) + shift
	longitude := mean + sunrise.EquationOfCenter(anomaly)
	ascension := math.Atan2(math.Cos(obliquity*sunrise.Degree)*math.Sin(longitude*sunrise.Degree), math.Cos(longitude*sunrise.Degree)) / sunrise.Degree
	return sunrise.Declination(longitude), math.Remainder(ascension-mean, 360) / 360
}

// height returns the height of the sun's centre over the horizon, in degrees,
// without refraction.
func (p place) height(t civil.Instant) float64 {
	julian := sunrise.TimeToJulianDay(time.Unix(int64(t)*60, 0))
	declination, transit := sun(julian)
	// Julian days begin at noon in Greenwich, so the fraction is the hour angle there.
	angle := 2 * math.Pi * (julian + p.longitude/360 - transit)
	sin := math.Sin(p.latitude*sunrise.Degree)*math.Sin(declination*sunrise.Degree) +
		math.Cos(p.latitude*sunrise.Degree)*math.Cos(declination*sunrise.Degree)*math.Cos(angle)
	return math.Asin(sin) / sunrise.Degree
}

// edge returns the last minute, going from noon in a direction (−1 or +1), at
// which the sun is up, but not past the limit. Between noon and the midnights
// beside it the sun only falls; a limit beyond midnight is reached only where
// the sun stays up through midnight.
func (p place) edge(noon civil.Instant, direction civil.Instant, limit civil.Instant) civil.Instant {
	const halfDay = 12 * 60
	end := noon + direction*halfDay
	if (limit-end)*direction < 0 {
		end = limit
	}
	if p.height(end) >= sunUp {
		if end == noon+direction*halfDay {
			return limit
		}
		return end
	}
	up, down := noon, end
	for (down-up)*direction > 1 {
		if middle := (up + down) / 2; p.height(middle) >= sunUp {
			up = middle
		} else {
			down = middle
		}
	}
	return up
}
