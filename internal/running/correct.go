package running

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Correction is what stands right of one trainee of a signed session.
type Correction struct {
	Found
	There civil.Period // zero = did not come
	Why   session.CorrectionReason
	Note  string
	Roll  int64 // revisions that the page showed
	Rev   int64
}

// Correct replaces what stands signed of one trainee by new entries that name those
// they correct. What stood before stays in the ledger, and every page says that it
// was corrected.
func (d *Desk) Correct(ctx context.Context, actor access.Actor, sid id.Session, send Send, c Correction) error {
	_, err := d.changeAs(ctx, actor, access.CorrectSession, sid, send, []any{string(session.ToCorrect), c}, func(tx *store.Tx, s *Scene) error {
		for kind, rev := range map[string]int64{"attendance": c.Roll, "results": c.Rev} {
			if err := tx.Expect(kind, string(sid), rev); err != nil {
				return err
			}
		}
		say := session.Correction{Trainee: c.Trainee, By: actor.Person, At: s.Now, Why: c.Why}
		if err := s.Session.MayCorrect(say); err != nil {
			return err
		}
		say.Note = tx.Seal("session/"+string(sid), "note", c.Note)
		roll, noted := c.There != s.Attendance.There(c.Trainee), c.There != civil.Period{} && !sameResults(s.Results, c.Found)
		noted = noted && !s.Session.Trial // of a trial nothing is found
		if !roll && !noted {
			return fault.Field("reason", "Nothing differs from what stands. Change what was wrong.")
		}
		if roll {
			a, err := s.Attendance.Corrected(s.Session, say, c.There)
			if err == nil {
				err = s.correct(tx, "attendance", a)
			}
			if err != nil {
				return err
			}
		}
		if !noted {
			return nil
		}
		n, _ := s.Results.NoteOf(c.Trainee)
		r, err := s.Results.Noted(c.Trainee, s.Exercise, c.Results, n.Remark)
		if err != nil {
			return err
		}
		r.Corrections = append(slices.Clone(r.Corrections), say)
		return s.correct(tx, "results", r)
	})
	return err
}

// correct puts a record in the place of the one that stands, named in the entry.
func (s *Scene) correct(tx *store.Tx, kind string, record any) error {
	was, err := s.View.LastEntry(kind, string(s.Session.ID))
	if err != nil {
		return err
	}
	_, err = tx.PutCorrecting("corrected", s.Day, []int64{was}, record)
	return err
}

// sameResults reports whether a trainee's results stand as found.
func sameResults(r session.Results, f Found) bool {
	var was []session.Result
	for _, x := range r.Results {
		if x.Trainee == f.Trainee {
			was = append(was, x)
		}
	}
	now := slices.Clone(f.Results)
	for i := range now {
		now[i].Trainee = f.Trainee
	}
	session.SortResults(was)
	session.SortResults(now)
	return slices.Equal(was, now)
}
