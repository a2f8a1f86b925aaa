package httpd

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/rig"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// answers reads the fields of a form. Each reader says, in bad, what was found
// and what is required.
type answers struct {
	url.Values
	bad fault.Fields
}

func answersOf(f url.Values) answers { return answers{f, fault.Fields{}} }

func (a answers) text(name string) string { return strings.TrimSpace(a.Get(name)) }

// whole reads a whole number; an empty field is 0 where nothing is required.
func (a answers) whole(name string, required bool) int {
	text := a.text(name)
	if text == "" {
		if required {
			a.bad.Add(name, "Nothing stands here. Give a whole number.")
		}
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		a.bad.Add(name, "%q is not a whole number. Give one, without a unit.", text)
	}
	return n
}

func (a answers) minutes(name string, required bool) civil.Minutes {
	n := a.whole(name, required)
	if n < -1_000_000 || n > 1_000_000 {
		a.bad.Add(name, "%d minutes is more than a year. Give minutes.", n)
		n = 0
	}
	return civil.Minutes(n)
}

func (a answers) day(name string) civil.Day { return dayField(a.Values, name, a.bad) }

// clock reads a time of day as minutes since 00:00.
func (a answers) clock(name string) civil.Minutes {
	m, err := civil.ParseClock(a.text(name))
	if err != nil {
		a.bad.Add(name, "%q is not a time. Give one such as 08:00.", a.text(name))
	}
	return m
}

// decimal reads a number with up to places digits behind its point or comma and
// returns it in units of the last digit: "4.6" with one place is 46.
func (a answers) decimal(name string, places int, required bool) (n int64, stated bool) {
	text := a.text(name)
	if text == "" {
		if required {
			a.bad.Add(name, "Nothing stands here. Give a number.")
		}
		return 0, false
	}
	n, ok := decimalOf(text, places)
	if !ok {
		a.bad.Add(name, "%q is not a number with at most %d digits behind its point. Give one, without a unit.", text, places)
	}
	return n, ok
}

func decimalOf(text string, places int) (int64, bool) {
	text = strings.NewReplacer(",", ".", "−", "-").Replace(text)
	whole, part, _ := strings.Cut(text, ".")
	if len(part) > places {
		if strings.Trim(part[places:], "0") != "" {
			return 0, false
		}
		part = part[:places]
	}
	sign, digits := "", whole
	if rest, minus := strings.CutPrefix(whole, "-"); minus {
		sign, digits = "-", rest
	}
	if digits == "" && part == "" {
		return 0, false
	}
	n, err := strconv.ParseInt(sign+digits+part+strings.Repeat("0", places-len(part)), 10, 64)
	if err != nil || strings.ContainsAny(digits+part, "+-_") {
		return 0, false
	}
	return n, true
}

// metres reads a length in metres as decimetres.
func (a answers) metres(name string, required bool) int {
	n, _ := a.decimal(name, 1, required)
	if n < -1_000_000 || n > 1_000_000 {
		a.bad.Add(name, "%s m is longer than any yard. Give metres.", a.text(name))
		return 0
	}
	return int(n)
}

// hours reads hours, with two digits behind the point, as minutes; empty is 0.
func (a answers) hours(name string) civil.Minutes {
	n, _ := a.decimal(name, 2, false)
	if n < 0 || n > 1_000_000 {
		a.bad.Add(name, "%s hours is no time between two exercises. Give hours, or nothing.", a.text(name))
		return 0
	}
	return civil.Minutes(n * 60 / 100)
}

