package rulebook

import (
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// InForce returns the version that stands on a day: the one with the latest
// From on or before it. ok is false before the first version.
func InForce(versions []Version, d civil.Day) (v Version, ok bool) {
	for _, candidate := range versions {
		if candidate.From <= d && (!ok || candidate.From > v.From) {
			v, ok = candidate, true
		}
	}
	return v, ok
}

// Standing returns the versions of which a day in [from, until] is judged, in
// the order of their From. Where the first of those days lies before the first
// version, covered is false: some days have no rule book, which stops.
func Standing(versions []Version, from, until civil.Day) (standing []Version, covered bool) {
	first, covered := InForce(versions, from)
	if covered {
		standing = append(standing, first)
	}
	for _, v := range versions {
		if from < v.From && v.From <= until {
			standing = append(standing, v)
		}
	}
	slices.SortFunc(standing, func(a, b Version) int { return int(a.From - b.From) })
	return standing, covered
}

// Selected reports whether the centre selected the profile in this version.
func (v Version) Selected(p id.Profile) bool { return slices.Contains(v.Profiles, p) }

// Line returns the line with an id, of a selected profile.
func (v Version) Line(lineID string) (Line, bool) {
	for _, l := range v.Lines {
		if l.ID == lineID && v.Selected(l.Profile) {
			return l, true
		}
	}
	return Line{}, false
}

// Value returns the line that limits a quantity in a selected profile.
func (v Version) Value(q Quantity, p id.Profile) (Line, bool) {
	if !v.Selected(p) {
		return Line{}, false
	}
	for _, l := range v.Lines {
		if l.Quantity == q && l.Profile == p {
			return l, true
		}
	}
	return Line{}, false
}

// Strictest returns the line of all selected profiles that binds most: the
// smallest of an "at most", the largest of an "at least". For a setting it is
// the largest value, so that a "yes" binds over a "no" and the longest notice
// is given.
func (v Version) Strictest(q Quantity) (Line, bool) {
	var best Line
	found := false
	m := meaningOf[q]
	for _, l := range v.Lines {
		if l.Quantity != q || !v.Selected(l.Profile) {
			continue
		}
		if !found || (m.Sense == AtMost && l.Value < best.Value) || (m.Sense != AtMost && l.Value > best.Value) {
			best, found = l, true
		}
	}
	return best, found
}

// RatioQuantity returns the quantity that limits a setting of an exercise
// ("theory", "practical-on-site" …), "" for a setting the rule book has none for.
func RatioQuantity(setting string) Quantity {
	q := Quantity("ratio_" + strings.ReplaceAll(setting, "-", "_"))
	if m, ok := q.Meaning(); !ok || m.JudgedBy != "ratio" {
		return ""
	}
	return q
}

// Ratio returns the most trainees one instructor may take in a setting: the
// smallest of the selected profiles', and the line it stands in. ok is false
// where no selected profile states one, which stops.
func (v Version) Ratio(setting string) (limit int, line Line, ok bool) {
	q := RatioQuantity(setting)
	if q == "" {
		return 0, Line{}, false
	}
	line, ok = v.Strictest(q)
	return int(line.Value), line, ok
}

// Fields returns the fields of responsibility that have lines in this version,
// in the order pages show them, planning last.
func (v Version) Fields() []verdict.Field {
	var out []verdict.Field
	for _, f := range append(verdict.Fields(), verdict.Planning) {
		if slices.ContainsFunc(v.Lines, func(l Line) bool { return l.Field == f && v.Selected(l.Profile) }) {
			out = append(out, f)
		}
	}
	return out
}

// Confirmed returns those of the fields that have lines in this version and no
// confirmation dated on or before the day. An empty answer says that the version
// is confirmed. A version without any line is never confirmed: all fields asked
// for are missing. nil asks for all fields.
func (v Version) Confirmed(fields []verdict.Field, d civil.Day) (missing []verdict.Field) {
	all := append(verdict.Fields(), verdict.Planning)
	if fields == nil {
		fields = all
	}
	with := v.Fields()
	for _, f := range fields {
		if len(with) > 0 && !slices.Contains(with, f) {
			continue
		}
		confirmed := slices.ContainsFunc(v.Confirmations, func(c Confirmation) bool {
			return c.Field == f && c.Person != "" && c.Day != 0 && c.Day <= d
		})
		if len(with) == 0 || !confirmed {
			missing = append(missing, f)
		}
	}
	return missing
}
