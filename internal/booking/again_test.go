package booking_test

import (
	"context"
	"slices"
	"testing"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// booked is a session of training to come with at least two trainees.
func (o *office) booked() session.Session {
	o.Helper()
	for _, s := range o.ahead() {
		if s.State == session.Booked && !s.Trial && len(s.Trainees) > 1 && demoDay(s.Start) > monday {
			return s
		}
	}
	o.Fatal("nothing is booked for two")
	return session.Session{}
}

func (o *office) down(s session.Session) {
	o.Helper()
	if err := o.StandDown(context.Background(), o.instructor, s.ID, o.session(s.ID).Rev, session.DownWeather, "", o.key()); err != nil {
		o.Fatal(err)
	}
}

func (o *office) again(sid id.Session) booking.Again {
	o.Helper()
	a, err := o.Again(context.Background(), o.instructor, sid)
	if err != nil {
		o.Fatal(err)
	}
	return a
}

func TestWhoWasStoodDownIsOfferedOtherTimesUntilTheyAreBooked(t *testing.T) {
	ctx := context.Background()
	o := openOffice(t)
	s := o.booked()
	if a := o.again(s.ID); len(a.Left) > 0 || len(a.Options.Offers) > 0 {
		t.Errorf("a booked session leaves %v waiting", a.Left)
	}
	o.down(s)
	a := o.again(s.ID)
	if !slices.Equal(a.Left, s.Trainees) {
		t.Fatalf("%v wait, booked were %v", a.Left, s.Trainees)
	}
	same, err := o.Options(ctx, o.instructor, booking.Ask{Exercise: s.Exercise, Trainees: s.Trainees, From: monday, Until: monday + 13})
	if err != nil || len(same.Offers) != len(a.Options.Offers) {
		t.Errorf("%d offers, the booking page has %d: %v", len(a.Options.Offers), len(same.Offers), err)
	}
	if len(a.Options.Offers) == 0 {
		t.Fatal("its own place is free, and nothing is offered")
	}
	listed := func() bool {
		list, err := o.Waiters(ctx, o.instructor)
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(list, func(w booking.Waiter) bool { return w.Session.ID == s.ID && len(w.Left) > 0 })
	}
	if !listed() {
		t.Error("nobody is told that they wait")
	}
	p := proposal(a.Options.Offers[0])
	if done, err := o.Book(ctx, o.instructor, p, o.send()); err != nil || done.Refused != nil {
		t.Fatalf("the offer is not booked: %v, %v", err, done.Refused)
	}
	if a := o.again(s.ID); slices.ContainsFunc(a.Left, func(t id.Trainee) bool { return slices.Contains(p.Trainees, t) }) {
		t.Errorf("%v wait though %v are booked", a.Left, p.Trainees)
	}
	if len(p.Trainees) == len(s.Trainees) && listed() {
		t.Error("it is listed though all are booked")
	}
}

func TestACutShortSessionLeavesOnlyWhatWasNotDone(t *testing.T) {
	ctx := context.Background()
	o := openOffice(t)
	s := o.booked()
	o.down(s)
	did, rest := s.Trainees[0], s.Trainees[1]
	ran := s
	ran.ID, ran.State, ran.Trainees = "cut", session.CutShort, []id.Trainee{did, rest}
	slices.Sort(ran.Trainees)
	ran.Start, ran.End = eight.Add(-300), eight.Add(-180)
	e, _ := o.reference().Exercises.On(s.Exercise, monday)
	a, r := session.Attendance{Session: ran.ID}, session.Results{Session: ran.ID, By: s.Instructors[0]}
	for _, who := range ran.Trainees {
		a.Presences = append(a.Presences, session.Presence{Who: string(who), Part: session.AsTrainee, Mark: session.Present, Start: ran.Start, End: ran.End})
		for i, outcome := range e.Outcomes {
			found := session.Competent
			if who == rest && i == len(e.Outcomes)-1 {
				found = session.NotAssessed
			}
			r.Results = append(r.Results, session.Result{Trainee: who, Outcome: outcome, Result: found, How: session.Watched})
		}
	}
	o.put("put", ran)
	o.put("signed", a, r)
	o.put("cut-short", ran)
	o.read(func(v *store.View) error {
		done, err := v.Completions(did)
		if !slices.ContainsFunc(done, func(c store.Completion) bool { return c.Session == ran.ID }) {
			t.Error("who did all of it has not completed it")
		}
		return err
	})
	if got := o.again(ran.ID); !slices.Equal(got.Left, []id.Trainee{rest}) || len(got.Options.Group) != 1 || got.Options.Group[0].Trainee != rest {
		t.Errorf("%v wait, want %s alone", got.Left, rest)
	}
	list, err := o.Waiters(ctx, o.instructor)
	if err != nil {
		t.Fatal(err)
	}
	times := 0
	for _, w := range list {
		if w.Session.Exercise == s.Exercise && slices.Contains(w.Left, rest) {
			times++
		}
		if w.Session.Exercise == s.Exercise && slices.Contains(w.Left, did) {
			t.Errorf("%s waits for what was done", did)
		}
	}
	if times != 1 {
		t.Errorf("%s is listed %d times for one need", rest, times)
	}
}

func TestATrialLeavesNobodyWaiting(t *testing.T) {
	o := openOffice(t)
	_, p := o.trialOffer()
	done, err := o.Book(context.Background(), o.instructor, p, o.send())
	if err != nil || done.Refused != nil {
		t.Fatal(err)
	}
	o.down(o.session(done.Session).Value)
	if a := o.again(done.Session); len(a.Left) > 0 {
		t.Errorf("%v wait for a trial", a.Left)
	}
}

// givenUntil makes a day the last one of all intakes of a session's trainees.
func (o *office) givenUntil(s session.Session, last civil.Day) {
	o.Helper()
	var list []people.Intake
	o.read(func(v *store.View) error {
		trainees, err := v.Trainees(s.Trainees...)
		for _, t := range trainees {
			in, _ := o.reference().Intakes.On(t.Intake, monday)
			in.Until = last
			if !slices.ContainsFunc(list, func(x people.Intake) bool { return x.ID == in.ID }) {
				list = append(list, in)
			}
		}
		return err
	})
	for _, in := range list {
		o.put("changed", in)
	}
}

func TestNoOtherTimeIsSearchedAfterTheLastDayOfTheIntake(t *testing.T) {
	o := openOffice(t)
	s := o.booked()
	o.down(s)
	o.givenUntil(s, monday+2)
	a := o.again(s.ID)
	if a.Ends != monday+2 || a.Options.Ask.Until != monday+2 || len(a.Intakes) == 0 {
		t.Errorf("ends %v, asked until %v, intakes %v", a.Ends, a.Options.Ask.Until, a.Intakes)
	}
	for _, r := range a.Options.Refused {
		if demoDay(r.Session.Start) > monday+2 {
			t.Errorf("a time of %v is told of, which none of them can take", demoDay(r.Session.Start))
		}
	}
	o.givenUntil(s, monday)
	if a := o.again(s.ID); a.Ends != monday || a.Options.Slice == nil {
		t.Errorf("on the last day itself: ends %v, searched %v", a.Ends, a.Options.Slice != nil)
	}
	o.givenUntil(s, monday-1)
	a = o.again(s.ID)
	if len(a.Left) == 0 || a.Ends != monday-1 || a.Options.Slice != nil || len(a.Options.Offers) > 0 {
		t.Errorf("after it: %d wait, ends %v, %d offers", len(a.Left), a.Ends, len(a.Options.Offers))
	}
	o.givenUntil(s, monday+60)
	if a := o.again(s.ID); a.Ends != 0 || len(a.Options.Offers) == 0 {
		t.Errorf("with time enough: ends %v, %d offers", a.Ends, len(a.Options.Offers))
	}
}

func TestAnEnrolmentWaitsForItsOwnLatestSessionOfEachOpenExercise(t *testing.T) {
	one := func(of id.Session, e id.Exercise, start civil.Instant, state session.State, who ...id.Trainee) session.Session {
		return session.Session{ID: of, Exercise: e, Start: start, State: state, Trainees: who}
	}
	list := []session.Session{
		one("last year", "climb", 1, session.StoodDown, "other enrolment"), one("first", "climb", 2, session.StoodDown, "here"), one("latest", "climb", 3, session.CutShort, "here"),
		one("signed", "climb", 4, session.SignedOff, "here"), one("done", "lift", 3, session.StoodDown, "here"),
	}
	for name, c := range map[string]struct {
		of   id.Trainee
		open []id.Exercise
		want []id.Session
	}{
		"the latest":                {"here", []id.Exercise{"climb"}, []id.Session{"latest"}},
		"nothing open":              {"here", nil, nil},
		"never booked for it":       {"here", []id.Exercise{"crawl"}, nil},
		"another enrolment's":       {"new enrolment", []id.Exercise{"climb", "lift"}, nil},
		"of each what is still due": {"here", []id.Exercise{"lift", "climb"}, []id.Session{"done", "latest"}},
	} {
		var got []id.Session
		for _, s := range booking.LeftBy(list, c.of, c.open) {
			got = append(got, s.ID)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
