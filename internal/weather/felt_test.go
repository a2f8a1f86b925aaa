package weather

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The wind chill chart of the US National Weather Service, effective 1 Nov 2001, °F
// and mph (from memory, but for 40 °F and 35 mph, which OSHA's page on wind chill
// prints).
func TestWindChillIsWhatTheWeatherServicePrints(t *testing.T) {
	for _, c := range []struct{ air, mph, felt float64 }{
		{40, 35, 28}, {40, 5, 36}, {30, 25, 16}, {0, 15, -19}, {0, 30, -26}, {-20, 20, -48}, {20, 10, 9}, {-45, 60, -98},
	} {
		got := chill((c.air-32)/1.8, c.mph*1.609344)*1.8 + 32
		if math.Round(got) != c.felt {
			t.Errorf("%v °F, %v mph: %.2f °F, printed %v", c.air, c.mph, got, c.felt)
		}
	}
}

// The wind chill table of the Meteorological Service of Canada, 2001, °C and km/h
// (from memory).
func TestWindChillIsWhatTheCanadianTablePrints(t *testing.T) {
	for _, c := range []struct{ air, kmh, felt float64 }{
		{5, 5, 4}, {5, 40, -1}, {0, 40, -7}, {-5, 10, -9}, {-10, 30, -20}, {-20, 20, -30}, {-30, 50, -49},
	} {
		if got := chill(c.air, c.kmh); math.Round(got) != c.felt {
			t.Errorf("%v °C, %v km/h: %.2f °C, printed %v", c.air, c.kmh, got, c.felt)
		}
	}
}

// The heat index chart of the US National Weather Service (from memory, but for
// 96 °F and 65 %, which OSHA's page on the heat index prints).
func TestHeatIndexIsWhatTheWeatherServicePrints(t *testing.T) {
	for _, c := range []struct{ air, humidity, felt float64 }{
		{96, 65, 121}, {88, 60, 95}, {100, 40, 109}, {86, 90, 105}, {100, 50, 118}, {80, 40, 80}, {110, 40, 136}, {90, 100, 132},
	} {
		if got := heat(c.air, c.humidity); math.Round(got) != c.felt {
			t.Errorf("%v °F, %v %%: %.2f °F, printed %v", c.air, c.humidity, got, c.felt)
		}
	}
}

func TestWhatIsFeltIsRoundedToTheSafeSide(t *testing.T) {
	if got, err := WindChill(-100, 84); err != nil || got != Celsius(math.Floor(chill(-10, 84*.36)*10)) {
		t.Errorf("−10 °C at 8.4 m/s: %s (%v)", got, err)
	}
	if got, err := WindChill(-90, 0); err != nil || got >= -90 {
		t.Errorf("−9 °C in calm air: %s (%v), want colder than the air", got, err)
	}
	dry, err := HeatIndex(350, 10)
	atForty, _ := HeatIndex(350, 40)
	if err != nil || dry != atForty {
		t.Errorf("dry air: %s (%v), at 40 %%: %s", dry, err, atForty)
	}
}

func TestOutsideItsRangeAFormulaRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		ask func() error
		ok  bool
	}{
		"chill at 10.0 °C":     {func() error { _, err := WindChill(100, 50); return err }, true},
		"chill at 10.1 °C":     {func() error { _, err := WindChill(101, 50); return err }, false},
		"chill at −50.0 °C":    {func() error { _, err := WindChill(-500, 50); return err }, true},
		"chill at −50.1 °C":    {func() error { _, err := WindChill(-501, 50); return err }, false},
		"chill at 27.7 m/s":    {func() error { _, err := WindChill(0, 277); return err }, true},
		"chill at 27.8 m/s":    {func() error { _, err := WindChill(0, 278); return err }, false},
		"heat at 26.7 °C":      {func() error { _, err := HeatIndex(267, 60); return err }, true},
		"heat at 26.6 °C":      {func() error { _, err := HeatIndex(266, 60); return err }, false},
		"heat at 43.3 °C":      {func() error { _, err := HeatIndex(433, 40); return err }, true},
		"heat at 43.4 °C":      {func() error { _, err := HeatIndex(434, 40); return err }, false},
		"heat off the chart":   {func() error { _, err := HeatIndex(430, 95); return err }, false},
		"heat at 101 % of air": {func() error { _, err := HeatIndex(300, 101); return err }, false},
	} {
		err := c.ask()
		var outside Outside
		if c.ok != (err == nil) || err != nil && !errors.As(err, &outside) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Worked example: 20 minutes to come down and muster, a storm at 60 km/h: 30 km.
func TestStopDistanceIsTheWorkedExample(t *testing.T) {
	if got := StopDistance(10, 20, 166); got != 30 {
		t.Errorf("20 min, 16.6 m/s: %s, worked 30 km", got)
	}
	if got := StopDistance(10, 20, 0); got != 10 {
		t.Errorf("a storm that stands: %s", got)
	}
}

// Platform guidance has up to half more wind at 20 m than on the ground: 7 m/s
// there is 10.5 m/s up. What is assumed here must not be less.
func TestRaisingCoversThePlatformGuidance(t *testing.T) {
	if got := Raise(70, 20, 200); got < 105 {
		t.Errorf("7 m/s at 2 m is taken for %s at 20 m, want at least 10.5", got)
	}
	if got := Raise(70, 20, 200); got != 111 { // 7 · 10^0.2 = 11.09, worked by hand
		t.Errorf("7 m/s at 2 m is taken for %s at 20 m, worked 11.1", got)
	}
}

func TestRaisingNeverLowersAndGrowsWithHeightAndWind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := Speed(rapid.Int64Range(0, 700).Draw(t, "wind"))
		from := Height(rapid.Int64Range(0, 3000).Draw(t, "from"))
		to := Height(rapid.Int64Range(0, 3000).Draw(t, "to"))
		got := Raise(v, from, to)
		if got < v {
			t.Fatalf("%s became %s", v, got)
		}
		if Raise(v, from, to+5) < got || Raise(v+1, from, to) < got || Raise(v, from+5, to) > got {
			t.Fatalf("%s from %s to %s: more height or wind gave less", v, from, to)
		}
	})
}

func TestMoreWindFeelsColderMoreHeatHotterAndAFasterStormIsFartherOff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := Celsius(rapid.Int64Range(-500, 100).Draw(t, "air"))
		wind := Speed(rapid.Int64Range(0, 276).Draw(t, "wind"))
		less, err1 := WindChill(air, wind)
		more, err2 := WindChill(air, wind+1)
		if err1 != nil || err2 != nil || more > less {
			t.Fatalf("%s in %s feels %s, in more wind %s (%v, %v)", air, wind, less, more, err1, err2)
		}
		minutes, storm := rapid.Int64Range(0, 240).Draw(t, "minutes"), Speed(rapid.Int64Range(0, 500).Draw(t, "storm"))
		near := StopDistance(10, minutes, storm)
		if near < 10 || StopDistance(10, minutes+1, storm) < near || StopDistance(10, minutes, storm+1) < near || StopDistance(11, minutes, storm) <= near {
			t.Fatalf("stop distance %s shrinks", near)
		}
	})
}
