package keeping_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

var (
	ctx    = context.Background()
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
	yard   = demotest.New(eight, 1)
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

// desk is a keeper over a yard of its own.
type desk struct {
	testing.TB
	*keeping.Keeper
	store *store.Store
	keys  int
}

func open(t *testing.T) *desk {
	t.Helper()
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return eight })
	return &desk{TB: t, Keeper: keeping.New(s), store: s}
}

func (d *desk) key() string { d.keys++; return fmt.Sprint("key ", d.keys) }

func (d *desk) ref() (ref *store.Reference) {
	d.Helper()
	if err := d.store.Read(ctx, func(v *store.View) (err error) { ref, err = v.Reference(); return err }); err != nil {
		d.Fatal(err)
	}
	return ref
}

// last is the newest entry: its kind, act, role and effective day.
func (d *desk) last() (kind, act, role string, from civil.Day) {
	d.Helper()
	err := d.store.Read(ctx, func(v *store.View) error {
		e, err := v.Entry(v.Head())
		kind, act, role, from = e.Kind, e.Act, e.Role, e.EffectiveDay
		return err
	})
	if err != nil {
		d.Fatal(err)
	}
	return kind, act, role, from
}

func (d *desk) head() (n int64) {
	d.Helper()
	if err := d.store.Read(ctx, func(v *store.View) error { n = v.Head(); return nil }); err != nil {
		d.Fatal(err)
	}
	return n
}

// responsible acts as whoever is appointed for a field, with the roles given.
func (d *desk) responsible(f verdict.Field, roles ...access.Role) access.Actor {
	d.Helper()
	for _, a := range d.ref().Appointments.All(monday) {
		if a.Field == f && a.On(monday) {
			return access.Actor{Person: a.Person, Roles: roles, Appointments: []people.Appointment{a}, Today: monday}
		}
	}
	d.Fatalf("nobody is appointed for %s", f)
	return access.Actor{}
}

func (d *desk) staff(role access.Role) access.Actor {
	return access.Actor{Person: d.ref().Staff.Keys()[0], Roles: []access.Role{role}, Today: monday}
}

// fields are the fields that an error speaks of, sorted.
func fields(err error) string {
	var form *fault.Form
	if errors.As(err, &form) {
		var out []string
		for name := range form.Fields {
			out = append(out, name)
		}
		slices.Sort(out)
		return strings.Join(out, " ")
	}
	var one *fault.Error
	if errors.As(err, &one) {
		return one.Field
	}
	return ""
}

func TestAStationIsShutAndOpened(t *testing.T) {
	d := open(t)
	admin := d.staff(access.Administrator)
	st := d.ref().Stations.All(monday)[0].ID
	s := keeping.Shutting{Station: st, Start: eight, Reason: rig.ShutFault, Note: " a bolt is missing "}
	if err := d.Shut(ctx, d.staff(access.Instructor), s, d.key()); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(d.ref().Shuts.All(monday), func(x rig.Shut) bool { return x.Station == st && x.Start == eight })
	if i < 0 {
		t.Fatal("the shut period is not in the records")
	}
	shut := d.ref().Shuts.All(monday)[i]
	if shut.End != 0 || d.ref().Text(shut.Note) != "a bolt is missing" {
		t.Errorf("shut %+v with the note %q", shut, d.ref().Text(shut.Note))
	}
	if err := d.Open(ctx, d.staff(access.Instructor), shut.ID, d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("an instructor opens it: %v, want forbidden", err)
	}
	if err := d.Open(ctx, admin, shut.ID, d.key()); err != nil {
		t.Fatal(err)
	}
	if got, _ := d.ref().Shuts.On(shut.ID, monday); got.End != eight+1 && got.End != eight {
		t.Errorf("opened at %d, want now, %d", got.End, eight)
	}
	if err := d.Open(ctx, admin, "none", d.key()); fault.Of(err) != fault.NotFound {
		t.Errorf("one that is not there: %v", err)
	}
}

