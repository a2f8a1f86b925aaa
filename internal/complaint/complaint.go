// Package complaint knows complaints and appeals: received, answered, decided by
// somebody who had no part in what is complained of, and opened again for later
// information. ISO/IEC 17024:2012, 9.8 and 9.9, asks a certifying body for such a
// procedure, and that those who decide were not involved. It knows no names and no
// texts, and not the records: who ran a session or gave a certificate is told to it.
// Read complaint.go first, then part.go, which is the rule of who may decide.
package complaint

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Kind is what was filed; a closed list.
type Kind string

// The kinds. A complaint is about anything of the centre; an appeal asks that
// something found or given be looked at again, and names it.
const (
	Grievance Kind = "complaint"
	Appeal    Kind = "appeal"
)

// Kinds lists them in the order forms show them.
func Kinds() []Kind { return []Kind{Appeal, Grievance} }

// Way is how it came.
type Way string

// The ways. ByForm is on a page of this program, by whoever filed it.
const (
	ByForm   Way = "form"
	ByLetter Way = "letter"
	ByMail   Way = "e-mail"
	ByPhone  Way = "phone"
	InPerson Way = "in-person"
)

// WrittenDown lists the ways in which somebody else writes down what came.
func WrittenDown() []Way { return []Way{ByLetter, ByMail, ByPhone, InPerson} }

// Complaint is a complaint or an appeal with all that was done about it. What was
// done is only ever added to.
type Complaint struct {
	ID       id.Complaint  `json:"id"`
	Kind     Kind          `json:"kind"`
	Way      Way           `json:"way"`
	Received civil.Day     `json:"received"`
	Filer    id.Person     `json:"filer,omitempty"` // who filed it, where they are on record here
	From     id.Commitment `json:"from,omitempty"`  // who else filed it
	Against  Matter        `json:"against"`
	Text     id.Commitment `json:"text"`
	Recorded Signed        `json:"recorded"`
	About    []id.Person   `json:"about,omitempty"` // whom of the centre whoever filed it named; sorted

	// The oldest first.
	Involved  []Involved  `json:"involved,omitempty"`
	Answers   []Answer    `json:"answers,omitempty"`
	Decisions []Decision  `json:"decisions,omitempty"`
	Reopened  []Reopening `json:"reopened,omitempty"`
}

// Matter is what a complaint or an appeal is against; the zero Matter is told in
// its text alone.
type Matter struct {
	Session     id.Session     `json:"session,omitempty"`
	Trainee     id.Trainee     `json:"trainee,omitempty"` // with a session: what was found of them in it; alone: a certificate they were not given
	Certificate id.Certificate `json:"certificate,omitempty"`
}

// Told reports whether the matter is told in words alone.
func (m Matter) Told() bool { return m == Matter{} }

// Result reports whether the matter is what was found of one trainee in a session.
func (m Matter) Result() bool { return m.Session != "" && m.Trainee != "" }

// NotGiven reports whether the matter is a certificate that a trainee was not given.
func (m Matter) NotGiven() bool { return m.Session == "" && m.Trainee != "" }

// Signed says who did something, and when.
type Signed struct {
	By id.Person     `json:"by"`
	At civil.Instant `json:"at"`
}

// Involved is somebody's word for who of the centre had a part in what is complained
// of, beside those whom the record names.
type Involved struct {
	By     id.Person     `json:"by"`
	At     civil.Instant `json:"at"`
	People []id.Person   `json:"people,omitempty"` // sorted; none = nobody else
}

// Answer is what whoever filed it was answered. The first one says at least that it
// was received.
type Answer struct {
	By   id.Person     `json:"by"`
	At   civil.Instant `json:"at"`
	Text id.Commitment `json:"text"`
}

// Decision closes it.
type Decision struct {
	By      id.Person     `json:"by"`
	At      civil.Instant `json:"at"`
	Outcome Outcome       `json:"outcome"`
	Reason  id.Commitment `json:"reason"`
	Done    id.Commitment `json:"done,omitempty"` // what is done about it
	Told    *Telling      `json:"told,omitempty"` // that whoever filed it was told of it
}

// Telling says that whoever filed it was told what was decided, where they don't read
// it on a page of their own.
type Telling struct {
	By  id.Person     `json:"by"`
	At  civil.Instant `json:"at"` // of the entry
	On  civil.Day     `json:"on"`
	How Way           `json:"how"`
}

// Outcome is what was decided; a closed list.
type Outcome string

