package records_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

var (
	ctx    = context.Background()
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
	yard   = demotest.New(eight, 1)
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

func open(t *testing.T) (*records.Desk, *store.Store) {
	t.Helper()
	s := demotest.Open(t, yard.Dir(t), func() civil.Instant { return eight }) // these tests only read
	return records.New(s), s
}

func read(t *testing.T, s *store.Store, do func(*store.View) error) {
	t.Helper()
	if err := s.Read(ctx, do); err != nil {
		t.Fatal(err)
	}
}

var staff = access.Actor{Person: "staff", Roles: []access.Role{access.Instructor}, Today: monday}

func TestATraineeReadsTheirOwnRecordOnly(t *testing.T) {
	d, s := open(t)
	me := demotest.Actor(t, s, access.TraineeRole)
	own, err := d.Person(ctx, me, me.Person)
	if err != nil || own.Name != "Eluned Vaughan-Prys" || len(own.Enrolments) == 0 {
		t.Fatalf("their own: %+v, %v", own.Name, err)
	}
	var other id.Person
	rows, _, err := d.People(ctx, staff, records.PersonFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r.Person.ID != me.Person {
			other = r.Person.ID
		}
	}
	// One who is there and one who is not are told alike.
	_, there := d.Person(ctx, me, other)
	_, nobody := d.Person(ctx, me, "nobody")
	if fault.Of(there) != fault.NotFound || fault.Message(there) != fault.Message(nobody) {
		t.Errorf("another's: %v; nobody's: %v; want the same answer", there, nobody)
	}
	for name, ask := range map[string]func() error{
		"people":       func() error { _, _, err := d.People(ctx, me, records.PersonFilter{}); return err },
		"certificates": func() error { _, _, err := d.Certificates(ctx, me, records.CertificateFilter{}); return err },
		"search":       func() error { _, err := d.Search(ctx, me, "a", 9); return err },
		"intakes":      func() error { _, err := d.Intakes(ctx, me, 0); return err },
		"an intake":    func() error { _, err := d.Intake(ctx, me, "x"); return err },
	} {
		if err := ask(); fault.Of(err) != fault.Forbidden {
			t.Errorf("%s: %v, want forbidden", name, err)
		}
	}
}

func TestAPersonsHoursAndStepsAreThoseOfTheLedger(t *testing.T) {
	d, s := open(t)
	rows, _, err := d.People(ctx, staff, records.PersonFilter{})
	if err != nil {
		t.Fatal(err)
	}
	with, done := 0, 0
	for _, row := range rows {
		p, err := d.Person(ctx, staff, row.Person.ID)
		if err != nil {
			t.Fatal(err)
		}
		var byRow, bySession civil.Minutes
		for _, h := range p.Hours {
			byRow += h.Minutes
		}
		for i, a := range p.Sessions {
			bySession += a.Minutes
			if i > 0 && a.Session.Start > p.Sessions[i-1].Session.Start {
				t.Errorf("%s: the sessions are not sorted, the latest first", p.Name)
			}
			if a.Minutes > 0 && a.Session.State != session.SignedOff && a.Session.State != session.CutShort {
				t.Errorf("%s: hours of a session that is %s", p.Name, a.Session.State)
			}
		}
		if byRow != p.Total || bySession != p.Total {
			t.Errorf("%s: %s in the table, %s in the sessions, %s in all", p.Name, byRow, bySession, p.Total)
		}
		if p.Total > 0 {
			with++
		}
		for _, e := range p.Enrolments {
			for _, step := range e.Path {
				if step.Done != 0 {
					done++
				}
				if step.Done != 0 && step.Booked != 0 {
					t.Errorf("%s: a step is both done and booked", p.Name)
				}
			}
		}
	}
	if with < 10 || done < 50 {
		t.Errorf("%d people with hours and %d steps done; the demo has more", with, done)
	}
	read(t, s, func(v *store.View) error {
		if _, err := d.Person(ctx, staff, "nobody"); fault.Of(err) != fault.NotFound {
			t.Errorf("nobody: %v", err)
		}
		return nil
	})
}

func TestTheListOfIntakesCountsWhatEachIntakeCounts(t *testing.T) {
	d, _ := open(t)
	all, err := d.Intakes(ctx, staff, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range all {
		if i > 0 && row.Intake.From > all[i-1].Intake.From {
			t.Error("the intakes are not sorted, the latest first")
		}
		in, err := d.Intake(ctx, staff, row.Intake.ID)
		if err != nil {
			t.Fatal(err)
		}
		done, of := 0, 0
		for _, x := range in.Trainees {
			done += len(x.Done)
			of += len(x.Trainee.Needs)
		}
		if row.Trainees != len(in.Trainees) || row.Done != done || row.Of != of || row.Employer != in.Employer {
			t.Errorf("the list says %d trainees, %d of %d; the intake %d, %d of %d", row.Trainees, row.Done, row.Of, len(in.Trainees), done, of)
		}
	}
	for _, since := range []civil.Day{monday, all[0].Intake.Until, all[0].Intake.Until + 1} {
		some, err := d.Intakes(ctx, staff, since)
		want := len(slices.DeleteFunc(slices.Clone(all), func(r records.IntakeRow) bool { return r.Intake.Until < since }))
		if err != nil || len(some) != want {
			t.Errorf("since %s: %d intakes, want %d (%v)", since, len(some), want, err)
		}
	}
	if _, err := d.Intake(ctx, staff, "none"); fault.Of(err) != fault.NotFound {
		t.Errorf("one that is not there: %v", err)
	}
}

func TestListsArePagedWithoutLossAndFiltered(t *testing.T) {
	d, _ := open(t)
	seen := map[id.Certificate]bool{}
	f := records.CertificateFilter{}
	for {
		rows, next, err := d.Certificates(ctx, staff, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if seen[r.Certificate.ID] {
				t.Fatal("a certificate stands on two pages")
			}
			seen[r.Certificate.ID] = true
		}
		if next == "" {
			break
		}
		f.AfterKey = next
	}
	if len(seen) < 300 {
		t.Errorf("%d certificates on all pages, want 300 and more", len(seen))
	}
	rows, _, err := d.People(ctx, staff, records.PersonFilter{NamePart: "eluned vaughan"})
	if err != nil || len(rows) != 1 || rows[0].Name != "Eluned Vaughan-Prys" {
		t.Errorf("people called vaughan: %+v, %v", rows, err)
	}
	hits, err := d.Search(ctx, staff, "vaughan", 9)
	if err != nil || len(hits) == 0 {
		t.Errorf("a search for vaughan: %+v, %v", hits, err)
	}
}
