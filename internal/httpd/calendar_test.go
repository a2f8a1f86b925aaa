package httpd

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// shownEvent is what a calendar says of one session.
type shownEvent struct {
	uid, status, start string
	sequence           int
}

// calendar reads a calendar's events by session.
func (r *reader) calendar(path string) map[id.Session]shownEvent {
	r.Helper()
	got := r.get(path)
	c, err := ics.ParseCalendar(bytes.NewReader(got.Body.Bytes()))
	if err != nil || got.Code != http.StatusOK {
		r.Fatalf("%s: %d, %v", path, got.Code, err)
	}
	out, uids := map[id.Session]shownEvent{}, map[string]bool{}
	for _, e := range c.Events() {
		address := e.GetProperty(ics.ComponentPropertyUrl).Value
		n, err := strconv.Atoi(e.GetProperty(ics.ComponentPropertySequence).Value)
		if err != nil || uids[e.Id()] {
			r.Fatalf("%s: %v, or %q stands twice", path, err, e.Id())
		}
		uids[e.Id()] = true
		out[id.Session(address[strings.LastIndex(address, "/")+1:])] = shownEvent{e.Id(), e.GetProperty(ics.ComponentPropertyStatus).Value, e.GetProperty(ics.ComponentPropertyDtStart).Value, n}
	}
	return out
}

// put changes a session as a journey does that was allowed to.
func (s *site) put(of id.Session, act string, change func(*session.Session)) session.Session {
	s.Helper()
	var out session.Session
	cmd := store.Command{Key: act + string(of) + strconv.FormatInt(s.head(), 10), Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		row, err := tx.View().Session(of)
		if err != nil {
			return "", err
		}
		out = row.Value
		change(&out)
		_, err = tx.Put(act, tx.Today(), out.Sorted())
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

func TestASessionThatLeavesACalendarEndsItsEventThereAndKeepsItsName(t *testing.T) {
	s := open(t)
	r, ref := s.as(access.Administrator), s.reference()
	var x session.Session
	for _, booked := range s.bookedNextWeek() {
		if len(booked.Instructors) > 0 {
			x = booked
		}
	}
	week := func(d civil.Day) string { return "/week/" + d.WeekString() + "/calendar.ics" }
	station := func(of id.Station) string { return "/stations/" + string(of) + "/calendar.ics" }
	person := "/people/" + string(x.Instructors[0]) + "/calendar.ics"
	here := monday + 7
	was := map[string]shownEvent{}
	for _, path := range []string{week(here), station(x.Station), person} {
		if was[path] = r.calendar(path)[x.ID]; was[path].status != "CONFIRMED" && was[path].status != "TENTATIVE" {
			t.Fatalf("%s: %+v", path, was[path])
		}
	}
	if again := r.calendar(person)[x.ID]; again != was[person] {
		t.Errorf("without a change the event is %+v, was %+v", again, was[person])
	}
	other := x.Station
	for _, st := range ref.Stations.All(monday) {
		if st.ID != x.Station {
			other = st.ID
		}
	}
	step := func(what, path, status string) {
		t.Helper()
		now := r.calendar(path)[x.ID]
		if now.status != status || was[path].uid != "" && (now.uid != was[path].uid || now.sequence <= was[path].sequence) {
			t.Errorf("%s, %s: %+v, was %+v, want %s under the same id with a greater sequence", what, path, now, was[path], status)
		}
		was[path] = now
	}
	s.put(x.ID, "moved", func(c *session.Session) { c.Start, c.End = c.Start.Add(30), c.End.Add(30) })
	start := was[person].start
	step("moved by half an hour", person, "CONFIRMED")
	step("moved by half an hour", week(here), "CONFIRMED")
	step("moved by half an hour", station(x.Station), "CONFIRMED")
	if was[person].start == start {
		t.Errorf("the event still starts at %s", start)
	}
	s.put(x.ID, "moved", func(c *session.Session) { c.Start, c.End = c.Start.Add(7*24*60), c.End.Add(7*24*60) })
	step("moved to the next week", week(here), "CONFIRMED")
	step("moved to the next week", week(here+7), "CONFIRMED")
	step("moved to the next week", station(x.Station), "CONFIRMED")
	s.put(x.ID, "moved", func(c *session.Session) { c.Station = other })
	step("moved to another station", station(x.Station), "CONFIRMED")
	step("moved to another station", station(other), "CONFIRMED")
	step("moved to another station", person, "CONFIRMED")
	s.put(x.ID, "people-changed", func(c *session.Session) { c.Instructors = c.Instructors[1:] })
	step("taught by others", person, "CANCELLED")
	step("taught by others", week(here+7), "CONFIRMED")
	s.put(x.ID, "stood-down", func(c *session.Session) { c.State, c.Down = session.StoodDown, session.DownWeather })
	step("stood down", week(here+7), "CANCELLED")
	step("stood down", station(other), "CANCELLED")
	step("stood down", person, "CANCELLED")
	s.put(x.ID, "reopened", func(c *session.Session) {
		c.State, c.Down, c.Station, c.Instructors = session.Booked, "", x.Station, x.Instructors
	})
	step("reopened where it was", station(x.Station), "CONFIRMED")
	step("reopened where it was", person, "CONFIRMED")
	step("reopened where it was", station(other), "CONFIRMED")
	step("reopened where it was", week(here+7), "CONFIRMED")
	step("reopened where it was", week(here), "CONFIRMED")
	one := was[person]
	for path, e := range was {
		if e != one {
			t.Errorf("%s: %+v, in the person's calendar %+v: whoever takes both sees it twice, or not as it is", path, e, one)
		}
	}
}

// bookedNextWeek are the sessions booked in the week after the tests' monday.
func (s *site) bookedNextWeek() (out []session.Session) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) error {
		list, err := v.SessionsBetween(v.Zone().StartOfDay(monday+7), v.Zone().StartOfDay(monday+12))
		for _, x := range list {
			if x.State == session.Booked {
				out = append(out, x)
			}
		}
		return err
	})
	if err != nil || len(out) == 0 {
		s.Fatalf("%d sessions, %v", len(out), err)
	}
	return out
}
