package httpd

import (
	"bytes"

	"rungbook/internal/civil"
	"rungbook/internal/diary"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// calendarWeeks is how far ahead the calendar of a station looks.
const calendarWeeks = 12

// event is a session in a calendar: what, when, where and its state. Who takes part
// stays on its page, behind the sign-in: calendar files travel.
func (v *visit) event(of id.Session, p civil.Period, exercise, place string, state session.State) diary.Event {
	e := diary.Event{ID: string(of), Period: p, Title: exercise, Place: place, Address: v.origin() + "/sessions/" + string(of), Note: stateWords(state)}
	switch state {
	case session.Pencilled:
		e.State = diary.Tentative
	case session.StoodDown:
		e.State = diary.Cancelled
	}
	return e
}

func (v *visit) handCalendar(name string, events []diary.Event) error {
	d := diary.Diary{Name: name, Made: v.now, Entry: v.head, Events: events}
	return v.handFile(name, "ics", func(b *bytes.Buffer) error { return d.Write(b) })
}

func weekCalendar(v *visit) error {
	b, monday, err := v.weekBoard()
	if err != nil {
		return err
	}
	var events []diary.Event
	for _, row := range b.Rows {
		place := v.ref.Text(row.Rig.Name) + ", " + v.ref.Text(row.Station.Name)
		for _, c := range row.Cells {
			for _, s := range c.Sessions {
				events = append(events, v.event(s.ID, civil.Period{Start: s.Start, End: s.End}, s.Exercise, place, s.State))
			}
		}
	}
	return v.handCalendar("Week "+monday.WeekString(), events)
}

func stationCalendar(v *visit) error {
	of := id.Station(v.param("station"))
	st, ok := v.ref.Stations.On(of, v.today)
	if !ok {
		return fault.New(fault.NotFound, "There is no such station.")
	}
	r, _ := v.ref.Rigs.On(st.Rig, v.today)
	place := v.ref.Text(r.Name) + ", " + v.ref.Text(st.Name)
	var events []diary.Event
	for week := range civil.Day(calendarWeeks) {
		monday := v.today.Monday() + 7*week
		b, err := v.Desk.Board(v.r.Context(), v.actor, monday, monday+6, v.weekFilterOf())
		if err != nil {
			return err
		}
		for _, row := range b.Rows {
			if row.Station.ID != of {
				continue
			}
			for _, c := range row.Cells {
				for _, s := range c.Sessions {
					events = append(events, v.event(s.ID, civil.Period{Start: s.Start, End: s.End}, s.Exercise, place, s.State))
				}
			}
		}
	}
	return v.handCalendar(place, events)
}

func (v *visit) personCalendar(of id.Person) error {
	rec, err := v.Records.Person(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	var events []diary.Event
	for _, s := range rec.Sessions {
		events = append(events, v.event(s.Session.ID, civil.Period{Start: s.Session.Start, End: s.Session.End}, s.Name, s.Station, s.Session.State))
	}
	return v.handCalendar(rec.Name, events)
}
