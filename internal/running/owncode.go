package running

import (
	"context"
	"slices"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// CodeSheet is what is on record of a trainee's own code, without the code.
type CodeSheet struct {
	Session session.Session
	Name    string
	Rev     int64 // of the code; 0 = none was chosen
	History []ChosenCode
	Names   map[id.Person]string
	Ref     *store.Reference
}

// ChosenCode is one time that a code was chosen.
type ChosenCode struct {
	At   civil.Instant
	Anew *people.CodeAnew // nil: at their first countersignature
}

// CodeSheet returns what is on record of the own code of a trainee of a session.
func (d *Desk) CodeSheet(ctx context.Context, actor access.Actor, sid id.Session, of id.Trainee) (out CodeSheet, err error) {
	if _, err := access.Require(actor, access.RenewCode); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		s, who, err := d.mayRenew(v, actor, sid, of)
		if err != nil {
			return err
		}
		out.Session = s.Session
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		history, err := v.OwnCodeHistory(who)
		if err != nil {
			return err
		}
		var by []id.Person
		for _, h := range history {
			out.Rev = h.Rev
			out.History = append(out.History, ChosenCode{h.RecordedAt, h.Value.Anew})
			if h.Value.Anew != nil {
				by = append(by, h.Value.Anew.By)
			}
		}
		if out.Names, err = v.PersonNames(by...); err != nil {
			return err
		}
		names, err := v.TraineeNames(of)
		out.Name = names[of]
		return err
	})
	return out, err
}

// MayRenew reports whether the actor may let a trainee of a session choose a new code:
// an administrator, or an instructor of the session.
func MayRenew(actor access.Actor, s session.Session) bool {
	if !access.May(actor, access.RenewCode) {
		return false
	}
	return slices.Contains(actor.Roles, access.Administrator) || actor.Person != "" && slices.Contains(s.Instructors, actor.Person)
}

// mayRenew refuses whoever is neither an administrator nor an instructor of the
// session, and a trainee who was not in it: nobody vouches for one they do not teach.
func (d *Desk) mayRenew(v *store.View, actor access.Actor, sid id.Session, of id.Trainee) (*Scene, id.Person, error) {
	s, err := d.record(v, sid)
	if err != nil {
		return nil, "", err
	}
	list, err := v.Trainees(of)
	if err != nil {
		return nil, "", err
	}
	switch {
	case len(list) == 0 || !slices.Contains(s.Session.Trainees, of):
		return nil, "", fault.New(fault.NotFound, "There is no such trainee in this session.")
	case !MayRenew(actor, s.Session):
		return nil, "", fault.New(fault.Forbidden, "You do not teach this session. An instructor of it, or an administrator, says that they saw who the trainee is.")
	case list[0].Person == actor.Person:
		return nil, "", fault.New(fault.Forbidden, "You can't vouch for yourself. Somebody else says that they saw who you are.")
	}
	return s, list[0].Person, nil
}

// Renewal is a new code of a trainee who forgot theirs: typed twice by them, on the
// word of who saw their identity.
type Renewal struct {
	Rev         int64 // of the code on record, as the page showed it
	Identity    people.IdentitySeen
	Code, Again string
}

// RenewCode takes a trainee's new code. What they countersigned with the one before
// stays as it is. Errors: fault.Invalid field by field.
func (d *Desk) RenewCode(ctx context.Context, actor access.Actor, sid id.Session, of id.Trainee, r Renewal, key string) error {
	role, err := access.Require(actor, access.RenewCode)
	if err != nil {
		return err
	}
	who, hash, err := d.renewed(ctx, actor, sid, of, r)
	if err != nil {
		return err
	}
	cmd := store.Command{Key: key, Content: []any{access.RenewCode, who, r.Rev, r.Identity}, Actor: actor, Role: role}
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		if _, _, err := d.mayRenew(tx.View(), actor, sid, of); err != nil {
			return "", err
		}
		if err := tx.Expect("own-code", string(who), r.Rev); err != nil {
			return "", err
		}
		_, err := tx.Put("chosen-anew", 0, people.OwnCode{Person: who, Hash: tx.Seal(string(who), "own-code", hash),
			Anew: &people.CodeAnew{By: actor.Person, Identity: r.Identity}})
		return "", err
	})
	return err
}

// renewed judges what was typed and hashes it. It is slow on purpose, and so runs
// before the write.
func (d *Desk) renewed(ctx context.Context, actor access.Actor, sid id.Session, of id.Trainee, r Renewal) (who id.Person, hash string, err error) {
	old, rev := "", int64(0)
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if _, who, err = d.mayRenew(v, actor, sid, of); err != nil {
			return err
		}
		old, rev, err = v.OwnCode(who)
		return err
	})
	if err != nil {
		return "", "", err
	}
	bad := fault.Fields{}
	if rev == 0 {
		return "", "", fault.New(fault.Conflict, "This trainee has chosen no code yet. They choose it at their first countersignature.")
	}
	if !slices.Contains(people.IdentitiesSeen(), r.Identity) {
		bad.Add("identity", "Say how you saw who they are.")
	}
	if utf8.RuneCountInString(r.Code) < shortestCode {
		bad.Add("code", "A code has at least %d characters.", shortestCode)
	} else if r.Code != r.Again {
		bad.Add("again", "The two are not the same. The trainee types the new code twice.")
	}
	if err := bad.Err(); err != nil {
		return "", "", err
	}
	if old != "" {
		same, err := argon2id.ComparePasswordAndHash(r.Code, old)
		if err != nil {
			return "", "", err
		}
		if same {
			return "", "", fault.Field("code", "That is the code on record. Countersign with it, or choose another.")
		}
	}
	hash, err = argon2id.CreateHash(r.Code, Hashing)
	return who, hash, err
}