// lines returns the lines of a text that are not empty.
func (a answers) lines(name string) []string {
	var out []string
	for _, l := range strings.Split(a.Get(name), "\n") {
		if l = strings.Join(strings.Fields(l), " "); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// many returns the ticked values of a field as ids, each once.
func many[T ~string](a answers, name string) []T {
	var out []T
	for _, v := range a.Values[name] {
		if v != "" && !slices.Contains(out, T(v)) {
			out = append(out, T(v))
		}
	}
	return out
}

// weekdays reads ticked weekdays, 1 = Monday.
func (a answers) weekdays(name string) []int {
	var out []int
	for _, v := range a.Values[name] {
		if n, err := strconv.Atoi(v); err == nil && n >= 1 && n <= 7 && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// filled puts what was typed, and the messages, in the fields of a form.
func filled(groups []page.FieldGroup, typed url.Values, bad fault.Fields) []page.FieldGroup {
	for g := range groups {
		for i := range groups[g].Fields {
			f := &groups[g].Fields[i]
			f.Error = bad[f.Name]
			if typed == nil {
				continue
			}
			f.Value = typed.Get(f.Name)
			f.Options = slices.Clone(f.Options)
			for k := range f.Options {
				f.Options[k].Chosen = slices.Contains(typed[f.Name], f.Options[k].Value)
			}
		}
	}
	return groups
}

// messages lists the messages of a form in the order of its fields, then those
// that belong to no field shown.
func messages(groups []page.FieldGroup, bad fault.Fields) []ui.FieldError {
	var out []ui.FieldError
	told := map[string]bool{}
	for _, g := range groups {
		out = append(out, ui.Errors(g.Fields)...)
		for _, f := range g.Fields {
			told[f.Name] = true
		}
	}
	var rest []string
	for name, m := range bad {
		if !told[name] {
			rest = append(rest, m)
		}
	}
	slices.Sort(rest)
	for _, m := range rest {
		out = append(out, ui.FieldError{Text: m})
	}
	return out
}

// The kinds of fields that forms of the yard are made of.

func textField(name, label, value string) ui.Field {
	return ui.Field{Name: name, Label: label, Value: value, Required: true}
}

func wholeField(name, label, unit string, value int) ui.Field {
	return ui.Field{Name: name, Label: label, Kind: ui.Number, Unit: unit, Value: strconv.Itoa(value), Short: true, InputMode: "numeric", Required: true}
}

// wholeOrNone is a number that may be left empty; 0 shows as empty.
func wholeOrNone(name, label, unit string, value int) ui.Field {
	f := wholeField(name, label, unit, value)
	f.Required = false
	if value == 0 {
		f.Value = ""
	}
	return f
}

// hoursField asks for hours; none shows as empty.
func hoursField(name, label string, m civil.Minutes) ui.Field {
	f := ui.Field{Name: name, Label: label, Short: true, InputMode: "decimal", Unit: "hours"}
	if m > 0 {
		f.Value = strconv.FormatFloat(float64(m)/60, 'f', -1, 64)
	}
	return f
}

func metresField(name, label string, value int, required bool) ui.Field {
	f := ui.Field{Name: name, Label: label, Value: decimetres(value), Short: true, InputMode: "decimal", Unit: "m", Required: required}
	if value == 0 && !required {
		f.Value = ""
	}
	return f
}

// decimetres writes decimetres as metres, as a field takes them.
func decimetres(n int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	if n%10 == 0 {
		return sign + strconv.Itoa(n/10)
	}
	return sign + strconv.Itoa(n/10) + "." + strconv.Itoa(n%10)
}

func dayAnswer(name, label string, d civil.Day) ui.Field {
	f := ui.Field{Name: name, Label: label, Kind: ui.Date, Short: true}
	if d != 0 {
		f.Value = d.String()
	}
	return f
}

func yesField(name, label string, on bool) ui.Field {
	return ui.Field{Name: name, Label: label, Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "Yes", Chosen: on}}}
}

var weekdayNames = []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}

func weekdaysField(name, label string, on []int) ui.Field {
	f := ui.Field{Name: name, Label: label, Kind: ui.Checkboxes}
	for i, day := range weekdayNames {
		f.Options = append(f.Options, ui.Option{Value: strconv.Itoa(i + 1), Label: day, Chosen: slices.Contains(on, i+1)})
	}
	return f
}

// choose marks the options that a list holds.
func choose[T ~string](options []ui.Option, chosen []T) []ui.Option {
	for i := range options {
		options[i].Chosen = slices.Contains(chosen, T(options[i].Value))
	}
	return options
}

// offered are the records that forms offer: those not retired by a day.
func offered[T any](all []T, day civil.Day, retired func(T) civil.Day) []T {
	return slices.DeleteFunc(slices.Clone(all), func(x T) bool { r := retired(x); return r != 0 && r <= day })
}

func (v *visit) zonesInUse() []rig.Zone {
	return offered(v.ref.Zones.All(v.today), v.today, func(x rig.Zone) civil.Day { return x.Retired })
}

func (v *visit) circuitsInUse() []rig.Circuit {
	return offered(v.ref.Circuits.All(v.today), v.today, func(x rig.Circuit) civil.Day { return x.Retired })
}

func (v *visit) kitsInUse() []rig.Kit {
	return offered(v.ref.Kits.All(v.today), v.today, func(x rig.Kit) civil.Day { return x.Retired })
}

func (v *visit) programmesInUse() []curriculum.Programme {
	return offered(v.ref.Programmes.All(v.today), v.today, func(x curriculum.Programme) civil.Day { return x.Retired })
}
