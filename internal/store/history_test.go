package store

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

// A story is a random history with what it must mean: for each record, the days
// on which a new value began. A value counts from its day to the next such day;
// a later one for the same day takes its place.
type story struct {
	b      *bench
	kits   map[id.Kit]map[civil.Day]int           // Count
	people map[id.Person]map[civil.Day]string     // Employer
	booked map[id.Session]map[civil.Day]civil.Day // day of Start
	past   []standpoint
}

// A standpoint is what was true after one write.
type standpoint struct {
	entry  int64
	kits   map[id.Kit]map[civil.Day]int
	people map[id.Person]map[civil.Day]string
	booked map[id.Session]map[civil.Day]civil.Day
}

// on1 returns what counts on a day.
func on1[T any](starts map[civil.Day]T, d civil.Day) (value T, ok bool) {
	best := civil.Day(0)
	for from, v := range starts {
		if from <= d && from >= best {
			best, value, ok = from, v, true
		}
	}
	return value, ok
}

func deep[K, D comparable, T any](of map[K]map[D]T) map[K]map[D]T {
	out := map[K]map[D]T{}
	for k, days := range of {
		out[k] = map[D]T{}
		for d, v := range days {
			out[k][d] = v
		}
	}
	return out
}

func set[K, D comparable, T any](of map[K]map[D]T, k K, d D, v T) {
	if of[k] == nil {
		of[k] = map[D]T{}
	}
	of[k][d] = v
}

