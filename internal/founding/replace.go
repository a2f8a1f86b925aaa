package founding

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Replacement is an employer's change of one trainee: who comes in whose place.
type Replacement struct {
	Of       id.Trainee
	Rev      int64 // the revision of their arrival that the form showed
	Newcomer Newcomer
}

// Replaced is what a replacement came to: in how many sessions the newcomer takes
// the place, how many of these wait for somebody to accept a caution, and how many
// places they are not entitled to and are free now.
type Replaced struct{ Took, Waits, Freed int }

// replacedForm is how a command keeps what it came to for the same key.
const replacedForm = "took %d waits %d freed %d"

// Replace enrols a newcomer in the place of a trainee who does not come. Each
// session to come is judged with the newcomer in it: where no rule stops, they take
// the place; where one does, the place is free. Nobody who came is replaced.
// Precondition: the newcomer comes for what the other came for.
func (f *Founder) Replace(ctx context.Context, actor access.Actor, r Replacement, key string) (out Replaced, err error) {
	if _, err := access.Require(actor, access.RecordArrival); err != nil {
		return out, err
	}
	role, err := access.Require(actor, access.ChangeRecords)
	if err != nil {
		return out, err
	}
	text, err := f.store.Write(ctx, store.Command{Key: key, Content: []any{access.ChangeRecords, "replace", r}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			c, err := f.changeOver(tx, r)
			if err != nil {
				return "", err
			}
			out, err := c.sessions()
			return store.Outcome(fmt.Sprintf(replacedForm, out.Took, out.Waits, out.Freed)), err
		})
	if err != nil {
		return out, err
	}
	_, err = fmt.Sscanf(string(text), replacedForm, &out.Took, &out.Waits, &out.Freed)
	return out, err
}

// changeOver is a replacement being written.
type changeOver struct {
	tx       *store.Tx
	builder  *planning.Builder
	was, now id.Trainee
	slice    *planning.Slice // the records with the sessions changed so far
}

