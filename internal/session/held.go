package session

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
)

// Run is how a session really ran. Sessions recorded before the rig was run with
// Rungbook, and those brought in, have none: of those the pauses that the exercise
// plans are taken as held.
type Run struct {
	Began  civil.Instant `json:"began"`
	Ended  civil.Instant `json:"ended,omitempty"`
	Pauses []Pause       `json:"pauses"`          // held, by start, apart; only the last may be open
	Paper  bool          `json:"paper,omitempty"` // typed up from a sheet that was signed at the rig
}

// Pause is a time in which nobody worked. It is open while End is 0.
type Pause struct {
	Start civil.Instant `json:"start"`
	End   civil.Instant `json:"end,omitempty"`
	Why   PauseReason   `json:"why"`
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

// Paused reports whether the session stands in a pause.
func (s Session) Paused() bool {
	return s.Run != nil && len(s.Run.Pauses) > 0 && s.Run.Pauses[len(s.Run.Pauses)-1].End == 0
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
	if s.Run == nil || s.Paused() {
		return s, fault.New(fault.Conflict, "The session is paused already.")
	}
	if at < s.idleSince() {
		return s, fault.Field("at", "The pause would begin before the session began or the last pause ended. Give a later time.")
	}
	s.Run = s.Run.clone()
	s.Run.Pauses = append(s.Run.Pauses, Pause{Start: at, Why: why})
	return s, nil
}

// idleSince is the earliest moment at which the next pause may begin.
func (s Session) idleSince() civil.Instant {
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
