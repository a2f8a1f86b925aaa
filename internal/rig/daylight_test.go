package rig

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

func yardAt(latitude, longitude float64) Yard {
	return Yard{Latitude: int64(math.Round(latitude * 1e6)), Longitude: int64(math.Round(longitude * 1e6))}
}

func zone(t interface{ Fatal(...any) }, name string) civil.Zone {
	z, err := civil.LoadZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// noaaHeight is the sun's height by the equations of the NOAA solar calculator
// (after Meeus, Astronomical Algorithms, 2nd edition; coefficients from memory):
// a second, finer reckoning that shares nothing with the one under test.
func noaaHeight(latitude, longitude float64, at civil.Instant) float64 {
	const rad = math.Pi / 180
	julian := float64(at)/1440 + 2440587.5
	c := (julian - 2451545) / 36525
	l0 := math.Mod(280.46646+c*(36000.76983+0.0003032*c), 360)
	m := 357.52911 + c*(35999.05029-0.0001537*c)
	e := 0.016708634 - c*(0.000042037+0.0000001267*c)
	centre := math.Sin(m*rad)*(1.914602-c*(0.004817+0.000014*c)) + math.Sin(2*m*rad)*(0.019993-0.000101*c) + math.Sin(3*m*rad)*0.000289
	omega := 125.04 - 1934.136*c
	apparent := l0 + centre - 0.00569 - 0.00478*math.Sin(omega*rad)
	oblique := 23 + (26+(21.448-c*(46.815+c*(0.00059-c*0.001813)))/60)/60 + 0.00256*math.Cos(omega*rad)
	declination := math.Asin(math.Sin(oblique*rad) * math.Sin(apparent*rad))
	y := math.Pow(math.Tan(oblique/2*rad), 2)
	equation := 4 / rad * (y*math.Sin(2*l0*rad) - 2*e*math.Sin(m*rad) + 4*e*y*math.Sin(m*rad)*math.Cos(2*l0*rad) -
		0.5*y*y*math.Sin(4*l0*rad) - 1.25*e*e*math.Sin(2*m*rad))
	hour := (math.Mod(float64(at), 1440)+equation+4*longitude)/4 - 180
	return math.Asin(math.Sin(latitude*rad)*math.Sin(declination)+math.Cos(latitude*rad)*math.Cos(declination)*math.Cos(hour*rad)) / rad
}

// Published times, to the minute. Sources as read on pages that quote them:
// Dublin and London, a diary of 2 Jan 2008 and a page on the earliest sunset of
// 2021; Reykjavík, an almanac notice of 21 Dec 2004; Moscow, a table for 12 Apr
// 2015; Melbourne, a test of 26 Feb 2026. Quito and Tromsø's polar days are from
// memory.
func TestDaylightLiesJustInsideThePublishedTimes(t *testing.T) {
	cases := []struct {
		name, zone          string
		latitude, longitude float64
		day, rise, set      string
	}{
		{"Dublin in January", "Europe/Dublin", 53.35, -6.26, "2008-01-02", "08:41", "16:17"},
		{"Dublin's earliest sunset", "Europe/Dublin", 53.35, -6.26, "2021-12-12", "", "16:06"},
		{"Dublin's latest sunrise", "Europe/Dublin", 53.35, -6.26, "2021-12-29", "08:40", ""},
		{"London in January", "Europe/London", 51.51, -0.13, "2008-01-02", "08:06", "16:03"},
		{"Reykjavík's shortest day", "Atlantic/Reykjavik", 64.15, -21.94, "2004-12-21", "11:22", "15:30"},
		{"Moscow in April", "Europe/Moscow", 55.7522, 37.6156, "2015-04-12", "05:34", "19:29"},
		{"Melbourne in February", "Australia/Melbourne", -37.8136, 144.9631, "2026-02-26", "07:01", ""},
		{"Quito at the equinox", "America/Guayaquil", -0.22, -78.51, "2027-03-21", "06:18", "18:24"},
	}
	near := func(got civil.Minutes, published string, inward civil.Minutes) bool {
		if published == "" {
			return true
		}
		want, err := civil.ParseClock(published)
		late := (got - want) * inward
		return err == nil && 0 <= late && late <= 2
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			light, ok := DaylightOn(yardAt(c.latitude, c.longitude), zone(t, c.zone), day(c.day))
			if !ok || !near(light.From, c.rise, 1) || !near(light.To, c.set, -1) {
				t.Errorf("got %s to %s (%t), want at most 2 minutes inside %s to %s", civil.ClockString(light.From), civil.ClockString(light.To), ok, c.rise, c.set)
			}
		})
	}
}

