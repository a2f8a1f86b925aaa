package booking

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Desk is where sessions are booked.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
	kept    keptAttention
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{store: s, builder: &planning.Builder{}} }

// Proposal is a session as somebody would have it. Session is the id of the
// session it moves or changes, "" for a new one.
type Proposal struct {
	Session     id.Session
	Exercise    id.Exercise
	Station     id.Station
	Start       civil.Instant
	Trainees    []id.Trainee
	Instructors []id.Person
	Rescuers    []id.Person
	Trial       session.Trial // what a new session is a trial of; of one that stands its own counts
	Change      OtherChange   // of who else is in one that stands

	others  []session.OtherAs
	trial   bool   // it is a trial, though its record may not say what of
	settled bool   // the others and the trial are those to be written
	fresh   string // id that a new session is given, so that acceptances can name it
}

// Planned is a session as the rules see it.
type Planned = plan.Session

// Judged is a proposal with the answer of every rule.
type Judged struct {
	Session plan.Session
	Report  verdict.Report
	// Waits lists the cautions nobody has accepted yet; such a session can only
	// be pencilled.
	Waits []verdict.Finding
	// Winner is who took the place since the proposal was shown, if that is why it
	// stops.
	Winner *Winner
	Slice  *planning.Slice
}

// Winner is somebody who booked first.
type Winner struct {
	Session id.Session
	By      string // name
	At      civil.Instant
}

// errRefused ends a transaction whose judgement stops; the judgement itself is
// the answer.
var errRefused = errors.New("a rule stops it")

// proposed completes a proposal to a session of the problem's exercise length.
func proposed(s *planning.Slice, p Proposal) (plan.Session, error) {
	i := slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == string(p.Exercise) })
	if i < 0 {
		return plan.Session{}, fault.Field("exercise", "There is no such exercise on that day. Choose one from the list.")
	}
	if !slices.ContainsFunc(s.Problem.Stations, func(st plan.Station) bool { return st.ID == string(p.Station) }) {
		return plan.Session{}, fault.Field("station", "There is no such station on that day. Choose one from the list.")
	}
	rec := session.Session{
		ID: id.Session(cmp.Or(string(p.Session), p.fresh, newSession)), Trial: p.trial, Exercise: p.Exercise, Station: p.Station, Start: p.Start, End: p.Start.Add(s.Problem.Exercises[i].Minutes),
		Trainees: planning.IDs[id.Trainee](textsOf(p.Trainees)), Instructors: planning.IDs[id.Person](textsOf(p.Instructors)),
		Rescuers: planning.IDs[id.Person](textsOf(p.Rescuers)),
	}.WithOthers(p.others)
	if p.trial {
		s.AdmitTrial(rec)
	}
	for _, who := range rec.Others {
		s.Admit(who)
	}
	out := planning.AsPlan(rec)
	return out, known(s, out)
}

// newSession stands for the id of a session that has none yet.
const newSession = "new"

// known refuses people who are not in the records, before any rule is asked.
func known(s *planning.Slice, p plan.Session) error {
	for _, t := range p.Trainees {
		if _, ok := s.Trainee(id.Trainee(t)); !ok {
			return fault.Field("trainees", "One of the trainees chosen is not in the records any more. Choose the group again.")
		}
	}
	for _, who := range slices.Concat(p.Instructors, p.Rescuers) {
		if !slices.ContainsFunc(s.Problem.People, func(x plan.Person) bool { return x.ID == who }) {
			return fault.Field("instructors", "One of the people chosen is not on the staff on that day. Choose from the list.")
		}
	}
	return nil
}

func textsOf[T ~string](ids []T) []string {
	out := make([]string, len(ids))
	for i, v := range ids {
		out[i] = string(v)
	}
	return out
}

// slice builds what judging a proposal needs.
func (d *Desk) slice(v *store.View, p Proposal) (*planning.Slice, error) {
	day := v.Zone().DayOf(p.Start)
	scope := planning.Scope{
		From: day, Until: day, Day: day, Trainees: p.Trainees,
		Staff: slices.Concat([]id.Person{}, p.Instructors, p.Rescuers),
	}
	for _, x := range p.others { // a visitor who is new has no other sessions
		scope.Staff = append(scope.Staff, x.Person)
	}
	if p.Session != "" {
		row, err := v.Session(p.Session)
		if err != nil {
			return nil, err
		}
		was := v.Zone().DayOf(row.Value.Start)
		scope.From, scope.Until = min(day, was), max(day, was)
		scope.Trainees = slices.Concat(scope.Trainees, row.Value.Trainees)
		scope.Staff = slices.Concat(scope.Staff, row.Value.Instructors, row.Value.Rescuers, row.Value.Others)
	}
	return d.builder.Build(v, scope)
}

