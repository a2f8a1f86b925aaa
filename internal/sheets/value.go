package sheets

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"rungbook/internal/civil"
)

// Clock reads a time of day as minutes since 00:00.
func Clock(c Cell) (civil.Minutes, error) {
	switch c.Is {
	case Date, Number:
		n, err := strconv.ParseFloat(c.Text, 64)
		if err != nil || n < 0 || n >= 1 || math.IsNaN(n) {
			return 0, notClock(c.Text)
		}
		return min(civil.Minutes(math.Round(n*24*60)), 24*60-1), nil
	case Text:
		return typedClock(c.Text)
	case Empty:
		return 0, fmt.Errorf("no time stands here")
	}
	return 0, notClock(c.Text)
}

func typedClock(s string) (civil.Minutes, error) {
	text := strings.ToLower(strings.ReplaceAll(s, " ", ""))
	text = strings.TrimSuffix(strings.TrimSuffix(text, "uhr"), "h")
	half := ""
	for _, h := range []string{"am", "pm"} {
		if rest, ok := strings.CutSuffix(strings.NewReplacer("a.m.", "am", "p.m.", "pm").Replace(text), h); ok {
			text, half = rest, h
		}
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(":.h", r) })
	if len(parts) == 3 && parts[2] == "00" {
		parts = parts[:2]
	}
	if len(parts) == 1 && half != "" {
		parts = append(parts, "00")
	}
	if len(parts) != 2 || !digits(parts[0]) || !digits(parts[1]) || len(parts[0]) > 2 || len(parts[1]) != 2 {
		return 0, notClock(s)
	}
	h, _ := strconv.Atoi(parts[0])
	m, _ := strconv.Atoi(parts[1])
	if half != "" {
		if h < 1 || h > 12 {
			return 0, notClock(s)
		}
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	if h > 23 || m > 59 {
		return 0, notClock(s)
	}
	return civil.Minutes(60*h + m), nil
}

func notClock(s string) error { return fmt.Errorf("%q is not a time; write it as 08:00", s) }

// Hours reads a number of hours as whole minutes: 1.5 and 1,5 are 90.
func (h Habits) Hours(c Cell) (civil.Minutes, error) {
	if c.Is != Number && c.Is != Text {
		return 0, fmt.Errorf("%q is not a number of hours", c.Text)
	}
	n, err := h.number(c)
	if err != nil {
		return 0, err
	}
	minutes := math.Round(n * 60)
	if minutes < 1 || minutes > 24*60 || math.Abs(n*60-minutes) > 0.5 {
		return 0, fmt.Errorf("%q is not a number of hours of one day", c.Text)
	}
	return civil.Minutes(minutes), nil
}

// number reads a number with a decimal comma or point. Three digits behind a
// single mark can be thousands: then a person says which it is.
func (h Habits) number(c Cell) (float64, error) {
	text := c.Text
	if c.Is == Text {
		mark := strings.LastIndexAny(text, ",.")
		both := strings.Contains(text, ",") && strings.Contains(text, ".")
		if mark >= 0 && len(text)-mark == 4 && !both && h.Decimal == "" {
			return 0, fmt.Errorf("%q can be two numbers; say which mark stands before decimals", text)
		}
		decimal := h.Decimal
		if decimal == "" && mark >= 0 {
			decimal = text[mark : mark+1]
		}
		if strings.Count(text, decimal) > 1 && decimal != "" {
			return 0, fmt.Errorf("%q is not a number", text)
		}
		other := map[string]string{",": ".", ".": ","}[decimal]
		if other != "" {
			text = strings.ReplaceAll(text, other, "")
		}
		text = strings.ReplaceAll(text, ",", ".")
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(n, 0) || math.IsNaN(n) {
		return 0, fmt.Errorf("%q is not a number", c.Text)
	}
	return n, nil
}

// yes and no are how offices tick.
var (
	yes = words("yes y ja j oui o si sí sim tak x ✓ ✔ 1 true wahr vrai passed pass bestanden ok present anwesend")
	no  = words("no n nein nej non não nao nie 0 false falsch faux - – failed fail nicht absent abwesend")
)

func words(list string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(list) {
		out[w] = true
	}
	return out
}

// Yes reads a yes or no.
func Yes(c Cell) (bool, error) {
	text := strings.ToLower(c.Text)
	switch {
	case c.Is == Empty:
		return false, fmt.Errorf("neither yes nor no stands here")
	case c.Is == Date || !yes[text] && !no[text]:
		return false, fmt.Errorf("%q is neither yes nor no", c.Text)
	}
	return yes[text], nil
}
