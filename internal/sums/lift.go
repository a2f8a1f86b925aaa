package sums

import (
	"fmt"
	"math"

	"rungbook/internal/fault"
)

func oneField(field, format string, args ...any) error {
	bad := fault.Fields{}
	bad.Add(field, format, args...)
	return bad.Err()
}

// mostParts bounds the parts of one body.
const mostParts = 6

func partsCentre() Sum {
	s := Sum{
		Name: "parts-centre", Title: "Centre of gravity of parts", For: "Where a body of several parts hangs level: over its centre of gravity.",
		Formula: "x = Σ (mass · arm) / Σ mass", Source: "Statics, moments. Worked alike in FAA-H-8083-1B, Weight and Balance Handbook, 2016, chapter 2 (from memory).",
		Holds: "Along one line, with all arms from the same point. Repeat it across and upwards where the body is not symmetric.",
	}
	s.Example = map[string]string{"mass_1": "100", "arm_1": "50", "mass_2": "100", "arm_2": "90", "mass_3": "200", "arm_3": "150"}
	for i := 1; i <= mostParts; i++ {
		s.Asks = append(s.Asks, Ask{Name: fmt.Sprint("mass_", i), Label: fmt.Sprintf("Mass of part %d", i), Unit: "kg", Min: 0.01, Max: 200000, Optional: i > 2},
			Ask{Name: fmt.Sprint("arm_", i), Label: fmt.Sprintf("Arm of part %d: its own centre from the point", i), Unit: "m", Min: -200, Max: 200, Optional: i > 2})
	}
	s.work = func(g given) (Result, error) {
		var mass, moment float64
		var steps []string
		for i := 1; i <= mostParts; i++ {
			m, a := fmt.Sprint("mass_", i), fmt.Sprint("arm_", i)
			if g.has(m) != g.has(a) {
				return Result{}, oneField(map[bool]string{true: a, false: m}[g.has(m)], "Part %d has a mass or an arm and lacks the other. Give both, or neither.", i)
			}
			if g.has(m) {
				mass, moment = mass+g[m], moment+g[m]*g[a]
				steps = append(steps, fmt.Sprintf("part %d: %s kg · %s m = %s kg·m", i, number(g[m]), number(g[a]), number(g[m]*g[a])))
			}
		}
		x := moment / mass
		return Result{Answer: number(x) + " m from the point", Steps: append(steps, fmt.Sprintf("sum: %s kg·m / %s kg = %s m", number(moment), number(mass), number(x)))}, nil
	}
	return s
}

func weighedCentre() Sum {
	return Sum{
		Name: "weighed-centre", Title: "Mass and centre of gravity from two weighings", For: "A body that is set down level on two scales.",
		Formula: "m = A + B; x = B · L / (A + B), from support A", Source: "Statics, moments. Worked alike in FAA-H-8083-1B, Weight and Balance Handbook, 2016, chapter 3 (from memory).",
		Holds: "The body lies level on two lines of support, touches nothing else, and both scales are read at once or the body is not moved between.",
		Asks: []Ask{
			{Name: "a", Label: "Scale at support A", Unit: "kg", Min: 0, Max: 200000}, {Name: "b", Label: "Scale at support B", Unit: "kg", Min: 0, Max: 200000},
			{Name: "distance", Label: "Distance from A to B", Unit: "m", Min: 0.1, Max: 150}, {Name: "error", Label: "Each scale may be wrong by", Unit: "%", Min: 0, Max: 20},
		},
		Example: map[string]string{"a": "1200", "b": "800", "distance": "10", "error": "1"},
		work: func(g given) (Result, error) {
			a, b, l, e := g["a"], g["b"], g["distance"], g["error"]/100
			if a+b <= 0 {
				return Result{}, oneField("a", "Both scales show nothing. Weigh it on both supports.")
			}
			x := b * l / (a + b)
			near, far := b*(1-e)*l/(a*(1+e)+b*(1-e)), b*(1+e)*l/(a*(1-e)+b*(1+e))
			return Result{Answer: fmt.Sprintf("%s kg, %s m from A", number(a+b), number(x)), Steps: []string{
				fmt.Sprintf("mass = %s kg + %s kg = %s kg", number(a), number(b), number(a+b)),
				fmt.Sprintf("x = %s kg · %s m / %s kg = %s m from A", number(b), number(l), number(a+b), number(x)),
				fmt.Sprintf("with the scales wrong by %s %%: to %s kg, and from %s to %s m", number(g["error"]), number((a+b)*(1+e)), number(near), number(far)),
			}, Says: "Plan the lift for the heavier mass and for both ends of the range."}, nil
		},
	}
}

