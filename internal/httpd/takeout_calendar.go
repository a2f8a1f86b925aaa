package httpd

import (
	"rungbook/internal/civil"
	"rungbook/internal/diary"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
)

// calendarWeeks is how far ahead the calendar of a station looks.
const calendarWeeks = 12

// event is a session in a calendar: what, when, where and its state. Who takes part
// stays on its page, behind the sign-in: calendar files travel. Its sequence is the
// session's revision, so that a later file counts as newer and an equal one as equal.
func (v *visit) event(x records.CalendarEvent) diary.Event {
	e := diary.Event{ID: string(x.ID), Sequence: x.Rev, Period: civil.Period{Start: x.Start, End: x.End}, Title: x.Exercise,
		Place: x.Rig + ", " + x.Station, Address: v.origin() + "/sessions/" + string(x.ID), Note: stateWords(x.State)}
	switch {
	case x.Left:
		e.State, e.Note = diary.Cancelled, "no longer in this calendar"
	case x.State == session.StoodDown:
		e.State = diary.Cancelled
	case x.State == session.Pencilled:
		e.State = diary.Tentative
	}
	if x.Moved {
		e.Note += "; moved out of this calendar"
	}
	return e
}

func (v *visit) handCalendar(name string, c records.Calendar) error {
	d := diary.Diary{Name: name, Made: c.Now}
	for _, x := range c.Events {
		d.Events = append(d.Events, v.event(x))
	}
	var s spool
	defer v.closeSpool(&s)
	if err := d.Write(&s); err != nil {
		return err
	}
	v.sendFile(name, "ics", s.size, s.sendTo)
	return nil
}

func weekCalendar(v *visit) error {
	monday, err := civil.ParseWeek(v.param("week"))
	if err != nil {
		return fault.New(fault.NotFound, "%s", sentence(err))
	}
	f := v.weekFilterOf()
	c, err := v.Records.Calendar(v.r.Context(), v.actor, records.SessionFilter{From: monday, Until: monday + 6, Rig: f.Rig, Intake: f.Intake, Staff: f.Instructor})
	if err != nil {
		return err
	}
	return v.handCalendar("Week "+monday.WeekString(), c)
}

func stationCalendar(v *visit) error {
	of := id.Station(v.param("station"))
	st, ok := v.ref.Stations.On(of, v.today)
	if !ok {
		return fault.New(fault.NotFound, "There is no such station.")
	}
	from := v.today.Monday()
	c, err := v.Records.Calendar(v.r.Context(), v.actor, records.SessionFilter{From: from, Until: from + 7*calendarWeeks - 1, Station: of})
	if err != nil {
		return err
	}
	return v.handCalendar(v.rigName(st.Rig)+", "+v.ref.Text(st.Name), c)
}

func (v *visit) personCalendar(of id.Person) error {
	c, err := v.Records.PersonCalendar(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	return v.handCalendar(c.Name, c)
}
