package complaints

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Page is one complaint or appeal as one reader may see it. What may not be read is
// not in it.
type Page struct {
	Row
	Offer
	Rev     int64
	Steps   []Step // newest first
	Texts   map[id.Commitment]string
	Names   map[id.Person]string
	Ties    []complaint.Tie // of those who may act some day, and of whom it is about
	Ref     *store.Reference
	Zone    civil.Zone
	Today   civil.Day
	Of      string // name of the trainee whom the matter is about, "" where there is none or it may not be read
	Read    error  // why the reader may not read what it says; nil where they may
	Act     error  // why they may not act on it
	Decide  error  // why they don't decide it
	Decides []id.Person
	Staff   []id.Person // who may be named as involved, by name
}

// Step is one thing that was done.
type Step struct {
	Act string
	By  id.Person
	At  civil.Instant
}

// One returns a complaint to those who may see that it is there. Its text is theirs
// where they handle complaints and had no part in what it is about.
func (d *Desk) One(ctx context.Context, actor access.Actor, of id.Complaint) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeComplaints); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		out, _, err = read(v, actor, of)
		return err
	})
	return out, err
}

// read returns the page, and what the records say of who had a part.
func read(v *store.View, actor access.Actor, of id.Complaint) (out Page, record []complaint.Tie, err error) {
	row, err := v.Complaint(of)
	if err != nil {
		return out, nil, err
	}
	c := row.Value
	if out.Ref, err = v.Reference(); err != nil {
		return out, nil, err
	}
	out.Row, out.Rev, out.Zone, out.Today = rowOf(out.Ref, v, c), row.Rev, v.Zone(), v.Today()
	if record, err = recorded(v, c.Against); err != nil {
		return out, nil, err
	}
	if out.Offer, err = offerOf(v, out.Ref, c.Against); err != nil {
		return out, nil, err
	}
	if out.Steps, err = steps(v, of); err != nil {
		return out, nil, err
	}
	_, handles := access.Require(actor, access.HandleComplaint)
	out.Read = cmp.Or(handles, c.MayRead(actor.Person, record))
	out.Act = cmp.Or(handles, c.MayAct(actor.Person, record))
	out.Decide = cmp.Or(handles, c.MayDecide(actor.Person, record))
	handlers, err := handlers(v, out.Ref)
	if err != nil {
		return out, nil, err
	}
	for _, p := range handlers {
		if c.MayDecide(p, record) == nil {
			out.Decides = append(out.Decides, p)
		}
	}
	if out.Read != nil {
		out.Steps[len(out.Steps)-1].By = "" // it may be who filed it
	} else {
		if out.Texts, err = v.Texts(c.Texts()...); err != nil {
			return out, nil, err
		}
		out.Staff = append(handlers, out.Ref.Staff.Keys()...)
		of, err := v.TraineeNames(c.Against.Trainee)
		if err != nil {
			return out, nil, err
		}
		out.Of = of[c.Against.Trainee]
		out.Ties = c.Ties(record)
	}
	return out, record, out.name(v, actor)
}

func (p *Page) name(v *store.View, actor access.Actor) (err error) {
	who := slices.Concat(p.Decides, p.Staff, []id.Person{actor.Person})
	for _, s := range p.Steps {
		who = append(who, s.By)
	}
	for _, t := range p.Ties {
		who = append(who, t.Person)
	}
	if p.Names, err = v.PersonNames(who...); err != nil {
		return err
	}
	byName := func(a, b id.Person) int { return cmp.Or(cmp.Compare(p.Names[a], p.Names[b]), cmp.Compare(a, b)) }
	slices.SortFunc(p.Decides, byName)
	slices.SortFunc(p.Staff, byName)
	p.Staff = slices.Compact(p.Staff)
	for _, err := range []error{p.Read, p.Act, p.Decide} {
		nameIn(err, p.Names)
	}
	return nil
}

// nameIn fills in who a refusal is about.
func nameIn(err error, names map[id.Person]string) {
	var no *complaint.NotImpartial
	if errors.As(err, &no) {
		no.Name = names[no.Person]
	}
}

func steps(v *store.View, of id.Complaint) (out []Step, err error) {
	history, err := v.ComplaintHistory(of)
	for _, h := range slices.Backward(history) {
		out = append(out, Step{Act: h.Act, By: h.Actor, At: h.Value.Last()})
	}
	return out, err
}

