package weather

import (
	"fmt"

	"rungbook/internal/civil"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// ice stops, and so does not having looked.
func ice(p Place, r Reading) *verdict.Finding {
	required := verdict.Say("somebody looked, and there is no ice on structure or kit")
	switch r.Ice {
	case NoIce:
		return nil
	case IceSeen:
		f := p.stops(IceRule, verdict.Say("ice on structure or kit"), required)
		return &f
	}
	f := p.stops(IceRule, verdict.Say("nobody looked for ice"), required)
	return &f
}

// windFor is the height of the wind that the wind chill asks for, where people
// work lower than it.
const windFor Height = 100

// cold judges the wind chill. Air that was not measured stops.
func (l Limits) cold(p Place, r Reading) *verdict.Finding {
	if r.Celsius == nil {
		f := p.stops(ChillRule, verdict.Say("no air temperature was read"), verdict.Say("the air temperature"))
		return &f
	}
	if *r.Celsius > chillMildest {
		return nil
	}
	floor, stated := l.Value(rulebook.WindChillFloor)
	if !stated {
		return l.missing(p, ChillRule, "wind chill")
	}
	w, ok := r.Wind(max(p.Height, windFor))
	if !ok {
		return nil // that no wind was read stops already
	}
	required := verdict.Say("a wind chill above ", Celsius(floor*10))
	felt, err := WindChill(*r.Celsius, w.Mean)
	if err != nil {
		f := p.stops(ChillRule, verdict.Say("the wind chill can't be worked out: ", err.Error()), required)
		return &f
	}
	if felt > Celsius(floor*10) {
		return nil
	}
	f := p.stops(ChillRule, verdict.Say("wind chill ", felt, ": ", *r.Celsius, " in wind of ", w.Mean), required)
	return &f
}

// heat judges the heat index of warm air.
func (l Limits) heat(p Place, r Reading) *verdict.Finding {
	if r.Celsius == nil || !r.Celsius.hot() {
		return nil
	}
	stop, _ := l.Value(rulebook.HeatStop)
	caution, _ := l.Value(rulebook.HeatCaution)
	required := verdict.Say("a heat index below ", Celsius(stop*10))
	if r.Humidity == nil {
		f := p.stops(HeatRule, verdict.Say("the air is ", *r.Celsius, " and no humidity was read"), verdict.Say("the humidity of the air, from 26.7 °C on"))
		return &f
	}
	felt, err := HeatIndex(*r.Celsius, *r.Humidity)
	found := verdict.Say("heat index ", felt, ": ", *r.Celsius, " at ", fmt.Sprintf("%d %%", *r.Humidity), " in the shade; sun adds to it")
	switch {
	case err != nil:
		f := p.stops(HeatRule, verdict.Say("the heat index can't be worked out: ", err.Error()), required)
		return &f
	case felt >= Celsius(stop*10):
		f := p.stops(HeatRule, found, required)
		return &f
	case felt >= Celsius(caution*10):
		f := p.cautions(HeatRule, found, verdict.Say("water, shade and breaks; ", Celsius(stop*10), " stops"))
		return &f
	}
	return nil
}

// thunder stops all of the yard until the wait after the last thunder is over.
// Lightning nearer than the stop distance counts as thunder.
func (l Limits) thunder(p Place, readings []Reading, now civil.Instant) (resume civil.Instant, f *verdict.Finding) {
	var last *Reading
	for _, x := range readings {
		for _, r := range x.ever() { // a correction ends no wait: nobody hears again what was heard
			if r.Kind != Forecast && r.At <= now && l.strikes(r) && (last == nil || r.At >= last.At) {
				last = &r
			}
		}
	}
	if last == nil {
		return 0, nil
	}
	r := *last
	resume = r.At.Add(l.wait())
	if now >= resume {
		return 0, nil
	}
	required := verdict.Say(l.wait(), " without thunder: not before ", resume)
	out := p.stops(ThunderRule, verdict.Say("thunder at ", r.At), required)
	if !r.Thunder && r.Kind != Thunder {
		out = p.stops(LightningRule, verdict.Say("lightning ", *r.Lightning, " away at ", r.At, "; the stop distance is ", l.StopDistance(r.Storm)), required)
	}
	return resume, &out
}

func (l Limits) strikes(r Reading) bool {
	return r.Kind == Thunder || r.Thunder || r.Lightning != nil && *r.Lightning <= l.StopDistance(r.Storm)
}
