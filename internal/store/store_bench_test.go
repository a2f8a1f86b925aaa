package store

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
)

// The yard of these benchmarks: 12 of the staff, 90 trainees at a time in
// changing intakes, 40 sessions a week, all signed. Run with
// go test -bench . ./internal/store; each line prints what the issue asks for.

const (
	sessionsPerWeek = 40
	weeksPerYear    = 52
)

// years fills a store with that many years before the clock's day.
func (b *bench) years(n int) {
	b.t.Helper()
	b.yard()
	for i := range 10 {
		p := id.Person(fmt.Sprintf("staff-%d", i))
		b.put(people.Person{ID: p}, people.Staff{ID: p, From: 1, Weekdays: []int{1, 2, 3, 4, 5}})
	}
	for week := range n * weeksPerYear {
		b.do(func(tx *Tx) error { return b.week(tx, tx.Today()-civil.Day(7*(n*weeksPerYear-week)), week) })
	}
}

// week puts one week: a new group of 12 trainees, and signed sessions for it.
func (b *bench) week(tx *Tx, monday civil.Day, week int) error {
	var group []id.Trainee
	for i := range 12 {
		p, t := id.Person(fmt.Sprintf("p-%d-%d", week, i)), id.Trainee(fmt.Sprintf("t-%d-%d", week, i))
		group = append(group, t)
		name := tx.Seal(string(p), "name", fmt.Sprintf("Person %d of week %d", i, week))
		if err := putAll(tx, people.Person{ID: p, Name: name, Employer: "windward"},
			people.Trainee{ID: t, Person: p, Intake: "march", Needs: []id.Exercise{"harness"}}); err != nil {
			return err
		}
	}
	slices.Sort(group)
	for i := range sessionsPerWeek {
		start := tx.place.zone.At(monday+civil.Day(i/8), civil.Minutes(8*60+(i%8/2)*120))
		s := session.Session{ID: id.Session(fmt.Sprintf("s-%d-%d", week, i)), State: session.SignedOff, Exercise: "harness", Station: "deck-a",
			Start: start, End: start.Add(90), Trainees: group[6*(i%2) : 6*(i%2)+6],
			Instructors: []id.Person{id.Person(fmt.Sprintf("staff-%d", i%5))}, Rescuers: []id.Person{id.Person(fmt.Sprintf("staff-%d", 5+i%5))}}
		a := session.Attendance{Session: s.ID}
		r := session.Results{Session: s.ID, By: s.Instructors[0]}
		for _, t := range s.Trainees {
			a.Presences = append(a.Presences, session.Presence{Who: string(t), Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End})
			r.Results = append(r.Results, session.Result{Trainee: t, Outcome: "harness-on", Result: session.Competent})
		}
		if err := putAll(tx, s, a, r); err != nil {
			return err
		}
	}
	return nil
}

var tenYears struct {
	sync.Mutex
	of map[int]*bench
}

// filled returns a store with some years of data, made once a run.
func filled(tb testing.TB, years int) *bench {
	tb.Helper()
	tenYears.Lock()
	defer tenYears.Unlock()
	if b, ok := tenYears.of[years]; ok {
		b.t = tb
		return b
	}
	dir := filepath.Join(benchDir, fmt.Sprint(years))
	b := &bench{t: tb, dir: dir, at: morning}
	b.open()
	start := time.Now()
	b.years(years)
	tb.Logf("%d years in %d writes: %v", years, b.keys, time.Since(start))
	if tenYears.of == nil {
		tenYears.of = map[int]*bench{}
	}
	tenYears.of[years] = b
	return b
}

// BenchmarkBulkWrite is one write of 3,000 facts.
func BenchmarkBulkWrite(tb *testing.B) {
	b := newBench(tb)
	b.yard()
	for i := range 10 {
		p := id.Person(fmt.Sprintf("staff-%d", i))
		b.put(people.Person{ID: p}, people.Staff{ID: p, From: 1, Weekdays: []int{1, 2, 3, 4, 5}})
	}
	puts, week := 0, 0
	for tb.Loop() {
		b.do(func(tx *Tx) error {
			for first := tx.Entry(); tx.Entry()-first < 3000; week++ {
				if err := b.week(tx, tx.Today()-7, week); err != nil {
					return err
				}
			}
			return nil
		})
		puts += 3000
	}
	tb.ReportMetric(float64(tb.Elapsed().Microseconds())/float64(puts), "µs/put")
}