// changeOver enrols the newcomer and closes the other's arrival.
func (f *Founder) changeOver(tx *store.Tx, r Replacement) (*changeOver, error) {
	if err := tx.Expect("arrival", string(r.Of), r.Rev); err != nil {
		return nil, err
	}
	ref, err := tx.View().Reference()
	if err != nil {
		return nil, err
	}
	other, err := tx.View().Trainee(r.Of)
	if err != nil {
		return nil, err
	}
	if err := mayBeReplaced(tx.View(), r.Of); err != nil {
		return nil, err
	}
	in, ok := ref.Intakes.On(other.Value.Intake, tx.Today())
	if !ok {
		return nil, gone("intake")
	}
	number, err := tx.View().LastCertificateNumber()
	if err != nil {
		return nil, err
	}
	d, bad := &desk{Tx: tx, ref: ref, kind: "trainee"}, fault.Fields{}
	if strings.TrimSpace(r.Newcomer.Name) == "" {
		bad.Add(rowField("name", 0), "Give the name of who comes instead.")
		return nil, bad.Err()
	}
	now, err := d.enrol(in, Trainees{Intake: in.ID, Rows: []Newcomer{r.Newcomer}, Needs: other.Value.Needs, Rest: other.Value.Rest}, 0, &number, bad)
	if err != nil {
		return nil, err
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	if _, err := tx.Put(string(arrival.Replaced), 0, arrival.Arrival{Trainee: r.Of, State: arrival.Replaced, By: now}); err != nil {
		return nil, err
	}
	left := other.Value
	left.Needs = nil // so that no plan looks for a place for them
	_, err = tx.Put("replaced", 0, left)
	return &changeOver{tx: tx, builder: f.builder, was: r.Of, now: now}, err
}

// mayBeReplaced refuses for those who came and those who were replaced before.
func mayBeReplaced(v *store.View, of id.Trainee) error {
	stands, err := v.Arrivals(of)
	if err != nil || len(stands) == 0 {
		return err
	}
	switch stands[0].State {
	case arrival.Came:
		return fault.New(fault.Conflict, "They came. Note first that they did not, if that was a mistake.")
	case arrival.Replaced:
		return fault.New(fault.Conflict, "Somebody came in their place already.")
	}
	return nil
}

// sessions gives the newcomer the places to come that they are entitled to, in the
// order of time, so that what they need first is taken first.
func (c *changeOver) sessions() (out Replaced, err error) {
	all, err := c.tx.View().SessionsOfTrainees([]id.Trainee{c.was})
	if err != nil {
		return out, err
	}
	all = slices.DeleteFunc(all, func(s session.Session) bool {
		return s.State != session.Booked && s.State != session.Pencilled || s.Start <= c.tx.Now()
	})
	if len(all) == 0 {
		return out, nil
	}
	slices.SortStableFunc(all, func(a, b session.Session) int { return int(a.Start - b.Start) })
	slice, err := c.builder.Build(c.tx.View(), c.scope(all))
	if err != nil {
		return out, err
	}
	c.slice = slice.With(c.without(all))
	for _, s := range all {
		if err := c.change(s, &out); err != nil {
			return out, err
		}
	}
	return out, nil
}

// without are the sessions with the places of who does not come free: those where
// nobody is left, and the others as they are then.
func (c *changeOver) without(all []session.Session) (gone []string, put []plan.Session) {
	for _, s := range all {
		if s.Trainees = c.others(s); len(s.Trainees) == 0 {
			gone = append(gone, string(s.ID))
			continue
		}
		put = append(put, planning.AsPlan(s))
	}
	return gone, put
}

func (c *changeOver) others(s session.Session) []id.Trainee {
	return slices.DeleteFunc(slices.Clone(s.Trainees), func(t id.Trainee) bool { return t == c.was })
}

// scope reaches over all days on which a session changes, with everybody in them.
func (c *changeOver) scope(all []session.Session) planning.Scope {
	zone := c.tx.View().Zone()
	from, until := zone.DayOf(all[0].Start), zone.DayOf(all[len(all)-1].Start)
	out := planning.Scope{From: from, Until: until, Day: c.tx.Today(), Trainees: []id.Trainee{c.now}}
	for _, s := range all {
		out.Trainees = append(out.Trainees, s.Trainees...)
		out.Staff = slices.Concat(out.Staff, s.Instructors, s.Rescuers, s.Others)
	}
	return out
}

// change writes one session: with the newcomer, or without either, or stood down
// when nobody is left in it.
func (c *changeOver) change(s session.Session, out *Replaced) error {
	others := c.others(s)
	with := s
	with.Trainees = append(slices.Clone(others), c.now)
	slices.Sort(with.Trainees)
	if s.Trial {
		c.slice.AdmitTrial(with)
	}
	put := []plan.Session{planning.AsPlan(with)}
	var remove []string
	if len(others) > 0 { // else it was taken off already
		remove = []string{string(s.ID)}
	}
	if report := c.slice.Change(remove, put); report.Level() != verdict.Stops {
		out.Took++
		c.slice = c.slice.With(nil, put)
		return c.write(with, out)
	}
	out.Freed++
	if s.Trainees = others; len(others) > 0 {
		return c.write(s, out)
	}
	down, err := s.StandDown(session.DownPeople)
	if err == nil {
		_, err = c.tx.Put(string(session.ToStandDown), c.tx.Today(), down)
	}
	return err
}

// write puts a session with its other people: booked where nothing gives pause that
// was not accepted before, else pencilled.
func (c *changeOver) write(s session.Session, out *Replaced) error {
	accepted, err := c.tx.View().Acceptances(s.ID)
	if err != nil {
		return err
	}
	waits := slices.ContainsFunc(c.slice.Cautions(planning.AsPlan(s)), func(f verdict.Finding) bool {
		return !slices.ContainsFunc(accepted, func(a session.Acceptance) bool { return a.Covers(f) })
	})
	if waits && s.State == session.Booked {
		s.State = session.Pencilled
		out.Waits++
	}
	_, err = c.tx.Put(string(session.ToChangePeople), c.tx.Today(), s)
	return err
}

// ToReplace is whom a form of a replacement is about.
type ToReplace struct {
	Trainee people.Trainee
	Name    string
	Rev     int64 // of their arrival
}

// ToReplace returns a trainee who may be replaced. Errors: fault.NotFound, and
// fault.Conflict for one who came or was replaced.
func (f *Founder) ToReplace(ctx context.Context, actor access.Actor, of id.Trainee) (out ToReplace, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		row, err := v.Trainee(of)
		if err != nil {
			return err
		}
		names, err := v.TraineeNames(of)
		if err != nil {
			return err
		}
		revs, err := v.ArrivalRevs(of)
		out = ToReplace{row.Value, names[of], revs[of]}
		if err != nil {
			return err
		}
		return mayBeReplaced(v, of)
	})
	return out, err
}
