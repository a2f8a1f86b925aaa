package bringing_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

var (
	update = flag.Bool("update", false, "write golden files")
	ctx    = context.Background()
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
	yard   = demotest.New(eight, 1)
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

// desk is a yard of its own with somebody who brings in.
type desk struct {
	testing.TB
	*bringing.Desk
	store *store.Store
	actor access.Actor
	keys  int
}

func open(t testing.TB) *desk {
	t.Helper()
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return eight })
	d := &desk{TB: t, Desk: bringing.New(s), store: s}
	d.read(func(v *store.View) error {
		ref, err := v.Reference()
		d.actor = access.Actor{Person: ref.Staff.Keys()[0], Roles: []access.Role{access.Administrator}, Today: monday}
		return err
	})
	return d
}

func (d *desk) key() string { d.keys++; return fmt.Sprint("key ", d.keys) }

func (d *desk) read(fn func(*store.View) error) {
	d.Helper()
	if err := d.store.Read(ctx, fn); err != nil {
		d.Fatal(err)
	}
}

// judge reads a file with guessed columns.
func (d *desk) judge(l batch.List, name, text string) *bringing.Judgement {
	d.Helper()
	f := bringing.File{List: l, Name: name, Data: []byte(text)}
	_, m, err := d.Guess(ctx, d.actor, f, bringing.Mapping{Rest: []id.Profile{"eu-adult"}})
	if err != nil {
		d.Fatal(err)
	}
	j, err := d.Judge(ctx, d.actor, f, m, nil, nil)
	if err != nil {
		d.Fatalf("%s: %v with %+v", l, err, m.Columns)
	}
	return j
}

func (d *desk) bring(j *bringing.Judgement) id.Batch {
	d.Helper()
	made, err := d.Bring(ctx, d.actor, j.File, j.Mapping, j.SeenOf(), d.key())
	if err != nil {
		d.Fatal(err)
	}
	return made
}

// file reads a list of testdata.
func (d *desk) file(l batch.List) *bringing.Judgement {
	d.Helper()
	name := string(l) + ".csv"
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		d.Fatal(err)
	}
	return d.judge(l, name, string(data))
}

func lines(j *bringing.Judgement) string {
	var b strings.Builder
	for _, r := range j.Rows {
		fmt.Fprintf(&b, "%d %s %s\n", r.Row, r.Verdict, r.Says)
		for _, x := range r.Remarks {
			fmt.Fprintf(&b, "\t%s refuses=%t %s\n", x.Cell, x.Refuses, x.Text)
		}
	}
	return b.String()
}

func tally(list []bringing.Count) map[string]int {
	out := map[string]int{}
	for _, c := range list {
		out[c.Kind] += c.Count
	}
	return out
}

// snapshot is what people see: everybody, every paper, session and slow record.
func (d *desk) snapshot() string {
	d.Helper()
	var b strings.Builder
	d.read(func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		fmt.Fprintln(&b, ref.Employers.All(monday), ref.Intakes.All(monday), ref.Inspections.All(monday), ref.StaffCertificates)
		people, _, err := v.Persons(store.PersonFilter{Limit: 100_000})
		if err != nil {
			return err
		}
		var who []id.Person
		for _, p := range people {
			fmt.Fprintf(&b, "%+v\n", p)
			who = append(who, p.Person.ID)
		}
		papers, err := v.CertificatesOf(who...)
		if err != nil {
			return err
		}
		fmt.Fprintln(&b, papers)
		trainees, err := v.TraineesOfPersons(who...)
		if err != nil {
			return err
		}
		fmt.Fprintln(&b, trainees)
		sessions, err := v.SessionsBetween(eight.Add(-500*24*60), eight.Add(60*24*60))
		if err != nil {
			return err
		}
		fmt.Fprintln(&b, sessions)
		done, err := v.CompletionsOfPersons(who...)
		fmt.Fprintln(&b, done)
		return err
	})
	return b.String()
}

