package booking_test

import (
	"slices"
	"sync"
	"testing"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// everyAnswer asks for free times of every running intake's open exercises.
func (o *office) everyAnswer(do func(booking.Options)) {
	o.Helper()
	ref := o.reference()
	for _, in := range ref.Intakes.All(monday) {
		if in.Until < monday+3 {
			continue
		}
		form, err := o.Form(ctx, o.instructor, in.ID)
		if err != nil {
			o.Fatal(err)
		}
		for _, e := range form.Exercises {
			if form.Needed[e.ID] == 0 {
				continue
			}
			from := max(monday, in.From)
			options, err := o.Options(ctx, o.instructor, booking.Ask{Exercise: e.ID, Intake: in.ID, From: from, Until: min(in.Until, from+13)})
			if err != nil {
				o.Fatal(err)
			}
			do(options)
		}
	}
}

func TestEveryOfferIsClearAndEveryNearestChangeClears(t *testing.T) {
	o := openOffice(t)
	offers, changes := 0, map[string]int{}
	o.everyAnswer(func(options booking.Options) {
		for _, offer := range options.Offers {
			offers++
			j, err := o.Judge(ctx, o.instructor, proposal(offer))
			if err != nil || j.Report.Level() == verdict.Stops {
				t.Fatalf("an offer stops: %v, %s", err, rules(&j))
			}
			if len(j.Report.At(verdict.Cautions)) != len(offer.Report.At(verdict.Cautions)) {
				t.Errorf("an offer shows %d cautions, booking it would meet %d", len(offer.Report.Findings), len(j.Report.Findings))
			}
		}
		for _, r := range options.Refused {
			p := proposal(booking.Offer{})
			p.Exercise, p.Station, p.Start = id.Exercise(r.Session.Exercise), id.Station(r.Session.Station), r.Session.Start
			p.Trainees, p.Instructors, p.Rescuers = ids[id.Trainee](r.Session.Trainees), ids[id.Person](r.Session.Instructors), ids[id.Person](r.Session.Rescuers)
			if j, err := o.Judge(ctx, o.instructor, p); err != nil || j.Report.Level() != verdict.Stops {
				t.Errorf("a time shown as refused does not stop: %v", err)
			}
			if r.Nearest == nil {
				changes["none"]++
				continue
			}
			near := p
			near.Start, near.Station = civil.Instant(r.Nearest.Start), id.Station(r.Nearest.Station)
			near.Trainees = slices.DeleteFunc(slices.Clone(p.Trainees), func(t id.Trainee) bool { return slices.Contains(r.Nearest.Leave, string(t)) })
			kind := "leave out"
			if len(r.Nearest.Leave) == 0 {
				kind = "another time"
				i := slices.IndexFunc(options.Offers, func(x booking.Offer) bool {
					return int64(x.Session.Start) == r.Nearest.Start && x.Session.Station == r.Nearest.Station
				})
				if i < 0 {
					t.Fatal("a nearest change leads to no offer")
				}
				near = proposal(options.Offers[i])
			}
			changes[kind]++
			j, err := o.Judge(ctx, o.instructor, near)
			if err != nil || j.Report.Level() == verdict.Stops {
				t.Errorf("the nearest change %q still stops: %v, %s", kind, err, rules(&j))
			}
		}
	})
	if offers < 10 || changes["another time"] < 5 {
		t.Errorf("%d offers and changes %v; the demo should show more", offers, changes)
	}
}

func TestWhoMayNotDoTheExerciseYetIsNamedWithTheReason(t *testing.T) {
	o := openOffice(t)
	barred := 0
	o.everyAnswer(func(options booking.Options) {
		in := 0
		for _, m := range options.Group {
			if m.In {
				in++
				continue
			}
			for _, f := range m.Why {
				barred++
				if f.Level != verdict.Stops || f.Who.ID != string(m.Trainee) || len(f.Found) == 0 || len(f.Required) == 0 {
					t.Errorf("%s is barred by %+v", m.Name, f)
				}
			}
		}
		if in == 0 && len(options.Offers) > 0 {
			t.Error("offers, though nobody of the group takes part")
		}
		if options.AtOnce > 0 && in > options.AtOnce {
			t.Errorf("%d take part where one session takes %d", in, options.AtOnce)
		}
	})
	if barred == 0 {
		t.Error("the demo bars nobody; the test should see some")
	}
}

func TestATimePointedAtOnTheBoardIsAnswered(t *testing.T) {
	o := openOffice(t)
	options := o.offers()
	offer := options.Offers[0].Session
	day := demoDay(offer.Start)
	for _, at := range []civil.Instant{offer.Start, offer.Start.Add(30), offer.Start.Add(-90)} {
		got, err := o.Options(ctx, o.instructor, booking.Ask{Exercise: id.Exercise(offer.Exercise), Trainees: ids[id.Trainee](offer.Trainees), From: day, Until: day,
			Station: id.Station(offer.Station), At: at})
		if err != nil {
			t.Fatal(err)
		}
		offered := slices.ContainsFunc(got.Offers, func(x booking.Offer) bool { return x.Session.Start == at })
		refused := slices.ContainsFunc(got.Refused, func(x booking.Refusal) bool { return x.Session.Start == at })
		p := proposal(options.Offers[0])
		p.Start = at
		j, err := o.Judge(ctx, o.instructor, p)
		if err != nil {
			t.Fatal(err)
		}
		if clear := j.Report.Level() != verdict.Stops; clear && refused || !clear && offered {
			t.Errorf("at %s: offered %t, refused %t, yet clear is %t", demoZone.Format(at), offered, refused, clear)
		}
	}
}

func TestQuestionsThatCanNotBeAskedNameTheirField(t *testing.T) {
	o := openOffice(t)
	ref := o.reference()
	in, e := ref.Intakes.All(monday)[0].ID, ref.Exercises.All(monday)[0].ID
	for _, c := range []struct {
		ask   booking.Ask
		field string
	}{
		{booking.Ask{Intake: in}, "exercise"},
		{booking.Ask{Exercise: e}, "intake"},
		{booking.Ask{Exercise: "nothing", Intake: in}, "exercise"},
		{booking.Ask{Exercise: e, Intake: in, From: monday + 3, Until: monday + 2}, "until"},
		{booking.Ask{Exercise: e, Intake: in, From: monday, Until: monday + booking.MaxDays}, "until"},
		{booking.Ask{Exercise: e, Intake: in, From: monday, Until: monday - 1}, "until"},
	} {
		if _, err := o.Options(ctx, o.instructor, c.ask); fault.Of(err) != fault.Invalid || fieldOf(err) != c.field {
			t.Errorf("%+v: %v at %q, want the field %s", c.ask, err, fieldOf(err), c.field)
		}
	}
	if _, err := o.Options(ctx, o.instructor, booking.Ask{Exercise: e, Intake: in, From: monday, Until: monday + booking.MaxDays - 1}); err != nil {
		t.Errorf("the longest span: %v", err)
	}
}

func TestAStationShutLaterPutsItsSessionsOnTheListOfWhatNeedsAttention(t *testing.T) {
	o := openOffice(t)
	calm, err := o.Attention(ctx, o.instructor)
	if err != nil {
		t.Fatal(err)
	}
	var r session.Session
	for _, x := range o.ahead() {
		if demoDay(x.Start) > monday {
			r = x
			break
		}
	}
	hold := keeping.Shutting{Station: r.Station, Start: r.Start.Add(30), End: r.End.Add(60), Reason: rig.ShutFault}
	if err := keeping.New(o.store).Shut(ctx, o.admin, hold, o.key()); err != nil {
		t.Fatal(err)
	}
	a, err := o.Attention(ctx, o.instructor)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(a.Broken, func(b booking.Broken) bool {
		return b.Finding.Rule == "station-shut" && slices.ContainsFunc(b.Sessions, func(x session.Session) bool { return x.ID == r.ID })
	})
	if i < 0 || len(calm.Broken) > 0 {
		t.Fatalf("%d stops before, %+v after; want the shut session only after", len(calm.Broken), a.Broken)
	}
	if got := a.Broken[i].Finding.Found.In(verdict.PlainStyle(demoZone)); got == "" || !slices.Contains(words(got), "shut") {
		t.Errorf("the cause reads %q, want that the station is shut", got)
	}
	// The board marks it too, and it may still be stood down.
	b, err := o.Board(ctx, o.auditor, demoDay(r.Start), demoDay(r.Start), booking.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	marked := false
	for _, row := range b.Rows {
		for _, s := range row.Cells[0].Sessions {
			marked = marked || s.ID == r.ID && s.Broken
		}
	}
	if !marked {
		t.Error("the board does not mark the session as broken")
	}
	if err := o.StandDown(ctx, o.instructor, r.ID, o.session(r.ID).Rev, session.DownRig, "shut", o.key()); err != nil {
		t.Errorf("standing it down: %v", err)
	}
}

func TestSessionsThatAreOverAndNotSignedNeedAttention(t *testing.T) {
	o := openOffice(t)
	r := o.ahead()[0]
	for _, at := range []civil.Instant{r.End - 1, r.End} {
		o.now = at
		a, err := o.Attention(ctx, o.instructor)
		if err != nil {
			t.Fatal(err)
		}
		if listed := slices.ContainsFunc(a.Unsigned, func(x session.Session) bool { return x.ID == r.ID }); listed != (at == r.End && r.State == session.Booked) {
			t.Errorf("%d minutes before its end: listed %t", r.End-at, listed)
		}
	}
}

func TestAnExerciseThatIsNoLongerTaughtBreaksWhatIsBookedAfter(t *testing.T) {
	o := openOffice(t)
	ahead := o.ahead()
	last := ahead[len(ahead)-1]
	e, _ := o.reference().Exercises.On(last.Exercise, monday)
	e.Retired = demoDay(last.Start)
	o.put("retired", e)
	a, err := o.Attention(ctx, o.instructor)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range ahead {
		if x.Exercise != last.Exercise {
			continue
		}
		broken := slices.ContainsFunc(a.Broken, func(b booking.Broken) bool {
			return b.Finding.Rule == "station-fit" && slices.ContainsFunc(b.Sessions, func(s session.Session) bool { return s.ID == x.ID })
		})
		if after := demoDay(x.Start) >= e.Retired; broken != after {
			t.Errorf("a session on %s of an exercise taught until %s: broken %t", demoDay(x.Start), e.Retired, broken)
		}
	}
}

func TestWhoWatchesIsJudgedAndStaysWithTheSession(t *testing.T) {
	o := openOffice(t)
	i := slices.IndexFunc(o.ahead(), func(r session.Session) bool { return len(r.Others) == 0 && demoDay(r.Start) > monday })
	r := o.ahead()[i]
	ref := o.reference()
	busy := slices.Concat(r.Instructors, r.Rescuers)
	j := slices.IndexFunc(ref.Staff.All(monday), func(s people.Staff) bool { return !slices.Contains(busy, s.ID) && len(s.Weekdays) == 5 })
	watcher := ref.Staff.All(monday)[j].ID
	// They are on duty elsewhere at the time to which somebody would move the session.
	r.Others = []id.Person{watcher}
	o.put("watched", r)
	later := r.Start.Add(7 * 24 * 60)
	o.put("recorded", people.Duty{ID: "duty", Person: watcher, Kind: people.ElsewhereDuty, Start: later, End: later.Add(60)})
	p := asProposal(r)
	p.Start = later
	got, err := o.Judge(ctx, o.instructor, p)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(got.Report.At(verdict.Stops), func(f verdict.Finding) bool { return f.Rule == "double-booked" && f.Who.ID == string(watcher) }) {
		t.Errorf("stops %q, want the watcher double-booked", rules(&got))
	}
	done, err := o.Confirm(ctx, o.instructor, r.ID, o.session(r.ID).Rev, o.send())
	if err == nil && done.Refused == nil && !slices.Equal(o.session(r.ID).Value.Others, r.Others) {
		t.Error("the watcher was lost")
	}
}

func TestManyAskForWhatNeedsAttentionAndGetTheNews(t *testing.T) {
	o := openOffice(t)
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			if _, err := o.Attention(ctx, o.auditor); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	r := o.ahead()[0]
	if err := keeping.New(o.store).Shut(ctx, o.admin, keeping.Shutting{Station: r.Station, Start: r.Start, Reason: rig.ShutOther}, o.key()); err != nil {
		t.Fatal(err)
	}
	a, err := o.Attention(ctx, o.auditor)
	if err != nil || len(a.Broken) == 0 {
		t.Errorf("after a station was shut: %v, %d stops; want the news and not what was known before", err, len(a.Broken))
	}
}
