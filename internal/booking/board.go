package booking

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Filter narrows a board. Empty fields take everything.
type Filter struct {
	Rig        id.Rig
	Intake     id.Intake
	Instructor id.Person
}

// Board is the stations of the yard over some days.
type Board struct {
	From, Until civil.Day // both counted
	Days        []BoardDay
	Rows        []BoardRow // by rig, then station
	Head        int64
	Ref         *store.Reference
	Zone        civil.Zone
	Names       map[id.Person]string
}

// BoardDay is a day's opening hours; none on a closed day.
type BoardDay struct {
	Day    civil.Day
	Open   []civil.Period
	Closed string // why, "" when open
}

// BoardRow is one station over the board's days.
type BoardRow struct {
	Rig     rig.Rig
	Station rig.Station
	Cells   []BoardCell // one a day
}

// BoardCell is one station on one day.
type BoardCell struct {
	Sessions []BoardSession
	Shut     []Shut
	Free     bool // open, not shut all day, nothing booked
}

// Shut is a span in which a station can't be used, and why.
type Shut struct {
	civil.Period
	Why   verdict.Text
	Cause planning.Cause
}

// BoardSession is a session as a board shows it.
type BoardSession struct {
	session.Session
	Exercise string // name
	Broken   bool   // a later fact stops it: it stands on the list of what needs attention
}

// Board returns the stations over from … until, at most 31 days.
func (d *Desk) Board(ctx context.Context, actor access.Actor, from, until civil.Day, filter Filter) (Board, error) {
	if _, err := access.Require(actor, access.SeeWeek); err != nil {
		return Board{}, err
	}
	var out Board
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.board(v, from, min(until, from+30), filter)
		return err
	})
	return out, err
}

func (d *Desk) board(v *store.View, from, until civil.Day, filter Filter) (Board, error) {
	s, err := d.builder.Yard(v, from, until)
	if err != nil {
		return Board{}, err
	}
	zone := v.Zone()
	list, err := v.SessionsBetween(zone.StartOfDay(from), zone.StartOfDay(until+1))
	if err != nil {
		return Board{}, err
	}
	out := Board{From: from, Until: until, Head: v.Head(), Ref: s.Reference(), Zone: zone}
	for day := from; day <= until; day++ {
		open, closed := s.Hours(day)
		out.Days = append(out.Days, BoardDay{day, open, closed})
	}
	intakeOf, err := intakes(v, list, filter.Intake)
	if err != nil {
		return Board{}, err
	}
	keep := func(r session.Session) bool {
		return (filter.Intake == "" || intakeOf[r.ID]) &&
			(filter.Instructor == "" || slices.Contains(r.Instructors, filter.Instructor) || slices.Contains(r.Rescuers, filter.Instructor))
	}
	for _, r := range out.Ref.Rigs.All(from) {
		if filter.Rig == "" || filter.Rig == r.ID {
			out.addRig(s, r, list, keep)
		}
	}
	out.Names, err = v.PersonNames(staffOf(list)...)
	return out, err
}

// addRig adds the rows of one rig's stations.
func (b *Board) addRig(s *planning.Slice, r rig.Rig, list []session.Session, keep func(session.Session) bool) {
	for _, st := range b.Ref.Stations.All(b.From) {
		if st.Rig != r.ID || (st.Retired != 0 && st.Retired <= b.From) {
			continue
		}
		row := BoardRow{Rig: r, Station: st}
		shut := s.Shut(st.ID)
		for _, day := range b.Days {
			row.Cells = append(row.Cells, b.cell(day, st.ID, shut, list, keep))
		}
		b.Rows = append(b.Rows, row)
	}
}

func (b *Board) cell(day BoardDay, station id.Station, shut []planning.Shut, list []session.Session, keep func(session.Session) bool) BoardCell {
	var cell BoardCell
	span := b.Zone.DayPeriod(day.Day)
	for _, x := range shut {
		if x.Overlaps(span) {
			cell.Shut = append(cell.Shut, Shut{x.Period, x.Cause.Say, x.Cause})
		}
	}
	taken := false
	for _, r := range list {
		if r.Station != station || b.Zone.DayOf(r.Start) != day.Day {
			continue
		}
		taken = taken || r.State.Holds()
		if keep(r) {
			cell.Sessions = append(cell.Sessions, b.session(r, shut))
		}
	}
	cell.Free = !taken && len(day.Open) > 0 && !planning.Covered(day.Open, periods(cell.Shut))
	return cell
}

func periods(shut []Shut) []civil.Period {
	out := make([]civil.Period, len(shut))
	for i, x := range shut {
		out[i] = x.Period
	}
	return out
}

func (b *Board) session(r session.Session, shut []planning.Shut) BoardSession {
	e, _ := b.Ref.Exercises.On(r.Exercise, b.Zone.DayOf(r.Start))
	waiting := r.State.ToRun()
	broken := waiting && slices.ContainsFunc(shut, func(x planning.Shut) bool { return x.Overlaps(civil.Period{Start: r.Start, End: r.End}) })
	return BoardSession{Session: r, Exercise: b.Ref.Text(e.Name), Broken: broken}
}

// intakes tells which sessions have a trainee of the intake.
func intakes(v *store.View, list []session.Session, intake id.Intake) (map[id.Session]bool, error) {
	out := map[id.Session]bool{}
	if intake == "" {
		return out, nil
	}
	members, err := v.TraineesOfIntake(intake)
	if err != nil {
		return nil, err
	}
	in := map[id.Trainee]bool{}
	for _, t := range members {
		in[t.ID] = true
	}
	for _, r := range list {
		out[r.ID] = slices.ContainsFunc(r.Trainees, func(t id.Trainee) bool { return in[t] })
	}
	return out, nil
}

func staffOf(list []session.Session) []id.Person {
	var out []id.Person
	for _, r := range list {
		out = append(append(append(out, r.Instructors...), r.Rescuers...), r.Others...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