// handlers are the people whose account lets them handle complaints.
func handlers(v *store.View, ref *store.Reference) (out []id.Person, err error) {
	for _, a := range ref.Accounts.All(v.Today()) {
		actor := access.Actor{Account: a.ID, Person: a.Person, Roles: a.Roles, Today: v.Today()}
		for _, ap := range ref.Appointments.All(v.Today()) {
			if ap.Person == a.Person && ap.On(v.Today()) {
				actor.Appointments = append(actor.Appointments, ap)
			}
		}
		if a.Person != "" && !a.Ended && access.May(actor, access.HandleComplaint) && !slices.Contains(out, a.Person) {
			out = append(out, a.Person)
		}
	}
	return out, nil
}

// Answer notes what whoever filed it was answered.
func (d *Desk) Answer(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, text, key string) error {
	return d.act(ctx, actor, of, rev, "answered", text, key, func(tx *store.Tx, c complaint.Complaint, record []complaint.Tie) (complaint.Complaint, error) {
		return c.AnsweredWith(complaint.Answer{By: actor.Person, At: tx.Now(), Text: seal(tx, of, "answer", text)}, record)
	})
}

// Involve notes who of the centre had a part in it, beside those of the records;
// nobody says that there is nobody else.
func (d *Desk) Involve(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, people []id.Person, nobody bool, key string) error {
	return d.act(ctx, actor, of, rev, "involved-people-named", []any{people, nobody}, key, func(tx *store.Tx, c complaint.Complaint, record []complaint.Tie) (complaint.Complaint, error) {
		for _, p := range people {
			if _, err := tx.View().Person(p); err != nil {
				return c, err
			}
		}
		return c.WithInvolved(complaint.Involved{By: actor.Person, At: tx.Now(), People: people}, nobody, record)
	})
}

// Deciding is what somebody decides.
type Deciding struct {
	Outcome complaint.Outcome
	Reason  string
	Done    string
}

// Decide decides it. Error: *complaint.NotImpartial for whoever had any part in it.
func (d *Desk) Decide(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, x Deciding, key string) error {
	return d.act(ctx, actor, of, rev, "decided", x, key, func(tx *store.Tx, c complaint.Complaint, record []complaint.Tie) (complaint.Complaint, error) {
		return c.DecidedWith(complaint.Decision{By: actor.Person, At: tx.Now(), Outcome: x.Outcome,
			Reason: seal(tx, of, "reason", x.Reason), Done: seal(tx, of, "done", x.Done)}, record)
	})
}

// Tell notes that whoever filed it was told what was decided.
func (d *Desk) Tell(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, on civil.Day, how complaint.Way, key string) error {
	return d.act(ctx, actor, of, rev, "told-of-the-decision", []any{on, how}, key, func(tx *store.Tx, c complaint.Complaint, record []complaint.Tie) (complaint.Complaint, error) {
		return c.ToldTo(complaint.Telling{By: actor.Person, At: tx.Now(), On: on, How: how}, tx.View().Zone(), record)
	})
}

// Reopen opens it again for what came to light since.
func (d *Desk) Reopen(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, reason, key string) error {
	return d.act(ctx, actor, of, rev, "opened-again", reason, key, func(tx *store.Tx, c complaint.Complaint, record []complaint.Tie) (complaint.Complaint, error) {
		return c.OpenedAgain(complaint.Reopening{By: actor.Person, At: tx.Now(), Reason: seal(tx, of, "again", reason)}, record)
	})
}

// act is one act on a complaint as a page showed it.
func (d *Desk) act(ctx context.Context, actor access.Actor, of id.Complaint, rev int64, act string, content any, key string,
	do func(*store.Tx, complaint.Complaint, []complaint.Tie) (complaint.Complaint, error)) error {
	role, err := access.Require(actor, access.HandleComplaint)
	if err != nil {
		return err
	}
	if strings.TrimSpace(string(actor.Person)) == "" {
		return fault.New(fault.Forbidden, "This account has no person on record, and only a person acts on a complaint.")
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{act, of, rev, content}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			p, record, err := read(tx.View(), actor, of)
			if err != nil {
				return "", err
			}
			next, err := do(tx, p.Complaint, record)
			if no := (*complaint.NotImpartial)(nil); errors.As(err, &no) {
				nameIn(err, p.Names)
				return "", err // before anything else: it is theirs never
			}
			if moved := tx.Expect("complaint", string(of), rev); moved != nil {
				return "", moved
			}
			if err != nil {
				return "", err
			}
			_, err = tx.Put(act, 0, next)
			return "", err
		})
	return err
}
