package store

import (
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// drawn is one of the three records that completions follow from, as it might be put.
func drawn(r *rapid.T) any {
	who := []id.Trainee{"t-osei", "t-tilde"}
	switch rapid.IntRange(0, 2).Draw(r, "record") {
	case 0:
		s := booked("s", nine)
		s.State = rapid.SampledFrom([]session.State{session.UnderWay, session.SignedOff, session.CutShort, session.StoodDown}).Draw(r, "state")
		s.Trainees = who[rapid.IntRange(0, 1).Draw(r, "booked"):]
		return s
	case 1:
		a := session.Attendance{Session: "s"}
		for _, t := range who {
			if rapid.IntRange(0, 3).Draw(r, "there") > 0 {
				a.Presences = append(a.Presences, session.Presence{Who: string(t), Part: session.AsTrainee, Mark: session.Present, Start: nine, End: nine.Add(90)})
			}
		}
		return a
	default:
		res := session.Results{Session: "s", By: "brona"}
		for _, t := range who {
			res.Results = append(res.Results, session.Result{Trainee: t, Outcome: "harness-on",
				Result: rapid.SampledFrom([]session.Assessed{session.Competent, session.Competent, session.NotYetCompetent}).Draw(r, "found")})
		}
		return res
	}
}

// completedOn is what the three records say by themselves, as they count on the view's day.
func completedOn(v *View, exercise curriculum.Exercise) (out []id.Trainee, err error) {
	s, err := v.Session("s")
	if err != nil {
		return nil, err
	}
	a, _, err := v.Roll("s")
	if err != nil {
		return nil, err
	}
	res, _, err := v.Assessed("s")
	if err != nil {
		return nil, err
	}
	for _, t := range s.Value.Trainees {
		if session.Completed(s.Value, a, res, exercise, t) {
			out = append(out, t)
		}
	}
	return out, nil
}

// TestCompletionsAreThoseOfTheThreeRecordsOnEachDay whatever day each of them counts
// from and in whichever order, and writes, they were put.
func TestCompletionsAreThoseOfTheThreeRecordsOnEachDay(t *testing.T) {
	exercise := curriculum.Exercise{ID: "harness", Outcomes: []id.Outcome{"harness-on"}}
	rapid.Check(t, func(r *rapid.T) {
		b := &bench{t: t, dir: t.TempDir(), at: morning, hasty: true}
		b.open()
		defer func() {
			if err := b.Close(); err != nil {
				r.Fatal(err)
			}
		}()
		b.yard()
		today := b.Zone().DayOf(nine)
		b.do(func(tx *Tx) error { return putFrom(tx, today-6, booked("s", nine)) })
		var at []int64
		for range rapid.IntRange(1, 6).Draw(r, "writes") {
			b.do(func(tx *Tx) error {
				for range rapid.IntRange(1, 3).Draw(r, "facts") {
					if err := putFrom(tx, today-civil.Day(rapid.IntRange(0, 5).Draw(r, "days back")), drawn(r)); err != nil {
						return err
					}
				}
				return nil
			})
			b.read(func(v *View) error { at = append(at, v.Head()); return nil })
		}
		b.read(func(v *View) error {
			for _, entry := range at {
				for day := today - 6; day <= today; day++ {
					then := v.At(entry, day)
					want, err := completedOn(then, exercise)
					if err != nil {
						return err
					}
					found, err := then.Completions("t-osei", "t-tilde")
					var got []id.Trainee
					for _, c := range found {
						got = append(got, c.Trainee)
					}
					if err != nil || !slices.Equal(got, want) {
						r.Errorf("at entry %d on day %s: %v, %v; want %v", entry, day, got, err, want)
					}
				}
			}
			return nil
		})
		b.equalsRebuilt()
	})
}

// held puts a session that everybody came to, with what was found of one outcome.
func held(tx *Tx, of id.Session, outcome id.Outcome) error {
	s := booked(of, nine)
	if err := putAll(tx, s); err != nil {
		return err
	}
	a, res := session.Attendance{Session: of}, session.Results{Session: of, By: "brona"}
	for _, t := range s.Trainees {
		a.Presences = append(a.Presences, session.Presence{Who: string(t), Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End})
		res.Results = append(res.Results, session.Result{Trainee: t, Outcome: outcome, Result: session.Competent})
	}
	s.State = session.SignedOff
	err := putAll(tx, a, res)
	clear(a.Presences) // a caller's lists are its own again
	clear(res.Results)
	return errors.Join(err, putAll(tx, s))
}

// TestWhatAnExerciseAsksIsThatOfTheSignature: of the newest version then on record, also
// where another write changed it, or meant to and was undone.
func TestWhatAnExerciseAsksIsThatOfTheSignature(t *testing.T) {
	b := newBench(t)
	b.yard()
	asks := func(outcome id.Outcome) curriculum.Exercise {
		return curriculum.Exercise{ID: "harness", Minutes: 90, Stations: []id.Station{"deck-a"}, Outcomes: []id.Outcome{outcome}}
	}
	done := func(want ...id.Session) {
		t.Helper()
		b.read(func(v *View) error {
			found, err := v.Completions("t-tilde")
			var got []id.Session
			for _, c := range found {
				got = append(got, c.Session)
			}
			slices.Sort(got)
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("%v, %v; want %v", got, err, want)
			}
			return nil
		})
	}
	b.put(curriculum.Outcome{ID: "off"})
	b.do(func(tx *Tx) error { return held(tx, "a", "harness-on") })
	done("a")
	undone := errors.New("undone")
	if err := b.try(func(tx *Tx) error { return errors.Join(putAll(tx, asks("off")), held(tx, "b", "off"), undone) }); !errors.Is(err, undone) {
		t.Fatal(err)
	}
	done("a")
	b.do(func(tx *Tx) error { return held(tx, "c", "off") })
	done("a")
	b.do(func(tx *Tx) error { return held(tx, "d", "harness-on") })
	done("a", "d")
	b.put(asks("off"))
	b.do(func(tx *Tx) error { return held(tx, "e", "harness-on") })
	b.do(func(tx *Tx) error { return held(tx, "f", "off") })
	done("a", "d", "f")
	b.do(func(tx *Tx) error {
		return errors.Join(held(tx, "g", "off"), putAll(tx, asks("harness-on")), held(tx, "h", "off"))
	})
	done("a", "d", "f", "g")
	b.equalsRebuilt()
}
