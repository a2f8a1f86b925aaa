package store

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/session"
)

func TestHoursAreTheMinutesPresentLessThePausesWithin(t *testing.T) {
	b := newBench(t)
	b.yard()
	// The exercise lasts 90 minutes with a pause from 40 to 50.
	there := func(from, to civil.Minutes) session.Presence {
		return session.Presence{Who: "t-tilde", Part: session.AsTrainee, Mark: session.Present, Start: nine.Add(from), End: nine.Add(to)}
	}
	for name, c := range map[string]struct {
		presences []session.Presence
		want      civil.Minutes
	}{
		"the whole time":             {[]session.Presence{there(0, 90)}, 80},
		"left as the pause began":    {[]session.Presence{there(0, 40)}, 40},
		"left within the pause":      {[]session.Presence{there(0, 45)}, 40},
		"came after the pause":       {[]session.Presence{there(50, 90)}, 40},
		"away and back":              {[]session.Presence{there(0, 20), there(60, 90)}, 50},
		"with the instructor beside": {[]session.Presence{there(0, 40), {Who: "brona", Part: session.AsInstructor, Mark: session.Present, Start: nine, End: nine.Add(90)}}, 40},
	} {
		ran := booked("s", nine)
		ran.State = session.SignedOff
		b.put(ran, session.Attendance{Session: "s", Presences: c.presences})
		b.read(func(v *View) error {
			got, err := v.HoursOf("tilde")
			wantRow := HourRow{"t-tilde", "s", "harness", "deck-a", "tower", nine, c.want}
			if err != nil || len(got) != 1 || got[0] != wantRow {
				t.Errorf("%s: %+v, %v; want %+v", name, got, err, wantRow)
			}
			return nil
		})
	}
	for _, c := range []struct {
		name   string
		change func(*session.Session)
		want   []civil.Minutes
	}{
		{"stood down", func(s *session.Session) { s.State = session.StoodDown }, nil},
		{"under way", func(s *session.Session) { s.State = session.UnderWay }, nil},
		{"a trial", func(s *session.Session) { s.Trial = true }, nil},
		{"run without the planned pause", func(s *session.Session) { s.Run = &session.Run{Began: nine, Ended: nine.Add(90)} }, []civil.Minutes{40}},
		{"run with a pause of its own", func(s *session.Session) {
			s.Run = &session.Run{Began: nine, Ended: nine.Add(90), Pauses: []session.Pause{{Start: nine.Add(10), End: nine.Add(25), Why: session.PauseWeather}}}
		}, []civil.Minutes{25}},
	} {
		s := booked("s", nine)
		s.State = session.SignedOff
		c.change(&s)
		b.put(s, session.Attendance{Session: "s", Presences: []session.Presence{there(0, 40), {Who: "t-osei", Part: session.AsTrainee, Mark: session.Present, Start: nine}}})
		b.read(func(v *View) error {
			got, err := v.HoursOf("tilde")
			var minutes []civil.Minutes
			for _, h := range got {
				minutes = append(minutes, h.Minutes)
			}
			if err != nil || !slices.Equal(minutes, c.want) {
				t.Errorf("%s: %v, %v; want %v", c.name, minutes, err, c.want)
			}
			return nil
		})
	}
	b.put(booked("s", nine), session.Attendance{Session: "s", Presences: []session.Presence{{Who: "t-tilde", Part: session.AsTrainee, Mark: session.DidNotCome}}})
	b.read(func(v *View) error {
		got, err := v.HoursOf("tilde")
		if err != nil || len(got) != 0 {
			t.Errorf("did not come: %v, %v", got, err)
		}
		return nil
	})
}

func TestCompletionsFollowTheSignedSession(t *testing.T) {
	b := newBench(t)
	b.yard()
	s := booked("s", nine)
	s.State = session.SignedOff
	attendance := session.Attendance{Session: "s"}
	results := session.Results{Session: "s", By: "brona"}
	for _, who := range s.Trainees {
		attendance.Presences = append(attendance.Presences, session.Presence{Who: string(who), Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End})
		results.Results = append(results.Results, session.Result{Trainee: who, Outcome: "harness-on", Result: session.Competent})
	}
	done := func(want ...Completion) {
		t.Helper()
		b.read(func(v *View) error {
			got, err := v.Completions("t-osei", "t-tilde")
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("got %v, %v; want %v", got, err, want)
			}
			byPerson, err := v.CompletionsOfPersons("tilde", "osei")
			if err != nil || !slices.Equal(byPerson, want) {
				t.Errorf("by person: %v, %v", byPerson, err)
			}
			return nil
		})
	}
	osei := Completion{"t-osei", "osei", "harness", "s", s.End}
	tilde := Completion{"t-tilde", "tilde", "harness", "s", s.End}
	b.put(s)
	done()
	b.put(attendance)
	done()
	b.put(results)
	done(osei, tilde)
	for _, state := range []session.State{session.UnderWay, session.CutShort, session.StoodDown, session.SignedOff} { // no move, but a correction may
		s.State = state
		b.put(s)
		if state.Signed() {
			done(osei, tilde)
		} else {
			done()
		}
	}
	results.Results[1].Result = session.NotYetCompetent
	b.put(results)
	done(osei)
	attendance.Presences[0] = session.Presence{Who: "t-osei", Part: session.AsTrainee, Mark: session.DidNotCome}
	b.put(attendance)
	done()
	b.read(func(v *View) error {
		got, err := v.At(v.Head()-2, v.Today()).Completions("t-osei", "t-tilde")
		if err != nil || len(got) != 2 {
			t.Errorf("as known before: %v, %v", got, err)
		}
		return nil
	})
	b.equalsRebuilt()
}
