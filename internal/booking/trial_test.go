package booking_test

import (
	"context"
	"slices"
	"testing"

	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// trialOffer is the first free time of a trial of an exercise, with no trainees.
func (o *office) trialOffer() (booking.Options, booking.Proposal) {
	o.Helper()
	for _, e := range o.reference().Exercises.All(monday) {
		if len(e.Stations) == 0 {
			continue
		}
		found, err := o.Options(context.Background(), o.instructor, booking.Ask{Exercise: e.ID, Trial: session.TrialDrill, From: monday + 1, Until: monday + 5})
		if err != nil {
			o.Fatal(err)
		}
		if len(found.Offers) > 0 {
			p := proposal(found.Offers[0])
			p.Trial = session.TrialDrill
			return found, p
		}
	}
	o.Fatal("no trial finds a time")
	return booking.Options{}, booking.Proposal{}
}

func TestATrialIsBookedWithoutTraineesAndStaysOne(t *testing.T) {
	o := openOffice(t)
	found, p := o.trialOffer()
	if p.Exercise != found.Ask.Exercise {
		t.Fatalf("offered %q for %q", p.Exercise, found.Ask.Exercise)
	}
	done, err := o.Book(context.Background(), o.instructor, p, o.send())
	if err != nil || done.Refused != nil {
		t.Fatalf("%v, %v", err, done.Refused)
	}
	s := o.session(done.Session).Value
	if !s.Trial || s.TrialOf != session.TrialDrill || s.Exercise != p.Exercise || len(s.Trainees) != 0 {
		t.Fatalf("booked %+v", s)
	}
	// Moved and with other people it is one still.
	again, err := o.Options(context.Background(), o.instructor, booking.Ask{Exercise: s.Exercise, Move: s.ID, Trainees: s.Trainees, Trial: s.TrialOf, From: monday + 1, Until: monday + 9})
	if err != nil || len(again.Offers) == 0 {
		t.Fatalf("no other time for it: %v", err)
	}
	to := proposal(again.Offers[len(again.Offers)-1])
	to.Session = s.ID
	moved, err := o.Move(context.Background(), o.instructor, to, o.session(s.ID).Rev, o.send())
	if err != nil || moved.Refused != nil {
		t.Fatalf("moving it: %v, %v", err, moved.Refused)
	}
	if got := o.session(s.ID).Value; !got.Trial || got.TrialOf != session.TrialDrill || got.Start != to.Start {
		t.Errorf("moved it is %+v", got)
	}
	if err := o.StandDown(context.Background(), o.instructor, s.ID, o.session(s.ID).Rev, session.DownOther, "", o.key()); err != nil {
		t.Fatal(err)
	}
	if back, err := o.Reopen(context.Background(), o.instructor, s.ID, o.session(s.ID).Rev, o.send()); err != nil || back.Refused != nil || !o.session(s.ID).Value.Trial {
		t.Errorf("reopened: %v, %v, %+v", err, back.Refused, o.session(s.ID).Value)
	}
}

func TestWhatIsNoTrialNeedsTrainees(t *testing.T) {
	o := openOffice(t)
	_, p := o.trialOffer()
	for _, bad := range []session.Trial{"", "rehearsal"} {
		p.Trial = bad
		before := o.head()
		done, err := o.Book(context.Background(), o.instructor, p, o.send())
		if err == nil && done.Refused == nil || o.head() != before {
			t.Errorf("trial %q without trainees is booked", bad)
		}
	}
	_, err := o.Options(context.Background(), o.instructor, booking.Ask{Exercise: p.Exercise})
	o.kind(err, fault.Invalid)
}

func TestOthersJoinWhileTheyAreLookedAfter(t *testing.T) {
	ctx := context.Background()
	o := openOffice(t)
	_, p := o.trialOffer()
	done, err := o.Book(ctx, o.instructor, p, o.send())
	if err != nil || done.Refused != nil {
		t.Fatal(err)
	}
	sid := done.Session
	join := func(c booking.OtherChange) (booking.Done, error) {
		return o.ChangeOthers(ctx, o.instructor, sid, o.session(sid).Rev, c, o.send())
	}
	key := o.send()
	visitor := booking.OtherChange{Visitor: "  Wen   Halloran ", As: session.Auditor}
	rev := o.session(sid).Rev
	for range 2 { // sent twice it is done once
		if done, err := o.ChangeOthers(ctx, o.instructor, sid, rev, visitor, key); err != nil || done.Refused != nil {
			t.Fatalf("%v, %v", err, done.Refused)
		}
	}
	list := o.session(sid).Value.TheOthers()
	if len(list) != 1 || list[0].As != session.Auditor {
		t.Fatalf("the others are %v", list)
	}
	for name, c := range map[string]booking.OtherChange{
		"nobody":         {As: session.Observer},
		"two at once":    {Join: "x", Visitor: "y", As: session.Observer},
		"a stranger":     {Join: "no-such-person", As: session.Observer},
		"no part":        {Visitor: "Somebody"},
		"one who is in":  {Join: list[0].Person, As: session.Observer},
		"who teaches it": {Join: p.Instructors[0], As: session.Candidate},
	} {
		before := o.head()
		if _, err := join(c); fault.Of(err) != fault.Invalid || o.head() != before {
			t.Errorf("%s: %v, %d entries", name, err, o.head()-before)
		}
	}
	// As many as can be looked after, and no more.
	var refused *booking.Judged
	for range 40 {
		done, err := join(booking.OtherChange{Visitor: "One more", As: session.Visitor})
		if err != nil {
			t.Fatal(err)
		}
		if refused = done.Refused; refused != nil {
			break
		}
	}
	if refused == nil {
		t.Fatal("forty visitors are let in")
	}
	ok := func(f verdict.Finding) bool {
		return slices.Contains([]string{"group-size", "ratio", "rescue-cover", "rig-headcount"}, f.Rule)
	}
	if stops := refused.Report.At(verdict.Stops); len(stops) == 0 || !slices.ContainsFunc(stops, ok) {
		t.Errorf("refused for %v", stops)
	}
	n := len(o.session(sid).Value.Others)
	if done, err := join(booking.OtherChange{Leave: list[0].Person}); err != nil || done.Refused != nil || len(o.session(sid).Value.Others) != n-1 {
		t.Errorf("leaving: %v, %d of %d", err, len(o.session(sid).Value.Others), n)
	}
	if _, err := join(booking.OtherChange{Leave: list[0].Person}); fault.Of(err) != fault.Conflict {
		t.Errorf("leaving twice: %v", err)
	}
	if got := o.session(sid).Value; !got.Trial {
		t.Errorf("it became training: %+v", got)
	}
}

func TestATrialMeetsNobodysNeed(t *testing.T) {
	ctx := context.Background()
	o := openOffice(t)
	options := o.offers()
	p := proposal(options.Offers[0])
	p.Trial = session.TrialAudit
	before, err := o.Form(ctx, o.instructor, intakeOf(options))
	if err != nil {
		t.Fatal(err)
	}
	done, err := o.Book(ctx, o.instructor, p, o.send())
	if err != nil || done.Refused != nil {
		t.Fatalf("%v, %v", err, done.Refused)
	}
	after, err := o.Form(ctx, o.instructor, intakeOf(options))
	if err != nil || after.Needed[p.Exercise] != before.Needed[p.Exercise] {
		t.Errorf("%d need it, %d before the trial: %v", after.Needed[p.Exercise], before.Needed[p.Exercise], err)
	}
	// The training itself is booked beside it, at another time.
	training, err := o.Options(ctx, o.instructor, options.Ask)
	if err != nil || len(training.Offers) == 0 {
		t.Fatalf("no time for the training: %v", err)
	}
	real := proposal(training.Offers[0])
	if done, err := o.Book(ctx, o.instructor, real, o.send()); err != nil || done.Refused != nil {
		t.Errorf("the training after its trial was booked: %v, %v", err, done.Refused)
	}
}

func intakeOf(o booking.Options) id.Intake { return o.Ask.Intake }
