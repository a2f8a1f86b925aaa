package completing

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
)

// Proposal is a trainee whose programme is complete and who has no certificate of
// it: what the certificate would rest on, and what holds it.
type Proposal struct {
	Trainee   people.Trainee
	Intake    people.Intake
	Programme curriculum.Programme // as it stood on the last day
	Completed civil.Day            // the last day of what it rests on
	Rests     []Rest               // each outcome of the programme, in its order
	Attended  []Attended           // every session they came to, by start
	Minutes   civil.Minutes        // credited in these
	Holds     []Hold               // none: the certificate may be given
	Failed    []Rest               // outcomes found not yet competent on the way, by session
}

// Rest is one outcome with the session in which it was shown last.
type Rest struct {
	Unit    id.Commitment
	Outcome id.Outcome
	Session session.Session
	How     session.How // "" where it was not said
}

// Attended is a session that the trainee came to.
type Attended struct {
	Session session.Session
	Minutes civil.Minutes // credited; 0 until it is signed
}

// Hold is a thing that must be mended before the certificate may be given.
type Hold struct {
	Kind          HoldKind
	Session       session.Session // that it is about; zero for the last two kinds
	Found, Needed civil.Minutes   // of ShortHours
	Days, Most    int             // of TooLong
	Failure       *Failure        // of FailureStands
}

// HoldKind is why a certificate is held; a closed list.
type HoldKind string

// The kinds.
const (
	NotSigned        HoldKind = "not-signed"        // a session of theirs is over, or still runs, and is not signed
	NoForm           HoldKind = "no-form"           // nobody noted what was found of them: the assessment form is missing
	NotCountersigned HoldKind = "not-countersigned" // by the trainee, what was found of them
	ShortHours       HoldKind = "short-hours"       // fewer minutes are credited than the programme asks
	TooLong          HoldKind = "too-long"          // from the first day to the last
	FailureStands    HoldKind = "failure-stands"    // what a failure cost was not done after it
)

// file is all that the records say of one enrolment.
type file struct {
	trainee      people.Trainee
	replaced     bool // somebody came in their place
	intake       people.Intake
	programme    curriculum.Programme
	held         []held                   // by start: signed, under way, or over and not signed; no trials
	certificates []credential.Certificate // of the person
	books        []rulebook.Version       // from the first on
	zone         civil.Zone
}

// held is one session of a file.
type held struct {
	session    session.Session
	exercise   curriculum.Exercise
	attendance session.Attendance
	results    session.Results
	minutes    civil.Minutes // credited to the trainee
}

// signed returns the session as it would stand once it is signed: what is noted
// already may complete a programme, but holds its certificate until then.
func (h held) signed() held {
	if h.session.State.Signed() {
		return h
	}
	s, a, r, err := session.Signed(h.session, h.attendance, h.results, session.ToSignOff, "")
	if err != nil { // it was not run, or still runs: nothing is shown in it yet
		h.attendance, h.results = session.Attendance{}, session.Results{}
		return h
	}
	h.session, h.attendance, h.results = s, a, r
	return h
}

// judge returns what is proposed; ok is false for one who is not complete, or has
// the certificate. Nobody is complete of whom an outcome of the programme or an
// exercise that they came for is missing, and no programme without outcomes is.
func judge(f file) (p Proposal, ok bool) {
	if len(f.trainee.Needs) == 0 || f.replaced || len(f.programme.Units) == 0 || f.given() != "" {
		return p, false
	}
	p = Proposal{Trainee: f.trainee, Intake: f.intake, Programme: f.programme}
	stood := make([]held, len(f.held))
	for i, h := range f.held {
		stood[i] = h.signed()
	}
	for _, u := range f.programme.Units {
		for _, o := range u.Outcomes {
			h, shown := f.shown(stood, o)
			if !shown {
				return Proposal{}, false
			}
			p.Rests = append(p.Rests, Rest{Unit: u.Name, Outcome: o, Session: h.session, How: h.how(f.trainee.ID, o)})
			p.Completed = max(p.Completed, f.zone.DayOf(h.session.End))
		}
	}
	for _, e := range f.trainee.Needs {
		done := slices.IndexFunc(stood, func(h held) bool { return h.exercise.ID == e && f.completed(h) })
		if done < 0 {
			return Proposal{}, false
		}
		p.Completed = max(p.Completed, f.zone.DayOf(stood[done].session.End))
	}
	p.hold(f, stood)
	return p, len(p.Rests) > 0
}

