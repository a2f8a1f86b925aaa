package session

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Run is how a session really ran. Sessions recorded before the rig was run with
// Rungbook, and those brought in, have none: of those the pauses that the exercise
// plans are taken as held.
type Run struct {
	Began  civil.Instant `json:"began"`
	Ended  civil.Instant `json:"ended,omitempty"`
	Pauses []Pause       `json:"pauses"`          // held, by start, apart; only the last may be open
	Paper  bool          `json:"paper,omitempty"` // typed up from a sheet that was signed at the rig
	Unseen *Unseen       `json:"unseen,omitempty"`
}

// Unseen marks a session that was started without signal, so that nothing was
// judged before it began.
type Unseen struct {
	AsOf    civil.Instant `json:"as_of"` // when the phone last saw the yard
	Voice   id.Commitment `json:"voice"` // whom of the yard was reached by voice
	VoiceAt civil.Instant `json:"voice_at"`
	Sent    civil.Instant `json:"sent"`              // when it was judged
	Missing []string      `json:"missing,omitempty"` // what did not stand then, by gate
}

// Pause is a time in which nobody worked. It is open while End is 0.
type Pause struct {
	Start civil.Instant `json:"start"`
	End   civil.Instant `json:"end,omitempty"`
	Why   PauseReason   `json:"why"`
	Fell  []string      `json:"fell,omitempty"` // the gates that did not hold, each once; of PauseFellAway alone
}

// PauseReason is why a session was paused; a closed list.
type PauseReason string

// The reasons. PauseFellAway is given by the program: something that must stand
// while a session runs did not.
const (
	PauseBreak    PauseReason = "break"
	PauseWeather  PauseReason = "weather"
	PauseKit      PauseReason = "kit"
	PauseOther    PauseReason = "other"
	PauseFellAway PauseReason = "fell-away"
)

// PauseReasons lists those that people give, in the order forms show them.
func PauseReasons() []PauseReason {
	return []PauseReason{PauseBreak, PauseWeather, PauseKit, PauseOther}
}

// Ended reports whether the work is over; the session still waits for its
// signature unless its state says more.
func (s Session) Ended() bool { return s.Run != nil && s.Run.Ended != 0 }

// running is the error of those who would change a run that is over or never began.
func (s Session) running() error {
	if s.Run == nil || s.Ended() {
		return fault.New(fault.Conflict, "The session has ended; what is left is its results and the signature.")
	}
	return nil
}

// Paused reports whether the session stands in a pause.
func (s Session) Paused() bool {
	return s.Run != nil && s.Run.Ended == 0 && len(s.Run.Pauses) > 0 && s.Run.Pauses[len(s.Run.Pauses)-1].End == 0
}

// LastPause is the latest pause, the zero value for none.
func (s Session) LastPause() Pause {
	if s.Run == nil || len(s.Run.Pauses) == 0 {
		return Pause{}
	}
	return s.Run.Pauses[len(s.Run.Pauses)-1]
}

// Started returns the session under way since a moment.
func (s Session) Started(at civil.Instant) (Session, error) {
	to, err := Next(s.State, ToStart)
	if err != nil {
		return s, err
	}
	s.State, s.Run = to, &Run{Began: at, Pauses: []Pause{}}
	return s, nil
}

// Pause returns the session paused from a moment. The error is fault.Conflict where
// it is not under way or paused already, fault.Invalid at "reason" or "at".
func (s Session) Pause(at civil.Instant, why PauseReason) (Session, error) {
	if _, err := Next(s.State, ToPause); err != nil {
		return s, err
	}
	if why != PauseFellAway && !slices.Contains(PauseReasons(), why) {
		return s, fault.Field("reason", "%q is no reason for a pause; choose break, weather, kit or other.", why)
	}
	if err := s.running(); err != nil {
		return s, err
	}
	if s.Paused() {
		return s, fault.New(fault.Conflict, "The session is paused already.")
	}
	if at < s.Since() {
		return s, fault.Field("at", "The pause would begin before the session began or the last pause ended. Give a later time.")
	}
	s.Run = s.Run.clone()
	s.Run.Pauses = append(s.Run.Pauses, Pause{Start: at, Why: why})
	return s, nil
}

// PausedEarlier returns a paused session with nobody at work since a moment before
// the pause that is on record; a later moment changes nothing.
func (s Session) PausedEarlier(at civil.Instant) (Session, error) {
	if !s.Paused() || at >= s.LastPause().Start {
		return s, nil
	}
	if at < s.Since() {
		return s, fault.Field("at", "The pause would begin before the session began or the last pause ended. Give a later time.")
	}
	s.Run = s.Run.clone()
	s.Run.Pauses[len(s.Run.Pauses)-1].Start = at
	return s, nil
}

