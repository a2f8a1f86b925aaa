package completing

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
)

// Failure is an outcome found not yet competent, and what of its cost was not done
// after it.
type Failure struct {
	Outcome     id.Outcome
	Cost        credential.Cost // Line is "" where no rule book says it
	Missing     []id.Exercise   // not completed after it
	Certificate id.Certificate  // older, and still standing; "" for none
}

// failures are the failures on the way whose cost was not paid: what the rule book's
// line says must be done anew counts only where it was done in a session that began
// after the failure. A cost that no rule book states holds until one does.
func (f file) failures(stood []held) (out []Hold) {
	for i, h := range stood {
		if !h.attendance.Came(f.trainee.ID) {
			continue
		}
		var said []id.Outcome
		for _, r := range h.results.Results {
			if r.Trainee != f.trainee.ID || r.Result != session.NotYetCompetent || slices.Contains(said, r.Outcome) {
				continue
			}
			said = append(said, r.Outcome)
			if left := f.unpaid(stood, h, r.Outcome); left != nil {
				out = append(out, Hold{Kind: FailureStands, Session: f.held[i].session, Failure: left})
			}
		}
	}
	return out
}

// unpaid returns what is left of the cost of a failure, nil where all of it was done.
func (f file) unpaid(stood []held, failed held, o id.Outcome) *Failure {
	day := f.zone.DayOf(failed.session.Start)
	left := &Failure{Outcome: o, Cost: f.cost(day)}
	if left.Cost.Line == "" {
		return left
	}
	again := func(e id.Exercise) bool {
		return slices.ContainsFunc(stood, func(h held) bool {
			return h.exercise.ID == e && h.session.Start >= failed.session.End && f.completed(h)
		})
	}
	var asked []id.Exercise
	switch left.Cost.Failing {
	case rulebook.CostsOutcome: // that it was shown since is asked of every outcome
	case rulebook.CostsExercise:
		asked = []id.Exercise{failed.exercise.ID}
	case rulebook.CostsProgramme:
		asked = f.trainee.Needs
	case rulebook.CostsCertificate:
		left.Certificate = f.older(day)
	}
	for _, e := range asked {
		if !again(e) {
			left.Missing = append(left.Missing, e)
		}
	}
	if len(left.Missing) == 0 && left.Certificate == "" {
		return nil
	}
	return left
}

// cost is what a failure on a day costs: by the rule book in force then, or, where
// that does not say, by the first later one that does.
func (f file) cost(d civil.Day) credential.Cost {
	c := credential.CostOf(f.books, f.programme.Validity, d)
	later := slices.Clone(f.books)
	slices.SortStableFunc(later, func(a, b rulebook.Version) int { return int(a.From - b.From) })
	for _, b := range later {
		if c.Line == "" && b.From > d {
			c = credential.CostOf(f.books, f.programme.Validity, b.From)
		}
	}
	return c
}

// older is a certificate of the programme that a failure on a day cost and that was
// not declared void, "" for none. One that has lapsed or was replaced costs nothing more.
func (f file) older(d civil.Day) id.Certificate {
	for _, c := range f.certificates {
		if c.Kind == credential.ForProgramme && c.Programme == f.intake.Programme && c.Trainee != f.trainee.ID &&
			c.Completed < d && d <= c.Until && (c.State == credential.Valid || c.State == credential.Suspended) {
			return c.ID
		}
	}
	return ""
}
