package sums

import (
	"fmt"
	"math"
)

const materialSource = "Densities: steel as in EN 10210-2:2019, annex A (from memory); the others are common practice, on the heavy side, without a source."

// materials are densities in kg/m³.
func materials() []Choice {
	return []Choice{
		{"steel", "steel, 7 850 kg/m³", 7850}, {"cast-iron", "cast iron, 7 250 kg/m³", 7250}, {"aluminium", "aluminium, 2 750 kg/m³", 2750}, {"copper", "copper, 8 960 kg/m³", 8960},
		{"laminate", "glass-fibre laminate, 1 950 kg/m³", 1950}, {"concrete", "concrete, 2 450 kg/m³", 2450}, {"hardwood", "hardwood, 1 100 kg/m³", 1100},
	}
}

func plateMass() Sum {
	return Sum{
		Name: "plate-mass", Title: "Mass of a plate or block", For: "A deck plate, a block of ballast, a door: what it weighs before it is lifted.",
		Formula: "m = length · width · thickness · density", Source: "Geometry. " + materialSource,
		Holds: "A solid piece of one material with straight sides. Holes are not taken off; bolts, paint, welds and water are not added.",
		Asks: []Ask{
			{Name: "length", Label: "Length", Unit: "m", Min: 0.01, Max: 100}, {Name: "width", Label: "Width", Unit: "m", Min: 0.01, Max: 20},
			{Name: "thickness", Label: "Thickness", Unit: "mm", Min: 0.5, Max: 5000}, {Name: "material", Label: "Material", Choices: materials()},
		},
		Example: map[string]string{"length": "2", "width": "1", "thickness": "10", "material": "steel"},
		work: func(g given) (Result, error) {
			volume := g["length"] * g["width"] * g["thickness"] / 1000
			mass := volume * g["material"]
			return Result{Answer: number(mass) + " kg", Steps: []string{
				fmt.Sprintf("volume = %s m · %s m · %s mm = %s m³", number(g["length"]), number(g["width"]), number(g["thickness"]), number(volume)),
				fmt.Sprintf("mass = %s m³ · %s kg/m³ = %s kg", number(volume), number(g["material"]), number(mass)),
			}, Says: "A tape and a gauge measure a few per cent wrong. Weigh it where the margin of the lift is small."}, nil
		},
	}
}

func roundMass() Sum {
	return Sum{
		Name: "tube-mass", Title: "Mass of a tube or round bar", For: "A piece of tower shell, a pipe, a shaft.",
		Formula: "m = π · (D − t) · t · length · density; a bar: m = π · D² / 4 · length · density", Source: "Geometry, as in EN 10210-2:2019, annex A (from memory). " + materialSource,
		Holds: "The same diameter and wall over the whole length. For a cone take the larger end. Flanges, ladders and cables are not added.",
		Asks: []Ask{
			{Name: "diameter", Label: "Outside diameter", Unit: "mm", Min: 5, Max: 10000}, {Name: "wall", Label: "Wall; empty for a solid bar", Unit: "mm", Min: 0.5, Max: 500, Optional: true},
			{Name: "length", Label: "Length", Unit: "m", Min: 0.01, Max: 100}, {Name: "material", Label: "Material", Choices: materials()},
		},
		Example: map[string]string{"diameter": "168.3", "wall": "8", "length": "1", "material": "steel"},
		work: func(g given) (Result, error) {
			d, t := g["diameter"]/1000, g["wall"]/1000
			area, how := math.Pi*d*d/4, fmt.Sprintf("π · (%s mm)² / 4", number(g["diameter"]))
			if g.has("wall") {
				if t > d/2 {
					return Result{}, oneField("wall", "The wall of %s mm is more than half of the diameter. Give the wall, or leave it empty for a bar.", number(g["wall"]))
				}
				area, how = math.Pi*(d-t)*t, fmt.Sprintf("π · (%s − %s) mm · %s mm", number(g["diameter"]), number(g["wall"]), number(g["wall"]))
			}
			mass := area * g["length"] * g["material"]
			return Result{Answer: number(mass) + " kg", Steps: []string{
				fmt.Sprintf("section = %s = %s m²", how, number(area)),
				fmt.Sprintf("mass = %s m² · %s m · %s kg/m³ = %s kg", number(area), number(g["length"]), number(g["material"]), number(mass)),
				fmt.Sprintf("that is %s kg a metre", number(mass/g["length"])),
			}}, nil
		},
	}
}

// The exponents between which blades of one kind scale with their length.
const leastBlade, mostBlade = 2.3, 3.0

func bladeMass() Sum {
	return Sum{
		Name: "blade-mass", Title: "Mass of a blade by comparison", For: "A blade without papers, where the mass of another one of like build is known.",
		Formula: "m = m₀ · (L / L₀)^n, with n from 2.3 to 3",
		Source:  "Exponents: 3 is geometric likeness; Fingersh, Hand, Laxson, Wind Turbine Design Cost and Scaling Model, NREL/TP-500-40566, Dec 2006, section 3.4.1.1: 2.92 for its baseline, 2.53 for its advanced blades; 2.3 is the low end of published fits (from memory).",
		Holds:   "Blades of one age and build, the longer at most twice the shorter. It gives a range, never a figure to lift by: weigh the blade.",
		Asks: []Ask{
			{Name: "known_mass", Label: "Mass of the known blade", Unit: "kg", Min: 10, Max: 50000}, {Name: "known_length", Label: "Length of the known blade", Unit: "m", Min: 2, Max: 110},
			{Name: "length", Label: "Length of this blade", Unit: "m", Min: 2, Max: 110},
		},
		Example: map[string]string{"known_mass": "4200", "known_length": "34", "length": "40"},
		work: func(g given) (Result, error) {
			ratio := g["length"] / g["known_length"]
			if ratio < 0.5 || ratio > 2 {
				return Result{}, oneField("length", "The lengths are as %s to 1. The comparison holds from 0.5 to 2.", number(ratio))
			}
			a, b := g["known_mass"]*math.Pow(ratio, leastBlade), g["known_mass"]*math.Pow(ratio, mostBlade)
			low, high := min(a, b), max(a, b)
			return Result{Answer: number(low) + " to " + number(high) + " kg", Steps: []string{
				fmt.Sprintf("ratio of lengths = %s m / %s m = %s", number(g["length"]), number(g["known_length"]), number(ratio)),
				fmt.Sprintf("with n = 2.3: %s kg · %s^2.3 = %s kg", number(g["known_mass"]), number(ratio), number(a)),
				fmt.Sprintf("with n = 3: %s kg · %s^3 = %s kg", number(g["known_mass"]), number(ratio), number(b)),
			}, Says: "Plan with the upper end until it is weighed."}, nil
		},
	}
}
