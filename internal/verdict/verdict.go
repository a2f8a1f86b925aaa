// Package verdict holds the answer a rule gives (stops, cautions, clear) and
// the wording of every refusal. Rules build Findings with the constructors of
// words.go; the command line, pages and the audit print the same Finding. The
// package does not judge anything. Read verdict.go, then words.go.
package verdict

import (
	"cmp"
	"slices"
)

// Level is how a rule answers.
type Level int

// The three answers, mildest first. A caution can be accepted, with a recorded
// reason, by the responsible person of its field; a stop by nobody.
const (
	Clear Level = iota
	Cautions
	Stops
)

// String returns the word people read.
func (l Level) String() string { return [...]string{"clear", "cautions", "stops"}[l] }

// RefKind says what kind of thing a Ref names.
type RefKind string

// The kinds of things a finding can name.
const (
	Person     RefKind = "person" // a member of staff, by id
	Trainee    RefKind = "trainee"
	Body       RefKind = "body" // one human being over all roles
	Session    RefKind = "session"
	Station    RefKind = "station"
	Rig        RefKind = "rig"
	Zone       RefKind = "zone"
	Circuit    RefKind = "circuit"
	Kit        RefKind = "kit"
	Item       RefKind = "item" // of a kit
	Exercise   RefKind = "exercise"
	Course     RefKind = "course"
	Intake     RefKind = "intake"
	Policy     RefKind = "policy" // a rest policy: whose limit it is
	Holding    RefKind = "holding"
	RescuePlan RefKind = "rescue-plan"
	Plan       RefKind = "plan" // the plan as a whole; ID is empty
)

// Ref names one thing; pages replace it by the thing's name and link.
type Ref struct {
	Kind RefKind
	ID   string
}

// Finding is one answer of one rule about one subject.
type Finding struct {
	Level    Level
	Rule     string   // the spec's name, such as "daily-rest"
	Who      Ref      // the session, person or thing the rule speaks of
	Also     []Ref    // others it concerns, in a fixed order
	Found    Text     // what is
	Required Text     // what must be
	Nearest  *Nearest // a change found to clear it; nil when none is known
	At       string   // JSON pointer of the PROBLEM value that decided, "" when none
	Field    Field    // of a caution: the field whose responsible person may accept it
	// Excess is how far beyond its limit the finding lies, in the rule's own
	// unit. Two findings of one subject differ in degree by it and by nothing else.
	Excess int64
}

// Subject identifies what a finding is about, without its degree.
func (f Finding) Subject() string {
	s := f.Rule + "\x00" + string(f.Who.Kind) + "\x00" + f.Who.ID
	for _, r := range f.Also {
		s += "\x00" + string(r.Kind) + "\x00" + r.ID
	}
	return s
}

// Refs returns everything the finding names: whom it is about, whom it concerns,
// and what its sentence speaks of.
func (f Finding) Refs() []Ref {
	return append(append([]Ref{f.Who}, f.Also...), f.Found.Refs()...)
}

// Nearest is a change of time, place, people or group after which the same
// proposal is clear. It never opens what is shut, extends what lapsed or loosens
// a limit.
type Nearest struct {
	Say     Text     // "Tue 2 Mar 09:30 on the same station"
	Start   int64    // civil.Instant of the proposed start, 0 = unchanged
	Station string   // "" = unchanged
	Swap    []Swap   // people to exchange
	Leave   []string // trainees to leave out
}

// Swap exchanges one person of a session for another in the same part.
type Swap struct{ Out, In string }

// Report is all findings of a judgement, worst first.
type Report struct{ Findings []Finding }

// Level returns the worst level found, Clear when there is none.
func (r Report) Level() Level {
	l := Clear
	for _, f := range r.Findings {
		l = max(l, f.Level)
	}
	return l
}

// At returns the findings of one level.
func (r Report) At(l Level) []Finding {
	var out []Finding
	for _, f := range r.Findings {
		if f.Level == l {
			out = append(out, f)
		}
	}
	return out
}

// Sort puts stops before cautions and keeps rule, then subject, in byte order,
// so that the same judgement always reads the same.
func (r *Report) Sort() {
	type keyed struct {
		subject string // worked out once: a broken plan has many findings
		Finding
	}
	list := make([]keyed, len(r.Findings))
	for i, f := range r.Findings {
		list[i] = keyed{f.Subject(), f}
	}
	slices.SortStableFunc(list, func(a, b keyed) int {
		return cmp.Or(cmp.Compare(b.Level, a.Level), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.subject, b.subject))
	})
	for i := range list {
		r.Findings[i] = list[i].Finding
	}
}