// BenchmarkSessionsOf reads the sessions of ten people over 30 days.
func BenchmarkSessionsOf(tb *testing.B) {
	for _, years := range []int{1, 10} {
		tb.Run(fmt.Sprintf("years=%d", years), func(tb *testing.B) {
			b := filled(tb, years)
			var who []id.Trainee
			var staff []id.Person
			for i := range 6 {
				who = append(who, id.Trainee(fmt.Sprintf("t-%d-%d", years*weeksPerYear-2, i)))
			}
			for i := range 4 {
				staff = append(staff, id.Person(fmt.Sprintf("staff-%d", i)))
			}
			now := civil.InstantOf(b.at)
			got := 0
			for tb.Loop() {
				err := b.Read(context.Background(), func(v *View) error {
					sessions, err := v.SessionsOf(staff, who, now.Add(-30*24*60), now)
					got = len(sessions)
					return err
				})
				if err != nil {
					tb.Fatal(err)
				}
			}
			tb.ReportMetric(float64(got), "sessions")
		})
	}
}

// BenchmarkAppend commits one fact through the store and one row of the same
// size into a bare SQLite file with synchronous=FULL, in turn, and reports both
// medians, their ratio and their difference.
func BenchmarkAppend(tb *testing.B) {
	for _, years := range []int{0, 10} {
		tb.Run(fmt.Sprintf("years=%d", years), func(tb *testing.B) { appendBesideBare(tb, filled(tb, years)) })
	}
}

func appendBesideBare(tb *testing.B, b *bench) {
	ctx := context.Background()
	db, err := openDatabase(ctx, filepath.Join(tb.TempDir(), "bare.db"), writing)
	if err != nil {
		tb.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, `CREATE TABLE fact (idx INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT`); err != nil {
		tb.Fatal(err)
	}
	insert, err := db.PrepareContext(ctx, `INSERT INTO fact (bytes) VALUES (?1)`)
	if err != nil {
		tb.Fatal(err)
	}
	defer insert.Close()
	body := make([]byte, 800)
	var ours, bare []time.Duration
	for tb.Loop() {
		start := time.Now()
		if _, err := insert.ExecContext(ctx, body); err != nil {
			tb.Fatal(err)
		}
		middle := time.Now()
		b.put(booked(id.Session(b.maker.New()), civil.InstantOf(b.at).Add(600)))
		bare, ours = append(bare, middle.Sub(start)), append(ours, time.Since(middle))
	}
	median := func(of []time.Duration) float64 {
		slices.Sort(of)
		return float64(of[len(of)/2].Microseconds())
	}
	m, n := median(ours), median(bare)
	tb.ReportMetric(m, "µs/append")
	tb.ReportMetric(n, "µs/bare")
	tb.ReportMetric(m/n, "ratio")
	tb.ReportMetric(m-n, "µs-more")
}

// BenchmarkReference takes the decoded reference as every page does.
func BenchmarkReference(tb *testing.B) {
	b := filled(tb, 1)
	for tb.Loop() {
		if err := b.Read(context.Background(), func(v *View) error { _, err := v.Reference(); return err }); err != nil {
			tb.Fatal(err)
		}
	}
}

// BenchmarkWeek reads the sessions of one week.
func BenchmarkWeek(tb *testing.B) {
	b := filled(tb, 10)
	now := civil.InstantOf(b.at)
	for tb.Loop() {
		err := b.Read(context.Background(), func(v *View) error {
			_, err := v.SessionsBetween(now.Add(-14*24*60), now.Add(-7*24*60))
			return err
		})
		if err != nil {
			tb.Fatal(err)
		}
	}
}

// BenchmarkOpen opens an existing store of ten years.
func BenchmarkOpen(tb *testing.B) {
	b := filled(tb, 10)
	for tb.Loop() {
		b.reopen()
	}
}

// BenchmarkPeople reads the first page of people of ten years.
func BenchmarkPeople(tb *testing.B) {
	b := filled(tb, 10)
	for name, f := range map[string]PersonFilter{"all": {}, "part": {NamePart: "week 7"}, "intake": {Intake: "march", AfterKey: "person 5"}} {
		tb.Run(name, func(tb *testing.B) {
			for tb.Loop() {
				if err := b.Read(context.Background(), func(v *View) error { _, _, err := v.Persons(f); return err }); err != nil {
					tb.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkRebuild replays a year.
func BenchmarkRebuild(tb *testing.B) {
	b := filled(tb, 1)
	for tb.Loop() {
		report, err := b.Rebuild(context.Background())
		if err != nil || !report.Equal() {
			tb.Fatal(report, err)
		}
		tb.ReportMetric(float64(report.Entries), "entries")
	}
}
