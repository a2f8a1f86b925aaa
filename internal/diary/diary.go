// Package diary writes calendar files (iCalendar, RFC 5545) that phones and office
// programs take: one event a session, in UTC, with an id that stays and a sequence
// that rises, so that a file read again changes or ends what was read before. It knows events and nothing of what they
// are about.
package diary

import (
	"io"
	"time"

	ics "github.com/arran4/golang-ical"

	"rungbook/internal/civil"
)

// Diary is a calendar file.
type Diary struct {
	Name   string
	Made   civil.Instant // DTSTAMP of its events: as of when they are so
	Events []Event
}

// State is how sure an event is.
type State int

// The states, as RFC 5545 section 3.8.1.11 names them.
const (
	Confirmed State = iota
	Tentative
	Cancelled
)

// Event is one entry of a calendar.
type Event struct {
	ID string // the same for ever, and in every calendar that holds the event (RFC 5545 section 3.8.4.7)
	// Sequence rises with each change of the event (RFC 5545 section 3.8.7.4): of two
	// files, the one with the greater tells how it is.
	Sequence int64
	Period   civil.Period
	Title    string
	Place    string
	Note     string
	State    State
	Address  string // of its page, "" for none
}

// Write writes the file. Lines are folded and text is escaped as RFC 5545 sections
// 3.1 and 3.3.11 ask.
func (d Diary) Write(w io.Writer) error {
	c := ics.NewCalendarFor("Rungbook")
	c.SetMethod(ics.MethodPublish)
	c.SetName(d.Name)
	c.SetXWRCalName(d.Name)
	for _, e := range d.Events {
		v := c.AddEvent(e.ID + "@rungbook")
		v.SetDtStampTime(moment(d.Made))
		v.SetStartAt(moment(e.Period.Start))
		v.SetEndAt(moment(e.Period.End))
		v.SetSequence(int(e.Sequence))
		v.SetSummary(e.Title)
		if e.Place != "" {
			v.SetLocation(e.Place)
		}
		if e.Note != "" {
			v.SetDescription(e.Note)
		}
		if e.Address != "" {
			v.SetURL(e.Address)
		}
		v.SetStatus([]ics.ObjectStatus{ics.ObjectStatusConfirmed, ics.ObjectStatusTentative, ics.ObjectStatusCancelled}[e.State])
	}
	return c.SerializeTo(w, ics.WithNewLineWindows)
}

func moment(t civil.Instant) time.Time { return time.Unix(int64(t)*60, 0).UTC() }
