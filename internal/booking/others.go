package booking

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// OtherChange is one change of who else is in a session: somebody on record or a
// visitor by name joins in a part, or one of the others leaves.
type OtherChange struct {
	Join, Leave id.Person
	Visitor     string
	As          session.OtherPart
}

// standing completes a proposal that changes a session by what goes with that one:
// who else is in it, and whether it is a trial.
func (p Proposal) standing(v *store.View) (Proposal, error) {
	if p.settled || p.Session == "" {
		p.trial = p.trial || p.Trial != ""
		return p, nil
	}
	row, err := v.Session(p.Session)
	return p.of(row.Value), err
}

func (p Proposal) of(was session.Session) Proposal {
	p.Trial, p.trial, p.others = was.TrialOf, was.Trial, was.TheOthers()
	return p
}

// settle works out who else is in the session that is written. Of a visitor a record
// is made.
func (p *Proposal) settle(tx *store.Tx, was session.Session) (err error) {
	if p.Session != "" {
		*p = p.of(was)
	}
	if p.Trial != "" && !slices.Contains(session.Trials(), p.Trial) {
		return fault.Field("trial", "Say what the trial is for: a drill, or a mock for an audit.")
	}
	p.settled, p.trial = true, p.trial || p.Trial != ""
	c := p.Change
	switch {
	case c.Leave != "":
		left := slices.DeleteFunc(slices.Clone(p.others), func(x session.OtherAs) bool { return x.Person == c.Leave })
		if len(left) == len(p.others) {
			return fault.New(fault.Conflict, "They are not in the session any more. Open it again.")
		}
		p.others = left
	case c.Visitor != "":
		c.Join, err = tx.Newcomer(c.Visitor)
		if err != nil {
			return err
		}
		fallthrough
	case c.Join != "":
		if slices.Contains(slices.Concat(p.Instructors, p.Rescuers), c.Join) {
			return fault.Field("person", "They take part already, as instructor or rescuer.")
		}
		if _, err := tx.View().Person(c.Join); fault.Of(err) == fault.NotFound && c.Visitor == "" {
			return fault.Field("person", "Choose somebody from the list.")
		}
		p.others, err = session.Joined(p.others, session.OtherAs{Person: c.Join, As: c.As})
	}
	return err
}

// ChangeOthers lets somebody join or leave the others of a session that is still to
// run. It is judged like any change: everybody there must be looked after.
func (d *Desk) ChangeOthers(ctx context.Context, actor access.Actor, sid id.Session, rev int64, c OtherChange, send Send) (Done, error) {
	c.Visitor = strings.TrimSpace(c.Visitor)
	given := 0
	for _, x := range []string{string(c.Join), string(c.Leave), c.Visitor} {
		if x != "" {
			given++
		}
	}
	if given != 1 {
		return Done{}, fault.Field("person", "Choose one of the staff, or give the name of somebody else; one at a time.")
	}
	p, err := d.standing(ctx, sid)
	if err != nil {
		return Done{}, err
	}
	p.Change = c
	return d.revise(ctx, actor, access.ChangePeople, p, rev, send, session.ToChangePeople)
}
