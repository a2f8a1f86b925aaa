package solve

import (
	"reflect"
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

const hour = civil.Minutes(60)

// monday is a Monday without a clock change near.
var monday = civil.DayOf(2027, 5, 3)

// small is a yard that stops nothing: two stations, two exercises, three staff.
func small(t testing.TB) *plan.Problem {
	always := plan.Validity{From: monday - 100, Until: monday + 100}
	p := &plan.Problem{
		Zone: dublin(t), Grid: 30, From: monday, Days: 7,
		Open:     []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * hour, To: 17 * hour}},
		Rigs:     []plan.Rig{{ID: "tower"}},
		Stations: []plan.Station{{ID: "north", Rig: "tower", Places: 6}, {ID: "south", Rig: "tower", Places: 6}},
		Exercises: []plan.Exercise{
			{ID: "climb", Minutes: 120, Stations: []string{"north", "south"}, GroupMin: 1, Ratio: 4},
			{ID: "brief", Minutes: 60, Stations: []string{"south"}, GroupMin: 1, Ratio: 12},
		},
		RestPolicies: []plan.RestPolicy{{Name: "day", DayMinutes: 8 * hour}},
	}
	for _, id := range []string{"ann", "bo", "cy"} {
		p.People = append(p.People, plan.Person{ID: id, Rest: []string{"day"}, Teaches: []plan.Teaches{{Exercise: "climb", Validity: always}, {Exercise: "brief", Validity: always}}})
	}
	for _, id := range []string{"una", "vic", "wes", "xia"} {
		p.Trainees = append(p.Trainees, plan.Trainee{ID: id, Intake: "may", Needs: []string{"climb", "brief"}, Rest: []string{"day"}})
	}
	return p
}

func (p problem) at(d civil.Day, clock civil.Minutes) civil.Instant { return p.Zone.At(d, clock) }

type problem struct{ *plan.Problem }

// brief is a standing session of the exercise "brief" for una and vic.
func (p problem) brief(id string, d civil.Day, clock civil.Minutes, instructor string) plan.Session {
	return plan.Session{ID: id, Exercise: "brief", Station: "south", Start: p.at(d, clock), End: p.at(d, clock+hour),
		Trainees: []string{"una", "vic"}, Instructors: []string{instructor}}
}

func climb(days ...civil.Day) Ask {
	return Ask{Exercise: "climb", Trainees: []string{"vic", "una"}, Days: days}
}

func TestOffersPreferDaysOnWhichTheTraineesComeAnyway(t *testing.T) {
	p := problem{small(t)}
	offers, refused := Compile(p.Problem).Board([]plan.Session{p.brief("b", monday+2, 10*hour, "ann")}).Insertions(climb())
	first := offers[0]
	if first.TraineeDays != 0 || first.Idle != 0 || p.Zone.DayOf(first.Session.Start) != monday+2 {
		t.Errorf("first offer %+v, want one on the Wednesday, right before or after the brief", first)
	}
	if start := p.at(monday+2, 8*hour); first.Session.Start != start || first.Session.Station != "north" {
		t.Errorf("first offer %+v, want the earlier of the two times without waiting, on the first station", first)
	}
	if !slices.Equal(first.Session.Instructors, []string{"ann"}) || first.StaffDays != 0 || first.StaffMinutes != 120 {
		t.Errorf("first offer %+v, want ann, who is in anyway", first)
	}
	last := offers[len(offers)-1]
	if last.TraineeDays != 2 || last.StaffDays != 1 {
		t.Errorf("last offer %+v, want one on a day of its own", last)
	}
	if want := []string{"open-hours"}; len(refused) != 4 || !slices.Equal(refused[0].Rules, want) {
		t.Errorf("refused %+v, want both stations on Saturday and Sunday for %v", refused, want)
	}
}

