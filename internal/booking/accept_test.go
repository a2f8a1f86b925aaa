package booking_test

import (
	"slices"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// pencilled returns a session to come that waits for exactly one caution, and it.
func (o *office) pencilled() (booking.Sheet, verdict.Finding) {
	o.Helper()
	for _, r := range o.ahead() {
		if r.State != session.Pencilled {
			continue
		}
		sheet, err := o.Sheet(ctx, o.instructor, r.ID)
		if err != nil {
			o.Fatal(err)
		}
		if len(sheet.Judged.Waits) == 1 {
			return sheet, sheet.Judged.Waits[0]
		}
	}
	o.Fatal("no session to come waits for one caution")
	return booking.Sheet{}, verdict.Finding{}
}

// responsible acts as whoever is appointed for a field today.
func (o *office) responsible(f verdict.Field) access.Actor {
	o.Helper()
	if f == verdict.Planning {
		return o.admin
	}
	for _, a := range o.reference().Appointments.All(monday) {
		if a.Field == f && a.On(monday) {
			return access.Actor{Person: a.Person, Roles: []access.Role{access.Instructor}, Appointments: []people.Appointment{a}, Today: monday}
		}
	}
	o.Fatalf("nobody is appointed for %s", f)
	return access.Actor{}
}

func (o *office) acceptances(sid id.Session) (list []session.Acceptance) {
	o.Helper()
	o.read(func(v *store.View) (err error) { list, err = v.Acceptances(sid); return err })
	return list
}

func TestACautionIsAcceptedByTheResponsiblePersonOfItsField(t *testing.T) {
	o := openOffice(t)
	sheet, f := o.pencilled()
	sid := sheet.Value.ID
	accept := func(who access.Actor, subject, reason string, own bool) error {
		return o.Accept(ctx, who, sid, subject, reason, own, o.key())
	}
	before := o.head()
	o.kind(accept(o.admin, f.Subject(), "because", true), fault.Forbidden)
	if err := accept(o.responsible(f.Field), f.Subject(), "", false); fieldOf(err) != "reason" {
		t.Errorf("without a reason: %v, want the field reason", err)
	}
	o.kind(accept(o.responsible(f.Field), "station-shut\x00session\x00"+string(sid), "because", true), fault.Conflict) // a stop waits for nobody
	if o.head() != before {
		t.Error("a refused acceptance wrote something")
	}
	if err := accept(o.responsible(f.Field), f.Subject(), "Read on Friday and still right.", false); err != nil {
		t.Fatal(err)
	}
	if got := o.session(sid).Value.State; got != session.Booked {
		t.Errorf("the session is %s, want booked: nothing waits any more", got)
	}
	list := o.acceptances(sid)
	if len(list) != 1 || list[0].Own || list[0].By != o.responsible(f.Field).Person || list[0].Field != f.Field || list[0].Subject != f.Subject() {
		t.Errorf("acceptances %+v", list)
	}
	o.kind(accept(o.responsible(f.Field), f.Subject(), "twice", false), fault.Conflict)
	// The entry names the role in which it was accepted.
	history := o.session(sid)
	o.read(func(v *store.View) error {
		e, err := v.Entry(history.Entry)
		if err == nil && (e.Role != string(access.Responsible) || e.Act != string(session.ToBook)) {
			t.Errorf("the entry says %q by %q, want booked by the responsible person", e.Act, e.Role)
		}
		return err
	})
	after, err := o.Sheet(ctx, o.instructor, sid)
	if err != nil {
		t.Fatal(err)
	}
	if after.Booker != sheet.Booker {
		t.Errorf("the booker is now %s, want still %s: accepting is not booking", after.Booker, sheet.Booker)
	}
}

func TestABookerAcceptsOnlyWhenItIsMarkedAsTheirOwn(t *testing.T) {
	o := openOffice(t)
	sheet, f := o.pencilled()
	who := o.responsible(f.Field)
	if err := o.StandDown(ctx, o.instructor, sheet.Value.ID, sheet.Rev, session.DownOther, "", o.key()); err != nil {
		t.Fatal(err)
	}
	p := asProposal(sheet.Value)
	done, err := o.Book(ctx, who, p, o.send())
	if err != nil || done.Refused != nil || done.Waits != 1 {
		t.Fatalf("book it themselves: %v, %+v", err, done)
	}
	i := slices.IndexFunc(f.Also, func(r verdict.Ref) bool { return r.Kind == verdict.Session })
	if i >= 0 {
		t.Fatalf("the caution %s names other sessions", f.Rule)
	}
	f.Who.ID = string(done.Session)
	r := o.session(done.Session).Value
	err = o.Accept(ctx, who, r.ID, f.Subject(), "because", false, o.key())
	if fieldOf(err) != "own" {
		t.Errorf("unmarked: %v, want the field own", err)
	}
	if err := o.Accept(ctx, who, r.ID, f.Subject(), "because", true, o.key()); err != nil {
		t.Fatal(err)
	}
	if list := o.acceptances(r.ID); len(list) != 1 || !list[0].Own {
		t.Errorf("acceptances %+v, want one marked own", list)
	}
}

func TestBookingWithAReasonIsAnOwnAcceptanceOfThoseWhoMay(t *testing.T) {
	for _, c := range []struct {
		name   string
		reason string
		may    bool
		want   session.State
	}{
		{"a reason from the responsible person", "Read on Friday.", true, session.Booked},
		{"no reason", "", true, session.Pencilled},
		{"a reason from somebody else", "It will be fine.", false, session.Pencilled},
	} {
		o := openOffice(t)
		sheet, f := o.pencilled()
		who := o.responsible(f.Field)
		if !c.may {
			who.Appointments = nil
		}
		if err := o.StandDown(ctx, o.instructor, sheet.Value.ID, sheet.Rev, session.DownOther, "", o.key()); err != nil {
			t.Fatal(err)
		}
		p := asProposal(sheet.Value)
		p.Session = ""
		send := o.send()
		send.Reason = c.reason
		done, err := o.Book(ctx, who, p, send)
		if err != nil || done.Refused != nil {
			t.Fatalf("%s: %v, %+v", c.name, err, done)
		}
		if got := o.session(done.Session).Value.State; got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		list := o.acceptances(done.Session)
		if own := len(list) == 1 && list[0].Own; own != (c.want == session.Booked) {
			t.Errorf("%s: acceptances %+v", c.name, list)
		}
		if (done.Waits == 0) != (c.want == session.Booked) {
			t.Errorf("%s: %d cautions wait", c.name, done.Waits)
		}
	}
}

func TestAPencilledSessionWhoseTimeHasComeIsNotAccepted(t *testing.T) {
	o := openOffice(t)
	sheet, f := o.pencilled()
	o.now = sheet.Value.Start
	o.kind(o.Accept(ctx, o.responsible(f.Field), sheet.Value.ID, f.Subject(), "late", false, o.key()), fault.Conflict)
	if got := o.session(sheet.Value.ID).Value.State; got != session.Pencilled {
		t.Errorf("the session is %s, want pencilled", got)
	}
	a, err := o.Attention(ctx, o.instructor)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(a.Waiting, func(w booking.Waits) bool { return w.Session.ID == sheet.Value.ID }) {
		t.Error("it stands on no list of what needs attention")
	}
	o.now = sheet.Value.Start - 1
	if err := o.Accept(ctx, o.responsible(f.Field), sheet.Value.ID, f.Subject(), "in time", false, o.key()); err != nil {
		t.Errorf("a minute before: %v", err)
	}
}

func TestASessionStoodDownWaitsForNothing(t *testing.T) {
	o := openOffice(t)
	sheet, f := o.pencilled()
	if err := o.StandDown(ctx, o.instructor, sheet.Value.ID, sheet.Rev, session.DownOther, "", o.key()); err != nil {
		t.Fatal(err)
	}
	o.kind(o.Accept(ctx, o.responsible(f.Field), sheet.Value.ID, f.Subject(), "because", false, o.key()), fault.Conflict)
}

func TestAPencilledSessionSentTwiceStillSaysThatItWaits(t *testing.T) {
	o := openOffice(t)
	sheet, _ := o.pencilled()
	if err := o.StandDown(ctx, o.instructor, sheet.Value.ID, sheet.Rev, session.DownOther, "gusts", o.key()); err != nil {
		t.Fatal(err)
	}
	p := asProposal(sheet.Value)
	send := o.send()
	for _, time := range []string{"first", "second"} {
		done, err := o.Book(ctx, o.instructor, p, send)
		if err != nil || done.Refused != nil || done.Waits == 0 {
			t.Errorf("the %s time: %v, %+v, want it to wait", time, err, done)
		}
	}
}

func TestWhatIsReopenedLosesTheReasonForStandingDown(t *testing.T) {
	o := openOffice(t)
	r := o.ahead()[len(o.ahead())-1]
	if err := o.StandDown(ctx, o.instructor, r.ID, o.session(r.ID).Rev, session.DownWeather, "gusts", o.key()); err != nil {
		t.Fatal(err)
	}
	if down := o.session(r.ID).Value; down.Down != session.DownWeather || down.Note == "" {
		t.Fatalf("stood down: %+v", down)
	}
	done, err := o.Reopen(ctx, o.instructor, r.ID, o.session(r.ID).Rev, o.send())
	if err != nil || done.Refused != nil {
		t.Fatalf("reopen: %v, %+v", err, done)
	}
	if up := o.session(r.ID).Value; up.Down != "" || up.Note != "" || up.State == session.StoodDown || up.Start != r.Start {
		t.Errorf("reopened: %+v", up)
	}
}
