package running

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Desk is where sessions are run.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{store: s, builder: &planning.Builder{}} }

// Scene is one session at one moment with all that the gates look at. Everything
// in it is of the session's local day; View is the record as it stands.
type Scene struct {
	View        *store.View
	Row         store.Row[session.Session]
	Session     session.Session
	Now         civil.Instant
	Then        civil.Instant   // what is spoken of: now, or when it was entered without signal
	Day         civil.Day       // the session's
	Slice       *planning.Slice // nil of one that is not judged (record)
	Exercise    curriculum.Exercise
	Station     rig.Station
	Rig         rig.Rig
	Attendance  session.Attendance // as called so far
	RollRev     int64              // revision of the attendance, 0 for none
	Results     session.Results    // as noted so far
	ResultsRev  int64
	Acceptances []session.Acceptance
	Prepared    session.Preparation // what was done before it so far
	Starter     id.Person           // who would start it; "" for one who may not
	// Report is every rule's answer now, about the session with the people who are
	// here; with those booked while nobody is.
	Report  verdict.Report
	Figures planning.Figures  // of the same people
	toCheck []session.ToCheck // once ToCheck was asked
	Counted bool              // false where exercise or station is not on record
}

func (s *Scene) page() string { return "/sessions/" + string(s.Session.ID) }

func (s *Scene) underWay() bool { return s.Session.State == session.UnderWay }

// WithPresent returns the session as if only those were booked who are here.
func (s *Scene) WithPresent() session.Session {
	out := s.Session
	if len(s.Attendance.Presences) == 0 && !s.underWay() {
		return out
	}
	out.Trainees = planning.IDs[id.Trainee](s.Attendance.Here(session.AsTrainee))
	out.Instructors = planning.IDs[id.Person](s.Attendance.Here(session.AsInstructor))
	out.Rescuers = planning.IDs[id.Person](s.Attendance.Here(session.AsRescuer))
	out.Others = planning.IDs[id.Person](s.Attendance.Here(session.AsOther))
	return out
}

// record looks at a session as it stands without judging it: enough to write down
// what was found and to sign it, which no rule stops any more.
func (d *Desk) record(v *store.View, sid id.Session) (*Scene, error) {
	row, err := v.Session(sid)
	if err != nil {
		return nil, err
	}
	s := &Scene{View: v, Row: row, Session: row.Value, Now: v.Now(), Then: v.Now(), Day: v.Zone().DayOf(row.Value.Start)}
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	s.Exercise, _ = ref.Exercises.On(s.Session.Exercise, s.Day)
	s.Station, _ = ref.Stations.On(s.Session.Station, s.Day)
	s.Rig, _ = ref.Rigs.On(s.Station.Rig, s.Day)
	if s.Attendance, s.RollRev, err = v.Roll(sid); err != nil {
		return nil, err
	}
	s.Results, s.ResultsRev, err = v.Assessed(sid)
	return s, err
}

// scene looks at a session as it stands and judges it; more are staff that may be
// asked about too.
func (d *Desk) scene(v *store.View, sid id.Session, more ...id.Person) (*Scene, error) {
	s, err := d.record(v, sid)
	if err != nil {
		return nil, err
	}
	scope := planning.Scope{From: s.Day, Until: s.Day, Day: s.Day, Trainees: s.Session.Trainees,
		Staff: slices.Concat([]id.Person{}, s.Session.Instructors, s.Session.Rescuers, s.Session.Others, more)}
	if s.Slice, err = d.builder.Build(v, scope); err != nil {
		return nil, err
	}
	for _, who := range slices.Concat(s.Session.Others, more) {
		s.Slice.Admit(who)
	}
	if s.Acceptances, err = v.Acceptances(sid); err != nil {
		return nil, err
	}
	if s.Prepared, err = v.Preparation(sid); err != nil {
		return nil, err
	}
	s.judge()
	return s, nil
}

// judge asks the rules about those who are here.
func (s *Scene) judge() {
	put := planning.AsPlan(s.WithPresent())
	s.Report, s.Figures, s.Counted = verdict.Report{}, planning.Figures{}, false
	if s.Session.State.ToRun() || s.underWay() {
		s.Report = s.Slice.Standalone(put)
	}
	s.Figures, s.Counted = s.Slice.Figures(put)
}

// Shown is what the page of a running session shows.
type Shown struct {
	*Scene
	Gates    []Gate
	Voice    string // whom of the yard was reached by voice where it started without signal
	Trainees map[id.Trainee]string
	Persons  map[id.Person]string
	Asked    []session.ToCheck              // at the check before use
	Texts    map[id.Commitment]string       // remarks, signatures drawn, and the items of check lists with what was noted
	Recheck  []id.Trainee                   // whose theory must still be checked again
	Weigh    []string                       // who was not seen to be within the rating
	Costs    map[id.Trainee]credential.Cost // of a failure
}

// Show returns a session at the rig. Error: fault.NotFound.
func (d *Desk) Show(ctx context.Context, actor access.Actor, sid id.Session) (out Shown, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Shown{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		out, err = d.shown(v, actor, sid)
		return err
	})
	return out, err
}

func (d *Desk) shown(v *store.View, actor access.Actor, sid id.Session) (out Shown, err error) {
	if out.Scene, err = d.scene(v, sid); err != nil {
		return out, err
	}
	if access.May(actor, access.RunSession) {
		out.Starter = actor.Person
	}
	if out.Gates, err = out.Scene.Gates(); err != nil {
		return out, err
	}
	if run := out.Session.Run; run != nil && run.Unseen != nil {
		texts, err := v.Texts(run.Unseen.Voice)
		if err != nil {
			return out, err
		}
		if out.Voice = texts[run.Unseen.Voice]; out.Voice == "" {
			out.Voice = "somebody"
		}
	}
	if _, _, out.Recheck, err = out.ToRecheck(); err != nil {
		return out, err
	}
	if out.Weigh, err = out.ToWeigh(); err != nil {
		return out, err
	}
	if out.Trainees, err = v.TraineeNames(out.Session.Trainees...); err != nil {
		return out, err
	}
	var remarks []id.Commitment
	for _, n := range out.Results.Notes {
		remarks = append(remarks, n.Remark, n.Drawn)
	}
	if out.Asked, err = out.ToCheck(); err != nil {
		return out, err
	}
	if out.Texts, err = v.Texts(append(remarks, out.checkTexts(out.Asked)...)...); err != nil {
		return out, err
	}
	if out.Costs, err = out.costs(v); err != nil {
		return out, err
	}
	s := out.Session
	out.Persons, err = v.PersonNames(slices.Concat(s.Instructors, s.Rescuers, s.Others)...)
	return out, err
}
