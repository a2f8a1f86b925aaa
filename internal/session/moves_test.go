package session

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// The table again as a grid: rows are moves, columns the states from which each
// is allowed. A second copy that must agree.
func TestEachStateAllowsItsMovesAndNoOthers(t *testing.T) {
	states := append([]State{""}, States()...) // -, pencilled, booked, under way, signed off, cut short, stood down
	grid := []struct {
		move    Move
		allowed string
		to      State
	}{
		{ToPencil, "y......", Pencilled},
		{ToBook, "yy.....", Booked},
		{ToMove, ".yy....", ""},
		{ToChangePeople, ".yy....", ""},
		{ToStandDown, ".yy....", StoodDown},
		{ToReopen, "......y", Booked},
		{ToStart, "..y....", UnderWay},
		{ToSignOff, "...y...", SignedOff},
		{ToCutShort, "...y...", CutShort},
		{ToPause, "...y...", ""},
		{ToResume, "...y...", ""},
		{ToSwap, "..yy...", ""},
		{ToCallRoll, "..yy...", ""},
		{ToEnd, "...y...", ""},
		{ToCorrect, "....yy.", ""},
		{ToTypeUp, "..y....", UnderWay},
	}
	for _, row := range grid {
		for i, from := range states {
			want, allowed := row.to, row.allowed[i] == 'y'
			if want == "" || !allowed {
				want = from
			}
			to, err := Next(from, row.move)
			if to != want || (err == nil) != allowed || (err != nil && fault.Of(err) != fault.Conflict) {
				t.Errorf("%s from %q: got %q, %v; want %q, allowed %t", row.move, from, to, err, want, allowed)
			}
			if (MayChange(from, string(row.move)) == nil) != allowed || slices.Contains(Moves(from), row.move) != allowed {
				t.Errorf("%s from %q: MayChange or Moves disagrees", row.move, from)
			}
		}
	}
}

func TestARefusedMoveNamesWhatWasFoundAndWhatIsRequired(t *testing.T) {
	cases := []struct {
		from State
		move Move
		want string
	}{
		{SignedOff, ToMove, "A session that is signed off can't be moved; it must be pencilled or booked."},
		{UnderWay, ToStandDown, "A session that is under way can't be stood down; it must be pencilled or booked."},
		{Booked, ToReopen, "A session that is booked can't be reopened; it must be stood down."},
		{StoodDown, ToChangePeople, "A session that is stood down can't be given other people; it must be pencilled or booked."},
		{"", ToStart, "A session that is not there yet can't be started; it must be booked."},
	}
	for _, c := range cases {
		if _, err := Next(c.from, c.move); fault.Message(err) != c.want {
			t.Errorf("got %q, want %q", fault.Message(err), c.want)
		}
	}
	if err := MayChange(Booked, "painted"); err == nil || fault.Of(err) != fault.Internal {
		t.Errorf("an unknown act: got %v, want an internal error", err)
	}
}

func TestStandingDownNeedsAReasonAndReopeningTakesItAway(t *testing.T) {
	s := Session{State: Booked}
	for _, r := range []DownReason{"", "sick"} {
		if got, err := s.StandDown(r); fault.Of(err) != fault.Invalid || got.State != Booked {
			t.Errorf("reason %q: got %s, %v; want it refused", r, got.State, err)
		}
	}
	down, err := s.StandDown(DownWeather)
	if err != nil || down.State != StoodDown || down.Down != DownWeather || down.State.Holds() {
		t.Fatalf("got %+v, %v", down, err)
	}
	if _, err := down.StandDown(DownRig); fault.Of(err) != fault.Conflict {
		t.Errorf("a second time: got %v, want a conflict", err)
	}
	up, err := down.Reopen()
	if err != nil || up.State != Booked || up.Down != "" {
		t.Errorf("got %+v, %v; want booked without a reason", up, err)
	}
	if _, err := up.Reopen(); fault.Of(err) != fault.Conflict {
		t.Errorf("reopened twice: got %v, want a conflict", err)
	}
}

func TestWhatRanNeverChangesAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := State("")
		ran := false
		for range 12 {
			m := rapid.SampledFrom(steps).Draw(t, "move").move
			to, err := Next(s, m)
			if err != nil {
				continue
			}
			if ran && to != s {
				t.Fatalf("%s became %s", s, to)
			}
			s = to
			ran = s == SignedOff || s == CutShort
		}
	})
}

func span(from, to int) Presence {
	return Presence{Who: "t", Part: AsTrainee, Mark: Present, Start: civil.Instant(from), End: civil.Instant(to)}
}

