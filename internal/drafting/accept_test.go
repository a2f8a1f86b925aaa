package drafting_test

import (
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// TestWhatASearchProposesBreaksNothingOnceItIsBooked takes part of what is booked
// off the board, plans random trainees into random days, accepts the draft and
// judges the whole yard before and after.
func TestWhatASearchProposesBreaksNothingOnceItIsBooked(t *testing.T) {
	proposed := 0
	rapid.Check(t, func(rt *rapid.T) {
		o := open(t)
		defer o.close()
		o.standDown(slices.DeleteFunc(o.ahead(), func(session.Session) bool { return rapid.IntRange(0, 2).Draw(rt, "stays") > 0 })...)
		o.sign(zone.At(monday, civil.Minutes(rapid.IntRange(8, 19).Draw(rt, "hour"))*60))
		w := drawWish(rt, o)
		before := o.findings(monday-7, monday+60)
		of, err := o.Start(context.Background(), o.admin, w, o.key())
		if slices.Equal(fieldsOf(err), []string{"intakes"}) { // nothing of theirs is open
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		o.searched(of)
		d := o.draft(of)
		proposed += len(d.Changes)
		out := o.accept(of)
		if got := out.Booked + out.Pencilled + out.StoodDown; got != len(d.Changes) {
			rt.Fatalf("%d sessions written, %d proposed", got, len(d.Changes))
		}
		for _, f := range o.findings(monday-7, monday+60) {
			if !slices.Contains(before, f) {
				rt.Errorf("after accepting %+v: %q", w, f)
			}
		}
	})
	if proposed == 0 {
		t.Error("no draft proposed anything")
	}
}

func drawWish(rt *rapid.T, o *office) drafting.Wish {
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		rt.Fatal(err)
	}
	level := func(name string) drafting.Level { return rapid.SampledFrom(drafting.Levels()).Draw(rt, name) }
	w := drafting.Wish{From: monday + civil.Day(rapid.IntRange(0, 4).Draw(rt, "from")), Soon: level("soon"), FewDays: level("few"), SpareStaff: level("spare"), Seconds: drafting.MostSeconds}
	w.Until = w.From + civil.Day(rapid.IntRange(3, 20).Draw(rt, "days"))
	for _, in := range c.Intakes {
		if in.Open == 0 {
			continue
		}
		switch rapid.SampledFrom([]string{"whole", "some", "none"}).Draw(rt, "of "+in.Name) {
		case "whole":
			w.Intakes = append(w.Intakes, in.Intake)
		case "some":
			for _, t := range in.Trainees[:len(in.Trainees)/2+1] {
				w.Trainees = append(w.Trainees, t.Trainee)
			}
		}
	}
	if len(w.Intakes)+len(w.Trainees) == 0 {
		w.Intakes = append(w.Intakes, c.Intakes[len(c.Intakes)-1].Intake)
	}
	return w
}

func TestADraftIsAcceptedOnceHoweverOftenItIsSent(t *testing.T) {
	o := open(t)
	of := o.made(o.usual())
	first, err := o.Accept(context.Background(), o.admin, of, "once")
	if err != nil || first.Booked+first.Pencilled == 0 {
		t.Fatalf("%+v, %v", first, err)
	}
	head := o.head()
	again, err := o.Accept(context.Background(), o.admin, of, "once")
	if err != nil || again != first {
		t.Errorf("the second time %+v, %v; the first %+v", again, err, first)
	}
	_, err = o.Accept(context.Background(), o.admin, of, "twice")
	o.kind(err, fault.Conflict)
	if o.head() != head {
		t.Errorf("%d entries were written by sending it again", o.head()-head)
	}
	if d := o.draft(of); d.Progress.State != drafting.Accepted || d.EndedBy == "" {
		t.Errorf("state %s, by %q", d.Progress.State, d.EndedBy)
	}
	o.kind(o.Discard(context.Background(), o.admin, of), fault.Conflict)
}

func TestAPlaceTakenMeanwhileIsSaidAndNothingIsWritten(t *testing.T) {
	o := open(t)
	of := o.made(o.usual())
	rival := o.draft(of).Changes[0].Session
	// Others take the station at that time with nobody of the draft's people.
	var trainee id.Trainee
	for _, s := range o.ahead() {
		for _, x := range s.Trainees {
			if !slices.Contains(rival.Trainees, string(x)) {
				trainee = x
			}
		}
	}
	o.put("booked", session.Session{ID: "rival", State: session.Booked, Exercise: id.Exercise(rival.Exercise), Station: id.Station(rival.Station),
		Start: rival.Start.Add(15), End: rival.End.Add(15), Trainees: []id.Trainee{trainee}, Instructors: []id.Person{o.instructor.Person}, Rescuers: []id.Person{}})
	head := o.head()
	out, err := o.Accept(context.Background(), o.admin, of, o.key())
	if err != nil || out.Changed == nil || out.Booked+out.Pencilled+out.StoodDown != 0 {
		t.Fatalf("%+v, %v; want what changed", out, err)
	}
	named := slices.ContainsFunc(out.Changed.Findings, func(f verdict.Finding) bool {
		return f.Rule == "station-clash" && slices.ContainsFunc(f.Refs(), func(r verdict.Ref) bool { return r.ID == "rival" })
	})
	if !named {
		t.Errorf("the session that took the place is not named: %+v", out.Changed.Findings)
	}
	if o.head() != head || o.draft(of).Progress.State == drafting.Accepted {
		t.Errorf("%d entries written, draft %s", o.head()-head, o.draft(of).Progress.State)
	}
}

func TestASessionThatWasChangedMeanwhileKeepsARepairFromBeingWritten(t *testing.T) {
	o := open(t)
	of := o.mend(o.lostDay())
	c := o.draft(of).Changes[0]
	var now session.Session
	o.read(func(v *store.View) error {
		row, err := v.Session(id.Session(c.Was.ID))
		now = row.Value
		return err
	})
	o.standDown(now)
	out, err := o.Accept(context.Background(), o.admin, of, o.key())
	if err != nil || out.Changed == nil || len(out.Changed.Sessions) != 1 || out.Changed.Sessions[0].ID != now.ID {
		t.Errorf("%+v, %v; want the session that was stood down", out.Changed, err)
	}
}

func TestAStartThatHasPassedIsNotBooked(t *testing.T) {
	o := open(t)
	of := o.made(o.usual())
	o.now.Store(int64(o.draft(of).Changes[0].Session.Start) + 1)
	out, err := o.Accept(context.Background(), o.admin, of, o.key())
	if err != nil || out.Changed == nil {
		t.Fatalf("%+v, %v; want what changed", out, err)
	}
	if !slices.ContainsFunc(out.Changed.Findings, func(f verdict.Finding) bool { return f.Rule == "past" }) {
		t.Errorf("findings %+v, want one that the start has passed", out.Changed.Findings)
	}
}

func TestWhatGivesPauseIsPencilled(t *testing.T) {
	o := open(t)
	w := o.usual()
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	last := c.Intakes[len(c.Intakes)-1]
	w.Intakes, w.From, w.Until = []id.Intake{last.Intake}, last.From, last.Until
	of := o.made(w)
	who, free := o.whoCanRunOn(o.draft(of).Changes)
	for i, day := range free { // with them it is a long run, though not too long a one
		start := zone.At(day, 10*60)
		o.put("duty", people.Duty{ID: id.Duty("duty" + string('a'+rune(i))), Person: who, Kind: people.OfficeDuty, Start: start, End: start.Add(60)})
	}
	out, err := o.Accept(context.Background(), o.admin, of, o.key())
	if err != nil {
		t.Fatal(err)
	}
	if out.Changed != nil {
		t.Fatalf("a caution stops: %+v", out.Changed.Findings)
	}
	if out.Pencilled == 0 {
		t.Errorf("%+v, want the sessions of a long run pencilled", out)
	}
	pencilled := 0
	for _, s := range o.ahead() {
		if s.State == session.Pencilled {
			pencilled++
		}
	}
	if pencilled < out.Pencilled {
		t.Errorf("%d sessions are pencilled, want at least %d", pencilled, out.Pencilled)
	}
}

func TestADraftThatIsSearchedOrDiscardedCanNotBeAccepted(t *testing.T) {
	o := open(t)
	w := o.long()
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	_, err = o.Accept(context.Background(), o.admin, of, o.key())
	o.kind(err, fault.Conflict)
	o.untilSearching(of)
	o.kind(o.Discard(context.Background(), o.admin, of), fault.Conflict)
	if err := o.Stop(context.Background(), o.admin, of); err != nil {
		t.Fatal(err)
	}
	o.wait(of)
	if err := o.Discard(context.Background(), o.admin, of); err != nil {
		t.Fatal(err)
	}
	_, err = o.Accept(context.Background(), o.admin, of, o.key())
	o.kind(err, fault.Conflict)
	_, err = o.Accept(context.Background(), o.admin, "nothing", o.key())
	o.kind(err, fault.NotFound)
}

// whoCanRunOn finds somebody who teaches a proposed session, and the days before
// it, if any, that they lack for a run of five days, the rule book's notice.
func (o *office) whoCanRunOn(changes []drafting.Change) (id.Person, []civil.Day) {
	o.Helper()
	for _, c := range changes {
		for _, who := range c.Session.Instructors {
			works := map[civil.Day]bool{}
			for _, s := range o.between(monday-7, monday+60) {
				if s.State != session.StoodDown && slices.Contains(slices.Concat(s.Instructors, s.Rescuers), id.Person(who)) {
					works[zone.DayOf(s.Start)] = true
				}
			}
			for _, x := range changes {
				if slices.Contains(slices.Concat(x.Session.Instructors, x.Session.Rescuers), who) {
					works[zone.DayOf(x.Session.Start)] = true
				}
			}
			day := zone.DayOf(c.Session.Start)
			last := day
			for works[last+1] {
				last++
			}
			var free []civil.Day
			for d := last - 4; d < day; d++ {
				if !works[d] {
					free = append(free, d)
				}
			}
			if !works[last-5] {
				return id.Person(who), free
			}
		}
	}
	o.Fatal("nobody who teaches has days free before")
	return "", nil
}

// sign lets it be later in the day, with what is over signed off.
func (o *office) sign(now civil.Instant) {
	o.Helper()
	o.now.Store(int64(now))
	var records []any
	for _, s := range o.between(monday, monday) {
		if s.State == session.Booked && s.End <= now {
			s.State = session.SignedOff
			records = append(records, s)
		}
	}
	if len(records) > 0 {
		o.put("signed-off", records...)
	}
}