func TestAShutPeriodThatCanNotBeIsRefusedAtItsFields(t *testing.T) {
	d := open(t)
	st := d.ref().Stations.All(monday)[0].ID
	for _, c := range []struct {
		s    keeping.Shutting
		want string
	}{
		{keeping.Shutting{Station: st, Reason: rig.ShutFault}, "start"},
		{keeping.Shutting{Station: st, Start: eight}, "reason"},
		{keeping.Shutting{Station: st, Start: eight, Reason: "mood"}, "reason"},
		{keeping.Shutting{Station: st, Start: eight, End: eight, Reason: rig.ShutFault}, "end"},
		{keeping.Shutting{Station: st, End: eight - 1}, "reason start"},
	} {
		before := d.head()
		if err := d.Shut(ctx, d.staff(access.Instructor), c.s, d.key()); fields(err) != c.want {
			t.Errorf("%+v: %v at %q, want %q", c.s, err, fields(err), c.want)
		}
		if d.head() != before {
			t.Error("something was saved")
		}
	}
	before := d.head()
	far := keeping.Shutting{Station: st, Start: civil.Instant(-1_000_000_000), Reason: rig.ShutFault}
	if err := d.Shut(ctx, d.staff(access.Instructor), far, d.key()); fault.Of(err) != fault.Invalid || d.head() != before {
		t.Errorf("from the year 68: %v, want it refused: it could not be read again", err)
	}
	if err := d.Shut(ctx, d.staff(access.Instructor), keeping.Shutting{Station: "none", Start: eight, Reason: rig.ShutFault}, d.key()); fault.Of(err) != fault.NotFound {
		t.Errorf("a station that is not there: %v", err)
	}
}

func TestInspectionsAreThoseAskedForAndNotToCome(t *testing.T) {
	d := open(t)
	i := slices.IndexFunc(d.ref().Stations.All(monday), func(x rig.Station) bool { return len(x.Inspections) > 0 })
	st := d.ref().Stations.All(monday)[i]
	sound := keeping.Inspecting{Subject: string(st.ID), Line: st.Inspections[0], Done: monday, Passed: true}
	for _, c := range []struct {
		name  string
		spoil func(*keeping.Inspecting)
		want  string
	}{
		{"no day", func(x *keeping.Inspecting) { x.Done = 0 }, "done"},
		{"tomorrow", func(x *keeping.Inspecting) { x.Done = monday + 1 }, "done"},
		{"another line", func(x *keeping.Inspecting) { x.Line = "inspection.service-lift" }, "line"},
		{"nothing that is there", func(x *keeping.Inspecting) { x.Subject = "none" }, "line"},
	} {
		in := sound
		c.spoil(&in)
		if err := d.Inspect(ctx, d.staff(access.Instructor), in, d.key()); fields(err) != c.want {
			t.Errorf("%s: %v at %q, want %q", c.name, err, fields(err), c.want)
		}
	}
	for _, done := range []civil.Day{monday, monday - 3} {
		in := sound
		in.Done = done
		if err := d.Inspect(ctx, d.staff(access.Instructor), in, d.key()); err != nil {
			t.Fatal(err)
		}
		if kind, act, _, from := d.last(); kind != "inspection" || act != "inspected" || from != done {
			t.Errorf("the entry says %s %s from %s, want inspected on %s", kind, act, from, done)
		}
	}
	if err := d.Inspect(ctx, d.staff(access.Auditor), sound, d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("an auditor: %v", err)
	}
}

