package incidents

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/store"
)

// Page is one incident with its history.
type Page struct {
	Row
	Rev       int64
	History   []store.Revision[incident.Incident]
	Exercises []id.Exercise // that stop for it, of those taught today; nil where stations are shut instead
	Ref       *store.Reference
	Texts     map[id.Commitment]string
	Names     map[id.Person]string
	Zone      civil.Zone
}

// One returns an incident to those who may see all of them, and to whoever
// reported it.
func (d *Desk) One(ctx context.Context, actor access.Actor, of id.Incident) (out Page, err error) {
	if _, err := access.Require(actor, access.ReportIncident); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.read(v, actor, of)
		return err
	})
	return out, err
}

func (d *Desk) read(v *store.View, actor access.Actor, of id.Incident) (out Page, err error) {
	row, err := v.Incident(of)
	if err != nil {
		return out, err
	}
	if out.History, err = v.IncidentHistory(of); err != nil {
		return out, err
	}
	own := actor.Person != "" && out.History[0].Actor == actor.Person
	if !own && !access.May(actor, access.SeeIncidents) {
		return out, fault.New(fault.NotFound, "There is no incident %s.", of)
	}
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	i := row.Value
	out.Row, out.Rev, out.Zone = Row{i, due(out.Ref, v.Zone(), i)}, row.Rev, v.Zone()
	if stop, ok := i.Stop(); ok && stop.Station == "" && stop.Rig == "" {
		programmes := out.Ref.Programmes.All(v.Today())
		for _, e := range out.Ref.Exercises.All(v.Today()) {
			if e.On(v.Today()) && stop.Exercises(e, programmes) {
				out.Exercises = append(out.Exercises, e.ID)
			}
		}
	}
	said := []id.Commitment{i.Note}
	if i.Release != nil {
		said = append(said, i.Release.Text)
	}
	if out.Texts, err = v.Texts(said...); err != nil {
		return out, err
	}
	var who []id.Person
	for _, h := range out.History {
		who = append(who, h.Actor)
	}
	out.Names, err = v.PersonNames(who...)
	return out, err
}

// Classing is what a responsible person makes of an incident.
type Classing struct {
	Significant bool
	Shared      bool
	Programmes  []id.Programme
	Load        incident.Load
	NoKit       bool
}

// Class classes an incident.
func (d *Desk) Class(ctx context.Context, actor access.Actor, of id.Incident, rev int64, c Classing, key string) error {
	return d.settle(ctx, actor, of, rev, "classed", c, key, func(tx *store.Tx, p Page) (incident.Incident, error) {
		bad := fault.Fields{}
		for _, one := range c.Programmes {
			if _, ok := p.Ref.Programmes.On(one, tx.Today()); !ok {
				bad.Add("programme", "There is no such programme.")
			}
		}
		if c.Load != (incident.Load{}) {
			load, err := found(p.Ref, c.Load, tx.Today())
			if err != nil {
				bad.Add("kit", "%s", fault.Message(err))
			}
			c.Load = load
		}
		if err := bad.Err(); err != nil {
			return p.Incident, err
		}
		next, err := p.Incident.Classed(incident.Class{By: actor.Person, At: tx.Now(), Significant: c.Significant, Shared: c.Shared,
			Programmes: slices.Clone(c.Programmes), NoKit: c.NoKit}, c.Load)
		if err != nil {
			return p.Incident, err
		}
		return quarantine(tx, p.Ref, next)
	})
}

// Release puts the written release on file, which ends the stop. text names who
// released it and the letter's reference.
func (d *Desk) Release(ctx context.Context, actor access.Actor, of id.Incident, rev int64, day civil.Day, text, key string) error {
	return d.settle(ctx, actor, of, rev, "released", []any{day, text}, key, func(tx *store.Tx, p Page) (incident.Incident, error) {
		r := incident.Release{By: actor.Person, At: tx.Now(), Day: day, Text: tx.Seal("incident/"+string(of), "release", strings.TrimSpace(text))}
		return p.Incident.Released(r, tx.Today(), p.Zone.DayOf(p.Incident.At))
	})
}

// Told notes that the scheme was told, now.
func (d *Desk) Told(ctx context.Context, actor access.Actor, of id.Incident, rev int64, key string) error {
	return d.settle(ctx, actor, of, rev, "told-the-scheme", nil, key, func(tx *store.Tx, p Page) (incident.Incident, error) {
		return p.Incident.ToldScheme(incident.Signed{By: actor.Person, At: tx.Now()})
	})
}

// GiveKitBack puts the kit into use again: a competent person has looked at it.
func (d *Desk) GiveKitBack(ctx context.Context, actor access.Actor, of id.Incident, rev int64, key string) error {
	return d.settle(ctx, actor, of, rev, "kit-given-back", nil, key, func(tx *store.Tx, p Page) (incident.Incident, error) {
		return p.Incident.GaveKitBack(incident.Signed{By: actor.Person, At: tx.Now()})
	})
}

// settle is one act of a responsible person on an incident as a page showed it.
func (d *Desk) settle(ctx context.Context, actor access.Actor, of id.Incident, rev int64, act string, content any, key string,
	do func(*store.Tx, Page) (incident.Incident, error)) error {
	role, err := access.Require(actor, access.ClassIncident)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{act, of, rev, content}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			if err := tx.Expect("incident", string(of), rev); err != nil {
				return "", err
			}
			p, err := d.read(tx.View(), actor, of)
			if err != nil {
				return "", err
			}
			next, err := do(tx, p)
			if err != nil {
				return "", err
			}
			_, err = tx.Put(act, 0, next)
			return "", err
		})
	return err
}