// legs of a sling that are counted: of a stiff load on three or four only two may
// carry.
func slingTension() Sum {
	return Sum{
		Name: "sling-tension", Title: "Sling tension by angle", For: "What each leg of a sling pulls, and why a flat sling is a weak one.",
		Formula: "T = W / (2 · cos β), β between leg and vertical; one leg: T = W",
		Source:  "Statics. The load angle factors 1.000, 1.155, 1.414 and 2.000 for 90°, 60°, 45° and 30° from the horizontal are those of ASME B30.9 (from memory); of three or four legs two are counted, as a stiff load may hang on two (common practice; EN 818-4 counts more).",
		Holds:   "Legs of equal length and angle, the hook over the centre of gravity, lifted smoothly. Beyond 60° from the vertical it refuses. The sling's own tag decides.",
		Asks: []Ask{
			{Name: "mass", Label: "Mass of the load with its lifting gear", Unit: "kg", Min: 1, Max: 200000},
			{Name: "legs", Label: "Legs", Choices: []Choice{{"one", "one", 1}, {"two", "two", 2}, {"more", "three or four: two are counted", 2}}},
			{Name: "angle", Label: "Angle of the legs from the vertical", Unit: "°", Min: 0, Max: 60},
		},
		Example: map[string]string{"mass": "1000", "legs": "two", "angle": "45"},
		work: func(g given) (Result, error) {
			weight := g["mass"] * 9.81 / 1000
			if g["legs"] == 1 {
				if g["angle"] > 0 {
					return Result{}, oneField("angle", "A single leg hangs straight down: its angle is 0.")
				}
				return Result{Answer: number(weight) + " kN", Steps: []string{fmt.Sprintf("weight = %s kg · 9.81 m/s² = %s kN, all on one leg", number(g["mass"]), number(weight))}}, nil
			}
			factor := 1 / math.Cos(g["angle"]*math.Pi/180)
			each := weight / 2 * factor
			return Result{Answer: number(each) + " kN in each leg", Steps: []string{
				fmt.Sprintf("weight = %s kg · 9.81 m/s² = %s kN", number(g["mass"]), number(weight)),
				fmt.Sprintf("load angle factor = 1 / cos %s° = %s", number(g["angle"]), number(factor)),
				fmt.Sprintf("tension = %s kN / 2 · %s = %s kN, as if %s kg hung on it", number(weight), number(factor), number(each), number(each/9.81*1000)),
			}, Says: "Compare it with the tag's own figure for this angle, not with its figure for a straight lift."}, nil
		},
	}
}

func anchorTest() Sum {
	return Sum{
		Name: "anchor-test", Title: "Anchor test against what is required", For: "Whether a load test of an anchor reached what its standard or designer asks.",
		Formula: "reached = shown · (1 − error); it must not be below what is required, for the whole time",
		Source:  "Required loads in common use: 6 kN for 15 s on site (BS 7883:2019), 12 kN for 3 min as a type test of metal anchors and 18 kN of textile ones for one person (EN 795:2012, 5.3) (all from memory). The engineer who answers for the anchor states which.",
		Holds:   "One anchor, pulled in the direction in which it is used. A test shows that it held then and there; it says nothing of the steel behind it.",
		Asks: []Ask{
			{Name: "required", Label: "Required load", Unit: "kN", Min: 0.5, Max: 200}, {Name: "required_time", Label: "Required time", Unit: "s", Min: 1, Max: 3600},
			{Name: "shown", Label: "Lowest load shown during that time", Unit: "kN", Min: 0, Max: 250}, {Name: "time", Label: "Time held", Unit: "s", Min: 0, Max: 7200},
			{Name: "error", Label: "The gauge may be wrong by", Unit: "%", Min: 0, Max: 20},
		},
		Example: map[string]string{"required": "6", "required_time": "15", "shown": "6.3", "time": "20", "error": "2"},
		work: func(g given) (Result, error) {
			sure := g["shown"] * (1 - g["error"]/100)
			r := Result{Answer: number(sure) + " kN for sure: reached", Steps: []string{
				fmt.Sprintf("for sure = %s kN · (1 − %s %%) = %s kN", number(g["shown"]), number(g["error"]), number(sure)),
				fmt.Sprintf("required: %s kN for %s s; held for %s s", number(g["required"]), number(g["required_time"]), number(g["time"])),
			}}
			switch {
			case sure < g["required"]:
				r.Answer = fmt.Sprintf("%s kN for sure: not reached, %s kN short", number(sure), number(g["required"]-sure))
			case g["time"] < g["required_time"]:
				r.Answer = fmt.Sprintf("%s kN for sure, but held %s s too short: not reached", number(sure), number(g["required_time"]-g["time"]))
			}
			r.Says = "Who may rely on the anchor is for the competent person to write down, with date and file."
			return r, nil
		},
	}
}
