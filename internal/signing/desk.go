package signing

import (
	"context"
	"maps"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Desk is where a session is prepared for the rig.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{store: s, builder: &planning.Builder{}} }

// Paper is one session with all that its day sheet and rescue card say.
type Paper struct {
	store.Row[session.Session]
	Exercise   curriculum.Exercise
	Station    rig.Station
	Rig        rig.Rig
	RescuePlan *rig.RescuePlan  // the version in force on its day, nil for none
	LastDrill  *rig.Drill       // of that plan, accepted; nil for none
	Figures    planning.Figures // of the people booked
	Counted    bool             // false where the exercise or station is not on record on its day
	// Stops are the rules that stop a session to come, as things stand now; Waits
	// counts the cautions nobody has accepted.
	Stops       []verdict.Finding
	Waits       int
	Trainees    map[id.Trainee]string
	Persons     map[id.Person]string
	Acceptances []session.Acceptance
	Prepared    session.Preparation // what was done before it so far
	Corrected   bool                // what was signed was corrected since
	Reasons     map[id.Commitment]string
	Slice       *planning.Slice
}

// Paper returns what the papers of one session say. Error: fault.NotFound.
func (d *Desk) Paper(ctx context.Context, actor access.Actor, sid id.Session) (out Paper, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Paper{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Session(sid)
		if err != nil {
			return err
		}
		list, err := d.papers(v, v.Zone().DayOf(row.Value.Start), []session.Session{row.Value})
		if err == nil {
			out = list[0]
		}
		return err
	})
	return out, err
}

// Papers returns those of a local day, by start; sessions stood down are left out.
func (d *Desk) Papers(ctx context.Context, actor access.Actor, day civil.Day) (out []Paper, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.SessionsBetween(v.Zone().StartOfDay(day), v.Zone().StartOfDay(day+1))
		if err != nil {
			return err
		}
		list = slices.DeleteFunc(list, func(s session.Session) bool {
			return !s.State.Holds() || v.Zone().DayOf(s.Start) != day
		})
		if len(list) > 0 {
			out, err = d.papers(v, day, list)
		}
		return err
	})
	return out, err
}

// papers fills in sessions that begin on one day.
func (d *Desk) papers(v *store.View, day civil.Day, list []session.Session) ([]Paper, error) {
	slice, err := d.slice(v, day, list)
	if err != nil {
		return nil, err
	}
	out := make([]Paper, len(list))
	for i, s := range list {
		row, err := v.Session(s.ID)
		if err != nil {
			return nil, err
		}
		out[i] = Paper{Row: row, Slice: slice}
		if err := out[i].load(v, day); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// slice builds what judging sessions of a day needs.
func (d *Desk) slice(v *store.View, day civil.Day, list []session.Session) (*planning.Slice, error) {
	scope := planning.Scope{From: day, Until: day, Day: day, Staff: []id.Person{}}
	for _, s := range list {
		scope.Trainees = append(scope.Trainees, s.Trainees...)
		scope.Staff = append(scope.Staff, staffOf(s)...)
	}
	return d.builder.Build(v, scope)
}

func staffOf(s session.Session) []id.Person {
	return slices.Concat(s.Instructors, s.Rescuers, s.Others)
}

func (p *Paper) load(v *store.View, day civil.Day) (err error) {
	s, ref := p.Value, p.Slice.Reference()
	p.Exercise, _ = ref.Exercises.On(s.Exercise, day)
	p.Station, _ = ref.Stations.On(s.Station, day)
	p.Rig, _ = ref.Rigs.On(p.Station.Rig, day)
	if plan, ok := p.Slice.Register().RescueInForce(s.Station, day); ok {
		p.RescuePlan = &plan
		if drill, ok := p.Slice.Register().LastDrill(plan.ID, day); ok {
			p.LastDrill = &drill
		}
	}
	put := planning.AsPlan(s)
	p.Figures, p.Counted = p.Slice.Figures(put)
	if p.Acceptances, err = v.Acceptances(s.ID); err != nil {
		return err
	}
	if p.Prepared, err = v.Preparation(s.ID); err != nil {
		return err
	}
	a, _, err := v.Roll(s.ID)
	if err != nil {
		return err
	}
	r, _, err := v.Assessed(s.ID)
	if err != nil {
		return err
	}
	p.Corrected = len(a.Corrections)+len(r.Corrections) > 0
	if s.State.ToRun() && s.End > v.Now() {
		p.judge(put)
	}
	who, texts := slices.Concat(staffOf(s), p.Prepared.By()), []id.Commitment{s.Note}
	for _, a := range p.Acceptances {
		who, texts = append(who, a.By), append(texts, a.Reason)
	}
	if p.Persons, err = v.PersonNames(who...); err != nil {
		return err
	}
	if p.Trainees, err = v.TraineeNames(s.Trainees...); err != nil {
		return err
	}
	p.Reasons, err = v.Texts(texts...)
	return err
}

// judge asks the rules about a session that is still to run: paper must not say
// less than the page.
func (p *Paper) judge(put plan.Session) {
	report := p.Slice.Standalone(put)
	p.Stops = report.At(verdict.Stops)
	p.Waits = len(session.Waits(report.At(verdict.Cautions), p.Acceptances))
}

// Rescuers are those of the session's staff who are rescue-competent on its day,
// sorted.
func (p *Paper) Rescuers() []id.Person {
	var out []id.Person
	for _, who := range slices.Sorted(maps.Keys(p.Figures.RescueCompetent)) {
		out = append(out, id.Person(who))
	}
	return out
}
