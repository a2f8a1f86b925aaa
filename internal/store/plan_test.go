package store

import (
	"database/sql"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// askEverything calls every reading method: those below with what a yard holds, and
// each one with arguments of its types.
func askEverything(v *View) error {
	if err := askEach(v); err != nil {
		return err
	}
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

// askEach calls each method of a view, whatever it answers to arguments that name
// nothing: what it prepares is looked at.
func askEach(v *View) error {
	of := reflect.ValueOf(v)
	for i := range of.NumMethod() {
		m, name := of.Method(i), of.Type().Method(i).Name
		if readsAll[name] != "" || !v.head && readsThePast[name] != "" {
			continue
		}
		var args []reflect.Value
		for n := range m.Type().NumIn() {
			args = append(args, argument(m.Type().In(n)))
		}
		if name == "EachStanding" {
			args[0] = reflect.ValueOf("session")
		}
		call := m.Call
		if m.Type().IsVariadic() {
			call = m.CallSlice
		}
		for _, out := range call(args) {
			if err, ok := out.Interface().(error); ok && fault.Of(err) == fault.Internal {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	return nil
}

// argument makes a value of a type: nothing in it is empty, and nothing is on record.
func argument(t reflect.Type) reflect.Value {
	out := reflect.New(t).Elem()
	switch t.Kind() {
	case reflect.String:
		out.SetString("none")
	case reflect.Int, reflect.Int64:
		out.SetInt(1)
	case reflect.Slice:
		out = reflect.Append(out, argument(t.Elem()))
	case reflect.Map:
		out.Set(reflect.MakeMap(t))
		out.SetMapIndex(argument(t.Key()), argument(t.Elem()))
	case reflect.Struct:
		for i := range t.NumField() {
			if out.Field(i).CanSet() {
				out.Field(i).Set(argument(t.Field(i).Type))
			}
		}
	case reflect.Func:
		out.Set(reflect.MakeFunc(t, func([]reflect.Value) []reflect.Value { return []reflect.Value{reflect.Zero(t.Out(0))} }))
	}
	return out
}

// readsAll are the methods that read a table from end to end, and why.
var readsAll = map[string]string{
	"EachEntry": "an archive holds all of them", "EachHead": "an archive holds all of them", "EachText": "an archive holds all of them",
	"EachCommand": "an archive holds all of them", "EachAccount": "an archive holds all of them", "EachLink": "an archive holds all of them",
	"EachToken": "an archive holds all of them", "KeptDrafts": "an archive holds all of them",
	"FileHashes":         "a backup looks for the file of every photo",
	"AccountUses":        "the list of all accounts, one for each of the staff",
	"Drafts":             "the newest drafts by their index, up to a limit",
	"DraftsIn":           "the drafts by their index; old ones are dropped",
	"WithoutCertificate": "every enrolment is asked whether it lacks one",
	"CertificateCalled":  "from the last certificate back by its index, to the first of the programme",
	"CheckLists":         "all check lists, one for each kind of rig and kit",
	"Isolations":         "all circuits of the yard",
	"Authorities":        "all authorities, a few for each circuit",
	"WrittenPlans":       "all versions ever written of a few rescue plans",
	"Complaints":         "the list of all of them",
	"Incidents":          "the list of all of them",
	"Batches":            "the list of all files ever brought in",
	"AwayAfter":          "the absences of all staff",
	"Uses":               "asked before a record is ended, which is rare",
}

// readsThePast are those that find their rows by an index of what stands, which says
// nothing of what stood.
var readsThePast = map[string]string{
	"UnderWay": "asked of the present alone but for tests",
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
	for name := range maps.Keys(readsAll) {
		if _, ok := reflect.TypeFor[*View]().MethodByName(name); !ok {
			t.Errorf("%s is no method of a view", name)
		}
	}
	if len(prepared) < 160 {
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
