package weather

import (
	"fmt"
	"math"
)

// Outside is the error of a formula that was asked beyond the range in which it
// holds. Nothing is extrapolated.
type Outside struct {
	What     string
	Found    string
	From, To string // both allowed
}

func (o Outside) Error() string {
	return fmt.Sprintf("%s is %s; the formula holds from %s to %s.", o.What, o.Found, o.From, o.To)
}

// The ranges in which the formulas hold, both ends counted.
const (
	chillColdest, chillMildest Celsius = -500, 100
	chillLeast, chillMost      float64 = 4.8, 100 // km/h
	heatLow, heatHigh          float64 = 80, 110  // °F
	heatMost                   float64 = 137      // °F felt, the end of the table
	heatDriest                 int     = 40       // %
)

func kmh(v Speed) float64 { return float64(v) * 0.36 }

// WindChill is the temperature that bare skin feels, from air temperature and mean
// wind at 10 m: 13.12 + 0.6215 T − 11.37 v^0.16 + 0.3965 T v^0.16, v in km/h,
// rounded down to a tenth. Source: US National Weather Service and Meteorological
// Service of Canada, wind chill index of 2001 (formula from memory; published
// values are its tests). It holds from −50 to 10 °C and for wind above 4.8 km/h to
// 100 km/h. Calmer wind is taken for 4.8 km/h, which feels colder than it is. The
// error is Outside.
func WindChill(t Celsius, wind Speed) (Celsius, error) {
	if t < chillColdest || t > chillMildest {
		return 0, Outside{"The air temperature", t.String(), chillColdest.String(), chillMildest.String()}
	}
	v := max(kmh(wind), chillLeast)
	if v > chillMost {
		return 0, Outside{"The wind", wind.String(), "1.3 m/s", "27.7 m/s"}
	}
	return Celsius(math.Floor(chill(float64(t)/10, v)*10 + 1e-9)), nil
}

// chill is the formula of WindChill, of °C and km/h.
func chill(air, wind float64) float64 {
	p := math.Pow(wind, 0.16)
	return 13.12 + 0.6215*air - 11.37*p + 0.3965*air*p
}

// HeatIndex is how hot still air in the shade feels, rounded up to a tenth. Source:
// US National Weather Service, Southern Region Technical Attachment SR 90-23
// (Rothfusz, 1990), a regression of Steadman's table (coefficients from memory;
// published values are its tests). It holds from 80 to 110 °F and from 40 %
// humidity, to the end of the table at 137 °F. Drier air is taken for 40 %, which
// feels hotter than it is. The error is Outside.
func HeatIndex(t Celsius, humidity int) (Celsius, error) {
	f, r := float64(t)/10*9/5+32, float64(max(humidity, heatDriest))
	if f < heatLow-1e-9 || f > heatHigh+1e-9 {
		return 0, Outside{"The air temperature", t.String(), "26.7 °C", "43.3 °C"}
	}
	if r > 100 {
		return 0, Outside{"The humidity", fmt.Sprint(humidity, " %"), "40 %", "100 %"}
	}
	h := heat(f, r)
	felt := Celsius(math.Ceil((h-32)/1.8*10 - 1e-9))
	if h > heatMost {
		return 0, Outside{"The heat index", felt.String(), "26.7 °C", "58.3 °C"}
	}
	return felt, nil
}

// heat is the regression of HeatIndex, of °F and %.
func heat(f, r float64) float64 {
	return -42.379 + 2.04901523*f + 10.14333127*r - 0.22475541*f*r - 6.83783e-3*f*f - 5.481717e-2*r*r +
		1.22874e-3*f*f*r + 8.5282e-4*f*r*r - 1.99e-6*f*f*r*r
}

// hot reports whether air is warm enough for a heat index to be asked for.
func (c Celsius) hot() bool { return float64(c)/10*9/5+32 >= heatLow-1e-9 }

// StopDistance is how near lightning may come before people start down: a distance,
// and what the storm travels while they come down and muster. It is rounded up to a
// kilometre. Common practice, no source; a negative or zero speed is no storm.
func StopDistance(at Kilometres, clearMinutes int64, storm Speed) Kilometres {
	metres := max(clearMinutes, 0) * 6 * int64(max(storm, 0)) // minutes · 60 s · dm/s / 10
	return at + Kilometres((metres+999)/1000)
}
