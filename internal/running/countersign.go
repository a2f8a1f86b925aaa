package running

import (
	"context"
	"slices"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Hashing is the cost of a person's own code: as that of a password (RFC 9106), so
// that a short code is not found quickly by whoever has the file.
var Hashing = &argon2id.Params{Memory: 64 * 1024, Iterations: 3, Parallelism: 4, SaltLength: 16, KeyLength: 32}

// shortestCode is the least number of characters of a code.
const shortestCode = 6

// Countersign takes a trainee's word for their results while the session waits for
// its signature, by a code of their own. A trainee who has none chooses it now. It
// proves that whoever held the phone knew the code that was chosen in this trainee's
// name; every choice of a code is an entry. Error: fault.Invalid at "code" for a
// wrong one.
func (d *Desk) Countersign(ctx context.Context, actor access.Actor, sid id.Session, send Send, rev int64, of id.Trainee, code string) error {
	if _, err := access.Require(actor, access.RunSession); err != nil { // before anybody learns whether a code is right
		return err
	}
	own, err := d.prove(ctx, of, code)
	if err != nil {
		return err
	}
	return d.close(ctx, actor, sid, send, []any{"countersigned", rev, of}, func(tx *store.Tx, s *Scene) error {
		if err := s.mayNote(tx, rev, of); err != nil {
			return err
		}
		return s.countersign(tx, of, own)
	})
}

// CountersignDrawn takes a trainee's word for their results as a signature drawn on
// the phone, as they would sign a sheet. It proves that somebody drew it there, and
// is what a phone without signal can keep: a code it can't.
func (d *Desk) CountersignDrawn(ctx context.Context, actor access.Actor, sid id.Session, send Send, rev int64, of id.Trainee, drawn session.Drawing) error {
	return d.close(ctx, actor, sid, send, []any{"countersigned-drawn", rev, of, drawn.String()}, func(tx *store.Tx, s *Scene) error {
		if err := s.mayNote(tx, rev, of); err != nil {
			return err
		}
		n, err := s.toCountersign(of)
		if err != nil {
			return err
		}
		list, err := tx.View().Trainees(of)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return fault.New(fault.NotFound, "There is no such trainee.")
		}
		n.Signed, n.Drawn = s.Then, tx.Seal(string(list[0].Person), "signature", drawn.String())
		_, err = tx.Put("countersigned", s.Day, s.Results.Countersigned(n))
		return err
	})
}

// toCountersign is what is noted of a trainee, who has not countersigned it.
func (s *Scene) toCountersign(of id.Trainee) (session.Note, error) {
	n, noted := s.Results.NoteOf(of)
	switch {
	case !noted:
		return n, fault.New(fault.Conflict, "There is nothing to countersign yet. Keep the results first.")
	case n.Signed != 0:
		return n, fault.New(fault.Conflict, "It is countersigned already.")
	}
	return n, nil
}

// CountersignLater takes a trainee's word for what stands signed of them, where it
// was missed on the day: on anybody's device of the staff, or on their own. What was
// signed stays as it is. A trainee may do it for nobody else.
func (d *Desk) CountersignLater(ctx context.Context, actor access.Actor, sid id.Session, send Send, rev int64, of id.Trainee, code string) error {
	if _, err := d.signedOf(ctx, actor, sid, of); err != nil {
		return err
	}
	own, err := d.prove(ctx, of, code)
	if err != nil {
		return err
	}
	look := func(v *store.View) (*Scene, error) { return d.record(v, sid) }
	_, err = d.changeIn(ctx, actor, access.Countersign, sid, send, []any{"countersigned-later", rev, of}, func(tx *store.Tx, s *Scene) error {
		if err := mayCountersign(tx.View(), actor, s, of); err != nil {
			return err
		}
		if err := tx.Expect("results", string(sid), rev); err != nil {
			return err
		}
		return s.countersign(tx, of, own)
	}, look)
	return err
}