// The outcomes.
const (
	Upheld       Outcome = "upheld"
	UpheldInPart Outcome = "upheld-in-part"
	NotUpheld    Outcome = "not-upheld"
	Withdrawn    Outcome = "withdrawn" // by whoever filed it
)

// Outcomes lists them in the order forms show them.
func Outcomes() []Outcome { return []Outcome{Upheld, UpheldInPart, NotUpheld, Withdrawn} }

// Upholds reports whether something is to be done about what was complained of.
func (o Outcome) Upholds() bool { return o == Upheld || o == UpheldInPart }

// Reopening says why what was decided is looked at again.
type Reopening struct {
	By     id.Person     `json:"by"`
	At     civil.Instant `json:"at"`
	Reason id.Commitment `json:"reason"`
}

// Open reports whether it waits for a decision.
func (c Complaint) Open() bool { return len(c.Decisions) <= len(c.Reopened) }

// Unnamed reports whether nobody said who filed it.
func (c Complaint) Unnamed() bool { return c.Filer == "" && c.From == "" }

// State is where it stands.
type State string

// The states.
const (
	Received  State = "received"
	Answered  State = "answered"
	OpenAgain State = "opened-again"
	Decided   State = "decided"
)

// States lists them in the order of a complaint's life.
func States() []State { return []State{Received, Answered, Decided, OpenAgain} }

// State returns where it stands.
func (c Complaint) State() State {
	switch {
	case !c.Open():
		return Decided
	case len(c.Reopened) > 0:
		return OpenAgain
	case len(c.Answers) > 0:
		return Answered
	}
	return Received
}

// Decision returns the decision that closes it; ok is false while it is open.
func (c Complaint) Decision() (d Decision, ok bool) {
	if c.Open() {
		return d, false
	}
	return c.Decisions[len(c.Decisions)-1], true
}

// ToTell reports whether whoever filed it is still to be told what was decided. reads
// says that they have an account, and read it on their own page. Where nobody is known
// to have filed it, nobody can be told.
func (c Complaint) ToTell(reads bool) bool {
	d, ok := c.Decision()
	return ok && d.Told == nil && !reads && !c.Unnamed()
}

// AppealsAgainst reports whether it is an appeal that is open against a session, what
// was found in it, or a certificate. That it is there is told to whoever sees that
// record, and no more; that a complaint is there is told to nobody it may be about.
func (c Complaint) AppealsAgainst(m Matter) bool {
	if c.Kind != Appeal || !c.Open() {
		return false
	}
	return m.Session != "" && c.Against.Session == m.Session || m.Certificate != "" && c.Against.Certificate == m.Certificate
}

// Unanswered reports whether whoever filed it has heard nothing yet: no answer, and
// no decision.
func (c Complaint) Unanswered() bool { return len(c.Answers) == 0 && len(c.Decisions) == 0 }

// Since returns the day from which the days until a decision are counted: that on
// which it was received, or opened again.
func (c Complaint) Since(z civil.Zone) civil.Day {
	if n := len(c.Reopened); n > 0 {
		return z.DayOf(c.Reopened[n-1].At)
	}
	return c.Received
}

// Stated reports whether somebody said who of the centre had a part in it. Until
// then it is not known who may decide.
func (c Complaint) Stated() bool { return len(c.Involved) > 0 }

// named reports whether a person is said to be involved.
func (c Complaint) named(p id.Person) bool {
	return slices.ContainsFunc(c.Involved, func(i Involved) bool { return slices.Contains(i.People, p) })
}

// Texts returns every text of it, those that were not given left out.
func (c Complaint) Texts() (out []id.Commitment) {
	out = append(out, c.From, c.Text)
	for _, a := range c.Answers {
		out = append(out, a.Text)
	}
	for _, d := range c.Decisions {
		out = append(out, d.Reason, d.Done)
	}
	for _, r := range c.Reopened {
		out = append(out, r.Reason)
	}
	return slices.DeleteFunc(out, func(t id.Commitment) bool { return t == "" })
}

// Last returns when the last thing was done about it.
func (c Complaint) Last() civil.Instant {
	at := c.Recorded.At
	for _, i := range c.Involved {
		at = max(at, i.At)
	}
	for _, a := range c.Answers {
		at = max(at, a.At)
	}
	for _, d := range c.Decisions {
		if at = max(at, d.At); d.Told != nil {
			at = max(at, d.Told.At)
		}
	}
	for _, r := range c.Reopened {
		at = max(at, r.At)
	}
	return at
}