// farthest is how far from now a proposed start may lie, each way: a slice of the
// records reaches from a session's day to the one it moves to.
const farthest civil.Minutes = 2 * 366 * 24 * 60

// plausible refuses a start that nobody can mean.
func plausible(start, now civil.Instant) error {
	switch {
	case start <= 0:
		return fault.Field("start", "Give a day and a time to start.")
	case start < now.Add(-farthest) || start > now.Add(farthest):
		return fault.Field("start", "Give a day within two years from now.")
	}
	return nil
}

// judge asks every rule about a proposal. seen is the last entry that the person
// had been shown.
func (d *Desk) judge(v *store.View, p Proposal, seen int64) (Judged, error) {
	if err := plausible(p.Start, v.Now()); err != nil {
		return Judged{}, err
	}
	p, err := p.standing(v)
	if err != nil {
		return Judged{}, err
	}
	s, err := d.slice(v, p)
	if err != nil {
		return Judged{}, err
	}
	return d.judgeIn(v, s, p, seen)
}

func (d *Desk) judgeIn(v *store.View, s *planning.Slice, p Proposal, seen int64) (Judged, error) {
	put, err := proposed(s, p)
	if err != nil {
		return Judged{}, err
	}
	var remove []string
	if _, stands := s.Session(string(p.Session)); stands {
		remove = []string{string(p.Session)}
	}
	j := Judged{Session: put, Slice: s, Report: s.Change(remove, []plan.Session{put})}
	if put.Start < v.Now() {
		j.Report.Findings = append(j.Report.Findings, verdict.InThePast(verdict.Ref{Kind: verdict.Session, ID: put.ID}, put.Start, v.Now()))
		j.Report.Sort()
	}
	if err := j.markAccepted(v, p.Session); err != nil {
		return Judged{}, err
	}
	if j.Report.Level() == verdict.Stops {
		j.Winner, err = winner(v, s, j.Report, seen)
	}
	return j, err
}

// winner looks among the sessions that a stop names for one that was written
// after the person's page was shown.
func winner(v *store.View, s *planning.Slice, r verdict.Report, seen int64) (*Winner, error) {
	if seen >= v.Head() {
		return nil, nil // their page shows everything
	}
	for _, f := range r.At(verdict.Stops) {
		for _, ref := range f.Refs() {
			rec, ok := s.Session(ref.ID)
			if ref.Kind != verdict.Session || !ok {
				continue
			}
			row, err := v.Session(rec.ID)
			if err != nil {
				return nil, err
			}
			if row.Entry <= seen {
				continue
			}
			entry, err := v.Entry(row.Entry)
			if err != nil {
				return nil, err
			}
			names, err := v.PersonNames(entry.Actor)
			return &Winner{Session: rec.ID, By: names[entry.Actor], At: row.RecordedAt}, err
		}
	}
	return nil, nil
}

// Judge answers a proposal without writing anything.
func (d *Desk) Judge(ctx context.Context, actor access.Actor, p Proposal) (j Judged, err error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return Judged{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		j, err = d.judge(v, p, v.Head())
		return err
	})
	return j, err
}

// After returns what standing a session down would break: sessions that depend
// on it. It is told, and stops nothing.
func (d *Desk) After(ctx context.Context, actor access.Actor, sid id.Session) (out Aftermath, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Aftermath{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Session(sid)
		if err != nil {
			return err
		}
		if out.Slice, err = d.slice(v, proposalOf(row.Value)); err != nil {
			return err
		}
		if _, stands := out.Slice.Session(string(sid)); stands {
			out.Findings = out.Slice.Change([]string{string(sid)}, nil).At(verdict.Stops)
		}
		return nil
	})
	return out, err
}

// Aftermath is what a removal leaves broken.
type Aftermath struct {
	Findings []verdict.Finding
	Slice    *planning.Slice
}