// given returns the certificate that was given for the enrolment, "" for none. One
// declared void never was. One that names no enrolment, recorded from a paper,
// counts where it was earned since the first session.
func (f file) given() id.Certificate {
	for _, c := range f.certificates {
		if c.Kind != credential.ForProgramme || c.State == credential.Void {
			continue
		}
		since := len(f.held) > 0 && c.Completed >= f.zone.DayOf(f.held[0].session.Start)
		if c.Trainee == f.trainee.ID || c.Trainee == "" && c.Programme == f.intake.Programme && since {
			return c.ID
		}
	}
	return ""
}

func (f file) completed(h held) bool {
	s := h.session
	if !s.State.Signed() {
		return false
	}
	return session.Completed(s, h.attendance, h.results, h.exercise, f.trainee.ID)
}

// shown returns the last session in which the trainee completed an exercise that
// delivers an outcome; shown is false where there is none, or where the outcome
// was found wanting since.
func (f file) shown(list []held, o id.Outcome) (last held, shown bool) {
	for _, h := range list {
		if !h.attendance.Came(f.trainee.ID) {
			continue
		}
		switch found := h.results.Of(f.trainee.ID, o); {
		case found == session.NotYetCompetent:
			shown = false
		case found == session.Competent && f.completed(h):
			last, shown = h, true
		}
	}
	return last, shown
}

func (h held) how(t id.Trainee, o id.Outcome) session.How {
	i := slices.IndexFunc(h.results.Results, func(r session.Result) bool { return r.Trainee == t && r.Outcome == o })
	if i < 0 {
		return ""
	}
	return h.results.Results[i].How
}

// hold adds what must be mended first, by session, then what is wrong with the
// whole; stood is how the sessions would stand once all are signed.
func (p *Proposal) hold(f file, stood []held) {
	t, unsigned := f.trainee.ID, false
	var first, last civil.Day
	for i, h := range f.held {
		if !h.session.State.Signed() {
			unsigned = true
			p.Holds = append(p.Holds, Hold{Kind: NotSigned, Session: h.session})
		}
		if !stood[i].attendance.Came(t) {
			continue
		}
		p.Attended = append(p.Attended, Attended{h.session, h.minutes})
		for _, r := range stood[i].results.Results {
			if r.Trainee == t && r.Result == session.NotYetCompetent {
				p.Failed = append(p.Failed, Rest{Outcome: r.Outcome, Session: h.session, How: r.How})
			}
		}
		p.Minutes += h.minutes
		if day := f.zone.DayOf(h.session.Start); first == 0 {
			first = day
		}
		last = max(last, f.zone.DayOf(h.session.End-1))
		switch n, noted := h.results.NoteOf(t); {
		case !noted:
			p.Holds = append(p.Holds, Hold{Kind: NoForm, Session: h.session})
		case n.Signed == 0:
			p.Holds = append(p.Holds, Hold{Kind: NotCountersigned, Session: h.session})
		}
	}
	p.Holds = append(p.Holds, f.failures(stood)...)
	if short := p.Programme.Hours - p.Minutes; short > 0 && !unsigned {
		p.Holds = append(p.Holds, Hold{Kind: ShortHours, Found: p.Minutes, Needed: p.Programme.Hours})
	}
	if days, most := int(last-first)+1, p.Programme.SpanDays; most > 0 && days > most {
		p.Holds = append(p.Holds, Hold{Kind: TooLong, Days: days, Most: most})
	}
}

// order puts those that may be given first, then the longest complete.
func order(list []Proposal) {
	held := func(p Proposal) int { return min(len(p.Holds), 1) }
	slices.SortStableFunc(list, func(a, b Proposal) int {
		return cmp.Or(cmp.Compare(held(a), held(b)), cmp.Compare(a.Completed, b.Completed), cmp.Compare(a.Trainee.ID, b.Trainee.ID))
	})
}