func TestOffersAreDiverseBeyondTheFirstThree(t *testing.T) {
	p := problem{small(t)}
	offers, _ := Compile(p.Problem).Board(nil).Insertions(climb())
	type place struct {
		station string
		day     civil.Day
	}
	seen := make(map[place]int)
	for i, o := range offers {
		at := place{o.Session.Station, p.Zone.DayOf(o.Session.Start)}
		if seen[at]++; i >= best && seen[at] > 1 {
			t.Errorf("offer %d repeats %v", i, at)
		}
	}
	if len(seen) != 10 {
		t.Errorf("offers on %d stations and days, want all 10", len(seen))
	}
	for i, o := range offers[:best] {
		for _, u := range offers[:i] {
			if o.Session.Station == u.Session.Station && o.Session.Period().Overlaps(u.Session.Period()) {
				t.Errorf("%v and %v overlap on one station: no real alternatives", u.Session, o.Session)
			}
		}
	}
	few, _ := Compile(p.Problem).Board(nil).Insertions(Ask{Exercise: "climb", Trainees: []string{"una", "vic"}, Most: 4})
	if !reflect.DeepEqual(few, offers[:4]) {
		t.Errorf("with Most 4: %+v\nwant the first four of %+v", few, offers)
	}
}

func TestPreferredDaysComeFirstAmongEquals(t *testing.T) {
	p := problem{small(t)}
	offers, _ := Compile(p.Problem).Board(nil).Insertions(climb(monday+3, monday+1))
	if d := p.Zone.DayOf(offers[0].Session.Start); d != monday+3 {
		t.Errorf("first offer on %v, want %v, which was named first", d, monday+3)
	}
}

func TestNothingStartsBeforeNow(t *testing.T) {
	p := problem{small(t)}
	for _, c := range []struct {
		name  string
		now   civil.Minutes
		first civil.Minutes // of the first offer
	}{{"on the minute", 9 * hour, 9 * hour}, {"a minute later", 9*hour + 1, 9*hour + 30}} {
		a := climb(monday)
		a.NotBefore = p.at(monday, c.now)
		offers, _ := Compile(p.Problem).Board(nil).Insertions(a)
		if got, want := offers[0].Session.Start, p.at(monday, c.first); got != want {
			t.Errorf("%s: first offer at %s, want %s", c.name, p.Zone.Format(got), p.Zone.Format(want))
		}
	}
	a := climb(monday)
	a.NotBefore = p.at(monday+1, 0)
	if offers, refused := Compile(p.Problem).Board(nil).Insertions(a); len(offers)+len(refused) > 0 {
		t.Errorf("a day that is over: offers %v, refused %v", offers, refused)
	}
}

func TestPeopleAlreadyChosenTakePart(t *testing.T) {
	p := problem{small(t)}
	a := climb(monday)
	a.Instructors = []string{"cy"}
	offers, _ := Compile(p.Problem).Board(nil).Insertions(a)
	for _, o := range offers {
		if !slices.Equal(o.Session.Instructors, []string{"cy"}) {
			t.Errorf("%v: want cy alone", o.Session)
		}
	}
	p.People[2].Teaches = nil
	offers, refused := Compile(p.Problem).Board(nil).Insertions(a)
	if len(offers) > 0 || len(refused) != 2 || !slices.Equal(refused[0].Rules, []string{"qualified"}) {
		t.Errorf("an unqualified choice: offers %v, refused %+v", offers, refused)
	}
}

func TestRefusalNamesTheShortestOfStaff(t *testing.T) {
	p := problem{small(t)}
	for i := range p.People {
		p.People[i].Available = []civil.Period{{Start: p.at(monday+1, 0), End: p.at(monday+2, 0)}}
	}
	offers, refused := Compile(p.Problem).Board(nil).Insertions(climb(monday))
	if len(offers) != 0 || len(refused) != 2 {
		t.Fatalf("offers %v, refused %v", offers, refused)
	}
	r := refused[0]
	if !slices.Equal(r.Rules, []string{"ratio"}) || len(r.Session.Instructors) != 0 || r.Session.Start != p.at(monday, 8*hour) {
		t.Errorf("refused %+v, want the first time of the day, without an instructor", r)
	}
}

