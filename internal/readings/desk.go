// Package readings is the journey of the weather at the yard: readings, thunder and
// forecasts are written down, and told for each place where weather counts. What
// they mean is judged in weather. Read desk.go.
package readings

import (
	"context"
	"errors"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
)

// Desk takes readings and tells what they say.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// How late a reading may be written down, and how far ahead a forecast may reach.
const (
	lateReading  civil.Minutes = 12 * 60
	lateStorm    civil.Minutes = 31 * 24 * 60
	farForecast  civil.Day     = 7
	longestNotes               = 2000 // bytes
)

// acts are what an entry says was done.
var acts = map[weather.Kind]string{weather.Measured: "read", weather.Thunder: "heard", weather.Forecast: "forecast", weather.StormPassed: "passed"}

// Record writes down a reading, thunder, a forecast, or a storm that nobody read. r's
// ID and By are filled in; its At, 0 = now, lies in the last twelve hours, of a storm
// in the last month. A forecast is of today or a day of the coming week. Errors:
// fault.Invalid field by field.
func (d *Desk) Record(ctx context.Context, actor access.Actor, r weather.Reading, note, key string) (id.Reading, error) {
	role, err := access.Require(actor, access.RecordWeather)
	if err != nil {
		return "", err
	}
	note = strings.TrimSpace(note)
	cmd := store.Command{Key: key, Content: []any{access.RecordWeather, r, note}, Actor: actor, Role: role, HappenedAt: r.At}
	out, err := d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		r := r
		r.ID, r.By = id.Reading(tx.ID()), actor.Person
		if r.At == 0 {
			r.At = tx.Now()
		}
		if err := fits(tx, r, note); err != nil {
			return "", err
		}
		r.Note = tx.Seal("reading/"+string(r.ID), "note", note)
		_, err := tx.Put(acts[r.Kind], 0, r)
		return store.Outcome(r.ID), err
	})
	return id.Reading(out), err
}

// fits asks what a reading alone can't tell: times and places of this yard.
func fits(tx *store.Tx, r weather.Reading, note string) error {
	ref, err := tx.View().Reference()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	if r.At > tx.Now() {
		bad.Add("at", "It is not that late yet. Give when it was read.")
	} else if late := tx.Now().Sub(r.At); late > lateReading && r.Kind != weather.StormPassed {
		bad.Add("at", "A reading is written down within %s.", lateReading)
	} else if late > lateStorm {
		bad.Add("at", "A storm is written down within %d days. Where an inspection of longer ago was left out, put the rig in quarantine.", int(lateStorm/(24*60)))
	}
	if _, ok := ref.Stations.On(r.Station, tx.Today()); r.Station != "" && !ok {
		bad.Add("station", "There is no such station.")
	}
	switch {
	case r.Kind != weather.Forecast:
	case r.Day < tx.Today() || r.Day > tx.Today()+farForecast:
		bad.Add("day", "A forecast is of a day from %s to %s.", tx.Today(), tx.Today()+farForecast)
	}
	if len(note) > longestNotes {
		bad.Add("note", "The note is too long. At most %d letters.", longestNotes)
	}
	var form *fault.Form
	if errors.As(r.Check(), &form) {
		for field, says := range form.Fields {
			bad.Add(field, "%s", says)
		}
	}
	return bad.Err()
}

// Place is a station where weather counts, and what the readings say of it.
type Place struct {
	Rig      rig.Rig
	Station  rig.Station
	Standing weather.Standing
	Expected []verdict.Finding // of today's forecast
}

// Now is the weather at the yard.
type Now struct {
	planning.Sky
	Places []Place
	Waits  []rig.Cause       // of the rigs that wait for their inspection after a storm
	Agree  []weather.Reading // corrections that wait for a second person, as a storm stands until then
	Listed []weather.Reading // of the day asked for, the newest first
	Ref    *store.Reference
	Notes  map[id.Commitment]string
	Names  map[id.Person]string
}

// Now returns the weather now, and the readings of a day; 0 = today.
func (d *Desk) Now(ctx context.Context, actor access.Actor, day civil.Day) (out Now, err error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out.Sky, err = planning.SkyOf(v); err != nil {
			return err
		}
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Waits = planning.StormWaits(out.Ref, v.Zone(), v.Now())
		for _, r := range out.Ref.Storms.All(civil.LastDay) {
			if r.Unagreed(rulebook.LeastStormGust) {
				out.Agree = append(out.Agree, r)
			}
		}
		today := v.Today()
		for _, st := range out.Ref.Stations.All(today) {
			r, _ := out.Ref.Rigs.On(st.Rig, today)
			if standing, counts := out.At(r, st); counts && (st.Retired == 0 || st.Retired > today) {
				out.Places = append(out.Places, Place{r, st, standing, out.Expected(r, st, today)})
			}
		}
		if day == 0 {
			day = today
		}
		z := v.Zone()
		if out.Listed, err = v.Readings(z.StartOfDay(day), z.StartOfDay(day+1)); err != nil {
			return err
		}
		slices.Reverse(out.Listed)
		return out.said(v)
	})
	return out, err
}

func (n *Now) said(v *store.View) (err error) {
	n.Notes, n.Names, err = saidOf(v, n.Listed...)
	return err
}

// Sky returns the weather as last read, for a line on another page, and the rigs that
// wait for their inspection after a storm.
func (d *Desk) Sky(ctx context.Context, actor access.Actor) (out planning.Sky, waits []rig.Cause, err error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return out, nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out, err = planning.SkyOf(v); err != nil {
			return err
		}
		ref, err := v.Reference()
		if err == nil {
			waits = planning.StormWaits(ref, v.Zone(), v.Now())
		}
		return err
	})
	return out, waits, err
}

// All gives every reading on record to fn, the oldest first, with the notes and
// names of each part.
func (d *Desk) All(ctx context.Context, actor access.Actor, from, to civil.Instant) (out Now, err error) {
	if _, err := access.Require(actor, access.SeeYard); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		if out.Listed, err = v.Readings(from, to); err != nil {
			return err
		}
		return out.said(v)
	})
	return out, err
}