func TestPolarDaysAndNights(t *testing.T) {
	oslo := zone(t, "Europe/Oslo")
	tromso := yardAt(69.65, 18.96)
	cases := []struct {
		name, day string
		up        bool
		all       bool
	}{
		{"in the polar night", "2026-12-21", false, false},
		{"two days before the sun is back", "2027-01-13", false, false},
		{"soon after the sun is back", "2027-01-18", true, false},
		{"before the midnight sun", "2027-05-15", true, false},
		{"in the midnight sun", "2027-06-21", true, true},
		{"after the midnight sun", "2027-07-28", true, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			light, ok := DaylightOn(tromso, oslo, day(c.day))
			if ok != c.up || (light.From == 0 && light.To == 24*60) != c.all {
				t.Errorf("got %+v (%t), want up %t, all day %t", light, ok, c.up, c.all)
			}
		})
	}
	if got := len(Daylights(tromso, oslo, day("2026-12-01"), 31)); got != 0 {
		t.Errorf("got %d light days in December, want none", got)
	}
	if got := len(Daylights(tromso, oslo, day("2027-03-01"), 31)); got != 31 {
		t.Errorf("got %d light days in March, want 31", got)
	}
}

func TestAPlaceThatIsNotStatedHasNoDaylight(t *testing.T) {
	for name, y := range map[string]Yard{
		"no place":             {},
		"beyond the pole":      {Latitude: 90_000_001},
		"beyond the date line": {Longitude: -180_000_001},
	} {
		if light, ok := DaylightOn(y, dublin(), day("2027-06-21")); ok {
			t.Errorf("%s: got %+v, want none", name, light)
		}
	}
}

func TestADayThatTheZoneSkippedHasNoDaylight(t *testing.T) {
	// Samoa went from 29 to 31 December 2011 (tz database, Pacific/Apia).
	apia := zone(t, "Pacific/Apia")
	if light, ok := DaylightOn(yardAt(-13.83, -171.77), apia, day("2011-12-30")); ok {
		t.Errorf("got %+v, want none", light)
	}
	if light, ok := DaylightOn(yardAt(-13.83, -171.77), apia, day("2011-12-31")); !ok || light.From > 8*60 {
		t.Errorf("the day after: got %+v (%t), want a day's light", light, ok)
	}
}

func TestDaylightNeverReachesIntoTheDark(t *testing.T) {
	zones := []string{"Europe/Dublin", "Europe/Oslo", "America/Anchorage", "Africa/Johannesburg", "Pacific/Kiritimati", "Pacific/Chatham", "Asia/Kolkata", "America/Havana", "UTC"}
	rapid.Check(t, func(t *rapid.T) {
		z := zone(t, rapid.SampledFrom(zones).Draw(t, "zone"))
		latitude := float64(rapid.IntRange(-80_000, 80_000).Draw(t, "latitude")) / 1000
		longitude := float64(rapid.IntRange(-179_000, 179_000).Draw(t, "longitude")) / 1000
		d := day("2020-01-01") + civil.Day(rapid.IntRange(0, 10_000).Draw(t, "day"))
		light, ok := DaylightOn(yardAt(latitude, longitude), z, d)
		if !ok {
			return
		}
		const up = -50.0 / 60.0
		for _, clock := range []civil.Minutes{light.From, (light.From + light.To) / 2, light.To - 1, light.To} {
			if h := noaaHeight(latitude, longitude, z.At(d, clock)); h < up {
				t.Fatalf("%s at %s: the sun stands at %.3f degrees within %+v", d, civil.ClockString(clock), h, light)
			}
		}
		// Outside the polar circles the light is not cut by more than two minutes,
		// save on a day on which the clock shows an hour twice or never: that hour
		// can't be told by the clock alone, and is left dark.
		if whole := z.DayPeriod(d); math.Abs(latitude) > 60 || whole.End-whole.Start != 24*60 {
			return
		}
		if light.From > 3 && noaaHeight(latitude, longitude, z.At(d, light.From)-3) >= up {
			t.Fatalf("%s: the sun is up 3 minutes before %s", d, civil.ClockString(light.From))
		}
		if light.To < 24*60-3 && noaaHeight(latitude, longitude, z.At(d, light.To)+3) >= up {
			t.Fatalf("%s: the sun is up 3 minutes after %s", d, civil.ClockString(light.To))
		}
	})
}

func BenchmarkDaylightOfAYear(b *testing.B) {
	for b.Loop() {
		Daylights(yardAt(53.35, -6.26), dublin(), 739000, 366)
	}
}
