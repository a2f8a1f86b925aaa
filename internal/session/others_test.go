package session

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

func TestOthersJoinOnceAndInAPartOfTheList(t *testing.T) {
	there := []OtherAs{{"ada", Observer}}
	for _, c := range []struct {
		name  string
		who   OtherAs
		field string
	}{
		{"a visitor", OtherAs{"ben", Visitor}, ""},
		{"a candidate", OtherAs{"ben", Candidate}, ""},
		{"one who is there already", OtherAs{"ada", Auditor}, "person"},
		{"a part that is none", OtherAs{"ben", "instructor"}, "as"},
		{"no part", OtherAs{"ben", ""}, "as"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Joined(there, c.who)
			if c.field == "" && (err != nil || len(got) != 2) {
				t.Errorf("%v, %v", got, err)
			}
			if c.field != "" && (fault.Of(err) != fault.Invalid || got != nil) {
				t.Errorf("%v, %v, want a refusal at %s", got, err, c.field)
			}
		})
	}
}

func TestPartsAreThoseOfTheOthersAndSorted(t *testing.T) {
	s := Session{ID: "s", State: Booked, Exercise: "e", Station: "d", Start: 1, End: 2, Trainees: []id.Trainee{"t"}}
	s = s.WithOthers([]OtherAs{{"zoe", Visitor}, {"ada", Candidate}})
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]OtherAs{{"ada", Candidate}, {"zoe", Visitor}}, s.TheOthers()); diff != "" {
		t.Error(diff)
	}
	s.Others = []id.Person{"zoe", "old"} // one without a part, as older records have them
	if diff := cmp.Diff([]OtherAs{{"old", Observer}, {"zoe", Visitor}}, s.Sorted().TheOthers()); diff != "" {
		t.Error(diff)
	}
	for name, spoil := range map[string]func(*Session){
		"a part of nobody":      func(s *Session) { s.Parts = []OtherAs{{"eva", Visitor}} },
		"a part of no list":     func(s *Session) { s.Parts = []OtherAs{{"zoe", "guest"}} },
		"a drill that credits":  func(s *Session) { s.TrialOf = TrialDrill },
		"a trial of no purpose": func(s *Session) { s.Trial, s.TrialOf = true, "rehearsal" },
	} {
		x := s.WithOthers([]OtherAs{{"zoe", Visitor}})
		if spoil(&x); x.Check() == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

func TestASignatureKeepsThePartsOfThoseWhoCame(t *testing.T) {
	s := Session{ID: "s", State: UnderWay, Exercise: "e", Station: "d", Start: 10, End: 70, Instructors: []id.Person{"ivo"}, Trial: true,
		Run: &Run{Began: 10, Ended: 60}}.WithOthers([]OtherAs{{"ada", Candidate}, {"zoe", Visitor}})
	there := func(who string, part Part) Presence {
		return Presence{Who: who, Part: part, Mark: Present, Start: 10, End: 60}
	}
	got, a, _, err := Signed(s, Attendance{Session: "s", Presences: []Presence{there("ivo", AsInstructor), there("ada", AsOther)}}, Results{}, ToSignOff, "ivo")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]OtherAs{{"ada", Candidate}}, got.TheOthers()); diff != "" {
		t.Error(diff)
	}
	if PresentMinutes(a.Presences[:1], nil) != civil.Minutes(50) || a.Presences[len(a.Presences)-1].Mark != DidNotCome {
		t.Errorf("the attendance is %v", a.Presences)
	}
}

func TestOnlyTrainingThatIsToComeServesANeed(t *testing.T) {
	for _, state := range States() {
		for _, trial := range []bool{false, true} {
			s := Session{State: state, Exercise: "e", Trainees: []id.Trainee{"t"}, Trial: trial}
			want := !trial && (state == Pencilled || state == Booked || state == UnderWay)
			if s.Serves("t", "e") != want || s.Serves("t", "f") || s.Serves("u", "e") {
				t.Errorf("%s, trial %t: serves %t", state, trial, s.Serves("t", "e"))
			}
		}
	}
}
