package complaint

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Part is what somebody had to do with a complaint or with what it is against; a
// closed list.
type Part string

// The parts that a record names; see Tie.
const (
	TaughtIt    Part = "taught"
	StoodBy     Part = "stood-by"
	WasThere    Part = "was-there"
	RanIt       Part = "ran"
	SignedIt    Part = "signed"
	CorrectedIt Part = "corrected"
	AcceptedIt  Part = "accepted"
	GaveIt      Part = "gave"
)

// The parts that a complaint itself names.
const (
	IsAbout       Part = "about"
	IsNamed       Part = "named"
	FiledIt       Part = "filed"
	AnsweredIt    Part = "answered"
	DecidedIt     Part = "decided"
	WroteUnnamed  Part = "wrote-unnamed"
	OpenedItAgain Part = "opened-again"
)

// says completes "they …".
var says = map[Part]string{
	TaughtIt: "taught in the session", StoodBy: "stood by as a rescuer in the session", WasThere: "took part in the session",
	RanIt: "ran the session or wrote its record", SignedIt: "signed its results", CorrectedIt: "corrected its record", AcceptedIt: "accepted a caution of the session",
	GaveIt:  "gave the certificate or changed it",
	IsAbout: "are named by whoever filed it", IsNamed: "are said to be involved", FiledIt: "filed it", AnsweredIt: "answered it", DecidedIt: "decided it",
	WroteUnnamed: "wrote it down, and nobody said who filed it", OpenedItAgain: "opened it again",
}

// Words completes "they …".
func (p Part) Words() string { return says[p] }

// Parts lists every part.
func Parts() []Part {
	return []Part{TaughtIt, StoodBy, WasThere, RanIt, SignedIt, CorrectedIt, AcceptedIt, GaveIt,
		IsAbout, IsNamed, FiledIt, AnsweredIt, DecidedIt, WroteUnnamed, OpenedItAgain}
}

// involves reports whether the part is in what is complained of. Whoever has such a
// part neither reads the complaint nor does anything about it. The others only keep
// somebody from deciding.
func (p Part) involves() bool {
	switch p {
	case FiledIt, AnsweredIt, DecidedIt, WroteUnnamed, OpenedItAgain:
		return false
	}
	return true
}

// Tie says that a person had a part.
type Tie struct {
	Person id.Person
	Part   Part
}

// Ties returns who had which part, in order, each once. record are those that the
// records name in what it is against.
func (c Complaint) Ties(record []Tie) []Tie {
	out := slices.DeleteFunc(slices.Clone(record), func(t Tie) bool { return t.Person == "" })
	add := func(part Part, who ...id.Person) {
		for _, p := range who {
			if p != "" {
				out = append(out, Tie{p, part})
			}
		}
	}
	add(IsAbout, c.About...)
	for _, i := range c.Involved {
		add(IsNamed, i.People...)
	}
	add(FiledIt, c.Filer)
	for _, a := range c.Answers {
		add(AnsweredIt, a.By)
	}
	for _, d := range c.Decisions {
		add(DecidedIt, d.By)
	}
	for _, r := range c.Reopened {
		add(OpenedItAgain, r.By)
	}
	if c.Unnamed() {
		add(WroteUnnamed, c.Recorded.By) // it may be theirs
	}
	all := Parts()
	slices.SortFunc(out, func(a, b Tie) int {
		return cmp.Or(cmp.Compare(a.Person, b.Person), cmp.Compare(slices.Index(all, a.Part), slices.Index(all, b.Part)))
	})
	return slices.Compact(out)
}

// NotImpartial says who may not do something about a complaint, and which parts they
// had. A page of the error is that of fault.Forbidden.
type NotImpartial struct {
	Person id.Person
	Name   string // "" until somebody who knows it fills it in
	Doing  string // "decide it"
	Kind   Kind
	Parts  []Part
}

func (e *NotImpartial) Error() string {
	who := e.Name
	if who == "" {
		who = "This person"
	}
	return fmt.Sprintf("%s may not %s: they %s.", who, e.Doing, list(e.Parts))
}

// Unwrap returns the error as one that a person can act on.
func (e *NotImpartial) Unwrap() error { return fault.New(fault.Forbidden, "%s", e.Error()) }

func list(parts []Part) string {
	var words []string
	for _, p := range parts {
		words = append(words, p.Words())
	}
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// refusal returns nil where none of a person's parts counts against an act.
func (c Complaint) refusal(p id.Person, doing string, record []Tie, counts func(Part) bool) *NotImpartial {
	out := &NotImpartial{Person: p, Doing: doing, Kind: c.Kind}
	for _, t := range c.Ties(record) {
		if t.Person == p && counts(t.Part) {
			out.Parts = append(out.Parts, t.Part)
		}
	}
	if len(out.Parts) == 0 {
		return nil
	}
	return out
}

// MayDecide refuses, as *NotImpartial, whoever had any part in a complaint or in what
// it is against: not only those it is about, but who filed it, who answered it and so
// has taken a stand, who decided it before or opened it again, and who wrote down
// what nobody is known to have filed. This is the one place that says so.
func (c Complaint) MayDecide(p id.Person, record []Tie) error {
	if r := c.refusal(p, "decide it", record, func(Part) bool { return true }); r != nil {
		return r
	}
	return nil
}

// MayAct refuses, as *NotImpartial, whoever had a part in what is complained of, and
// who filed it: they neither answer it, say who is involved nor open it again.
func (c Complaint) MayAct(p id.Person, record []Tie) error {
	if r := c.refusal(p, "act on it", record, func(x Part) bool { return x.involves() || x == FiledIt }); r != nil {
		return r
	}
	return nil
}

// MayRead refuses, as *NotImpartial, whoever had a part in what is complained of, but
// who filed it: the text of others is not theirs to read.
func (c Complaint) MayRead(p id.Person, record []Tie) error {
	if p != "" && p == c.Filer {
		return nil
	}
	if r := c.refusal(p, "read it", record, Part.involves); r != nil {
		return r
	}
	return nil
}
