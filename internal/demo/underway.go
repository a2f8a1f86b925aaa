package demo

import (
	"context"
	"slices"

	"rungbook/internal/access"
	came "rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
)

// Minutes around a session's start at which its people come and it begins.
const (
	staffEarly    civil.Minutes = 12
	traineesEarly civil.Minutes = 5
	begunAfter    civil.Minutes = 4
	cameLate      civil.Minutes = 11
	longEnough    civil.Minutes = 20
	seenEarly     civil.Minutes = 35
	freshReading  civil.Minutes = 25
)

// putUnderWay starts one session whose time has come by the store's clock, with its
// roll called, and makes another one ready: its people are here and all is done at the
// rig, so that whoever opens it starts it. The demo instructor's own is left to be
// prepared by the reader where there is another.
func (s *Scenario) putUnderWay(ctx context.Context, into *store.Store) error {
	var chosen, next session.Session
	err := into.Read(ctx, func(v *store.View) (err error) {
		chosen, next, err = s.dueNow(v)
		return err
	})
	if err != nil || chosen.ID == "" {
		return err
	}
	began := chosen.Start.Add(begunAfter)
	run, err := chosen.Started(began)
	if err != nil {
		return err
	}
	roll, err := rollOf(chosen, began)
	if err != nil {
		return err
	}
	err = s.writeNow(ctx, into, "under way", chosen.Instructors[0], began, func(tx *store.Tx) error {
		if err := s.atTheRig(tx, chosen, roll); err != nil {
			return err
		}
		_, err = tx.Put(string(session.ToStart), s.Today, run)
		return err
	})
	if err != nil || next.ID == "" {
		return err
	}
	if roll, err = rollOf(next, 0); err != nil {
		return err
	}
	return s.writeNow(ctx, into, "ready", next.Instructors[0], next.Start.Add(begunAfter), func(tx *store.Tx) error { return s.atTheRig(tx, next, roll) })
}

func (s *Scenario) writeNow(ctx context.Context, into *store.Store, what string, by id.Person, at civil.Instant, do func(*store.Tx) error) error {
	cmd := store.Command{Key: commandKey(s.Today, 0) + " " + what, Content: what, HappenedAt: at, Role: access.Instructor,
		Actor: access.Actor{Person: by, Roles: []access.Role{access.Instructor}, Today: s.Today}}
	_, err := into.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) { return "demo", do(tx) })
	return err
}

// dueNow finds two sessions whose time is now: one with as many rescuers as there is
// to put under way, and one that nothing stops but what is done at the rig. The
// second one needs no circuit, whose state is not the demo's to choose, and where there
// is such a one gives no caution, which whoever starts it would have to read.
func (s *Scenario) dueNow(v *store.View) (chosen, next session.Session, err error) {
	list, err := v.SessionsBetween(s.Zone.StartOfDay(s.Today), s.Zone.StartOfDay(s.Today+1))
	if err != nil {
		return chosen, next, err
	}
	var own []session.Session
	list = slices.DeleteFunc(list, func(x session.Session) bool {
		due := x.State == session.Booked && !x.Trial && x.Start.Add(longEnough) <= v.Now() && v.Now() < x.End.Add(-longEnough)
		readers := slices.Contains(slices.Concat(x.Instructors, x.Rescuers), s.reader)
		if due && readers {
			own = append(own, x)
		}
		return !due || readers
	})
	whole := false // all its trainees came
	for _, x := range list {
		here, err := allCame(v, x)
		if err != nil {
			return chosen, next, err
		}
		if here && !whole || here == whole && len(x.Rescuers) >= len(chosen.Rescuers) {
			chosen, whole = x, here
		}
	}
	for _, warned := range []bool{false, true} {
		for _, from := range [][]session.Session{list, own} {
			if next, err = s.readyOf(v, from, chosen.ID, warned); err != nil || next.ID != "" {
				return chosen, next, err
			}
		}
	}
	return chosen, next, nil
}

// readyOf chooses the session that is made ready, a practical before theory; the zero
// session where none can be. One that is warned of is ready but for its cautions, which
// whoever starts it reads.
func (s *Scenario) readyOf(v *store.View, list []session.Session, but id.Session, warned bool) (next session.Session, err error) {
	if len(list) == 0 {
		return next, nil
	}
	slice, err := (&planning.Builder{}).Build(v, planning.Scope{From: s.Today, Until: s.Today, Everyone: true})
	if err != nil {
		return next, err
	}
	ref := slice.Reference()
	practical := false
	for _, x := range list {
		e, _ := ref.Exercises.On(x.Exercise, s.Today)
		if x.ID == but || len(e.Energy) > 0 || next.ID != "" && (practical || e.Setting == curriculum.Theory) {
			continue
		}
		report := slice.Standalone(planning.AsPlan(x))
		if len(report.At(verdict.Stops)) > 0 || !warned && len(report.Findings) > 0 {
			continue
		}
		here, err := allCame(v, x)
		if err != nil {
			return next, err
		}
		if here {
			next, practical = x, e.Setting != curriculum.Theory
		}
	}
	return next, nil
}

