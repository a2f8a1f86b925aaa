package session

import (
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/verdict"
)

// degreeMark parts a caution's subject from its degree in an acceptance.
const degreeMark = "\x00+"

// SubjectOf is what an acceptance stands for: the caution's subject and, where it
// has one, its degree. What gets worse later waits to be accepted again.
func SubjectOf(f verdict.Finding) string {
	if f.Excess == 0 {
		return f.Subject()
	}
	return f.Subject() + degreeMark + strconv.FormatInt(f.Excess, 10)
}

// Covers reports whether the acceptance stands for a caution as it is now.
func (a Acceptance) Covers(f verdict.Finding) bool {
	subject, degree, stated := strings.Cut(a.Subject, degreeMark)
	if subject != f.Subject() {
		return false
	}
	if !stated {
		return f.Excess == 0
	}
	accepted, err := strconv.ParseInt(degree, 10, 64)
	return err == nil && f.Excess <= accepted
}

// Waits returns the cautions that no acceptance covers: a session with one of them
// waits.
func Waits(cautions []verdict.Finding, accepted []Acceptance) []verdict.Finding {
	var out []verdict.Finding
	for _, f := range cautions {
		if !slices.ContainsFunc(accepted, func(a Acceptance) bool { return a.Covers(f) }) {
			out = append(out, f)
		}
	}
	return out
}