// countersign puts a trainee's word beside what was found of them.
func (s *Scene) countersign(tx *store.Tx, of id.Trainee, own ownCode) error {
	n, err := s.toCountersign(of)
	if err != nil {
		return err
	}
	if own.fresh {
		if err := tx.Expect("own-code", string(own.who), own.rev); err != nil {
			return err
		}
		if _, err := tx.Put("chosen", 0, people.OwnCode{Person: own.who, Hash: tx.Seal(string(own.who), "own-code", own.hash)}); err != nil {
			return err
		}
	}
	n.Signed, n.Drawn = s.Now, ""
	_, err = tx.Put("countersigned", s.Day, s.Results.Countersigned(n))
	return err
}

// ownCode is a person's code once it was proved; fresh is one that they choose now.
type ownCode struct {
	who   id.Person
	hash  string
	rev   int64
	fresh bool
}

// prove looks whether a code is a trainee's own. It is slow on purpose, and so runs
// before the write.
func (d *Desk) prove(ctx context.Context, of id.Trainee, code string) (own ownCode, err error) {
	if utf8.RuneCountInString(code) < shortestCode {
		return own, fault.Field("code", "A code has at least %d characters.", shortestCode)
	}
	if own.who, own.hash, own.rev, err = d.codeOf(ctx, of); err != nil {
		return own, err
	}
	if own.fresh = own.hash == ""; own.fresh {
		own.hash, err = argon2id.CreateHash(code, Hashing)
		return own, err
	}
	ok, err := argon2id.ComparePasswordAndHash(code, own.hash)
	if err == nil && !ok {
		err = fault.Field("code", "That is not the code this trainee chose.")
	}
	return own, err
}

// codeOf returns the person behind a trainee with the hash of their code.
func (d *Desk) codeOf(ctx context.Context, of id.Trainee) (who id.Person, hash string, rev int64, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.Trainees(of)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return fault.New(fault.NotFound, "There is no such trainee.")
		}
		who = list[0].Person
		hash, rev, err = v.OwnCode(who)
		return err
	})
	return who, hash, rev, err
}

// SignedOf is what stands signed of one trainee of a session.
type SignedOf struct {
	Session    session.Session
	Exercise   curriculum.Exercise
	Rev        int64 // of the session
	Results    session.Results
	ResultsRev int64
	Note       session.Note
	Noted      bool
	Drawn      string // their signature, where they drew it
	Name       string
	Cost       credential.Cost // of a failure
	Ref        *store.Reference
}

// SignedOf returns what stands signed of a trainee, to be countersigned. Error:
// fault.NotFound, also for a trainee who asks for somebody else's.
func (d *Desk) SignedOf(ctx context.Context, actor access.Actor, sid id.Session, of id.Trainee) (SignedOf, error) {
	return d.signedOf(ctx, actor, sid, of)
}

func (d *Desk) signedOf(ctx context.Context, actor access.Actor, sid id.Session, of id.Trainee) (out SignedOf, err error) {
	if _, err := access.Require(actor, access.Countersign); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		s, err := d.record(v, sid)
		if err != nil {
			return err
		}
		if err := mayCountersign(v, actor, s, of); err != nil {
			return err
		}
		out = SignedOf{Session: s.Session, Exercise: s.Exercise, Rev: s.Row.Rev, Results: s.Results, ResultsRev: s.ResultsRev}
		out.Note, out.Noted = s.Results.NoteOf(of)
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		costs, err := s.costs(v)
		if err != nil {
			return err
		}
		texts, err := v.Texts(out.Note.Drawn)
		if err != nil {
			return err
		}
		out.Drawn = texts[out.Note.Drawn]
		names, err := v.TraineeNames(of)
		out.Name, out.Cost = names[of], costs[of]
		return err
	})
	return out, err
}

// mayCountersign refuses a session that is not signed, who was not in it, and a
// trainee who is somebody else, to whom it is as if there were none.
func mayCountersign(v *store.View, actor access.Actor, s *Scene, of id.Trainee) error {
	none := fault.New(fault.NotFound, "There is no such trainee in this session.")
	if !slices.Contains(s.Session.Trainees, of) {
		return none
	}
	if !access.May(actor, access.SeeSession) {
		list, err := v.Trainees(of)
		if err != nil {
			return err
		}
		if len(list) == 0 || actor.Person == "" || list[0].Person != actor.Person {
			return none
		}
	}
	if !s.Session.State.Signed() {
		return fault.New(fault.Conflict, "The session is not signed. What is found in it is countersigned where it is noted.")
	}
	return nil
}