func TestAMoveThinksTheOldPlaceAway(t *testing.T) {
	p := problem{small(t)}
	old := plan.Session{ID: "m", Exercise: "climb", Station: "north", Start: p.at(monday, 8*hour), End: p.at(monday, 10*hour),
		Trainees: []string{"una", "vic"}, Instructors: []string{"ann"}, Others: []string{"xia"}}
	b := Compile(p.Problem).Board([]plan.Session{old})
	a := climb(monday)
	if offers, refused := b.Insertions(a); len(offers) > 0 || !slices.Contains(refused[0].Rules, "needed-once") {
		t.Errorf("the group climbs already: offers %v, refused %v", offers, refused)
	}
	a.Remove = []string{"m"}
	offers, _ := b.Insertions(a)
	if len(offers) == 0 || offers[0].Session.ID != "m" || !slices.Equal(offers[0].Session.Others, []string{"xia"}) {
		t.Fatalf("offers %+v, want the session's own id and its watcher", offers)
	}
	if got, want := offers[0].Session.Start, old.Start; got != want {
		t.Errorf("first offer at %s, want its own old time %s", p.Zone.Format(got), p.Zone.Format(want))
	}
}

func TestAMoveKeepsWhatComesAfterInOrder(t *testing.T) {
	p := problem{small(t)}
	p.Exercises[0].After = []plan.After{{Exercise: "brief", MinGap: 30}}
	standing := []plan.Session{p.brief("b", monday, 8*hour, "ann"), {ID: "c", Exercise: "climb", Station: "north",
		Start: p.at(monday, 13*hour), End: p.at(monday, 15*hour), Trainees: []string{"una", "vic"}, Instructors: []string{"ann"}}}
	offers, refused := Compile(p.Problem).Board(standing).Insertions(Ask{Exercise: "brief", Trainees: []string{"una", "vic"},
		Days: []civil.Day{monday, monday + 1}, Remove: []string{"b"}})
	for _, o := range offers {
		if o.Session.End > p.at(monday, 12*hour+30) {
			t.Errorf("%v ends too late for the climb that comes after", o.Session)
		}
	}
	if len(offers) == 0 || offers[0].Session.End != p.at(monday, 12*hour+30) {
		t.Errorf("offers %+v, want the last time that still lies half an hour before the climb", offers)
	}
	if len(refused) != 1 || !slices.Equal(refused[0].Rules, []string{"order"}) {
		t.Errorf("refused %+v, want the Tuesday for order", refused)
	}
}

func TestInsertionsLeaveTheBoardAsItWas(t *testing.T) {
	p := yard(t, 30)
	p.Days = 14
	c := Compile(p)
	standing := []plan.Session{}
	b := c.Board(nil)
	for i := range 8 {
		offers, _ := b.Insertions(Ask{Exercise: p.Exercises[i].ID, Trainees: half(p, i/2, 0), Most: 1})
		s := offers[0].Session
		s.ID = p.Exercises[i].ID
		standing = append(standing, s)
		b = c.Board(standing)
	}
	a := Ask{Exercise: "exercise3", Trainees: half(p, 1, 0), Remove: []string{"exercise3", "exercise2"}, Most: 5}
	offers, refused := b.Insertions(a)
	b.Fits(standing[2])
	fresh := c.Board(standing)
	again, refusedAgain := b.Insertions(a)
	want, refusedWant := fresh.Insertions(a)
	if !reflect.DeepEqual(offers, again) || !reflect.DeepEqual(offers, want) ||
		!reflect.DeepEqual(refused, refusedAgain) || !reflect.DeepEqual(refused, refusedWant) {
		t.Error("the second answer, or that of a fresh board, differs from the first")
	}
}

func TestUnknownNamesAreNeverClear(t *testing.T) {
	p := problem{small(t)}
	b := Compile(p.Problem).Board(nil)
	s := p.brief("b", monday, 8*hour, "ann")
	if got := b.Fits(s); got != nil {
		t.Fatalf("the session itself: %v", got)
	}
	for name, change := range map[string]func(*plan.Session){
		"exercise":   func(s *plan.Session) { s.Exercise = "?" },
		"station":    func(s *plan.Session) { s.Station = "?" },
		"trainee":    func(s *plan.Session) { s.Trainees = []string{"una", "?"} },
		"instructor": func(s *plan.Session) { s.Instructors = []string{"una"} },
		"rescuer":    func(s *plan.Session) { s.Rescuers = []string{"?"} },
		"watcher":    func(s *plan.Session) { s.Others = []string{"?"} },
	} {
		c := s.Clone()
		change(&c)
		if got := b.Fits(c); !slices.Equal(got, []string{"unusable"}) {
			t.Errorf("unknown %s: %v", name, got)
		}
	}
	for name, a := range map[string]Ask{
		"exercise":   {Exercise: "?", Trainees: []string{"una"}},
		"trainee":    {Exercise: "climb", Trainees: []string{"?"}},
		"station":    {Exercise: "climb", Trainees: []string{"una"}, Stations: []string{"?"}},
		"instructor": {Exercise: "climb", Trainees: []string{"una"}, Instructors: []string{"?"}},
		"rescuer":    {Exercise: "climb", Trainees: []string{"una"}, Rescuers: []string{"?"}},
	} {
		if offers, refused := b.Insertions(a); offers != nil || refused != nil {
			t.Errorf("unknown %s: offers %v, refused %v", name, offers, refused)
		}
	}
}

