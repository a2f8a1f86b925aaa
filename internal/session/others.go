package session

import (
	"cmp"
	"slices"

	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// OtherPart is in what part somebody is in a session who neither learns, teaches nor
// stands by; a closed list.
type OtherPart string

// The parts. None of them is credited with anything, and all of them are people whom
// the staff must look after.
const (
	Observer  OtherPart = "observer"
	Candidate OtherPart = "candidate" // who learns to instruct, and counts as no instructor
	Auditor   OtherPart = "auditor"
	Visitor   OtherPart = "visitor"
)

// OtherParts lists the parts in the order forms show them.
func OtherParts() []OtherPart { return []OtherPart{Observer, Candidate, Auditor, Visitor} }

// OtherAs is one of a session's others with the part.
type OtherAs struct {
	Person id.Person `json:"person"`
	As     OtherPart `json:"as"`
}

// OtherPart returns the part of one of the others; who is in it without a part
// observes.
func (s Session) OtherPart(p id.Person) OtherPart {
	for _, x := range s.Parts {
		if x.Person == p {
			return x.As
		}
	}
	return Observer
}

// TheOthers are all others with their parts, sorted by person.
func (s Session) TheOthers() []OtherAs {
	var out []OtherAs
	for _, p := range slices.Sorted(slices.Values(s.Others)) {
		out = append(out, OtherAs{p, s.OtherPart(p)})
	}
	return out
}

// WithOthers returns the session with these others and no more.
func (s Session) WithOthers(list []OtherAs) Session {
	s.Others, s.Parts = nil, nil
	for _, x := range list {
		s.Others, s.Parts = append(s.Others, x.Person), append(s.Parts, x)
	}
	return s.Sorted()
}

// Joined returns others with one more. The error is fault.Invalid by field.
func Joined(list []OtherAs, who OtherAs) ([]OtherAs, error) {
	if !slices.Contains(OtherParts(), who.As) {
		return nil, fault.Field("as", "Choose in which part they are there: observer, candidate, auditor or visitor.")
	}
	if slices.ContainsFunc(list, func(x OtherAs) bool { return x.Person == who.Person }) {
		return nil, fault.Field("person", "They are in the session already.")
	}
	return append(slices.Clone(list), who), nil
}

// Trial is for what a session is held that credits nobody; a closed list.
type Trial string

// What trials are for; "" = the session is none, or its record does not say.
const (
	TrialDrill Trial = "drill"
	TrialAudit Trial = "mock-audit"
)

// Trials lists them in the order forms show them.
func Trials() []Trial { return []Trial{TrialDrill, TrialAudit} }

// checkOthers judges the parts of the others and what a trial is for.
func (s Session) checkOthers(bad fault.Fields) {
	for _, x := range s.Parts {
		if !slices.Contains(s.Others, x.Person) || !slices.Contains(OtherParts(), x.As) {
			bad.Add("others", "A part is stated of somebody who is not there, or it is none of the list.")
		}
	}
	if s.TrialOf != "" && (!s.Trial || !slices.Contains(Trials(), s.TrialOf)) {
		bad.Add("trial", "Say what the trial is for: a drill, or a mock for an audit.")
	}
}

// sortedParts are the parts of those who are among the others, sorted.
func sortedParts(parts []OtherAs, others []id.Person) []OtherAs {
	out := slices.DeleteFunc(slices.Clone(parts), func(x OtherAs) bool { return !slices.Contains(others, x.Person) })
	slices.SortFunc(out, func(a, b OtherAs) int { return cmp.Compare(a.Person, b.Person) })
	if len(out) == 0 {
		return nil
	}
	return out
}

// Serves reports whether a session that is not signed yet is where a trainee is to do
// an exercise: pencilled, booked or under way, and no trial, which meets no need.
func (s Session) Serves(t id.Trainee, e id.Exercise) bool {
	return !s.Trial && (s.State.ToRun() || s.State == UnderWay) && s.Exercise == e && slices.Contains(s.Trainees, t)
}