// Since is when the session began or its last pause ended, 0 for one that has no run.
func (s Session) Since() civil.Instant {
	if s.Run == nil {
		return 0
	}
	at := s.Run.Began
	for _, p := range s.Run.Pauses {
		at = max(at, p.End)
	}
	return at
}

// Resume returns the session running again. A pause without a length is left out.
func (s Session) Resume(at civil.Instant) (Session, error) {
	if _, err := Next(s.State, ToResume); err != nil {
		return s, err
	}
	if err := s.running(); err != nil {
		return s, err
	}
	if !s.Paused() {
		return s, fault.New(fault.Conflict, "The session is not paused.")
	}
	s.Run = s.Run.clone()
	last := len(s.Run.Pauses) - 1
	switch begin := s.Run.Pauses[last].Start; {
	case at < begin:
		return s, fault.Field("at", "The pause would end before it began. Give a later time.")
	case at == begin:
		s.Run.Pauses = s.Run.Pauses[:last]
	default:
		s.Run.Pauses[last].End = at
	}
	return s, nil
}

// Finish returns the session and its attendance with the work over at a moment: a
// pause that is open and everybody's presence end then. The error is
// fault.Invalid at "at" where something recorded lies after it.
func (s Session) Finish(at civil.Instant, a Attendance) (Session, Attendance, error) {
	if _, err := Next(s.State, ToEnd); err != nil {
		return s, a, err
	}
	if err := s.running(); err != nil {
		return s, a, err
	}
	late := at <= s.Since()
	run, out := s.Run.clone(), Attendance{Session: a.Session}
	if s.Paused() {
		last := &run.Pauses[len(run.Pauses)-1]
		if last.End = at; at <= last.Start {
			late = late || at < last.Start && last.Why != PauseFellAway // which nobody was there for
			run.Pauses = run.Pauses[:len(run.Pauses)-1]
		}
	}
	for _, p := range a.Presences {
		if p.Open() {
			if p.End = at; p.Start >= at {
				late = late || p.Start > at
				continue // came as it ended
			}
		}
		late = late || p.End > at
		out.Presences = append(out.Presences, p)
	}
	if late {
		return s, a, fault.Field("at", "It would end before something that is recorded: its start, a pause or somebody who left. Give a later time.")
	}
	run.Ended = at
	s.Run = run
	return s, out, nil
}

func (r *Run) clone() *Run {
	out := *r
	out.Pauses = slices.Clone(r.Pauses)
	return &out
}

// Held returns the pauses in which nobody worked, apart and by start: those held
// where the run is recorded, else those that the exercise plans.
func (s Session) Held(e curriculum.Exercise) []civil.Period {
	var out []civil.Period
	if s.Run != nil {
		for _, p := range s.Run.Pauses {
			if p.End != 0 {
				out = append(out, civil.Period{Start: p.Start, End: p.End})
			}
		}
		return out
	}
	for _, p := range e.Pauses {
		out = append(out, civil.Period{Start: s.Start.Add(p.After), End: s.Start.Add(p.After + p.Minutes)})
	}
	return out
}

// TypedUp returns a session as a paper sheet says that it ran, ended and waiting for
// its signature, and who was there. The error is fault.Invalid per field: "began",
// "pauses", or "came-<part>-<who>".
func (s Session) TypedUp(run Run, there []Presence) (Session, Attendance, error) {
	a := Attendance{Session: s.ID}
	to, err := Next(s.State, ToTypeUp)
	if err != nil {
		return s, a, err
	}
	bad := fault.Fields{}
	if run.Began == 0 || run.Ended <= run.Began {
		bad.Add("began", "Give when it began and when it ended, the end after the beginning.")
	}
	last := run.Began
	for _, p := range run.Pauses {
		if p.Start < last || p.End <= p.Start || p.End > run.Ended {
			bad.Add("pauses", "Give pauses within the session, one after the other, each with beginning and end.")
		}
		last = p.End
	}
	for _, p := range there {
		switch {
		case p.End <= p.Start || p.Start < run.Began || p.End > run.Ended:
			bad.Add("came-"+string(p.Part)+"-"+p.Who, "Give times within the session, the coming before the leaving; leave both empty for one who did not come.")
		case p.End < run.Ended:
			p.Mark = Left
		case p.Start > run.Began:
			p.Mark = Late
		default:
			p.Mark = Present
		}
		a.Presences = append(a.Presences, p)
	}
	if len(a.Presences) == 0 {
		bad.Add("began", "Nobody was there. A session that did not run is stood down.")
	}
	if err := bad.Err(); err != nil {
		return s, a, err
	}
	a.sort()
	run.Paper = true
	s.State, s.Run = to, run.clone()
	return s, a, nil
}
