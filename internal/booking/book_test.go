package booking_test

import (
	"context"
	"strings"
	"sync"
	"testing"

	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

var ctx = context.Background()

// rules are the names of the rules that stop.
func rules(j *booking.Judged) string {
	var out []string
	for _, f := range j.Report.At(verdict.Stops) {
		out = append(out, f.Rule)
	}
	return strings.Join(out, " ")
}

func (o *office) book(p booking.Proposal) booking.Done {
	o.Helper()
	done, err := o.Book(ctx, o.instructor, p, o.send())
	if err != nil {
		o.Fatal(err)
	}
	if done.Refused != nil {
		o.Fatalf("refused by %s", rules(done.Refused))
	}
	return done
}

func TestAnOfferCanBeBooked(t *testing.T) {
	o := openOffice(t)
	offer := o.offers().Offers[0]
	done := o.book(proposal(offer))
	row := o.session(done.Session)
	want := session.Booked
	if done.Waits > 0 {
		want = session.Pencilled
	}
	if row.Value.State != want || row.Value.Start != offer.Session.Start || len(row.Value.Trainees) != len(offer.Session.Trainees) {
		t.Errorf("booked %+v, want the offer's session %s", row.Value, want)
	}
}

func TestOfTwoWhoWantTheLastPlaceOneWinsAndTheOtherLearnsWhoWasFirst(t *testing.T) {
	o := openOffice(t)
	options := o.offers()
	p, seen := proposal(options.Offers[0]), options.Seen
	first, err := o.Book(ctx, o.admin, p, booking.Send{Key: "first", Seen: seen})
	if err != nil || first.Refused != nil {
		t.Fatalf("the first: %v, %+v", err, first)
	}
	second, err := o.Book(ctx, o.instructor, p, booking.Send{Key: "second", Seen: seen})
	if err != nil {
		t.Fatal(err)
	}
	if second.Refused == nil || second.Refused.Winner == nil {
		t.Fatalf("the second: %+v, want a refusal that names the winner", second)
	}
	w := second.Refused.Winner
	if name := o.reference().StaffName(o.admin.Person); w.Session != first.Session || w.By != name || name == "" || w.At != o.now {
		t.Errorf("winner %+v, want %s by %q at %d", w, first.Session, name, o.now)
	}
	// Who had seen the booking is told of the rule, not of a race.
	third, err := o.Book(ctx, o.instructor, p, booking.Send{Key: "third", Seen: o.head()})
	if err != nil || third.Refused == nil || third.Refused.Winner != nil {
		t.Errorf("one who had seen it: %v, %+v, want a refusal without a winner", err, third)
	}
}

func TestTheSameFormSentTwiceBooksOnce(t *testing.T) {
	o := openOffice(t)
	offers := o.offers().Offers
	send := o.send()
	first, err := o.Book(ctx, o.instructor, proposal(offers[0]), send)
	if err != nil {
		t.Fatal(err)
	}
	head := o.head()
	again, err := o.Book(ctx, o.instructor, proposal(offers[0]), send)
	if err != nil || again.Session != first.Session || again.Refused != nil {
		t.Errorf("the second time: %v, %+v, want the first outcome %s", err, again, first.Session)
	}
	if o.head() != head {
		t.Errorf("the second time wrote %d entries", o.head()-head)
	}
	_, err = o.Book(ctx, o.instructor, proposal(offers[1]), send)
	o.kind(err, fault.Conflict)
	if o.head() != head {
		t.Error("the same key with other content wrote something")
	}
}

func TestANewSessionNeverTakesThePlaceOfAnother(t *testing.T) {
	o := openOffice(t)
	p := proposal(o.offers().Offers[0])
	var signed session.Session
	for _, r := range o.between(monday-30, monday) {
		if r.State == session.SignedOff {
			signed = r
		}
	}
	p.Session = signed.ID
	done := o.book(p)
	if done.Session == signed.ID {
		t.Error("the booking took the id of a signed session")
	}
	if got := o.session(signed.ID).Value; got.State != session.SignedOff || got.Start != signed.Start {
		t.Errorf("the signed session is now %+v", got)
	}
}

func TestAnOldPageCanNotOverwrite(t *testing.T) {
	o := openOffice(t)
	done := o.book(proposal(o.offers().Offers[0]))
	row := o.session(done.Session)
	if err := o.StandDown(ctx, o.instructor, done.Session, row.Rev, session.DownWeather, "", o.key()); err != nil {
		t.Fatal(err)
	}
	head := o.head()
	p := asProposal(row.Value)
	for name, change := range map[string]func() error{
		"move":          func() error { _, err := o.Move(ctx, o.instructor, p, row.Rev, o.send()); return err },
		"change people": func() error { _, err := o.ChangePeople(ctx, o.instructor, p, row.Rev, o.send()); return err },
		"reopen":        func() error { _, err := o.Reopen(ctx, o.instructor, row.Value.ID, row.Rev, o.send()); return err },
		"confirm":       func() error { _, err := o.Confirm(ctx, o.instructor, row.Value.ID, row.Rev, o.send()); return err },
		"stand down": func() error {
			return o.StandDown(ctx, o.instructor, row.Value.ID, row.Rev, session.DownRig, "", o.key())
		},
	} {
		err := change()
		o.kind(err, fault.Conflict)
		if name := o.reference().StaffName(o.instructor.Person); !strings.Contains(fault.Message(err), name) {
			t.Errorf("%s: %q, want to read who changed it, %s", name, fault.Message(err), name)
		}
		if o.head() != head {
			t.Errorf("%s from an old page wrote something", name)
		}
	}
}

func TestWhatRanIsNotMovedAndWhatIsPastIsNotBooked(t *testing.T) {
	o := openOffice(t)
	r := o.ahead()[0]
	row := o.session(r.ID)
	p := asProposal(r)
	p.Start += 7 * 24 * 60
	o.now = r.Start // its time has come
	_, err := o.Move(ctx, o.instructor, p, row.Rev, o.send())
	o.kind(err, fault.Conflict)
	_, err = o.ChangePeople(ctx, o.instructor, asProposal(r), row.Rev, o.send())
	o.kind(err, fault.Conflict)
	if err := o.StandDown(ctx, o.instructor, r.ID, row.Rev, session.DownRig, "", o.key()); err != nil {
		t.Errorf("standing it down: %v, want it never refused", err)
	}

	o = openOffice(t)
	offer := o.offers().Offers[0]
	o.now = offer.Session.Start + 1
	done, err := o.Book(ctx, o.instructor, proposal(offer), o.send())
	if err != nil || done.Refused == nil || !strings.Contains(rules(done.Refused), "past") {
		t.Errorf("a minute after its start: %v, %+v, want the rule past", err, done)
	}
	o.now = offer.Session.Start
	if done, err := o.Book(ctx, o.instructor, proposal(offer), o.send()); err != nil || done.Refused != nil {
		t.Errorf("at its very minute: %v, %s, want it booked", err, rules(done.Refused))
	}
}

func TestAProposalThatNobodyCanMeanIsToldAtItsField(t *testing.T) {
	o := openOffice(t)
	sound := proposal(o.offers().Offers[0])
	for _, c := range []struct {
		field string
		spoil func(*booking.Proposal)
	}{
		{"start", func(p *booking.Proposal) { p.Start = 0 }},
		{"start", func(p *booking.Proposal) { p.Start = -5 }},
		{"start", func(p *booking.Proposal) { p.Start = 1 << 62 }},
		{"start", func(p *booking.Proposal) { p.Start += 3 * 366 * 24 * 60 }},
		{"start", func(p *booking.Proposal) { p.Start -= 3 * 366 * 24 * 60 }},
		{"exercise", func(p *booking.Proposal) { p.Exercise = "nothing" }},
		{"exercise", func(p *booking.Proposal) { p.Exercise = "" }},
		{"station", func(p *booking.Proposal) { p.Station = "nowhere" }},
		{"trainees", func(p *booking.Proposal) { p.Trainees = append(p.Trainees, "nobody") }},
		{"instructors", func(p *booking.Proposal) { p.Instructors = append(p.Instructors, "nobody") }},
		{"instructors", func(p *booking.Proposal) { p.Rescuers = append(p.Rescuers, "nobody") }},
	} {
		p := sound
		c.spoil(&p)
		head := o.head()
		_, err := o.Book(ctx, o.instructor, p, o.send())
		if fault.Of(err) != fault.Invalid || fieldOf(err) != c.field {
			t.Errorf("%+v: %v at %q, want an invalid field %s", p, err, fieldOf(err), c.field)
		}
		if o.head() != head {
			t.Error("something was written")
		}
	}
}

func TestNobodyButStaffBooks(t *testing.T) {
	o := openOffice(t)
	p := proposal(o.offers().Offers[0])
	r := o.ahead()[0]
	row := o.session(r.ID)
	head := o.head()
	for _, actor := range []struct {
		name string
		do   func() error
	}{
		{"an auditor books", func() error { _, err := o.Book(ctx, o.auditor, p, o.send()); return err }},
		{"a trainee books", func() error { _, err := o.Book(ctx, o.trainee, p, o.send()); return err }},
		{"an auditor moves", func() error { _, err := o.Move(ctx, o.auditor, asProposal(r), row.Rev, o.send()); return err }},
		{"an auditor reopens", func() error { _, err := o.Reopen(ctx, o.auditor, r.ID, row.Rev, o.send()); return err }},
		{"an auditor stands down", func() error { return o.StandDown(ctx, o.auditor, r.ID, row.Rev, session.DownRig, "", o.key()) }},
		{"an auditor accepts", func() error { return o.Accept(ctx, o.auditor, r.ID, "x", "why", true, o.key()) }},
		{"an auditor asks for free times", func() error { _, err := o.Options(ctx, o.auditor, booking.Ask{}); return err }},
		{"a trainee looks at a session", func() error { _, err := o.Sheet(ctx, o.trainee, r.ID); return err }},
		{"a trainee looks at the week", func() error { _, err := o.Board(ctx, o.trainee, monday, monday, booking.Filter{}); return err }},
		{"a trainee looks at what needs attention", func() error { _, err := o.Attention(ctx, o.trainee); return err }},
	} {
		if err := actor.do(); fault.Of(err) != fault.Forbidden {
			t.Errorf("%s: %v, want forbidden", actor.name, err)
		}
	}
	if o.head() != head {
		t.Error("something was written")
	}
}

func TestOfManyAtOnceExactlyOneBooks(t *testing.T) {
	o := openOffice(t)
	p, seen := proposal(o.offers().Offers[0]), o.head()
	var mu sync.Mutex
	var booked, refused int
	var wait sync.WaitGroup
	for i := range 6 {
		wait.Go(func() {
			done, err := o.Book(ctx, o.instructor, p, booking.Send{Key: "racer " + string(rune('a'+i)), Seen: seen})
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err != nil:
				t.Error(err)
			case done.Refused == nil:
				booked++
			case done.Refused.Winner != nil:
				refused++
			default:
				t.Errorf("refused by %s, without a winner", rules(done.Refused))
			}
		})
	}
	wait.Wait()
	if booked != 1 || refused != 5 {
		t.Errorf("%d booked and %d were told who was first, want 1 and 5", booked, refused)
	}
}
