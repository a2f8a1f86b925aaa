package drafting

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Brief is a draft as a list shows it.
type Brief struct {
	ID          id.Draft
	Kind        Kind
	Title       string // the intakes it plans
	From, Until civil.Day
	Wish        Wish // of a repair only its days and levels
	MadeAt      civil.Instant
	MadeBy      string // name
	EndedAt     civil.Instant
	EndedBy     string // who stopped, accepted or discarded it; "" where nobody did
	Repeats     id.Draft
	HasPlan     bool
	Progress    Progress
}

// Point is how far a search had come at one moment, for a chart.
type Point = store.DraftPoint

// Draft is a draft with all that it proposes.
type Draft struct {
	Brief
	Version             string
	Seed                int64
	ProblemSHA, FromSHA string // hex SHA-256 of the planner's files
	Points              []Point
	// Same says of a repeated search that has ended whether its plan equals the one
	// repeated to the byte; nil for any other.
	Same *bool

	// Never are the needs that no plan can place, known before the search.
	Never []Impossible

	Slice *planning.Slice // the records when it was made, which know the names; with what is proposed

	// What follows is empty as long as there is no plan.
	Changes   []Change // by start
	Unplaced  []Unplaced
	Figures   Figures
	Concerned []Concerned
	Zone      civil.Zone
}

const listed = 50

// List returns the drafts made last, newest first.
func (d *Desk) List(ctx context.Context, actor access.Actor) (out []Brief, err error) {
	if _, err := access.Require(actor, access.SeeDrafts); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		rows, err := v.Drafts(listed)
		if err != nil {
			return err
		}
		for _, row := range rows {
			b, err := d.brief(v, row, nil)
			if err != nil {
				return err
			}
			out = append(out, b)
		}
		return nil
	})
	return out, err
}

func (d *Desk) brief(v *store.View, row store.Draft, points []Point) (Brief, error) {
	m, err := readMemo(row.Wish)
	if err != nil {
		return Brief{}, err
	}
	ref, err := v.Reference()
	if err != nil {
		return Brief{}, err
	}
	names, err := v.PersonNames(row.MadeBy, row.EndedBy)
	if err != nil {
		return Brief{}, err
	}
	return Brief{ID: row.ID, Kind: Kind(row.Kind), Title: title(Kind(row.Kind), m.Wish, ref, v.Today()), From: row.From, Until: row.Until, Wish: m.Wish,
		MadeAt: row.MadeAt, MadeBy: names[row.MadeBy], EndedAt: row.EndedAt, EndedBy: names[row.EndedBy], Repeats: row.Repeats, HasPlan: row.HasPlan,
		Progress: progressOf(row, points)}, nil
}

// Draft returns one draft. While it is searched it holds the best plan kept so
// far. Error: fault.NotFound.
func (d *Desk) Draft(ctx context.Context, actor access.Actor, of id.Draft) (out Draft, err error) {
	if _, err := access.Require(actor, access.SeeDrafts); err != nil {
		return Draft{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Draft(of)
		if err != nil {
			return err
		}
		if out.Points, err = v.DraftPoints(of); err != nil {
			return err
		}
		if out.Brief, err = d.brief(v, row, out.Points); err != nil {
			return err
		}
		out.Version, out.Seed, out.ProblemSHA, out.FromSHA, out.Zone = row.Version, row.Seed, row.ProblemSHA, row.FromSHA, v.Zone()
		p, err := d.proposal(v, row)
		if err != nil {
			return err
		}
		out.Never, out.Slice = p.memo.impossible(p.slice), p.slice
		if !row.HasPlan {
			return nil
		}
		return out.fill(v, p)
	})
	if err != nil {
		return out, err
	}
	now, err := d.newest(ctx, of, out.Progress)
	if err == nil && now.Ended() && !out.Progress.Ended() {
		return d.Draft(ctx, actor, of) // it ended in between: what it found is kept by now
	}
	out.Progress = now
	return out, err
}

