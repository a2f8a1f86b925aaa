package plan

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// Session is one exercise on one station at one time with its people.
type Session struct {
	ID          string        `json:"id"`
	Exercise    string        `json:"exercise"`
	Station     string        `json:"station"`
	Start       civil.Instant `json:"start"`
	End         civil.Instant `json:"end"`
	Trainees    []string      `json:"trainees"`
	Instructors []string      `json:"instructors"`
	Rescuers    []string      `json:"rescuers"` // standby, beyond the session's own instructors
	Others      []string      `json:"others"`   // people who watch; only ever in fixed sessions
}

// Period returns [Start, End).
func (s *Session) Period() civil.Period { return civil.Period{Start: s.Start, End: s.End} }

// Clone returns a copy that shares no list with s.
func (s *Session) Clone() Session {
	c := *s
	c.Trainees, c.Instructors = slices.Clone(s.Trainees), slices.Clone(s.Instructors)
	c.Rescuers, c.Others = slices.Clone(s.Rescuers), slices.Clone(s.Others)
	return c
}

// Same reports whether s and t are the same session unchanged: all fields
// equal, the ids in a list in any order.
func (s *Session) Same(t *Session) bool {
	return s.ID == t.ID && s.End == t.End && !s.MovedFrom(t)
}

// MovedFrom reports whether s differs from its older self in exercise, station,
// start or any person: what weights.moved is paid for.
func (s *Session) MovedFrom(old *Session) bool {
	return s.Exercise != old.Exercise || s.Station != old.Station || s.Start != old.Start ||
		!SamePeople(s.Trainees, old.Trainees) || !SamePeople(s.Instructors, old.Instructors) ||
		!SamePeople(s.Rescuers, old.Rescuers) || !SamePeople(s.Others, old.Others)
}

// SamePeople reports whether two lists hold the same ids, in any order.
func SamePeople(a, b []string) bool {
	if len(a) != len(b) || slices.Equal(a, b) {
		return len(a) == len(b)
	}
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// Plan is an answer to a Problem.
type Plan struct {
	Sessions []Session  `json:"sessions"`
	Unplaced []Unplaced `json:"unplaced,omitzero"` // nil = not stated
	Cost     *Cost      `json:"cost,omitzero"`     // nil = not stated
	Bound    *Cost      `json:"bound,omitzero"`    // nil = not stated
	Made     *Made      `json:"made,omitzero"`     // nil = not stated
}

// Unplaced is a need that the plan leaves out, and why.
type Unplaced struct {
	Trainee  string `json:"trainee"`
	Exercise string `json:"exercise"`
	Reason   string `json:"reason"`
}

// Made says how a plan came about, so that it can be made again.
type Made struct {
	Version       string `json:"version"`
	Seed          int64  `json:"seed"`
	Effort        int64  `json:"effort"`
	ProblemSHA256 string `json:"problem_sha256"`
	FromSHA256    string `json:"from_sha256,omitzero"` // "" unless made with --from
}

// Sort brings the plan into the order of the file: sessions by start, station
// and id; ids within a session and unplaced needs in byte order.
func (p *Plan) Sort() {
	SortSessions(p.Sessions)
	slices.SortFunc(p.Unplaced, func(a, b Unplaced) int {
		return cmp.Or(cmp.Compare(a.Trainee, b.Trainee), cmp.Compare(a.Exercise, b.Exercise))
	})
}

// SortSessions sorts sessions by start, station and id, and the ids in each.
func SortSessions(list []Session) {
	for i := range list {
		s := &list[i]
		for _, ids := range [][]string{s.Trainees, s.Instructors, s.Rescuers, s.Others} {
			slices.Sort(ids)
		}
	}
	slices.SortFunc(list, func(a, b Session) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Station, b.Station), cmp.Compare(a.ID, b.ID))
	})
}
