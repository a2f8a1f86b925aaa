package session

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Correction says that what stood signed of one trainee was replaced by a later
// entry, and why. It stays with the record for good.
type Correction struct {
	Trainee id.Trainee       `json:"trainee"`
	By      id.Person        `json:"by"`
	At      civil.Instant    `json:"at"`
	Why     CorrectionReason `json:"why"`
	Note    id.Commitment    `json:"note,omitempty"`
}

// CorrectionReason is why a signed record was corrected; a closed list.
type CorrectionReason string

// The reasons.
const (
	MistypedEntry CorrectionReason = "entered-wrongly"
	WrongTrainee  CorrectionReason = "another-trainee"
	LaterEvidence CorrectionReason = "later-evidence"
	AfterAppeal   CorrectionReason = "after-an-appeal"
)

// CorrectionReasons lists them in the order forms show them.
func CorrectionReasons() []CorrectionReason {
	return []CorrectionReason{MistypedEntry, WrongTrainee, LaterEvidence, AfterAppeal}
}

// MayCorrect refuses a session that is not signed, and a reason not of the list.
func (s Session) MayCorrect(c Correction) error {
	if _, err := Next(s.State, ToCorrect); err != nil {
		return err
	}
	if !slices.Contains(CorrectionReasons(), c.Why) {
		return fault.Field("reason", "Choose why it is corrected.")
	}
	if !slices.Contains(s.Trainees, c.Trainee) {
		return fault.New(fault.NotFound, "There is no such trainee in this session.")
	}
	return nil
}

// Corrected returns the attendance with one trainee there for a span of a signed
// session, the zero span for one who did not come.
func (a Attendance) Corrected(s Session, c Correction, there civil.Period) (Attendance, error) {
	p := Presence{Who: string(c.Trainee), Part: AsTrainee, Mark: DidNotCome}
	switch {
	case there == civil.Period{}:
	case there.Start < s.Start || there.End > s.End || there.Start >= there.End:
		return a, fault.Field("came", "Give times between the session’s start and end, the coming before the leaving; leave both empty for one who did not come.")
	default:
		p.Mark, p.Start, p.End = Present, there.Start, there.End
		if there.End < s.End {
			p.Mark = Left
		} else if there.Start > s.Start {
			p.Mark = Late
		}
	}
	mine := func(x Presence) bool { return x.Who == p.Who && x.Part == AsTrainee }
	out := Attendance{Session: a.Session, Presences: slices.DeleteFunc(slices.Clone(a.Presences), mine), Corrections: append(slices.Clone(a.Corrections), c)}
	out.Presences = append(out.Presences, p)
	out.sort()
	return out, nil
}

// There is the span from a trainee's first coming to the last leaving, the zero
// span for one who did not come.
func (a Attendance) There(t id.Trainee) (span civil.Period) {
	for _, p := range a.Presences {
		if p.Part != AsTrainee || p.Who != string(t) || p.Mark == DidNotCome || p.Start >= p.End {
			continue
		}
		if span.Start == 0 || p.Start < span.Start {
			span.Start = p.Start
		}
		span.End = max(span.End, p.End)
	}
	return span
}
