package running

import (
	"context"
	"errors"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Found is what a session found of one trainee.
type Found struct {
	Trainee id.Trainee
	Results []session.Result
	Remark  string
}

// Note keeps what was found of one trainee while the session waits for its
// signature. rev is the revision of the results that the page showed. A
// countersignature of what stood before is gone with it.
func (d *Desk) Note(ctx context.Context, actor access.Actor, sid id.Session, send Send, rev int64, found Found) error {
	return d.close(ctx, actor, sid, send, []any{"noted", rev, found}, func(tx *store.Tx, s *Scene) error {
		if err := s.mayNote(tx, rev, found.Trainee); err != nil {
			return err
		}
		_, was := s.Results.NoteOf(found.Trainee)
		act := "noted"
		if was {
			act = "noted-anew"
		}
		r, err := s.Results.Noted(found.Trainee, s.Exercise, found.Results, tx.Seal("session/"+string(sid), "remark", found.Remark))
		if err != nil {
			return err
		}
		r.By = actor.Person
		_, err = tx.Put(act, s.Day, r)
		return err
	})
}

// mayNote refuses results of a session that does not run or is signed, and of who
// is not in it.
func (s *Scene) mayNote(tx *store.Tx, rev int64, t id.Trainee) error {
	if !s.underWay() {
		return fault.New(fault.Conflict, "A session that is %s takes no results; it must be under way, and once signed it is corrected.", session.Words(s.Session.State))
	}
	if s.Session.Trial {
		return fault.New(fault.Conflict, "It is a trial session: it credits nobody with anything, and takes no results.")
	}
	if !slices.Contains(s.Session.Trainees, t) {
		return fault.New(fault.NotFound, "There is no such trainee in this session.")
	}
	return tx.Expect("results", string(s.Session.ID), rev)
}

// Signature is how a session is signed. Short says that it was cut short: what was
// not done is a need again. Without says that the instructor signs though some
// trainees did not countersign, which stays to be seen.
type Signature struct {
	Short, Without bool
	Rev            int64 // of the results that the page showed
	// Paper is who signed the sheet that was typed up; "" for a session run here,
	// which whoever is signed in signs.
	Paper id.Person
}

// Sign closes a session that has ended, by one of its instructors who was there.
// Where something is missing nothing is written, and it is returned.
func (d *Desk) Sign(ctx context.Context, actor access.Actor, sid id.Session, send Send, sign Signature) (missing []Gate, err error) {
	move := session.ToSignOff
	if sign.Short {
		move = session.ToCutShort
	}
	err = d.close(ctx, actor, sid, send, []any{string(move), sign}, func(tx *store.Tx, s *Scene) error {
		if err := tx.Expect("results", string(sid), sign.Rev); err != nil {
			return err
		}
		by := actor.Person
		if s.Session.Run != nil && s.Session.Run.Paper {
			by = sign.Paper
		}
		rec, a, r, err := session.Signed(s.Session, s.Attendance, s.Results, move, by)
		if err != nil {
			return err
		}
		if missing = s.unsigned(a, by, sign.Without); len(missing) > 0 {
			return errShut
		}
		if _, err := tx.Put("signed", s.Day, a); err != nil {
			return err
		}
		if _, err := tx.Put("signed", s.Day, r); err != nil {
			return err
		}
		_, err = tx.Put(string(move), s.Day, rec) // last: with it, and once, what was completed counts
		return err
	})
	if errors.Is(err, errShut) {
		return missing, nil
	}
	return nil, err
}

// unsigned is what a signature still lacks; a is the attendance as it would stand.
func (s *Scene) unsigned(a session.Attendance, by id.Person, without bool) (out []Gate) {
	here := "/yard/sessions/" + string(s.Session.ID)
	taught := slices.ContainsFunc(a.Presences, func(p session.Presence) bool {
		return p.Part == session.AsInstructor && p.Who == string(by) && p.Mark != session.DidNotCome
	})
	if !taught {
		out = append(out, Gate{Name: "signer", Found: verdict.Say("whoever signs did not teach this session"), Required: verdict.Say("the signature of an instructor who was there"), Mend: here + "/sign", Do: "See who was"})
	}
	for _, t := range s.Session.Trainees {
		if !a.Came(t) || s.Session.Trial { // of a trial nothing is found
			continue
		}
		name, page := verdict.Ref{Kind: verdict.Trainee, ID: string(t)}, here+"/trainees/"+string(t)
		switch n, noted := s.Results.NoteOf(t); {
		case !noted:
			out = append(out, Gate{Name: "results", Found: verdict.Say("nothing is noted of ", name), Required: verdict.Say("a result for each outcome, “not assessed” too"), Mend: page, Do: "Note the results"})
		case n.Signed == 0 && !without:
			out = append(out, Gate{Name: "countersign", Found: verdict.Say(name, " did not countersign"), Required: verdict.Say("their own code or signature, or your word that you sign without"), Mend: page, Do: "Have it countersigned"})
		}
	}
	return out
}

// Unsigned is what the signature of a session that has ended lacks; for the page.
func (s *Scene) Unsigned(by id.Person) []Gate {
	if _, a, _, err := session.Signed(s.Session, s.Attendance, s.Results, session.ToSignOff, by); err == nil {
		return s.unsigned(a, by, false)
	}
	return nil
}