// newest is the progress of a draft, from the search itself while it runs.
func (d *Desk) newest(ctx context.Context, of id.Draft, kept Progress) (Progress, error) {
	if kept.Ended() {
		return kept, nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.progressLocked(ctx, of)
}

// proposal is a draft's plan beside the records that it was made from.
type proposal struct {
	row     store.Draft
	built   civil.Instant // when its problem was built: before it was repeated
	memo    memo
	files   store.DraftFiles
	problem *plan.Problem
	old     []plan.Session
	plan    *plan.Plan
	slice   *planning.Slice
	chosen  []id.Trainee
	changes []Change
}

// proposal reads a draft's files, and builds the slice of the records that it was
// made from: its causes stand where the problem points.
func (d *Desk) proposal(v *store.View, row store.Draft) (p *proposal, err error) {
	p = &proposal{row: row}
	if p.files, err = v.DraftFiles(row.ID); err != nil {
		return nil, err
	}
	if p.memo, err = readMemo(row.Wish); err != nil {
		return nil, err
	}
	if p.problem, err = plan.DecodeProblem(p.files.Problem); err != nil {
		return nil, err
	}
	p.plan = &plan.Plan{}
	if p.files.Plan != nil {
		if p.plan, err = plan.DecodePlan(p.files.Plan, p.problem.Zone); err != nil {
			return nil, err
		}
	}
	if p.files.From != nil {
		from, err := plan.DecodePlan(p.files.From, p.problem.Zone)
		if err != nil {
			return nil, err
		}
		p.old = from.Sessions
	}
	p.built = row.MadeAt
	if row.Repeats != "" {
		first, err := v.Draft(row.Repeats)
		if err != nil {
			return nil, err
		}
		p.built = first.MadeAt
	}
	then := v.At(row.Entry, v.Zone().DayOf(p.built))
	if p.chosen, err = membersOf(then, p.memo.Wish); err != nil {
		return nil, err
	}
	if p.slice, err = d.builder.Build(then, scopeOf(Kind(row.Kind), row.From, p.memo.Last, p.chosen)); err != nil {
		return nil, err
	}
	p.compare()
	return p, nil
}

// read is the proposal of a draft that has a plan.
func (d *Desk) read(ctx context.Context, of id.Draft) (p *proposal, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Draft(of)
		if err != nil {
			return err
		}
		if !row.HasPlan {
			return fault.New(fault.Conflict, "This draft has no plan yet.")
		}
		p, err = d.proposal(v, row)
		return err
	})
	return p, err
}

// ChangeKind is what a plan does with a session.
type ChangeKind string

// The kinds of change.
const (
	Added         ChangeKind = "new"
	Moved         ChangeKind = "moved"          // to another time or station
	PeopleChanged ChangeKind = "people-changed" // at the same time and place
	Gone          ChangeKind = "gone"           // it is to be stood down
)

// Change is one session that a plan changes. A session that stays as it is is no
// change.
type Change struct {
	Kind    ChangeKind
	Session plan.Session  // as proposed; as it was where it is gone
	Was     *plan.Session // nil for a new one
	// Waits lists in words of the rules what gives pause: the session would be
	// pencilled until it is accepted.
	Waits []verdict.Finding
}

// compare lists what the plan changes.
func (p *proposal) compare() {
	was := map[string]*plan.Session{}
	for i := range p.old {
		was[p.old[i].ID] = &p.old[i]
	}
	fixed := map[string]bool{}
	for _, s := range p.problem.Fixed {
		fixed[s.ID] = true
	}
	kept := map[string]bool{}
	for _, s := range p.plan.Sessions {
		kept[s.ID] = true
		old := was[s.ID]
		switch {
		case fixed[s.ID]:
		case old == nil:
			p.changes = append(p.changes, Change{Kind: Added, Session: s})
		case s.Station != old.Station || s.Start != old.Start || s.Exercise != old.Exercise:
			p.changes = append(p.changes, Change{Kind: Moved, Session: s, Was: old})
		case s.MovedFrom(old):
			p.changes = append(p.changes, Change{Kind: PeopleChanged, Session: s, Was: old})
		}
	}
	for i := range p.old {
		if !kept[p.old[i].ID] {
			p.changes = append(p.changes, Change{Kind: Gone, Session: p.old[i], Was: &p.old[i]})
		}
	}
	slices.SortStableFunc(p.changes, func(a, b Change) int { return int(a.Session.Start - b.Session.Start) })
}

// put are the sessions that the plan writes, gone the ids of those it takes off.
func (p *proposal) put() (put []plan.Session, gone []string) {
	for _, c := range p.changes {
		if c.Kind == Gone {
			gone = append(gone, c.Session.ID)
		} else {
			put = append(put, c.Session)
		}
	}
	return put, gone
}

// fill completes a draft with what its plan proposes.
func (out *Draft) fill(v *store.View, p *proposal) error {
	put, gone := p.put()
	with := p.slice.With(gone, put)
	for i := range p.changes {
		if p.changes[i].Kind != Gone {
			p.changes[i].Waits = with.Cautions(p.changes[i].Session)
		}
	}
	out.Changes, out.Slice = p.changes, with
	out.Figures = p.figures()
	out.Unplaced = p.unplaced(with, out.Never)
	var err error
	if out.Concerned, err = p.concerned(v); err != nil {
		return err
	}
	return p.same(v, out)
}

// same compares a repeated plan with the one it repeats.
func (p *proposal) same(v *store.View, out *Draft) error {
	if p.row.Repeats == "" || p.row.State == string(Searching) || p.row.State == string(Queued) {
		return nil
	}
	first, err := v.DraftFiles(p.row.Repeats)
	if err != nil {
		return err
	}
	same := slices.Equal(first.Plan, p.files.Plan)
	out.Same = &same
	return nil
}