// write draws one write of one to four facts.
func (s *story) write(r *rapid.T) {
	today := s.b.Zone().DayOf(civil.InstantOf(s.b.at))
	err := s.b.try(func(tx *Tx) error {
		for range rapid.IntRange(1, 4).Draw(r, "facts") {
			if err := s.put(r, tx, today); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		r.Fatal(err)
	}
	var head int64
	s.b.read(func(v *View) error { head = v.Head(); return nil })
	s.past = append(s.past, standpoint{head, deep(s.kits), deep(s.people), deep(s.booked)})
	s.b.at = s.b.at.Add(time.Duration(rapid.IntRange(0, 40).Draw(r, "hours")) * time.Hour)
}

func (s *story) put(r *rapid.T, tx *Tx, today civil.Day) error {
	number := rapid.IntRange(0, 2).Draw(r, "record")
	back := today - civil.Day(rapid.IntRange(0, 4).Draw(r, "days back"))
	switch rapid.IntRange(0, 5).Draw(r, "kind") {
	case 0: // a slow kind may count from a day to come
		day := back + civil.Day(rapid.IntRange(0, 8).Draw(r, "days on"))
		kit := rig.Kit{ID: id.Kit(fmt.Sprint("kit", number)), Count: rapid.IntRange(1, 99).Draw(r, "count")}
		set(s.kits, kit.ID, day, kit.Count)
		_, err := tx.Put("counted", day, kit)
		return err
	case 1:
		p := people.Person{ID: id.Person(fmt.Sprint("person", number)), Employer: id.Employer(rapid.SampledFrom([]string{"", "windward"}).Draw(r, "employer"))}
		set(s.people, p.ID, back, string(p.Employer))
		_, err := tx.Put("recorded", back, p)
		return err
	case 2:
		return s.putSession(r, tx, fmt.Sprint("session", number), back)
	case 3:
		a := session.Attendance{Session: "first"}
		for _, t := range []string{"t-tilde", "t-osei"} {
			if rapid.Bool().Draw(r, "there") {
				a.Presences = append(a.Presences, session.Presence{Who: t, Part: session.AsTrainee, Mark: session.Present, Start: nine, End: nine.Add(90)})
			}
		}
		_, err := tx.Put("signed", back, a)
		return err
	case 4:
		res := session.Results{Session: "first", By: "brona"}
		for _, t := range []id.Trainee{"t-tilde", "t-osei"} {
			res.Results = append(res.Results, session.Result{Trainee: t, Outcome: "harness-on",
				Result: rapid.SampledFrom([]session.Assessed{session.Competent, session.NotYetCompetent, session.NotAssessed}).Draw(r, "result")})
		}
		_, err := tx.Put("signed", back, res)
		return err
	default:
		_, err := tx.Put("given", back, credential.Certificate{ID: id.Certificate(fmt.Sprint("cert", number)), Number: number + 1,
			Person: id.Person(rapid.SampledFrom([]string{"brona", "ivo", "tilde"}).Draw(r, "holder")), Kind: credential.FirstAid,
			State: rapid.SampledFrom([]credential.State{credential.Valid, credential.Suspended}).Draw(r, "state"), From: back})
		return err
	}
}

func (s *story) putSession(r *rapid.T, tx *Tx, of string, back civil.Day) error {
	day := back + civil.Day(rapid.IntRange(-2, 20).Draw(r, "start"))
	one := booked(id.Session(of), s.b.Zone().At(day, 600))
	set(s.booked, one.ID, back, day)
	if _, err := tx.Put("booked", back, one); err != nil {
		return err
	}
	first := booked("first", nine)
	first.State = rapid.SampledFrom([]session.State{session.Booked, session.SignedOff, session.CutShort}).Draw(r, "state")
	first.Trial = rapid.IntRange(0, 5).Draw(r, "trial") == 0
	_, err := tx.Put("booked", back, first)
	return err
}

// holds compares one standpoint with what the store says of it.
func (s *story) holds(r *rapid.T, v *View, p standpoint, day civil.Day) {
	at := v.At(p.entry, day)
	ref, err := at.Reference()
	if err != nil {
		r.Fatal(err)
	}
	for kit, days := range p.kits {
		want, there := on1(days, day)
		got, ok := ref.Kits.On(kit, day)
		if ok != there || got.Count != want {
			r.Fatalf("as of entry %d on %s: %s counts %d (%t), want %d (%t)", p.entry, day, kit, got.Count, ok, want, there)
		}
	}
	for person, days := range p.people {
		want, there := on1(days, day)
		got, err := at.Person(person)
		if (err == nil) != there || string(got.Value.Employer) != want {
			r.Fatalf("as of entry %d on %s: %s is of %q (%v), want %q (%t)", p.entry, day, person, got.Value.Employer, err, want, there)
		}
	}
	var want []id.Session
	for of, days := range p.booked {
		if start, there := on1(days, day); there && start == day {
			want = append(want, of)
		}
	}
	sessions, err := at.SessionsOf([]id.Person{"ivo"}, nil, v.Zone().StartOfDay(day), v.Zone().StartOfDay(day+1))
	if err != nil {
		r.Fatal(err)
	}
	var got []id.Session
	for _, one := range sessions {
		if one.ID != "first" {
			got = append(got, one.ID)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		r.Fatalf("as of entry %d on %s: ivo takes part in %v, want %v", p.entry, day, got, want)
	}
	s.completionsAgree(r, at)
}

// completionsAgree derives completions from the three records as they stand.
func (s *story) completionsAgree(r *rapid.T, at *View) {
	var now signed
	if row, err := at.Session("first"); err == nil {
		now.session = &row.Value
	}
	if a, err := at.Attendance("first"); err == nil && len(a) == 1 {
		now.attendance = &a[0]
	}
	if res, err := at.Results("first"); err == nil && len(res) == 1 {
		now.results = &res[0]
	}
	got, err := at.Completions("t-tilde", "t-osei")
	if err != nil {
		r.Fatal(err)
	}
	var who []id.Trainee
	for _, c := range got {
		who = append(who, c.Trainee)
	}
	slices.Sort(who)
	ref, err := at.Reference()
	if err != nil {
		r.Fatal(err)
	}
	harness, _ := ref.Exercises.On("harness", at.zone.DayOf(nine))
	if want := now.completed(&harness); !slices.Equal(who, want) {
		r.Fatalf("as of entry %d on %s: %v completed, want %v", at.Head(), at.Day(), who, want)
	}
}

// try is do for a write that may fail.
func (b *bench) try(fn func(*Tx) error) error {
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) { return "/done", fn(tx) })
	return err
}

func TestWhatStoodIsReadBackForEveryEntryAndDayAndIsRebuilt(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := &bench{t: t, dir: t.TempDir(), at: morning, hasty: true}
		b.open()
		defer b.Close()
		b.yard()
		b.put(booked("first", nine))
		s := &story{b: b, kits: map[id.Kit]map[civil.Day]int{}, people: map[id.Person]map[civil.Day]string{}, booked: map[id.Session]map[civil.Day]civil.Day{}}
		for range rapid.IntRange(1, 8).Draw(r, "writes") {
			s.write(r)
		}
		if rapid.Bool().Draw(r, "opened again") {
			b.reopen()
		}
		start := b.Zone().DayOf(nine)
		b.read(func(v *View) error {
			for _, p := range s.past {
				for d := start - 5; d < start+20; d++ {
					s.holds(r, v, p, d)
				}
			}
			return nil
		})
		report, err := b.Rebuild(context.Background())
		if err != nil || !report.Equal() {
			r.Fatalf("%v, %v", report, err)
		}
	})
}

// TestTheReferenceGrownEntryByEntryIsThatReadAtOnce holds the cache to account.
func TestTheReferenceGrownEntryByEntryIsThatReadAtOnce(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := &bench{t: t, dir: t.TempDir(), at: morning, hasty: true}
		b.open()
		defer b.Close()
		b.yard()
		s := &story{b: b, kits: map[id.Kit]map[civil.Day]int{}, people: map[id.Person]map[civil.Day]string{}, booked: map[id.Session]map[civil.Day]civil.Day{}}
		b.put(booked("first", nine))
		for range rapid.IntRange(1, 6).Draw(r, "writes") {
			s.write(r)
			b.read(func(v *View) error {
				grown, err := v.Reference()
				if err != nil {
					return err
				}
				atOnce, err := v.loadReference(nil, grown.Entry)
				if err != nil {
					return err
				}
				ignoreOrder := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".order" }, cmp.Ignore())
				if diff := cmp.Diff(atOnce, grown, cmp.Exporter(func(reflect.Type) bool { return true }), ignoreOrder, cmpopts.EquateEmpty()); diff != "" {
					r.Fatal(diff)
				}
				return nil
			})
		}
	})
}
