// Package sums does small engineering sums that help a reviewer of a converted rig:
// masses, centres of gravity, sling tension, anchor tests. Each knows its formula,
// source and the range in which it holds, and shows how it was worked out. Nothing
// it returns is an approval. Read sums.go first, then the sum in question.
package sums

import (
	"fmt"
	"math"
	"strings"

	"rungbook/internal/fault"
)

// Sum is one kind of sum.
type Sum struct {
	Name    string // of its address: "plate-mass"
	Title   string
	For     string // when it is of use, in a sentence
	Formula string
	Source  string // document, version, section; whether from memory
	Holds   string // what it assumes, and where it does not hold
	Asks    []Ask
	Example map[string]string // what may be typed, to see how it goes

	work func(given) (Result, error)
}

// Ask is one number asked for, or one choice where it has Choices.
type Ask struct {
	Name, Label, Unit string
	Min, Max          float64 // both allowed
	Optional          bool
	Choices           []Choice
}

// Choice is one answer offered; Value is what the sum works with.
type Choice struct {
	Name, Label string
	Value       float64
}

// Result is the answer with each step to it.
type Result struct {
	Answer string // "1 570 kg", with its unit
	Steps  []string
	Says   string // what to make of it; "" = nothing more
}

// given are the numbers of a form; an optional one that was left out is absent.
type given map[string]float64

func (g given) has(name string) bool { _, ok := g[name]; return ok }

// Given is what was typed: Numbers by name of their ask, and choices by theirs.
type Given struct {
	Numbers map[string]float64
	Choices map[string]string
}

// Work works the sum out. The error is fault.Invalid, field by field: a number that
// is missing or out of range, or two that can't be together. Nothing is
// extrapolated.
func (s Sum) Work(in Given) (Result, error) {
	bad, g := fault.Fields{}, given{}
	for _, a := range s.Asks {
		if len(a.Choices) > 0 {
			chosen := false
			for _, c := range a.Choices {
				if c.Name == in.Choices[a.Name] {
					g[a.Name], chosen = c.Value, true
				}
			}
			if !chosen {
				bad.Add(a.Name, "Choose one.")
			}
			continue
		}
		n, stated := in.Numbers[a.Name]
		switch {
		case !stated && !a.Optional:
			bad.Add(a.Name, "Nothing stands here. Give a number from %s to %s.", number(a.Min), number(a.Max))
		case stated && !(n >= a.Min && n <= a.Max): // what is no number too
			bad.Add(a.Name, "%s %s is out of range. This sum holds from %s to %s.", number(n), a.Unit, number(a.Min), number(a.Max))
		case stated:
			g[a.Name] = n
		}
	}
	if err := bad.Err(); err != nil {
		return Result{}, err
	}
	return s.work(g)
}

// All returns every sum, in the order pages show them.
func All() []Sum {
	return []Sum{plateMass(), roundMass(), partsCentre(), weighedCentre(), slingTension(), anchorTest(), bladeMass()}
}

// ByName finds a sum.
func ByName(name string) (Sum, bool) {
	for _, s := range All() {
		if s.Name == name {
			return s, true
		}
	}
	return Sum{}, false
}

// number prints at most four significant digits, thousands apart, as people write
// them; whole numbers are whole.
func number(n float64) string {
	places := 0
	if m := math.Abs(n); m > 0 && m < 1000 {
		places = max(0, 3-int(math.Floor(math.Log10(m))))
	}
	text := fmt.Sprintf("%.*f", min(places, 6), n)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	whole, fraction, marked := strings.Cut(text, ".")
	sign := ""
	if rest, minus := strings.CutPrefix(whole, "-"); minus {
		sign, whole = "−", rest
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u202f" + whole[i:]
	}
	if marked {
		whole += "." + fraction
	}
	return sign + whole
}