func TestPresentMinutesLeaveOutPausesAndAbsence(t *testing.T) {
	pauses := []civil.Period{{Start: 1060, End: 1075}, {Start: 1120, End: 1150}}
	cases := []struct {
		name      string
		presences []Presence
		want      civil.Minutes
	}{
		{"all of it", []Presence{span(1000, 1180)}, 135},
		{"left before the second pause", []Presence{span(1000, 1120)}, 105},
		{"came during the first pause", []Presence{span(1070, 1120)}, 45},
		{"left in the middle of a pause", []Presence{span(1000, 1130)}, 105},
		{"only the pause", []Presence{span(1060, 1075)}, 0},
		{"left and came back", []Presence{span(1000, 1040), span(1080, 1180)}, 110},
		{"given in the wrong order", []Presence{span(1080, 1180), span(1000, 1040)}, 110},
		{"overlapping spans count once", []Presence{span(1000, 1180), span(1010, 1100)}, 135},
		{"did not come", []Presence{{Who: "t", Part: AsTrainee, Mark: DidNotCome}}, 0},
		{"nothing", nil, 0},
		{"there still", []Presence{span(1000, 0)}, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := PresentMinutes(c.presences, pauses); got != c.want {
				t.Errorf("got %d minutes, want %d", got, c.want)
			}
		})
	}
}

func TestAnExerciseIsCompletedByEveryOutcomeShown(t *testing.T) {
	e := curriculum.Exercise{ID: "e", Outcomes: []id.Outcome{"o1", "o2"}}
	result := func(o id.Outcome, a Assessed) Result { return Result{Trainee: "t", Outcome: o, Result: a} }
	type run struct {
		s Session
		a Attendance
		r Results
	}
	cases := []struct {
		name   string
		change func(*run)
		want   bool
	}{
		{"both competent", func(r *run) {}, true},
		{"cut short, but both shown", func(r *run) { r.s.State = CutShort }, true},
		{"one not yet competent", func(r *run) { r.r.Results[1].Result = NotYetCompetent }, false},
		{"one not assessed", func(r *run) { r.r.Results[1].Result = NotAssessed }, false},
		{"one not recorded", func(r *run) { r.r.Results = r.r.Results[:1] }, false},
		{"one recorded both ways", func(r *run) { r.r.Results = append(r.r.Results, result("o1", NotYetCompetent)) }, false},
		{"another trainee's result", func(r *run) { r.r.Results[1].Trainee = "u" }, false},
		{"did not come", func(r *run) { r.a.Presences[0].Mark = DidNotCome }, false},
		{"came for no time", func(r *run) { r.a.Presences[0].End = r.a.Presences[0].Start }, false},
		{"watched only", func(r *run) { r.a.Presences[0].Part = AsOther }, false},
		{"not in the session", func(r *run) { r.s.Trainees = nil }, false},
		{"a trial", func(r *run) { r.s.Trial = true }, false},
		{"under way", func(r *run) { r.s.State = UnderWay }, false},
		{"booked", func(r *run) { r.s.State = Booked }, false},
		{"stood down", func(r *run) { r.s.State = StoodDown }, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := run{
				Session{State: SignedOff, Trainees: []id.Trainee{"t"}},
				Attendance{Presences: []Presence{span(1000, 1180)}},
				Results{Results: []Result{result("o1", Competent), result("o2", Competent)}},
			}
			c.change(&r)
			if got := Completed(r.s, r.a, r.r, e, "t"); got != c.want {
				t.Errorf("got %t, want %t", got, c.want)
			}
		})
	}
	if Completed(Session{State: SignedOff, Trainees: []id.Trainee{"t"}}, Attendance{Presences: []Presence{span(1, 2)}}, Results{}, curriculum.Exercise{}, "t") {
		t.Error("an exercise that delivers nothing was completed")
	}
}

func TestASessionsRecordIsCheckedFieldByField(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Session)
		bad    bool
	}{
		{"a whole one", func(s *Session) {}, false},
		{"no exercise", func(s *Session) { s.Exercise = "" }, true},
		{"no station", func(s *Session) { s.Station = "" }, true},
		{"no time", func(s *Session) { s.End = s.Start }, true},
		{"no trainees", func(s *Session) { s.Trainees = nil }, true},
		{"no trainees, a trial", func(s *Session) { s.Trainees, s.Trial = nil, true }, false},
		{"a trainee twice", func(s *Session) { s.Trainees = []id.Trainee{"t", "t"} }, true},
		{"an instructor who also stands by", func(s *Session) { s.Rescuers = []id.Person{"p"} }, true},
		{"no state", func(s *Session) { s.State = "" }, true},
		{"stood down without a reason", func(s *Session) { s.State = StoodDown }, true},
		{"booked with a reason", func(s *Session) { s.Down = DownRig }, true},
	}
	for _, c := range cases {
		s := Session{State: Booked, Exercise: "e", Station: "s", Start: 10, End: 20, Trainees: []id.Trainee{"t"}, Instructors: []id.Person{"p"}}
		c.change(&s)
		if err := s.Check(); (err != nil) != c.bad {
			t.Errorf("%s: got %v, refused %t", c.name, err, c.bad)
		}
	}
	s := Session{Trainees: []id.Trainee{"b", "a"}, Instructors: []id.Person{"d", "c"}}.Sorted()
	if s.Trainees[0] != "a" || s.Instructors[0] != "c" {
		t.Errorf("got %v %v, want them sorted", s.Trainees, s.Instructors)
	}
}
