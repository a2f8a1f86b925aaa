package drafting

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// LossKind is what a loss takes away.
type LossKind string

// The kinds of loss.
const (
	StationShut LossKind = "station"   // a station can't be used
	WeatherDays LossKind = "weather"   // stations can't be used for whole days; stands as shut stations
	PersonAway  LossKind = "person"    // one of the staff is not available; the cause is not recorded
	NoHeight    LossKind = "no-height" // one of the staff may teach, but not at height
)

// Loss is something the yard has to do without for a while.
type Loss struct {
	Kind LossKind
	ID   string // of the record that it stands on; "" of one that is to be recorded
	Name string // of the station or person; set by Losses

	Stations    []id.Station   // StationShut, WeatherDays; one of a loss that stands
	Person      id.Person      // PersonAway, NoHeight
	Start, End  civil.Instant  // StationShut, PersonAway; End 0 = until it is opened, of stations only
	From, Until civil.Day      // WeatherDays, NoHeight; both counted
	Reason      rig.ShutReason // StationShut
}

// LossChoices is what the form for a loss offers.
type LossChoices struct {
	Today    civil.Day
	Stations []StationChoice // in the order of the yard
	Staff    []StaffChoice   // by name
	Reasons  []rig.ShutReason
}

// StationChoice is a station that can be shut.
type StationChoice struct {
	Station  id.Station
	Name     string
	Height   bool
	Daylight bool // it needs daylight, as what stands outdoors does
}

// StaffChoice is one of the staff.
type StaffChoice struct {
	Person id.Person
	Name   string
}

// LossChoices returns what can be lost.
func (d *Desk) LossChoices(ctx context.Context, actor access.Actor) (out LossChoices, err error) {
	if _, err := access.Require(actor, access.RecordLoss); err != nil {
		return LossChoices{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		today := v.Today()
		out = LossChoices{Today: today, Reasons: shutReasons()}
		for _, st := range ref.Stations.All(today) {
			if st.Retired == 0 || st.Retired > today {
				out.Stations = append(out.Stations, StationChoice{st.ID, ref.Text(st.Name), st.Height, st.NeedsDaylight})
			}
		}
		for _, s := range ref.Staff.All(today) {
			if s.Until == 0 || s.Until >= today {
				out.Staff = append(out.Staff, StaffChoice{s.ID, ref.StaffName(s.ID)})
			}
		}
		slices.SortStableFunc(out.Staff, func(a, b StaffChoice) int { return cmp.Compare(a.Name, b.Name) })
		return nil
	})
	return out, err
}

func shutReasons() []rig.ShutReason {
	return []rig.ShutReason{rig.ShutWeather, rig.ShutInspection, rig.ShutAnchorTest, rig.ShutFault, rig.ShutMaintenance, rig.ShutIncident, rig.ShutOther}
}

// Losses returns the losses that stand and are not over, by start.
func (d *Desk) Losses(ctx context.Context, actor access.Actor) (out []Loss, err error) {
	if _, err := access.Require(actor, access.RecordLoss); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = losses(v)
		return err
	})
	return out, err
}

func losses(v *store.View) (out []Loss, err error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	for _, s := range ref.Shuts.All(v.Today()) {
		takenBack := s.End == s.Start+1 // before it began: see openStation
		if !takenBack && (s.End == 0 || s.End > v.Now()) {
			st, _ := ref.Stations.On(s.Station, v.Today())
			out = append(out, Loss{Kind: StationShut, ID: string(s.ID), Name: ref.Text(st.Name), Stations: []id.Station{s.Station}, Start: s.Start, End: s.End, Reason: s.Reason})
		}
	}
	away, err := v.AwayAfter(v.Now())
	if err != nil {
		return nil, err
	}
	low, err := v.NoHeightOf(nil, v.Today(), civil.LastDay)
	if err != nil {
		return nil, err
	}
	for _, a := range away {
		if _, staff := ref.Staff.On(a.Person, v.Today()); staff {
			out = append(out, Loss{Kind: PersonAway, ID: string(a.ID), Name: ref.StaffName(a.Person), Person: a.Person, Start: a.Start, End: a.End})
		}
	}
	for _, n := range low {
		out = append(out, Loss{Kind: NoHeight, ID: string(n.ID), Name: ref.StaffName(n.Person), Person: n.Person, From: n.From, Until: n.Until})
	}
	begin := func(l Loss) civil.Instant {
		if l.Kind == NoHeight {
			return v.Zone().StartOfDay(l.From)
		}
		return l.Start
	}
	slices.SortStableFunc(out, func(a, b Loss) int { return cmp.Compare(begin(a), begin(b)) })
	return out, nil
}

// Lose records a loss. What it hits stays booked, and broken, until it is mended.
// Errors: fault.Invalid with the fields of the form.
func (d *Desk) Lose(ctx context.Context, actor access.Actor, l Loss, key string) error {
	role, err := access.Require(actor, access.RecordLoss)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{"lose", l}, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		if err := l.check(ref, tx.Today()); err != nil {
			return "", err
		}
		return "", l.write(tx)
	})
	return err
}

