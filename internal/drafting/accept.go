package drafting

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Outcome is what accepting a draft came to: counts of what was written, or why
// nothing was.
type Outcome struct {
	Booked    int // new or changed, and clear
	Pencilled int // new or changed, until their cautions are accepted
	StoodDown int
	Changed   *Changed // nil when written
}

// Changed is what has come between a draft and today.
type Changed struct {
	Findings []verdict.Finding // what the draft would break now; stops
	Sessions []session.Session // those it would change that were changed meanwhile, as they stand
	Slice    *planning.Slice   // today's records, which know the names
}

// errChanged ends a transaction whose draft does not hold any more.
var errChanged = errors.New("the draft does not hold any more")

// Accept books all that a draft proposes, in one transaction: it is judged again
// against the records as they are, and either written whole or not at all. The
// same key gives the first outcome again. Errors: fault.Conflict for a draft that
// is being searched, without a plan, accepted or discarded.
func (d *Desk) Accept(ctx context.Context, actor access.Actor, of id.Draft, key string) (Outcome, error) {
	role, err := access.Require(actor, access.AcceptDraft)
	if err != nil {
		return Outcome{}, err
	}
	var out Outcome
	text, err := d.store.Write(ctx, store.Command{Key: key, Content: []string{"accept-draft", string(of)}, Actor: actor, Role: role, For: string(of)},
		func(tx *store.Tx) (store.Outcome, error) {
			a, err := d.acceptance(tx, of)
			if err != nil {
				return "", err
			}
			if out.Changed = a.changed(); out.Changed != nil {
				return "", errChanged
			}
			if err := a.write(&out); err != nil {
				return "", err
			}
			err = tx.ChangeDraft(of, func(c *store.DraftChange) error {
				c.State, c.EndedAt, c.EndedBy = string(Accepted), tx.Now(), actor.Person
				return nil
			})
			return store.Outcome(fmt.Sprintf(outcomeForm, out.Booked, out.Pencilled, out.StoodDown)), err
		})
	if errors.Is(err, errChanged) {
		return out, nil
	}
	if err == nil {
		_, err = fmt.Sscanf(string(text), outcomeForm, &out.Booked, &out.Pencilled, &out.StoodDown)
	}
	return out, err
}

// outcomeForm is how a command keeps an outcome for the same key.
const outcomeForm = "booked %d pencilled %d stood-down %d"

// acceptance is a draft on its way into the records.
type acceptance struct {
	tx    *store.Tx
	p     *proposal
	slice *planning.Slice // of today's records
	stand map[string]store.Row[session.Session]
	put   []plan.Session
	gone  []string
	moved []session.Session // changed meanwhile
}

func (d *Desk) acceptance(tx *store.Tx, of id.Draft) (*acceptance, error) {
	v := tx.View()
	row, err := v.Draft(of)
	if err != nil {
		return nil, err
	}
	if err := mayAccept(v, row); err != nil {
		return nil, err
	}
	a := &acceptance{tx: tx, stand: map[string]store.Row[session.Session]{}}
	if a.p, err = d.proposal(v, row); err != nil {
		return nil, err
	}
	if err := a.name(); err != nil {
		return nil, err
	}
	a.slice, err = d.builder.Build(v, a.scope())
	return a, err
}

// scope is the part of today's records that judging needs: every day on which
// something changes, and everybody in it in full.
func (a *acceptance) scope() planning.Scope {
	s := scopeOf(Kind(a.p.row.Kind), a.p.row.From, a.p.memo.Last, slices.Clone(a.p.chosen))
	note := func(start civil.Instant, trainees []id.Trainee) {
		d := a.tx.View().Zone().DayOf(start)
		s.From, s.Until = min(s.From, d), max(s.Until, d)
		s.Trainees = append(s.Trainees, trainees...)
	}
	for _, p := range a.put {
		note(p.Start, planning.IDs[id.Trainee](p.Trainees))
	}
	for _, row := range a.stand {
		note(row.Value.Start, row.Value.Trainees)
	}
	return s
}

// mayAccept refuses drafts that can't be booked.
func mayAccept(v *store.View, row store.Draft) error {
	switch state := State(row.State); {
	case state == Queued || state == Searching:
		return fault.New(fault.Conflict, "This draft is still being searched. Stop the search first, or wait.")
	case state == Accepted:
		return fault.New(fault.Conflict, "This draft was accepted on %s.", v.Zone().DayOf(row.EndedAt))
	case state == Discarded:
		return fault.New(fault.Conflict, "This draft was discarded on %s.", v.Zone().DayOf(row.EndedAt))
	case !row.HasPlan:
		return fault.New(fault.Conflict, "This draft has no plan. Make a new one.")
	}
	return nil
}

// name gives new sessions their ids, and looks up those that change: who watches
// goes with them, and one that was changed meanwhile is noted.
func (a *acceptance) name() error {
	for _, c := range a.p.changes {
		if c.Kind == Added {
			s := c.Session.Clone()
			s.ID = a.tx.ID()
			a.put = append(a.put, s)
			continue
		}
		row, err := a.tx.View().Session(id.Session(c.Was.ID))
		if err != nil {
			return err
		}
		a.stand[c.Was.ID] = row
		is := planning.AsPlan(row.Value)
		others := is.Others
		is.Others = nil
		if row.Value.State != session.Booked && row.Value.State != session.Pencilled || is.MovedFrom(c.Was) || row.Value.Start <= a.tx.Now() {
			a.moved = append(a.moved, row.Value)
		}
		if c.Kind == Gone {
			a.gone = append(a.gone, c.Was.ID)
			continue
		}
		s := c.Session.Clone()
		s.Others = others
		a.put = append(a.put, s)
	}
	return nil
}

