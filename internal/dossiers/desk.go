// Package dossiers is the journey of a converted rig into service: evidence of each
// point that its kind needs is put in with its file, accepted by somebody else, and
// revoked where it turns out wrong. Which points stand is a rule of rig; what an open
// dossier stops, the register of rigs says to everybody. It knows no page. Read
// desk.go first, then moves.go.
package dossiers

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Desk is where dossiers are kept.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s, &planning.Builder{}} }

// Point is one point that a rig needs, with all evidence of it, the newest first.
type Point struct {
	rig.PointStanding
	Evidence []rig.Evidence
}

// Waiting returns the evidence that nobody has decided on, the newest first.
func (i Point) Waiting() []rig.Evidence {
	return slices.DeleteFunc(slices.Clone(i.Evidence), func(e rig.Evidence) bool { return !e.Waits() })
}

// Soon reports whether the point stands and lapses within soonDays.
func (i Point) Soon(d civil.Day) bool {
	return i.State == rig.PointStands && i.PointStanding.Evidence.Until <= d+soonDays
}

// soonDays is how long before its last day a point is told of: time enough to have a
// test house come (common practice, no source).
const soonDays = 60

// Asks reports whether the point asks something of somebody: it does not stand, it
// lapses soon, or a paper of it waits for acceptance.
func (i Point) Asks(d civil.Day) bool {
	return i.State != rig.PointStands || i.Soon(d) || len(i.Waiting()) > 0
}

// Dossier is one rig's dossier as it stands today.
type Dossier struct {
	Rig    rig.Rig
	Points []Point
	Says   rig.State // what the dossier alone says
}

// Open counts the points that do not stand.
func (d Dossier) Open() int {
	n := 0
	for _, i := range d.Points {
		if i.State != rig.PointStands {
			n++
		}
	}
	return n
}

// Point returns one of its points.
func (d Dossier) Point(of rig.Point) (Point, bool) {
	at := slices.IndexFunc(d.Points, func(i Point) bool { return i.Point == of })
	if at < 0 {
		return Point{}, false
	}
	return d.Points[at], true
}

// Page is the dossiers of some rigs with what their pages name.
type Page struct {
	Dossiers []Dossier
	Unlocks  []Unlock // of the one rig that was asked for
	Ref      *store.Reference
	Names    map[id.Person]string
	Today    civil.Day
	Head     int64
}

// One returns the dossier of a rig. Error: fault.NotFound.
func (d *Desk) One(ctx context.Context, actor access.Actor, of id.Rig) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out, err = d.read(v); err != nil {
			return err
		}
		i := slices.IndexFunc(out.Dossiers, func(x Dossier) bool { return x.Rig.ID == of })
		if i < 0 {
			return fault.New(fault.NotFound, "There is no rig %s.", of)
		}
		out.Dossiers = out.Dossiers[i : i+1]
		out.Unlocks, err = d.unlocks(v, of)
		return err
	})
	return out, err
}

// All returns the dossier of every rig.
func (d *Desk) All(ctx context.Context, actor access.Actor) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.read(v)
		return err
	})
	return out, err
}

// Asking returns the dossiers of which a point asks something of somebody. It reads
// nobody's name.
func (d *Desk) Asking(ctx context.Context, actor access.Actor) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.standing(v)
		return err
	})
	asks := func(i Point) bool { return i.Asks(out.Today) }
	out.Dossiers = slices.DeleteFunc(out.Dossiers, func(x Dossier) bool { return !slices.ContainsFunc(x.Points, asks) })
	return out, err
}

func (d *Desk) read(v *store.View) (out Page, err error) {
	if out, err = d.standing(v); err != nil {
		return out, err
	}
	var who []id.Person
	for _, e := range out.Ref.Evidence.All(civil.LastDay) {
		who = append(who, e.PutIn.By)
		for _, w := range []*rig.EvidenceWord{e.Accepted, e.Refused, e.Revoked} {
			if w != nil {
				who = append(who, w.By)
			}
		}
	}
	out.Names, err = v.PersonNames(who...)
	return out, err
}

// standing reads every rig's dossier, without names.
func (d *Desk) standing(v *store.View) (out Page, err error) {
	slice, err := d.builder.Yard(v, v.Today(), v.Today())
	if err != nil {
		return out, err
	}
	out.Ref, out.Today, out.Head = slice.Reference(), v.Today(), v.Head()
	all := out.Ref.Evidence.All(civil.LastDay)
	slices.SortStableFunc(all, func(a, b rig.Evidence) int { return int(b.PutIn.At - a.PutIn.At) })
	for _, r := range out.Ref.Rigs.All(out.Today) {
		stands := slice.Register().Dossier(r.ID, out.Today)
		one := Dossier{Rig: r, Says: stands.State()}
		for _, i := range stands.Points {
			point := Point{PointStanding: i}
			for _, e := range all {
				if e.Rig == r.ID && e.Point == i.Point {
					point.Evidence = append(point.Evidence, e)
				}
			}
			one.Points = append(one.Points, point)
		}
		out.Dossiers = append(out.Dossiers, one)
	}
	return out, nil
}

// File is a file of evidence.
type File struct {
	rig.EvidenceFile
	Data []byte
	Name string // as it was sent; "" where it was erased
}

// File returns the file of a piece of evidence. Errors: fault.NotFound, fault.Unusable.
func (d *Desk) File(ctx context.Context, actor access.Actor, of id.Evidence) (out File, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		e, ok := ref.Evidence.On(of, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no such evidence.")
		}
		out.EvidenceFile, out.Name = e.File, ref.Text(e.File.Name)
		out.Data, err = v.File(e.File.Hash)
		return err
	})
	return out, err
}
