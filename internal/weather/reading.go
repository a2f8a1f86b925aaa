// Package weather knows what a weather reading at the yard says about working
// there: wind at working height, ice, cold, heat, thunder. It knows formulas with
// their sources and where they hold, and judges by the rule book's limits. It does
// not know the records or the sessions. What was not read is never clear. Read
// judge.go first, then reading.go.
package weather

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Speed is tenths of a metre per second.
type Speed int64

// String returns it as people read it: "6.2 m/s".
func (s Speed) String() string { return tenths(int64(s)) + " m/s" }

// Height is decimetres above the ground.
type Height int64

// String returns it as people read it: "14.0 m".
func (h Height) String() string { return tenths(int64(h)) + " m" }

// Celsius is tenths of a degree.
type Celsius int64

// String returns it as people read it: "−3.5 °C".
func (c Celsius) String() string { return tenths(int64(c)) + " °C" }

// Kilometres is a whole distance.
type Kilometres int64

// String returns it as people read it: "12 km".
func (k Kilometres) String() string { return fmt.Sprintf("%d km", int64(k)) }

func tenths(n int64) string {
	sign := ""
	if n < 0 {
		sign, n = "−", -n
	}
	return fmt.Sprintf("%s%d.%d", sign, n/10, n%10)
}

// Kind says what a reading is.
type Kind string

// The kinds. A forecast is what a weather service said of a day, entered by hand. A
// storm that passed is one that nobody read, told afterwards; it says nothing of the
// weather now.
const (
	Measured    Kind = "measured"
	Thunder     Kind = "thunder"
	Forecast    Kind = "forecast"
	StormPassed Kind = "storm"
)

// Instrument is what the wind was read with; a closed list.
type Instrument string

// Instruments returns every instrument, in the order forms show them.
func Instruments() []Instrument { return []Instrument{"hand-held", "mast", "nacelle", "other"} }

// Averaging is the time over which the mean was taken; a closed list.
type Averaging string

// The averaging times. Not stated counts as a glance.
const (
	TenMinutes Averaging = "ten-minutes"
	Shorter    Averaging = "shorter" // one to nine minutes
	Glance     Averaging = "glance"  // under a minute
	Longer     Averaging = "longer"  // up to an hour
)

// Averagings returns every averaging time, in the order forms show them.
func Averagings() []Averaging { return []Averaging{TenMinutes, Shorter, Glance, Longer} }

// Ice is what was seen of ice; a closed list. Not stated stops.
type Ice string

// What can be said of ice.
const (
	NoIce     Ice = "none"
	IceSeen   Ice = "seen"
	NotLooked Ice = "not-looked"
)

// Ices returns every answer, in the order forms show them.
func Ices() []Ice { return []Ice{NoIce, IceSeen, NotLooked} }

// Directions returns the points of the compass that wind comes from.
func Directions() []string { return []string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"} }

// Reading is the weather as somebody read it at the yard, or as it was forecast.
// What is nil or "" was not read.
type Reading struct {
	ID         id.Reading    `json:"id"`
	Kind       Kind          `json:"kind"`
	From       civil.Instant `json:"from,omitempty"` // of a storm that passed: when it began; At is when it was over
	At         civil.Instant `json:"at"`
	By         id.Person     `json:"by"`
	Station    id.Station    `json:"station,omitempty"` // it speaks for; "" = the whole yard
	Day        civil.Day     `json:"day,omitempty"`     // of a forecast: the local day it is about
	Instrument Instrument    `json:"instrument,omitempty"`
	Height     *Height       `json:"height,omitempty"` // of the instrument, above the ground
	Averaging  Averaging     `json:"averaging,omitempty"`
	Mean       *Speed        `json:"mean,omitempty"`
	Gust       *Speed        `json:"gust,omitempty"`      // highest 3-second gust
	Direction  string        `json:"direction,omitempty"` // it comes from
	Celsius    *Celsius      `json:"celsius,omitempty"`   // of the air, in the shade
	Humidity   *int          `json:"humidity,omitempty"`  // relative, %
	Ice        Ice           `json:"ice,omitempty"`
	Thunder    bool          `json:"thunder,omitempty"`   // heard; of a forecast: to be expected
	Lightning  *Kilometres   `json:"lightning,omitempty"` // how far away the nearest is
	Storm      *Speed        `json:"storm,omitempty"`     // of the thunderstorm over the ground
	Note       id.Commitment `json:"note,omitempty"`

	Corrections []Correction `json:"corrections,omitempty"` // the oldest first
}

// The range in which a value is taken for a reading and not for a slip of the
// finger; both ends count.
const (
	MostWind                    Speed      = 700
	LeastHeight, MostHeight     Height     = 10, 3000 // closer to the ground the profile says nothing
	Coldest, Hottest            Celsius    = -600, 600
	MostLightning               Kilometres = 500
	LeastHumidity, MostHumidity            = 1, 100
)

// Check returns what can't be a reading, field by field, as fault.Invalid.
func (r Reading) Check() error {
	bad := fault.Fields{}
	between(bad, "mean", r.Mean, 0, MostWind)
	between(bad, "gust", r.Gust, 0, MostWind)
	between(bad, "height", r.Height, LeastHeight, MostHeight)
	between(bad, "celsius", r.Celsius, Coldest, Hottest)
	between(bad, "lightning", r.Lightning, 0, MostLightning)
	between(bad, "storm", r.Storm, 1, MostWind)
	if r.Humidity != nil && (*r.Humidity < LeastHumidity || *r.Humidity > MostHumidity) {
		bad.Add("humidity", "The humidity is %d %%; it must be from %d to %d.", *r.Humidity, LeastHumidity, MostHumidity)
	}
	if r.Mean != nil && r.Gust != nil && *r.Gust < *r.Mean {
		bad.Add("gust", "The gust is %s, less than the mean of %s. The highest gust is never below the mean.", *r.Gust, *r.Mean)
	}
	if r.Kind == Measured || r.Kind == Forecast {
		if r.Mean == nil {
			bad.Add("mean", "Give the mean wind.")
		}
		if r.Height == nil {
			bad.Add("height", "Give the height above the ground that the wind is of.")
		}
	}
	if r.Kind == StormPassed && r.From == 0 {
		bad.Add("from", "Give when it began.")
	} else if r.Kind == StormPassed && r.From >= r.At {
		bad.Add("at", "It was over before it began. Give a later end.")
	}
	listed(bad, "kind", r.Kind, []Kind{Measured, Thunder, Forecast, StormPassed}, r.Kind == "")
	measured := r.Kind == Measured
	listed(bad, "instrument", r.Instrument, Instruments(), measured)
	listed(bad, "averaging", r.Averaging, Averagings(), measured)
	listed(bad, "ice", r.Ice, Ices(), measured)
	listed(bad, "direction", r.Direction, Directions(), false)
	return bad.Err()
}

func between[T ~int64](bad fault.Fields, field string, v *T, least, most T) {
	if v != nil && (*v < least || *v > most) {
		bad.Add(field, "%v is out of range; it must be from %v to %v.", *v, least, most)
	}
}

func listed[T ~string](bad fault.Fields, field string, v T, list []T, asked bool) {
	if v == "" && !asked {
		return
	}
	if !slices.Contains(list, v) {
		bad.Add(field, "Choose one.")
	}
}