// changed judges the whole draft against today's records. It returns nil when
// nothing stops it.
func (a *acceptance) changed() *Changed {
	remove := slices.Clone(a.gone)
	for was := range a.stand {
		if !slices.Contains(remove, was) {
			remove = append(remove, was)
		}
	}
	slices.Sort(remove)
	report := a.slice.Judge(remove, a.put)
	for _, s := range a.put {
		if s.Start < a.tx.Now() {
			report.Findings = append(report.Findings, verdict.InThePast(verdict.Ref{Kind: verdict.Session, ID: s.ID}, s.Start, a.tx.Now()))
		}
	}
	report.Sort()
	stops := report.At(verdict.Stops)
	if len(stops) == 0 && len(a.moved) == 0 {
		return nil
	}
	return &Changed{Findings: stops, Sessions: a.moved, Slice: a.slice.With(a.gone, a.put)}
}

// write puts every session: booked where nothing gives pause that was not
// accepted before, else pencilled.
func (a *acceptance) write(out *Outcome) error {
	with := a.slice.With(a.gone, a.put)
	for _, s := range a.put {
		waits, err := a.waits(with, s)
		if err != nil {
			return err
		}
		rec, act := a.record(s)
		rec.State = session.Booked
		out.Booked++
		if waits {
			rec.State = session.Pencilled
			out.Booked--
			out.Pencilled++
			if act == session.ToBook {
				act = session.ToPencil
			}
		}
		if _, err := a.tx.Put(string(act), a.tx.Today(), rec); err != nil {
			return err
		}
	}
	for _, gone := range a.gone {
		rec, err := a.stand[gone].Value.StandDown(a.reason(gone))
		if err != nil {
			return err
		}
		if _, err := a.tx.Put(string(session.ToStandDown), a.tx.Today(), rec); err != nil {
			return err
		}
		out.StoodDown++
	}
	return nil
}

// waits reports whether a caution of a session was not accepted before.
func (a *acceptance) waits(with *planning.Slice, s plan.Session) (bool, error) {
	cautions := with.Cautions(s)
	if len(cautions) == 0 {
		return false, nil
	}
	var accepted []session.Acceptance
	if _, stood := a.stand[s.ID]; stood {
		var err error
		if accepted, err = a.tx.View().Acceptances(id.Session(s.ID)); err != nil {
			return false, err
		}
	}
	return slices.ContainsFunc(cautions, func(f verdict.Finding) bool {
		return !slices.ContainsFunc(accepted, func(x session.Acceptance) bool { return x.Covers(f) })
	}), nil
}

// record is a session as it is to be written, and the act that it is.
func (a *acceptance) record(s plan.Session) (session.Session, session.Move) {
	row, stood := a.stand[s.ID]
	rec, act := row.Value, session.ToBook
	if stood {
		act = session.ToMove
		if was := planning.AsPlan(rec); was.Station == s.Station && was.Start == s.Start {
			act = session.ToChangePeople
		}
	}
	rec.ID, rec.Exercise, rec.Station, rec.Start, rec.End = id.Session(s.ID), id.Exercise(s.Exercise), id.Station(s.Station), s.Start, s.End
	rec.Trainees, rec.Instructors, rec.Rescuers = planning.IDs[id.Trainee](s.Trainees), planning.IDs[id.Person](s.Instructors), planning.IDs[id.Person](s.Rescuers)
	return rec, act
}

// reason is why a session that finds no new place is stood down: what stops it
// where it stands.
func (a *acceptance) reason(gone string) session.DownReason {
	rec := a.stand[gone].Value
	for _, s := range a.slice.Reference().Shuts.All(a.tx.Today()) {
		if s.Station == rec.Station && s.Start < rec.End && (s.End == 0 || rec.Start < s.End) {
			if s.Reason == rig.ShutWeather {
				return session.DownWeather
			}
			return session.DownRig
		}
	}
	for _, f := range a.slice.Standalone(planning.AsPlan(rec)).At(verdict.Stops) {
		switch f.Rule {
		case "station-shut", "kit":
			return session.DownRig
		case "available", "qualified", "rescue-cover", "first-aid", "staff-min", "ratio", "double-booked":
			return session.DownPeople
		}
	}
	return session.DownOther
}

// Discard puts a draft away. Errors: fault.Conflict for one that is being searched
// or was accepted.
func (d *Desk) Discard(ctx context.Context, actor access.Actor, of id.Draft) error {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return err
	}
	err := d.store.ChangeDraft(ctx, of, func(c *store.DraftChange) error {
		switch State(c.State) {
		case Searching:
			return fault.New(fault.Conflict, "This draft is still being searched. Stop the search first.")
		case Accepted:
			return fault.New(fault.Conflict, "This draft was accepted; its sessions are booked.")
		case Discarded:
			return nil
		}
		c.State, c.Why, c.EndedAt, c.EndedBy = string(Discarded), "", d.now(), actor.Person
		return nil
	})
	if err == nil {
		d.publish(of, Progress{State: Discarded}, true)
	}
	return err
}
