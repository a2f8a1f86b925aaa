package planning

import (
	"cmp"
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/plan/solve"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Scope says which part of the records a question needs.
type Scope struct {
	// From and Until are the first and last day on which a change may fall.
	From, Until civil.Day
	// Day is the day whose versions of records count: that of the change. 0 = From.
	Day civil.Day
	// Trainees are those whose whole path is loaded: what they need, hold, have
	// done, and every session of theirs.
	Trainees []id.Trainee
	// Staff whose sessions and duties are loaded over the greatest reach of any
	// rule; nil loads everybody's.
	Staff []id.Person
	// Everyone loads every trainee who has a standing session in the scope, for
	// judging all standing sessions and not one change.
	Everyone bool
}

// Slice is the part of the records a question needs, as a planning problem, the
// sessions that stand in it, and the way back from both.
type Slice struct {
	Problem  *plan.Problem
	Standing []plan.Session // pencilled, booked and under way
	Scope    Scope

	ref      *store.Reference
	day      civil.Day // the day whose versions of records count
	ground   *ground
	own      map[string]Cause // causes of this slice, over those of its ground
	low      map[string]low   // staff who do not work at height on some days, by id
	sessions map[string]session.Session
	trainees map[id.Trainee]people.Trainee
	names    map[verdict.Ref]string
	judged   *check.Judge
	board    *check.Board
	search   *solve.Board
}

// Cause says why a value of the problem is as it is.
type Cause struct {
	Say     verdict.Text
	Brief   verdict.Text // without the name of what it stops; nil where that is no shorter
	Entries []int64      // ledger entries it rests on
	Line    string       // rule-book line, "" when none
	Kind    rig.CauseKind
	Of      []verdict.Ref // rigs, stations, kits and items that are not fit
	End     civil.Instant // of a shut station: when it opens again; 0 = not known
	Dossier id.Rig        // whose dossier stops it; "" for anything else
	Plan    id.RescuePlan // whose own word a drill was too slow for, and the Version that says it; "" for anything else
	Version int
}

// Short returns the cause for a place where the reader sees what it stops.
func (c Cause) Short() verdict.Text {
	if c.Brief == nil {
		return c.Say
	}
	return c.Brief
}

// Builder builds slices and keeps the ground of the last few horizons, which
// changes only when rigs, people or rules change.
type Builder struct{ grounds groundCache }

// Build loads the slice of a scope. The horizon reaches from the scope's days as
// far as any rule looks, back and forward. Precondition: Scope.From ≤ Scope.Until.
func (b *Builder) Build(v *store.View, scope Scope) (*Slice, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	scope.Day = cmp.Or(scope.Day, scope.From)
	yard, ok := ref.YardOn(scope.Day)
	if !ok {
		return nil, noYard(scope.Day)
	}
	zone, err := civil.LoadZone(yard.Zone)
	if err != nil {
		return nil, err
	}
	ground := b.grounds.get(ref, yard, zone, scope)
	s := &Slice{
		Problem: ground.problemCopy(), Scope: scope, ref: ref, day: scope.Day,
		own:      map[string]Cause{},
		low:      map[string]low{},
		ground:   ground,
		sessions: map[string]session.Session{},
		trainees: map[id.Trainee]people.Trainee{},
		names:    map[verdict.Ref]string{},
	}
	load := loader{slice: s, view: v, zone: zone, ground: ground}
	if err := load.all(); err != nil {
		return nil, fmt.Errorf("load the records around %s: %w", scope.From, err)
	}
	return s, s.addIncidents(v)
}

// Board is the judge's board of the standing sessions.
func (s *Slice) Board() *check.Board {
	if s.board == nil {
		s.board = s.judge().Board(s.Standing)
	}
	return s.board
}

func (s *Slice) judge() *check.Judge {
	if s.judged == nil {
		s.judged = check.New(s.Problem)
	}
	return s.judged
}

// Search is the insertion search over the standing sessions.
func (s *Slice) Search() *solve.Board {
	if s.search == nil {
		s.search = solve.Compile(s.Problem).Board(s.Standing)
	}
	return s.search
}

// Session returns the record behind a standing session.
func (s *Slice) Session(sid string) (session.Session, bool) {
	r, ok := s.sessions[sid]
	return r, ok
}

// Note says what a reader should know of the limits used, nil when nothing:
// where the rule book changes within the days asked for, the stricter limits of
// all its versions hold for the whole.
func (s *Slice) Note() verdict.Text {
	books := s.ground.books
	if len(books) < 2 {
		return nil
	}
	return verdict.Say("The rule book changes on ", books[1].From, "; for all of these days the stricter limits are used.")
}

// Trainee returns a loaded trainee.
func (s *Slice) Trainee(t id.Trainee) (people.Trainee, bool) {
	r, ok := s.trainees[t]
	return r, ok
}

// Reference is the snapshot that the slice was built from.
func (s *Slice) Reference() *store.Reference { return s.ref }

// Change judges a change of standing sessions: what is removed, what is put in
// their place or anew. The report holds the stops that the change itself causes
// and the cautions of what is put.
func (s *Slice) Change(remove []string, put []plan.Session) verdict.Report {
	report := s.Judge(remove, put)
	with := s.With(remove, put)
	for _, p := range put {
		report.Findings = append(report.Findings, with.cautions(p)...)
	}
	report.Sort()
	return report
}

// With returns the slice with standing sessions taken off and others put in
// their place or anew, as if that were booked. A put session whose id stands
// takes the old one's place.
func (s *Slice) With(remove []string, put []plan.Session) *Slice {
	out := *s
	out.board, out.search = nil, nil
	gone := map[string]bool{}
	for _, sid := range remove {
		gone[sid] = true
	}
	for _, p := range put {
		gone[p.ID] = true
	}
	out.Standing = slices.DeleteFunc(slices.Clone(s.Standing), func(x plan.Session) bool { return gone[x.ID] })
	out.Standing = append(out.Standing, put...)
	plan.SortSessions(out.Standing)
	return &out
}

// Cautions returns what gives pause about a standing session though no rule
// stops it.
func (s *Slice) Cautions(p plan.Session) []verdict.Finding { return s.cautions(p) }

// Explain replaces what the judge found by its cause in the records, in findings
// about the slice's problem or one whose lists begin as its do.
func (s *Slice) Explain(r *verdict.Report) { s.explain(r) }

// Judge is Change without the cautions.
func (s *Slice) Judge(remove []string, put []plan.Session) verdict.Report {
	report := s.Board().Change(remove, put)
	s.addGuests(&report, put)
	s.explain(&report)
	return report
}

// Standalone judges one session as it stands: put on a board of all the others.
func (s *Slice) Standalone(p plan.Session) verdict.Report {
	others := slices.DeleteFunc(slices.Clone(s.Standing), func(x plan.Session) bool { return x.ID == p.ID })
	report := s.judge().Board(others).Change(nil, []plan.Session{p})
	s.addGuests(&report, []plan.Session{p})
	s.explain(&report)
	report.Findings = append(report.Findings, s.cautions(p)...)
	report.Sort()
	return report
}

// Notice returns how long before its start a session that could stay is not
// changed any more; ok is false where the rule book states no such time.
func (s *Slice) Notice() (notice civil.Minutes, ok bool) {
	l, ok := s.ground.book.Strictest(rulebook.SessionNotice)
	return civil.Minutes(l.Value), ok
}

// All judges every standing session. Findings about sessions that ended before
// now are left out: they can't be mended any more.
func (s *Slice) All() verdict.Report {
	report := s.Board().All()
	s.addGuests(&report, s.Standing)
	s.explain(&report)
	report.Sort()
	return report
}

// explain replaces what the judge found by its cause in the records, where the
// problem's value has one.
func (s *Slice) explain(r *verdict.Report) {
	for i := range r.Findings {
		f := &r.Findings[i]
		if c, ok := s.Cause(*f); ok && c.Say != nil {
			f.Found = c.Say
		}
	}
}

// Cause returns what the records say about the value that decided a finding.
func (s *Slice) Cause(f verdict.Finding) (Cause, bool) {
	if c, ok := s.lowCause(f); ok {
		return c, true
	}
	if c, ok := s.own[f.At]; ok {
		return c, true
	}
	c, ok := s.ground.causes[f.At]
	return c, ok
}

func (s *Slice) causeAt(at string, c Cause) { s.own[at] = c }

// AsPlan is a session record in the planner's form.
func AsPlan(r session.Session) plan.Session {
	exercise := string(r.Exercise)
	if r.Trial {
		exercise = trialOf(r)
	}
	return plan.Session{
		ID: string(r.ID), Exercise: exercise, Station: string(r.Station), Start: r.Start, End: r.End,
		Trainees: texts(r.Trainees), Instructors: texts(r.Instructors), Rescuers: texts(r.Rescuers), Others: texts(r.Others),
	}
}

// texts copies typed ids to the sorted strings of the planner's form.
func texts[T ~string](ids []T) []string {
	out := make([]string, len(ids))
	for i, v := range ids {
		out[i] = string(v)
	}
	slices.Sort(out)
	return out
}

// IDs copies plain ids to their type, sorted and each once.
func IDs[T ~string](ids []string) []T {
	out := make([]T, 0, len(ids))
	for _, v := range ids {
		out = append(out, T(v))
	}
	slices.SortFunc(out, func(a, b T) int { return cmp.Compare(a, b) })
	return slices.Compact(out)
}
