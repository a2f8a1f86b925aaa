// Package incidents is the journey of an incident or near miss: reported by anyone
// in three taps, classed by a responsible person, released in writing, told to the
// scheme. What it stops meanwhile is judged in planning. It knows no names of those
// concerned. Read desk.go first, then settle.go.
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
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Desk takes reports and settles them.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// Report is what somebody saw go wrong. Of the places one is given; none is
// elsewhere on the yard. It happened now.
type Report struct {
	Kind    incident.Kind
	Session id.Session
	Station id.Station
	Rig     id.Rig
}

// Report records an incident and returns its id; what it stops stands at once.
func (d *Desk) Report(ctx context.Context, actor access.Actor, r Report, key string) (id.Incident, error) {
	role, err := access.Require(actor, access.ReportIncident)
	if err != nil {
		return "", err
	}
	if !slices.Contains(incident.Kinds(), r.Kind) {
		return "", fault.Field("kind", "Choose what happened.")
	}
	out, err := d.store.Write(ctx, store.Command{Key: key, Content: []any{access.ReportIncident, r}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			i := incident.Incident{ID: id.Incident(tx.ID()), Kind: r.Kind, At: tx.Now()}
			if err := place(tx, r, &i); err != nil {
				return "", err
			}
			_, err := tx.Put("reported", 0, i)
			return store.Outcome(i.ID), err
		})
	return id.Incident(out), err
}

// place says where an incident was, from the records.
func place(tx *store.Tx, r Report, i *incident.Incident) error {
	ref, err := tx.View().Reference()
	if err != nil {
		return err
	}
	i.Station, i.Rig = r.Station, r.Rig
	if r.Session != "" {
		s, err := tx.View().Session(r.Session)
		if err != nil {
			return err
		}
		i.Session, i.Exercise, i.Station = r.Session, s.Value.Exercise, s.Value.Station
	}
	if i.Station != "" {
		st, ok := ref.Stations.On(i.Station, tx.Today())
		if !ok {
			return fault.New(fault.NotFound, "There is no such station.")
		}
		i.Rig = st.Rig
	} else if _, ok := ref.Rigs.On(i.Rig, tx.Today()); i.Rig != "" && !ok {
		return fault.New(fault.NotFound, "There is no such rig.")
	}
	return nil
}

// Places are where a report may say that something happened.
type Places struct {
	Sessions []session.Session // of the actor, running now or ended within the last two hours; and the one asked for
	Rigs     []rig.Rig
	Stations []rig.Station
	Kits     []rig.Kit
	Ref      *store.Reference
}

// justOver is how long after its end a session is still offered.
const justOver civil.Minutes = 120

// Places returns where something may have happened; of is a session to offer too,
// "" for none.
func (d *Desk) Places(ctx context.Context, actor access.Actor, of id.Session) (out Places, err error) {
	if _, err := access.Require(actor, access.ReportIncident); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		today := v.Today()
		out.Rigs, out.Kits = out.Ref.Rigs.All(today), out.Ref.Kits.All(today)
		for _, st := range out.Ref.Stations.All(today) {
			if st.Retired == 0 || st.Retired > today {
				out.Stations = append(out.Stations, st)
			}
		}
		if of != "" && access.May(actor, access.SeeSession) {
			s, err := v.Session(of)
			if err != nil {
				return err
			}
			out.Sessions = append(out.Sessions, s.Value)
		}
		if actor.Person == "" {
			return nil
		}
		mine, err := v.SessionsOf([]id.Person{actor.Person}, nil, v.Now().Add(-justOver), v.Now()+1)
		for _, s := range mine {
			if s.ID != of && s.State.Holds() {
				out.Sessions = append(out.Sessions, s)
			}
		}
		return err
	})
	return out, err
}

// Detail is what is said of an incident after it was reported.
type Detail struct {
	Load incident.Load
	Text string
}

// Add adds the kit that took the load and a text to an incident that nobody has
// classed yet: by whoever reported it, or one who may see all incidents.
func (d *Desk) Add(ctx context.Context, actor access.Actor, of id.Incident, more Detail, key string) error {
	role, err := access.Require(actor, access.ReportIncident)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{access.ReportIncident, of, more}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			page, err := d.read(tx.View(), actor, of)
			if err != nil {
				return "", err
			}
			i, said := page.Incident, false
			if i.Class != nil {
				return "", fault.New(fault.Conflict, "It has been classed already. Tell a responsible person what is to be added.")
			}
			if more.Load != (incident.Load{}) {
				load, err := found(page.Ref, more.Load, tx.Today())
				switch {
				case err != nil:
					return "", err
				case i.Kit != "" && load != i.Load():
					return "", fault.Field("kit", "Something else is named already. Report the second one as an incident of its own.")
				case load != i.Load():
					if i, err = quarantine(tx, page.Ref, i.Took(load)); err != nil {
						return "", err
					}
					said = true
				}
			}
			if text := strings.TrimSpace(more.Text); text != "" {
				i.Note, said = tx.Seal("incident/"+string(i.ID), "note", text), true
			}
			if !said {
				return "", fault.Field("note", "Write what happened, or name the kit.")
			}
			_, err = tx.Put("described", 0, i)
			return "", err
		})
	return err
}

// Row is an incident in the list, with when the scheme must be told.
type Row struct {
	Incident incident.Incident
	Due      civil.Instant // 0 = the rule book states no time
}

// List is every incident, those that wait first, then the newest first.
type List struct {
	Rows []Row
	Ref  *store.Reference
}

// List returns the incidents.
func (d *Desk) List(ctx context.Context, actor access.Actor) (out List, err error) {
	if _, err := access.Require(actor, access.SeeIncidents); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		all, err := v.Incidents()
		if err != nil {
			return err
		}
		out, err = rows(v, all)
		return err
	})
	slices.SortStableFunc(out.Rows, func(a, b Row) int { return waits(b) - waits(a) })
	return out, err
}

func waits(r Row) int {
	if r.Incident.Open() {
		return 1
	}
	return 0
}

// Open returns the incidents of which something waits, by time: for a line above a
// page.
func (d *Desk) Open(ctx context.Context, actor access.Actor) (out List, err error) {
	if _, err := access.Require(actor, access.SeeIncidents); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		open, err := v.OpenIncidents()
		if err != nil {
			return err
		}
		out, err = rows(v, open)
		return err
	})
	return out, err
}

func rows(v *store.View, list []incident.Incident) (out List, err error) {
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	for _, i := range list {
		out.Rows = append(out.Rows, Row{i, due(out.Ref, v.Zone(), i)})
	}
	return out, nil
}

// due returns when the scheme must have been told, by the rule book of the day on
// which it happened.
func due(ref *store.Reference, z civil.Zone, i incident.Incident) civil.Instant {
	book, ok := rulebook.InForce(ref.RuleBooks.All(civil.LastDay), z.DayOf(i.At))
	var times []civil.Minutes
	for _, l := range book.Lines {
		if ok && l.Quantity == rulebook.IncidentMinutes && book.Selected(l.Profile) {
			times = append(times, civil.Minutes(l.Value))
		}
	}
	if within, stated := i.Within(times); stated {
		return i.At.Add(within)
	}
	return 0
}
