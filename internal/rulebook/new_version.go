package rulebook

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

var lineIDs = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]{0,62}[a-z0-9]$`)

// CheckNew judges a version that is to be added to those before it. A rule book
// changes only by a version dated after today and after every other; the very
// first may begin on any day. It returns a form error with one sentence per
// field: "from", "profiles", "confirmations", and "lines.<id>" for a line.
func CheckNew(next Version, before []Version, today civil.Day) error {
	bad := fault.Fields{}
	if next.From == 0 {
		bad.Add("from", "The first day of the version is not stated.")
	}
	if len(before) > 0 && next.From <= today {
		bad.Add("from", "The version begins on %s; a change begins after today, %s.", next.From, today)
	}
	for _, v := range before {
		if v.ID == next.ID {
			bad.Add("id", "There is already a version with this id.")
		}
		if next.From <= v.From {
			bad.Add("from", "The version begins on %s; one that begins on %s is there already.", next.From, v.From)
		}
	}
	if len(next.Profiles) == 0 {
		bad.Add("profiles", "No profile is selected.")
	}
	for i, p := range next.Profiles {
		if slices.Contains(next.Profiles[:i], p) {
			bad.Add("profiles", "Profile %s is selected twice.", p)
		}
		if !slices.ContainsFunc(next.Lines, func(l Line) bool { return l.Profile == p }) {
			bad.Add("profiles", "Profile %s holds no line.", p)
		}
	}
	if len(next.Confirmations) > 0 {
		bad.Add("confirmations", "A new version is confirmed after it was written, not with it.")
	}
	checkLines(bad, next.Lines)
	return bad.Err()
}

func checkLines(bad fault.Fields, lines []Line) {
	seen := map[string]bool{}
	single := map[string]string{} // profile and quantity → id of the line that holds it
	for _, l := range lines {
		at := "lines." + l.ID
		if !lineIDs.MatchString(l.ID) {
			bad.Add(at, "%q is not a line id: small letters, digits, dots and hyphens, at most 64.", l.ID)
		}
		if seen[l.ID] {
			bad.Add(at, "The id stands twice.")
		}
		seen[l.ID] = true
		if message := l.problem(); message != "" {
			bad.Add(at, "%s", message)
			continue
		}
		key := string(l.Profile) + " " + string(l.Quantity)
		if other, twice := single[key]; twice && !meaningOf[l.Quantity].Many {
			bad.Add(at, "Profile %s already limits %s in %s.", l.Profile, meaningOf[l.Quantity].Label, other)
		}
		single[key] = l.ID
	}
	for _, l := range lines {
		checkCompany(bad, l, lines)
	}
}

// problem returns what is wrong with a line by itself, "" when nothing.
func (l Line) problem() string {
	m, known := l.Quantity.Meaning()
	switch {
	case !known:
		return fmt.Sprintf("%q is not a quantity of the rule book.", l.Quantity)
	case l.Value < m.Min || l.Value > m.Max:
		return fmt.Sprintf("%s is %d; it lies from %d to %d %s.", m.Label, l.Value, m.Min, m.Max, m.Unit)
	case l.Profile == "":
		return "The line names no profile."
	case !slices.Contains(append(verdict.Fields(), verdict.Planning), l.Field):
		return fmt.Sprintf("%q is not a field of responsibility.", l.Field)
	case strings.TrimSpace(l.Source.Document) == "":
		return "The line names no source; for a figure of your own name the decision it rests on."
	case !slices.Contains(Marks(), l.Source.Mark):
		return fmt.Sprintf("%q is not a mark: read, read-2, memory or common-practice.", l.Source.Mark)
	}
	return ""
}

// checkCompany looks for lines that mean nothing alone: a break without the
// stretch it ends, days without a weekly rest, terms without a validity.
func checkCompany(bad fault.Fields, l Line, lines []Line) {
	has := func(q Quantity, p id.Profile) bool {
		return slices.ContainsFunc(lines, func(o Line) bool { return o.Quantity == q && o.Profile == p })
	}
	needs := map[Quantity]Quantity{
		Stretch: Break, Break: Stretch, WeeklyRestDays: WeeklyRest, WeeklyRestCount: WeeklyRest,
	}
	if other, ok := needs[l.Quantity]; ok && !has(other, l.Profile) {
		bad.Add("lines."+l.ID, "%s needs a line for %s in profile %s.", meaningOf[l.Quantity].Label, meaningOf[other].Label, l.Profile)
	}
	if l.Quantity != ValidityMonths && strings.HasPrefix(l.ID, "validity.") {
		parent := l.ID[:strings.LastIndexByte(l.ID, '.')]
		if !slices.ContainsFunc(lines, func(o Line) bool { return o.ID == parent && o.Quantity == ValidityMonths }) {
			bad.Add("lines."+l.ID, "There is no validity line %s that these terms belong to.", parent)
		}
	}
}
