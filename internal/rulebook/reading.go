package rulebook

import "rungbook/internal/verdict"

// ToRead returns the lines of a field that must be read before a version is
// confirmed for it: those that did not stand, with the same value and source, in
// the latest earlier version that was confirmed for the field. Where there is no
// such version these are all its lines.
func ToRead(versions []Version, of Version, f verdict.Field) []Line {
	var before Version
	for _, v := range versions {
		if v.From < of.From && v.From >= before.From && v.confirmedFor(f) {
			before = v
		}
	}
	var out []Line
	for _, l := range of.Lines {
		if l.Field != f || !of.Selected(l.Profile) {
			continue
		}
		if was, stood := before.Line(l.ID); !stood || was != l {
			out = append(out, l)
		}
	}
	return out
}

func (v Version) confirmedFor(f verdict.Field) bool {
	for _, c := range v.Confirmations {
		if c.Field == f && c.Person != "" && c.Day != 0 {
			return true
		}
	}
	return false
}
