package credential

import (
	"cmp"
	"slices"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// Forever is the last day of a span without end: the last that a file can hold.
var Forever = civil.DayOf(9999, time.December, 31)

// Span is a run of valid local days, both ends counted.
type Span struct{ From, Until civil.Day }

// Holds reports whether d lies in the span.
func (s Span) Holds(d civil.Day) bool { return s.From <= d && d <= s.Until }

// Teaching says that a person may teach an exercise in a span of days.
type Teaching struct {
	Exercise id.Exercise
	Span
}

// Holding says that a person holds something in a span of days: a medical
// fitness, a certificate that exercises ask for.
type Holding struct {
	Name string
	Span
}

// Entitlements are what the valid certificates of one person entitle to, each
// list sorted, its spans joined where they touch.
type Entitlements struct {
	Teaches  []Teaching
	Rescue   []Span
	FirstAid []Span
	Holds    []Holding
}

// EntitlementsOf returns what certificates of one person entitle to. Certificates
// in any state but Valid, and those without a first day, entitle to nothing.
// books are the versions in force in the horizon; where any of them asks every
// instructor for valid first aid, teaching is cut to the days with it.
func EntitlementsOf(certs []Certificate, books ...rulebook.Version) Entitlements {
	var e Entitlements
	teaches := map[id.Exercise][]Span{}
	holds := map[string][]Span{}
	for _, c := range certs {
		if c.State != Valid || c.From == 0 {
			continue
		}
		span := Span{c.From, c.Until}
		if c.Until == 0 {
			span.Until = Forever
		}
		if span.From > span.Until {
			continue
		}
		switch c.Kind {
		case ToTeach:
			teaches[c.Exercise] = append(teaches[c.Exercise], span)
		case ToRescue:
			e.Rescue = append(e.Rescue, span)
		case FirstAid:
			e.FirstAid = append(e.FirstAid, span)
		}
		if c.Holds != "" {
			holds[c.Holds] = append(holds[c.Holds], span)
		}
	}
	e.Rescue, e.FirstAid = join(e.Rescue), join(e.FirstAid)
	for exercise, spans := range teaches {
		spans = join(spans)
		if askFirstAid(books) {
			spans = common(spans, e.FirstAid)
		}
		for _, s := range spans {
			e.Teaches = append(e.Teaches, Teaching{exercise, s})
		}
	}
	for name, spans := range holds {
		for _, s := range join(spans) {
			e.Holds = append(e.Holds, Holding{name, s})
		}
	}
	slices.SortFunc(e.Teaches, func(a, b Teaching) int {
		return cmp.Or(cmp.Compare(a.Exercise, b.Exercise), cmp.Compare(a.From, b.From))
	})
	slices.SortFunc(e.Holds, func(a, b Holding) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.From, b.From))
	})
	return e
}

func askFirstAid(books []rulebook.Version) bool {
	return slices.ContainsFunc(books, func(b rulebook.Version) bool {
		l, ok := b.Strictest(rulebook.InstructorFirstAid)
		return ok && l.Value != 0
	})
}

// join sorts spans and joins those that overlap or follow on each other.
func join(spans []Span) []Span {
	slices.SortFunc(spans, func(a, b Span) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Until, b.Until)) })
	var out []Span
	for _, s := range spans {
		if n := len(out); n > 0 && s.From <= out[n-1].Until+1 {
			out[n-1].Until = max(out[n-1].Until, s.Until)
			continue
		}
		out = append(out, s)
	}
	return out
}

// common returns the days that lie in both lists. Precondition: both are joined.
func common(a, b []Span) []Span {
	var out []Span
	for _, x := range a {
		for _, y := range b {
			if s := (Span{max(x.From, y.From), min(x.Until, y.Until)}); s.From <= s.Until {
				out = append(out, s)
			}
		}
	}
	return out
}

// QualifiedOn reports whether a person may teach an exercise on a local day by
// the rule book of that day, and the certificate that says so. certs may be of
// many people. Where the rule book asks instructors for first aid, that must be
// valid on the day too.
func QualifiedOn(certs []Certificate, p id.Person, exercise id.Exercise, d civil.Day, book rulebook.Version) (Certificate, bool) {
	firstAid := !askFirstAid([]rulebook.Version{book})
	var best Certificate
	found := false
	for _, c := range certs {
		if c.Person != p || !c.On(d) {
			continue
		}
		firstAid = firstAid || c.Kind == FirstAid
		if c.Kind == ToTeach && c.Exercise == exercise && (!found || longer(c, best)) {
			best, found = c, true
		}
	}
	if !found || !firstAid {
		return Certificate{}, false
	}
	return best, true
}

// HeldOn returns the certificate by which a person holds a name on a local day:
// the one that is valid longest.
func HeldOn(certs []Certificate, p id.Person, name string, d civil.Day) (Certificate, bool) {
	var best Certificate
	found := false
	for _, c := range certs {
		if c.Person == p && name != "" && c.Holds == name && c.On(d) && (!found || longer(c, best)) {
			best, found = c, true
		}
	}
	return best, found
}

// longer orders certificates by their last valid day, no end being the longest,
// then by id so that the answer never depends on the order of the list.
func longer(a, b Certificate) bool {
	x, y := a.Until, b.Until
	if x == 0 {
		x = Forever
	}
	if y == 0 {
		y = Forever
	}
	return x > y || (x == y && a.ID < b.ID)
}