// check judges a loss that is to be recorded.
func (l Loss) check(ref *store.Reference, today civil.Day) error {
	bad := fault.Fields{}
	switch l.Kind {
	case StationShut, WeatherDays:
		if len(l.Stations) == 0 {
			bad.Add("stations", "Choose a station.")
		}
		for _, s := range l.Stations {
			if _, ok := ref.Stations.On(s, today); !ok {
				bad.Add("stations", "One of the stations is not in the records. Choose again.")
			}
		}
	case PersonAway, NoHeight:
		if _, ok := ref.Staff.On(l.Person, today); !ok {
			bad.Add("person", "Choose one of the staff.")
		}
	default:
		bad.Add("kind", "Choose what is lost.")
	}
	switch l.Kind {
	case StationShut:
		if !slices.Contains(shutReasons(), l.Reason) {
			bad.Add("reason", "Choose why it is shut.")
		}
		if l.End != 0 && l.End <= l.Start {
			bad.Add("end", "It would open before it is shut. Give a later end, or none.")
		}
	case PersonAway:
		if l.End <= l.Start {
			bad.Add("end", "Give the day and time from which they are back, after they are gone.")
		}
	case WeatherDays, NoHeight:
		if l.Until < l.From || l.Until < today {
			bad.Add("until", "Give a last day that is not over and not before the first.")
		}
		if l.Until-l.From > 366 {
			bad.Add("until", "Give a last day within a year of the first.")
		}
	}
	if (l.Kind == StationShut || l.Kind == PersonAway) && l.Start <= 0 {
		bad.Add("start", "Give the day and time from which.")
	}
	if (l.Kind == WeatherDays || l.Kind == NoHeight) && l.From <= 0 {
		bad.Add("from", "Give the first day.")
	}
	return bad.Err()
}

func (l Loss) write(tx *store.Tx) error {
	var err error
	switch z := tx.View().Zone(); l.Kind {
	case StationShut, WeatherDays:
		start, end, reason := l.Start, l.End, l.Reason
		if l.Kind == WeatherDays {
			start, end, reason = z.StartOfDay(l.From), z.StartOfDay(l.Until+1), rig.ShutWeather
		}
		for _, s := range l.Stations {
			if _, err = tx.Put("shut", tx.Today(), rig.Shut{ID: id.Shut(tx.ID()), Station: s, Start: start, End: end, Reason: reason}); err != nil {
				return err
			}
		}
	case PersonAway:
		_, err = tx.Put("away", tx.Today(), people.Away{ID: id.Away(tx.ID()), Person: l.Person, Start: l.Start, End: l.End})
	case NoHeight:
		_, err = tx.Put("kept-low", tx.Today(), people.NoHeight{ID: id.NoHeight(tx.ID()), Person: l.Person, From: l.From, Until: l.Until})
	}
	return err
}

// EndLoss ends losses of one kind that stand, all or none: a station opens now, an
// absence that has begun ends now, and one still to come is taken back. One that is
// over is passed over beside others. Errors: fault.NotFound, fault.Conflict where
// all are over.
func (d *Desk) EndLoss(ctx context.Context, actor access.Actor, kind LossKind, list []string, key string) error {
	role, err := access.Require(actor, access.RecordLoss)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{"end-loss", kind, list}, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		over := 0
		for _, of := range list {
			switch err := endOne(tx, kind, of); {
			case fault.Of(err) == fault.Conflict:
				over++
			case err != nil:
				return "", err
			}
		}
		if over == len(list) {
			return "", fault.New(fault.Conflict, "It is over already.")
		}
		return "", nil
	})
	return err
}

func endOne(tx *store.Tx, kind LossKind, of string) error {
	switch kind {
	case StationShut:
		return openStation(tx, id.Shut(of))
	case PersonAway:
		return comeBack(tx, id.Away(of))
	case NoHeight:
		return backToHeight(tx, id.NoHeight(of))
	}
	return fault.New(fault.NotFound, "There is no such loss.")
}

func isOver() error { return fault.New(fault.Conflict, "It is over already.") }

// openStation ends a shut period now. Of one to come a minute is left, since a
// period can't be empty.
func openStation(tx *store.Tx, of id.Shut) error {
	ref, err := tx.View().Reference()
	if err != nil {
		return err
	}
	s, ok := ref.Shuts.On(of, tx.Today())
	switch {
	case !ok:
		return fault.New(fault.NotFound, "There is no such shut period.")
	case s.End != 0 && s.End <= tx.Now():
		return isOver()
	}
	s.End = max(tx.Now(), s.Start+1)
	_, err = tx.Put("opened", tx.Today(), s)
	return err
}

func comeBack(tx *store.Tx, of id.Away) error {
	row, err := tx.View().Away(of)
	if err != nil {
		return err
	}
	a := row.Value
	if a.Ended || a.End <= tx.Now() {
		return isOver()
	}
	if a.Start < tx.Now() {
		a.End = tx.Now()
	} else {
		a.Ended = true
	}
	_, err = tx.Put("back", tx.Today(), a)
	return err
}

func backToHeight(tx *store.Tx, of id.NoHeight) error {
	row, err := tx.View().NoHeight(of)
	if err != nil {
		return err
	}
	n := row.Value
	if n.Ended || n.Until < tx.Today() {
		return isOver()
	}
	if n.From < tx.Today() {
		n.Until = tx.Today() - 1
	} else {
		n.Ended = true
	}
	_, err = tx.Put("back-to-height", tx.Today(), n)
	return err
}