func TestARescuePlanIsApprovedByAnotherThanItsAuthor(t *testing.T) {
	d := open(t)
	lead := d.responsible(verdict.HeightRescue, access.Instructor)
	pid := d.ref().RescuePlans.Keys()[0]
	before := d.ref().RescuePlans.Versions(pid)
	var author id.Person
	for _, x := range d.ref().Staff.All(monday) {
		if x.ID != lead.Person {
			author = x.ID
		}
	}
	sound := keeping.Approving{Plan: pid, Text: "Alarm, lead, way down.", Author: author, OnPaper: true, InForce: monday, ReviewBy: monday + 300, Target: 9}
	for _, c := range []struct {
		name  string
		spoil func(*keeping.Approving)
		want  string
	}{
		{"no text", func(a *keeping.Approving) { a.Text = "\n" }, "text"},
		{"no author", func(a *keeping.Approving) { a.Author = "" }, "author"},
		{"held by nobody", func(a *keeping.Approving) { a.OnPaper = false }, "on_paper"},
		{"their own", func(a *keeping.Approving) { a.Author = lead.Person }, "author"},
		{"from yesterday", func(a *keeping.Approving) { a.InForce = monday - 1 }, "in_force"},
		{"reviewed on its first day", func(a *keeping.Approving) { a.ReviewBy = monday }, "review_by"},
		{"no time to a casualty", func(a *keeping.Approving) { a.Target = 0 }, "target"},
		{"more than an hour", func(a *keeping.Approving) { a.Target = 61 }, "target"},
	} {
		a := sound
		c.spoil(&a)
		if err := d.ApprovePlan(ctx, lead, a, d.key()); fields(err) != c.want {
			t.Errorf("%s: %v at %q, want %q", c.name, err, fields(err), c.want)
		}
	}
	for _, who := range []access.Actor{d.staff(access.Administrator), d.staff(access.Instructor), d.responsible(verdict.Energy, access.Administrator)} {
		if who.Person != lead.Person {
			if err := d.ApprovePlan(ctx, who, sound, d.key()); fault.Of(err) != fault.Forbidden {
				t.Errorf("approved by %v: %v, want forbidden", who.Roles, err)
			}
		}
	}
	if err := d.ApprovePlan(ctx, lead, sound, d.key()); err != nil {
		t.Fatal(err)
	}
	after := d.ref().RescuePlans.Versions(pid)
	got := after[len(after)-1].Value
	if want := before[len(before)-1].Value.Version + 1; got.Version != want || got.ApprovedBy != lead.Person || got.Author != author || got.ReviewBy != monday+300 {
		t.Errorf("the newest version is %+v, want version %d", got, want)
	}
}

func TestARigIsPutOutOfServiceByAResponsiblePerson(t *testing.T) {
	d := open(t)
	r := d.ref().Rigs.All(monday)[0].ID
	lead := d.responsible(verdict.Energy)
	if err := d.SetRigState(ctx, d.staff(access.Administrator), r, rig.Withdrawn, d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("an administrator: %v, want forbidden", err)
	}
	if err := d.SetRigState(ctx, lead, r, "on-fire", d.key()); fields(err) != "state" {
		t.Errorf("a state that is none: %v", err)
	}
	if err := d.SetRigState(ctx, lead, "none", rig.Withdrawn, d.key()); fault.Of(err) != fault.NotFound {
		t.Errorf("a rig that is not there: %v", err)
	}
	if err := d.SetRigState(ctx, lead, r, rig.Withdrawn, d.key()); err != nil {
		t.Fatal(err)
	}
	if got, _ := d.ref().Rigs.On(r, monday); got.State != rig.Withdrawn {
		t.Errorf("the rig is %s", got.State)
	}
	if got, _ := d.ref().Rigs.On(r, monday-1); got.State == rig.Withdrawn {
		t.Error("the day before has changed too")
	}
	if _, _, role, _ := d.last(); role != string(access.Responsible) {
		t.Errorf("the entry names the role %q", role)
	}
}

