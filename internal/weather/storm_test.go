package weather

import (
	"errors"
	"testing"

	"rungbook/internal/fault"
)

func TestTheStrongestWindOfAReadingIsTakenForTenMetres(t *testing.T) {
	speed := func(n Speed) *Speed { return &n }
	for name, c := range map[string]struct {
		r    Reading
		want Speed
		ok   bool
		may  bool // be a storm, of which the least is 12.0
	}{
		"a gust at 10 m":                   {Reading{Kind: Measured, Mean: speed(90), Gust: speed(119), Height: ref(Height(100))}, 119, true, false},
		"the least that may be one":        {Reading{Kind: Measured, Mean: speed(90), Gust: speed(120), Height: ref(Height(100))}, 120, true, true},
		"higher up it is not lowered":      {Reading{Kind: Measured, Mean: speed(90), Gust: speed(120), Height: ref(Height(300))}, 120, true, true},
		"from 2 m it is raised":            {Reading{Kind: Measured, Mean: speed(60), Gust: speed(90), Height: ref(Height(20))}, 125, true, true}, // 9.0 × 5^0.2 = 12.42
		"no gust: the mean, nothing more":  {Reading{Kind: Measured, Mean: speed(90), Height: ref(Height(100))}, 90, true, false},
		"a mean that is one by itself":     {Reading{Kind: Measured, Mean: speed(130), Height: ref(Height(100))}, 130, true, true},
		"a forecast blew nowhere":          {Reading{Kind: Forecast, Mean: speed(200), Gust: speed(300), Height: ref(Height(100))}, 0, false, false},
		"thunder":                          {Reading{Kind: Thunder}, 0, false, false},
		"a storm that was told":            {Reading{Kind: StormPassed}, 0, false, true},
		"a storm that was told, its gust":  {Reading{Kind: StormPassed, Gust: speed(100)}, 100, true, true},
		"a reading that states no wind":    {Reading{Kind: Measured}, 0, false, false},
		"a gust whose height is not known": {Reading{Kind: Measured, Gust: speed(130)}, 130, true, true},
	} {
		got, ok := c.r.Strongest()
		if got != c.want || ok != c.ok || c.r.MayBeStorm(120) != c.may {
			t.Errorf("%s: %s (%t), may be a storm: %t", name, got, ok, c.r.MayBeStorm(120))
		}
	}
}

func TestAStormThatPassedBeganBeforeItWasOver(t *testing.T) {
	for name, c := range map[string]struct {
		r     Reading
		field string // that is wrong
	}{
		"an hour":          {Reading{Kind: StormPassed, From: noon - 60, At: noon}, ""},
		"a minute":         {Reading{Kind: StormPassed, From: noon - 1, At: noon}, ""},
		"no time at all":   {Reading{Kind: StormPassed, From: noon, At: noon}, "at"},
		"backwards":        {Reading{Kind: StormPassed, From: noon + 1, At: noon}, "at"},
		"no beginning":     {Reading{Kind: StormPassed, At: noon}, "from"},
		"beyond any storm": {Reading{Kind: StormPassed, From: noon - 60, At: noon, Gust: ref(Speed(701))}, "gust"},
	} {
		var form *fault.Form
		errors.As(c.r.Check(), &form)
		if (form == nil) != (c.field == "") || form != nil && form.Fields[c.field] == "" {
			t.Errorf("%s: %v", name, c.r.Check())
		}
	}
}
