package store

import (
	"database/sql"
	"maps"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/id"
)

// askEverything calls every reading method once.
func askEverything(v *View) error {
	t0, t1 := nine.Add(-600), nine.Add(600)
	persons, trainees, sessions := []id.Person{"brona", "tilde"}, []id.Trainee{"t-tilde"}, []id.Session{"first"}
	var errs []error
	try := func(_ any, err error) { errs = append(errs, err) }
	try(v.Reference())
	try(v.Session("first"))
	try(v.SessionsBetween(t0, t1))
	try(v.SessionsOf(persons, trainees, t0, t1))
	try(v.SessionsOfTrainees(trainees))
	try(v.SessionHistory("first"))
	try(v.NotSignedBefore(t1))
	try(v.BookedAfter(t0))
	try(v.Acceptances(sessions...))
	try(v.Attendance(sessions...))
	try(v.Results(sessions...))
	try(v.Completions(trainees...))
	try(v.CompletionsOfPersons(persons...))
	try(v.HoursOf("tilde"))
	try(v.KitAnswersFor())
	try(v.Person("tilde"))
	try(v.Trainee("t-tilde"))
	try(v.Trainees(trainees...))
	try(v.TraineesOfIntake("march"))
	try(v.TraineesOfPersons(persons...))
	try(v.Duties(persons, t0, t1))
	try(v.AwayOf(persons, t0, t1))
	try(v.CertificatesOf(persons...))
	try(v.Texts("c"))
	try(v.PersonNames(persons...))
	try(v.TraineeNames(trainees...))
	try(v.LastCertificateNumber())
	try(v.LastRecorded())
	try(v.EntryAsKnownOn(v.Today()))
	try(v.EntriesOf("session", "first"))
	try(v.EmailOf("a"))
	try(v.Search("har", 5))
	_, _, err := v.Persons(PersonFilter{NamePart: "t", Employer: "windward", Intake: "march", AfterKey: "a" + keyJoin + "b"})
	errs = append(errs, err)
	_, _, err = v.Certificates(CertificateFilter{Employer: "windward", UntilFrom: 1, UntilTo: v.Today()})
	errs = append(errs, err)
	_, _, _, err = v.Checkpoint()
	errs = append(errs, err)
	_, _ = v.Certificate("none")
	_, _ = v.CertificateByNumber(7)
	_, _, _ = v.AccountByEmail("nobody@example.invalid")
	_, _ = v.Duty("none")
	_, _ = v.Away("none")
	_, _ = v.Entry(0)
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// lastRow are queries for the last row of a table, which SQLite explains as a
// scan that ends after one step.
var lastRow = []string{
	`SELECT idx, recorded_at FROM entry ORDER BY idx DESC LIMIT 1`,
	`SELECT size, root, note FROM checkpoint ORDER BY size DESC LIMIT 1`,
}

// TestEveryQueryFindsItsRowsByAnIndex explains each statement that reads and
// writes prepare: none may scan a table, at the head or at a past entry.
func TestEveryQueryFindsItsRowsByAnIndex(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("first", nine))
	b.put(booked("first", nine.Add(30)))
	prepared := map[string]bool{}
	collect := func(c *conn) {
		for query := range c.stmts {
			prepared[query] = true
		}
	}
	b.read(func(v *View) error {
		if err := askEverything(v); err != nil {
			return err
		}
		b.Store.references = references{}
		if err := askEverything(v.At(v.Head()-1, v.Today())); err != nil {
			return err
		}
		collect(v.c)
		return nil
	})
	b.do(func(tx *Tx) error { collect(tx.c); return nil })
	if len(prepared) < 80 {
		t.Errorf("only %d statements were collected", len(prepared))
	}
	for _, query := range slices.Sorted(maps.Keys(prepared)) {
		if !strings.HasPrefix(query, "SELECT") && !strings.HasPrefix(query, "UPDATE") || slices.Contains(lastRow, query) {
			continue
		}
		b.read(func(v *View) error {
			args := make([]any, strings.Count(query, "?")+9)
			return v.c.each(v.ctx, func(rows *sql.Rows) error {
				var node, parent, unused int
				var detail string
				if err := rows.Scan(&node, &parent, &unused, &detail); err != nil {
					return err
				}
				scans := strings.HasPrefix(detail, "SCAN ") && !strings.Contains(detail, "VIRTUAL TABLE") && detail != "SCAN CONSTANT ROW"
				if scans || strings.Contains(detail, "AUTOMATIC") {
					t.Errorf("%s\n\tin %s", detail, query)
				}
				return nil
			}, "EXPLAIN QUERY PLAN "+query, args...)
		})
	}
}
