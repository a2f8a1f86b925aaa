package bringing_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// named returns the person of a name.
func (d *desk) named(name string) (of id.Person) {
	d.Helper()
	d.read(func(v *store.View) error {
		rows, _, err := v.Persons(store.PersonFilter{NamePart: name})
		if err == nil && len(rows) != 1 {
			d.Fatalf("%d people are called %s", len(rows), name)
		}
		of = rows[0].Person.ID
		return err
	})
	return of
}

// twice is a yard where one person stands twice, each with a paper, one with a
// place in an intake.
func twice(t *testing.T) (d *desk, kept, other id.Person) {
	t.Helper()
	d = open(t)
	d.bring(d.judge(batch.People, "a.csv", "Name,Born\nRosalind Umber,1996-02-29\nOttilie Vandersteen,1991-03-02\n"))
	d.bring(d.judge(batch.Intakes, "b.csv", "Intake,Employer,Programme,From,Until,Trainee,Born\nUmber May,Larkmoor,Work at height,2027-05-03,2027-05-28,Rosalynde Umber,\n"))
	d.bring(d.judge(batch.Certificates, "c.csv", "Name,What,From,Until\nRosalind Umber,first aid,2026-01-01,2028-01-01\nRosalynde Umber,rescue,2026-01-01,2028-01-01\n"))
	return d, d.named("Rosalind"), d.named("Rosalynde")
}

func TestTwoRecordsOfOnePersonAreJoinedAndPartedAgain(t *testing.T) {
	d, kept, other := twice(t)
	pairs, joins, err := d.Alike(ctx, d.actor)
	if err != nil || len(joins) != 0 {
		t.Fatalf("got %v, %v", joins, err)
	}
	found := false
	for _, p := range pairs {
		found = found || p.A.ID == kept && p.B.ID == other || p.A.ID == other && p.B.ID == kept
	}
	if !found {
		t.Errorf("the two are not found alike: %+v", pairs)
	}
	before := d.snapshot()
	if err := d.Join(ctx, d.actor, bringing.Joining{Kept: kept, Other: other}, d.key()); err != nil {
		t.Fatal(err)
	}
	d.read(func(v *store.View) error {
		papers, err := v.CertificatesOf(kept)
		if err != nil || len(papers) != 2 {
			t.Errorf("papers of the one kept: got %v, %v; want both", papers, err)
		}
		places, err := v.TraineesOfPersons(kept)
		if err != nil || len(places) != 1 {
			t.Errorf("places of the one kept: got %v, %v", places, err)
		}
		if _, err := v.Person(other); fault.Of(err) != fault.NotFound {
			t.Errorf("the other one: got %v, want none", err)
		}
		return nil
	})
	_, joins, err = d.Alike(ctx, d.actor)
	if err != nil || len(joins) != 1 || joins[0].Other != "Rosalynde Umber" || joins[0].Kept.ID != kept {
		t.Fatalf("got joins %+v, %v", joins, err)
	}
	if err := d.Part(ctx, d.actor, joins[0].Entry, d.key()); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, d.snapshot()); diff != "" {
		t.Errorf("after they were parted: %s", diff)
	}
	if err := d.Part(ctx, d.actor, joins[0].Entry, d.key()); fault.Of(err) != fault.Conflict {
		t.Errorf("parting twice: got %v, want a conflict", err)
	}
	if report, err := d.store.Rebuild(ctx); err != nil || !report.Equal() {
		t.Errorf("rebuilt: %v, %v", report, err)
	}
}

func TestTwoPeopleAreNotJoined(t *testing.T) {
	d, kept, other := twice(t)
	staff := d.actor.Person
	d.bring(d.judge(batch.Certificates, "d.csv", "Name,What,From,Until\nRosalynde Umber,first aid,2026-01-01,2028-01-02\n"))
	for name, c := range map[string]struct {
		join bringing.Joining
		want string
	}{
		"one paper with two last days": {bringing.Joining{Kept: kept, Other: other}, "two last valid days"},
		"somebody who works here":      {bringing.Joining{Kept: kept, Other: staff}, "works or signs in here"},
		"one record":                   {bringing.Joining{Kept: kept, Other: kept}, "the same record"},
	} {
		was := d.snapshot()
		if err := d.Join(ctx, d.actor, c.join, d.key()); err == nil || !strings.Contains(fault.Message(err), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
		if d.snapshot() != was {
			t.Errorf("%s: something was saved", name)
		}
	}
}

// TestNobodyIsTakenForSomebodyOnRecordWithoutAWord sends a returning trainee by each
// way to say who it is: only a number says it.
func TestNobodyIsTakenForSomebodyOnRecordWithoutAWord(t *testing.T) {
	d := open(t)
	d.bring(d.judge(batch.People, "a.csv", "Name,Born,Number\nRosalind Umber,1996-02-29,N-7\nOttilie Vandersteen,1991-03-02,\n"))
	for name, c := range map[string]struct{ who, want string }{
		"the number":                           {"Rosalind Umber,1996-02-29,N-7", ""},
		"name and birth date":                  {"Rosalind Umber,1996-02-29,", "By name and birth date this is taken for Rosalind Umber"},
		"the name":                             {"Rosalind Umber,,", "By the name alone this is taken for Rosalind Umber"},
		"a number that the records don’t hold": {"Ottilie Vandersteen,1991-03-02,N-8", "By name and birth date this is taken for Ottilie Vandersteen"},
	} {
		for l, text := range map[batch.List]string{
			batch.Intakes:        "Intake,Employer,Programme,From,Until,Name,Born,Number\nJune,Larkmoor,Work at height,2027-06-07,2027-06-25," + c.who + "\n",
			batch.Certificates:   "What,From,Until,Name,Born,Number\nfirst aid,2026-01-01,2028-01-01," + c.who + "\n",
			batch.Qualifications: "Qualification,From,Until,Name,Born,Number\nfirst aid,2026-01-01,2028-01-01," + c.who + "\n",
		} {
			j := d.judge(l, "b.csv", text)
			if said := lines(j); j.Takes() != 1 || strings.Contains(said, "is taken for") != (c.want != "") || !strings.Contains(said, c.want) {
				t.Errorf("%s, by %s: got %s", l, name, said)
			}
		}
	}
}