// allCame reports whether all trainees of a session came to the yard.
func allCame(v *store.View, x session.Session) (bool, error) {
	seen, err := v.Arrivals(x.Trainees...)
	all := 0
	for _, a := range seen {
		if a.State == came.Came {
			all++
		}
	}
	return all == len(x.Trainees), err
}

// atTheRig writes what is on record of a session before it starts: its trainees seen
// again where their course is split, the weather, the roll, the checks.
func (s *Scenario) atTheRig(tx *store.Tx, x session.Session, roll session.Attendance) error {
	v := tx.View()
	if err := s.seenAgain(tx, x); err != nil {
		return err
	}
	if err := s.readWeather(tx); err != nil {
		return err
	}
	if _, err := tx.Put(string(session.ToCallRoll), s.Today, roll); err != nil {
		return err
	}
	before, err := prepared(v, x, x.Start.Add(-staffEarly))
	if err != nil {
		return err
	}
	_, err = tx.Put("checked", s.Today, before)
	return err
}

// seenAgain notes identity and fitness statement of those of whom they must be seen
// at this part of their course.
func (s *Scenario) seenAgain(tx *store.Tx, x session.Session) error {
	v := tx.View()
	seen, err := v.Arrivals(x.Trainees...)
	if err != nil {
		return err
	}
	parts, err := planning.PartsBegan(v, x.Trainees, s.Today)
	if err != nil {
		return err
	}
	at := x.Start.Add(-seenEarly)
	for _, a := range seen {
		if a.State != came.Came || len(a.Lacks(x.Start, parts[a.Trainee])) == 0 {
			continue
		}
		signed := came.Signed{By: s.administrator, At: at}
		a.Identity, a.Fitness, a.FitnessAt = &signed, &signed, at
		if _, err := tx.Put(string(a.State), s.Today, a); err != nil {
			return err
		}
	}
	return nil
}

// readWeather reads the weather once more where the morning's last reading is old by
// the store's clock: a demo may be made at any hour.
func (s *Scenario) readWeather(tx *store.Tx) error {
	now := tx.Now()
	list, err := tx.View().Readings(now.Add(-freshReading), now+1)
	if err != nil || slices.ContainsFunc(list, func(r weather.Reading) bool { return r.Kind == weather.Measured && r.At <= now }) {
		return err
	}
	height, mean, gust, air := weather.Height(100), weather.Speed(57), weather.Speed(86), weather.Celsius(75)
	_, err = tx.Put("read", s.Today, weather.Reading{ID: id.Reading(tx.ID()), Kind: weather.Measured, At: now, By: s.reader, Instrument: "mast", Averaging: weather.TenMinutes,
		Height: &height, Mean: &mean, Gust: &gust, Direction: "SW", Celsius: &air, Ice: weather.NoIce})
	return err
}

// rollOf is the roll of a session: the staff first, then the trainees, the last of
// whom comes late once it has begun (0 = not yet, and nobody is late).
func rollOf(s session.Session, began civil.Instant) (a session.Attendance, err error) {
	a.Session = s.ID
	var staff, trainees []session.Seen
	add := func(list []id.Person, part session.Part) {
		for _, p := range list {
			staff = append(staff, session.Seen{Who: string(p), Part: part, Here: true})
		}
	}
	add(s.Instructors, session.AsInstructor)
	add(s.Rescuers, session.AsRescuer)
	for _, t := range s.Trainees {
		trainees = append(trainees, session.Seen{Who: string(t), Part: session.AsTrainee, Here: true})
	}
	last := max(0, len(trainees)-1)
	if began == 0 {
		last = len(trainees)
	}
	if a, err = a.Call(s.Start.Add(-staffEarly), 0, staff); err != nil {
		return a, err
	}
	if a, err = a.Call(s.Start.Add(-traineesEarly), 0, trainees[:last]); err != nil {
		return a, err
	}
	if last == len(trainees) {
		return a, nil
	}
	return a.Call(s.Start.Add(cameLate), began, trainees[last:])
}