// TestDirtyListsAreJudgedCellByCell brings in one dirty list of each kind, in the
// order in which they build on each other.
func TestDirtyListsAreJudgedCellByCell(t *testing.T) {
	d := open(t)
	before := map[id.Batch]string{}
	var made []id.Batch
	for _, l := range batch.Lists() {
		j := d.file(l)
		golden := filepath.Join("testdata", string(l)+".want")
		if *update {
			if err := os.WriteFile(golden, []byte(lines(j)), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), lines(j)); diff != "" {
			t.Errorf("%s: %s", l, diff)
		}
		was := d.snapshot()
		one := d.bring(j)
		before[one], made = was, append(made, one)
		shown, err := d.Batch(ctx, d.actor, one)
		if diff := cmp.Diff(tally(j.Changes), tally(shown.Counts)); diff != "" {
			t.Errorf("%s: what would change is not what changed: %s", l, diff)
		}
		if err != nil || shown.Taken != j.Takes() || shown.Refused != j.Count(bringing.Refused) || shown.Name != string(l)+".csv" || len(shown.Rests) > 0 {
			t.Errorf("%s: the batch is %+v, %v", l, shown, err)
		}
	}
	people, err := d.Batch(ctx, d.actor, made[0])
	if err != nil || len(people.Rests) == 0 {
		t.Errorf("on the people rest later records: got %+v, %v", people.Rests, err)
	}
	if err := d.TakeBack(ctx, d.actor, made[0], people.Rev, d.key()); fault.Of(err) != fault.Conflict || !strings.Contains(fault.Message(err), "rest on it") {
		t.Errorf("taking the people back: got %v, want a conflict that says what rests on them", err)
	}
	for i := range made {
		one := made[len(made)-1-i]
		shown, err := d.Batch(ctx, d.actor, one)
		if err != nil {
			t.Fatal(err)
		}
		if err := d.TakeBack(ctx, d.actor, one, shown.Rev, d.key()); err != nil {
			t.Fatalf("%s: %v", shown.List, err)
		}
		if diff := cmp.Diff(before[one], d.snapshot()); diff != "" {
			t.Errorf("%s: after it was taken back: %s", shown.List, diff)
		}
	}
	report, err := d.store.Rebuild(ctx)
	if err != nil || !report.Equal() {
		t.Errorf("rebuilt: %v, %v", report, err)
	}
}

func TestNothingIsHalfTaken(t *testing.T) {
	d := open(t)
	j := d.judge(batch.People, "a.csv", "Name,Born\nAda Quillon,1990-01-01\nBo Quillon,1991-01-01\n")
	was := d.snapshot()
	seen := j.SeenOf()
	seen.Taken--
	if _, err := d.Bring(ctx, d.actor, j.File, j.Mapping, seen, d.key()); fault.Of(err) != fault.Conflict {
		t.Errorf("another judgement than the one seen: got %v, want a conflict", err)
	}
	if d.snapshot() != was {
		t.Error("something was saved")
	}
	key := d.key()
	first, err := d.Bring(ctx, d.actor, j.File, j.Mapping, j.SeenOf(), key)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := d.Bring(ctx, d.actor, j.File, j.Mapping, j.SeenOf(), key); err != nil || again != first {
		t.Errorf("the same form twice: got %s, %v; want %s", again, err, first)
	}
	again := d.judge(batch.People, "a.csv", string(j.File.Data))
	if again.Takes() != 0 || len(again.Before) != 1 {
		t.Errorf("the same file again: got %s and %d batches before", lines(again), len(again.Before))
	}
	if _, err := d.Bring(ctx, d.actor, again.File, again.Mapping, again.SeenOf(), d.key()); fault.Of(err) != fault.Invalid {
		t.Errorf("nothing to take: got %v, want it refused", err)
	}
}

func TestAMappingIsKeptForNextTime(t *testing.T) {
	d := open(t)
	f := bringing.File{List: batch.People, Name: "a.csv", Data: []byte("Wer,Wann\nAda Quillon,3/4/1990\n")}
	m := bringing.Mapping{Columns: map[string]string{"name": "A", "born": "B"}}
	m.Habits.Order = "day-first"
	j, err := d.Judge(ctx, d.actor, f, m, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	d.bring(j)
	_, next, err := d.Guess(ctx, d.actor, bringing.File{List: batch.People, Data: []byte("Wann,Nr,wer\n")}, bringing.Mapping{})
	if err != nil || next.Columns["name"] != "C" || next.Columns["born"] != "A" || next.Habits.Order != "day-first" {
		t.Errorf("got %+v, %v", next, err)
	}
}

func TestWhoMayNotBringInLearnsSo(t *testing.T) {
	d := open(t)
	d.actor.Roles = []access.Role{access.Instructor}
	f := bringing.File{List: batch.People, Data: []byte("Name\nA B\n")}
	if _, _, err := d.Guess(ctx, d.actor, f, bringing.Mapping{}); fault.Of(err) != fault.Forbidden {
		t.Errorf("guess: got %v", err)
	}
	if _, err := d.Bring(ctx, d.actor, f, bringing.Mapping{}, bringing.Seen{}, d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("bring: got %v", err)
	}
	if err := d.TakeBack(ctx, d.actor, "x", 1, d.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("take back: got %v", err)
	}
}