func TestAFixedSessionStaysAsItIs(t *testing.T) {
	p := problem{small(t)}
	p.Fixed = []plan.Session{p.brief("b", monday, 8*hour, "ann")}
	b := Compile(p.Problem).Board(p.Fixed)
	if got := b.Fits(p.Fixed[0]); got != nil {
		t.Errorf("unchanged: %v", got)
	}
	if got := b.Fits(p.brief("b", monday, 9*hour, "ann")); !slices.Equal(got, []string{"fixed"}) {
		t.Errorf("moved: %v, want fixed", got)
	}
	offers, _ := b.Insertions(Ask{Exercise: "brief", Trainees: []string{"una", "vic"}, Remove: []string{"b"}})
	if len(offers) > 0 {
		t.Errorf("offers %v for a fixed session", offers)
	}
}

func TestRulesAreNamedAndOrderedAsCheckNamesThem(t *testing.T) {
	var want []string
	for _, r := range check.Rules() {
		if r.Name != "stated" { // of what a plan says of itself: no session breaks it
			want = append(want, r.Name)
		}
	}
	if got := (rules(1)<<ruleCount - 1).names(); !slices.Equal(got, want) {
		t.Errorf("rules %v\nwant  %v", got, want)
	}
}

// Starts on the day the clock goes forward (Dublin, 28 March 2027, 01:00 → 02:00)
// and on the day it goes back (31 October 2027, 02:00 → 01:00).
func TestStartsFollowTheLocalClockAcrossItsChanges(t *testing.T) {
	p := small(t)
	p.Open = []plan.Window{{Weekdays: []int{7}, From: 0, To: 4 * hour}}
	for _, c := range []struct {
		name string
		day  civil.Day
		grid civil.Minutes
		want []string // local clock of the starts of sessions of one hour
	}{
		{"forward, on the hour", civil.DayOf(2027, 3, 28), 60, []string{"00:00", "02:00", "03:00"}},
		{"forward, by 90 minutes", civil.DayOf(2027, 3, 28), 90, []string{"00:00", "03:00"}},
		{"back, on the hour", civil.DayOf(2027, 10, 31), 60, []string{"00:00", "01:00", "01:00", "02:00", "03:00"}},
		{"back, by 90 minutes", civil.DayOf(2027, 10, 31), 90, []string{"00:00", "01:30", "01:30", "03:00"}},
	} {
		p.From, p.Grid = c.day, c.grid
		k := newCalendar(p)
		var got []string
		for _, at := range k.starts(c.day, hour) {
			got = append(got, civil.ClockString(p.Zone.Clock(at)))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// The hours of days that no search looks at are worked out when they are asked for.
func TestOpeningHoursAreKnownBeyondTheDaysThatAreSearched(t *testing.T) {
	p := &plan.Problem{Zone: dublin(t), Grid: 60, From: from, Days: mostDays + 20,
		Open:       []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * 60, To: 10 * 60}},
		ClosedDays: []civil.Day{from + mostDays + 7}}
	c := Compile(p)
	for d := from + mostDays - 7; d < from+mostDays+21; d++ {
		want := 2
		if d.Weekday() > 5 || d == from+mostDays+7 || d >= from+mostDays+20 {
			want = 0
		}
		if got := len(c.starts(d, 60)); got != want {
			t.Errorf("%s has %d starts, want %d", d, got, want)
		}
		if want > 0 && !c.openAt(d, civil.Period{Start: p.Zone.At(d, 8*60), End: p.Zone.At(d, 10*60)}) {
			t.Errorf("%s is not open", d)
		}
	}
}