func TestTheNextRuleBookIsConfirmedFieldByField(t *testing.T) {
	d := open(t)
	admin := d.staff(access.Administrator)
	own := rulebook.Source{Document: "Decision of the yard's board", Mark: rulebook.Read}
	change := []keeping.Change{{Line: "site.daily-rest", Value: 13 * 60, Source: own}}
	for _, c := range []struct {
		name    string
		from    civil.Day
		changes []keeping.Change
		want    string
	}{
		{"today", monday, change, "from"},
		{"without a change", monday + 9, nil, "value"},
		{"an unknown line", monday + 9, []keeping.Change{{Line: "none", Value: 1, Source: own}}, "line"},
		{"a value below nothing", monday + 9, []keeping.Change{{Line: "site.daily-rest", Value: -1, Source: own}}, "lines.site.daily-rest"},
	} {
		if err := d.NextVersion(ctx, admin, c.from, c.changes, d.key()); fields(err) != c.want {
			t.Errorf("%s: %v at %q, want %q", c.name, err, fields(err), c.want)
		}
	}
	if err := d.NextVersion(ctx, admin, monday+9, change, d.key()); err != nil {
		t.Fatal(err)
	}
	book := func() rulebook.Version {
		v, _ := rulebook.InForce(d.ref().RuleBooks.All(civil.LastDay), monday+9)
		return v
	}
	if l, _ := book().Line("site.daily-rest"); l.Value != 13*60 || book().From != monday+9 {
		t.Fatalf("in force then: %+v of %s", l, book().From)
	}
	if old, _ := rulebook.InForce(d.ref().RuleBooks.All(civil.LastDay), monday+8); len(old.Confirmed(nil, monday)) > 0 {
		t.Error("the version of the days before lost its confirmations")
	}
	missing := book().Confirmed(nil, monday)
	if len(missing) != 5 {
		t.Fatalf("to confirm: %v, want every field", missing)
	}
	if err := d.Confirm(ctx, admin, book().ID, readAll(book(), verdict.HeightRescue), d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("height and rescue by an administrator: %v, want forbidden", err)
	}
	rested := d.responsible(verdict.HeightRescue, access.Administrator)
	if err := d.Confirm(ctx, rested, book().ID, nil, d.key()); fields(err) != "lines" {
		t.Errorf("no limit ticked: %v, want a refusal", err)
	}
	for _, f := range missing {
		if toRead := rulebook.ToRead(d.ref().RuleBooks.All(civil.LastDay), book(), f); len(toRead) > 0 {
			who := admin
			if f != verdict.Planning {
				who = d.responsible(f, access.Administrator)
			}
			some := []keeping.Reading{{Field: f, Lines: []string{keeping.Unchanged}}}
			if err := d.Confirm(ctx, who, book().ID, some, d.key()); fields(err) != "lines_"+string(f) {
				t.Errorf("%s with %d limits unread: %v, want a refusal", f, len(toRead), err)
			}
		}
	}
	for _, f := range missing {
		who := admin
		if f != verdict.Planning {
			who = d.responsible(f, access.Administrator)
		}
		if err := d.Confirm(ctx, who, book().ID, readAll(book(), f), d.key()); err != nil {
			t.Fatal(err)
		}
		want := access.Responsible
		if f == verdict.Planning {
			want = access.Administrator
		}
		if _, act, role, _ := d.last(); act != "confirmed" || role != string(want) {
			t.Errorf("%s: the entry says %s by %q, want confirmed by %q", f, act, role, want)
		}
		if err := d.Confirm(ctx, who, book().ID, readAll(book(), f), d.key()); fault.Of(err) != fault.Conflict {
			t.Errorf("%s a second time: %v, want a conflict", f, err)
		}
	}
	if missing := book().Confirmed(nil, monday); len(missing) > 0 {
		t.Errorf("still to confirm: %v", missing)
	}
}

func TestTheSameFormSentTwiceIsWrittenOnce(t *testing.T) {
	d := open(t)
	s := keeping.Shutting{Station: d.ref().Stations.All(monday)[0].ID, Start: eight, Reason: rig.ShutFault}
	if err := d.Shut(ctx, d.staff(access.Instructor), s, "once"); err != nil {
		t.Fatal(err)
	}
	before := d.head()
	if err := d.Shut(ctx, d.staff(access.Instructor), s, "once"); err != nil || d.head() != before {
		t.Errorf("the same again: %v, %d entries", err, d.head()-before)
	}
	s.Reason = rig.ShutOther
	if err := d.Shut(ctx, d.staff(access.Instructor), s, "once"); fault.Of(err) != fault.Conflict || d.head() != before {
		t.Errorf("with other content: %v, want a conflict", err)
	}
}

// readAll says that every limit of a field was read.
func readAll(v rulebook.Version, f verdict.Field) []keeping.Reading {
	out := keeping.Reading{Field: f, Lines: []string{keeping.Unchanged}}
	for _, l := range v.Lines {
		if l.Field == f {
			out.Lines = append(out.Lines, l.ID)
		}
	}
	return []keeping.Reading{out}
}
