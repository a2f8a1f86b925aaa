package founding_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

var (
	monday = civil.DayOf(2027, time.March, 1)
	dublin = func() civil.Zone {
		z, err := civil.LoadZone("Europe/Dublin")
		if err != nil {
			panic("the zone data built into the program lacks Europe/Dublin")
		}
		return z
	}()
)

// site is an empty yard's store and who sets it up.
type site struct {
	testing.TB
	*founding.Founder
	store *store.Store
	actor access.Actor
	keys  int
}

func empty(t testing.TB) *site {
	t.Helper()
	at := dublin.At(monday, 9*60)
	s, err := store.Open(context.Background(), store.Options{Dir: t.TempDir(), Clock: func() time.Time { return time.Unix(int64(at)*60, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	x := &site{TB: t, Founder: founding.New(s), store: s}
	x.actor = access.Actor{Roles: []access.Role{access.Administrator}, Today: monday}
	return x
}

func (s *site) key() string {
	s.keys++
	return fmt.Sprintf("key-%d", s.keys)
}

func (s *site) must(out string, err error) string {
	s.Helper()
	if err != nil {
		s.Fatalf("%v: %v", err, fieldsOf(err))
	}
	return out
}

func (s *site) ref() (ref *store.Reference) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) (err error) {
		ref, err = v.Reference()
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	return ref
}

// rev is the newest revision of a record.
func (s *site) rev(kind, of string) int64 {
	s.Helper()
	st, err := s.Standing(context.Background(), s.actor, kind, of)
	if err != nil {
		s.Fatal(err)
	}
	return st.Rev
}

func fieldsOf(err error) fault.Fields {
	var form *fault.Form
	if errors.As(err, &form) {
		return form.Fields
	}
	var one *fault.Error
	if errors.As(err, &one) && one.Field != "" {
		return fault.Fields{one.Field: one.Message}
	}
	return nil
}

// yard records the place, the rule book and two who work there.
func (s *site) yard() (first, second id.Person) {
	s.Helper()
	ctx := context.Background()
	s.must(s.Yard(ctx, s.actor, founding.Of{}, founding.Yard{Name: "Ballyfenor", Record: rig.Yard{Zone: "Europe/Dublin", Latitude: 54_000_000, Longitude: -9_000_000, Grid: 15,
		Open: []rig.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * 60, To: 17 * 60}}}}, s.key()))
	if err := s.Profiles(ctx, s.actor, []id.Profile{rulebook.TrainingStandard, rulebook.Upkeep, rulebook.Site}, 0, s.key()); err != nil {
		s.Fatal(err)
	}
	person := func(name string) id.Person {
		return id.Person(s.must(s.Person(ctx, s.actor, founding.Of{}, founding.Person{Name: name, Works: true, Staff: people.Staff{From: monday, Weekdays: []int{1, 2, 3, 4, 5}, Rest: []id.Profile{rulebook.Site}}}, s.key())))
	}
	first, second = person("Maeve Corrigan"), person("Ruadhan Tolan")
	s.actor.Person = first
	all := map[verdict.Field]id.Person{}
	for _, f := range verdict.Fields() {
		all[f] = first
	}
	if err := s.Appoint(ctx, s.actor, founding.Appointing{For: all, From: monday, Until: monday + 365}, s.key()); err != nil {
		s.Fatal(err)
	}
	s.actor.Appointments = s.ref().Appointments.All(monday)
	return first, second
}

// room records a hall and a room in it.
func (s *site) room() id.Station {
	s.Helper()
	ctx, none := context.Background(), 0
	hall := s.must(s.Rig(ctx, s.actor, founding.Of{}, founding.Rig{Name: "Hall", Record: rig.Rig{Kind: rig.Classroom, PeopleMax: 20, Drawing: rig.Drawing{Width: 100, Height: 40}}}, s.key()))
	return id.Station(s.must(s.Station(ctx, s.actor, founding.Of{}, founding.Station{Name: "Room", Record: rig.Station{Rig: id.Rig(hall), Places: 12, FirstAiders: &none, StaffMin: 1}}, s.key())))
}

func (s *site) theory(name string, room id.Station, outcomes ...string) id.Exercise {
	s.Helper()
	return id.Exercise(s.must(s.Exercise(context.Background(), s.actor, founding.Of{}, founding.Exercise{Name: name, Outcomes: outcomes,
		Record: curriculum.Exercise{Setting: curriculum.Theory, Minutes: 60, Stations: []id.Station{room}, Ratio: 12}}, s.key())))
}

func TestAnEmptyYardLacksEverythingAndSaysSo(t *testing.T) {
	s := empty(t)
	l, err := s.StartList(context.Background(), s.actor)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []founding.Part{founding.ThePlace, founding.TheRules, founding.ThePeople, founding.TheRigs, founding.TheTaught, founding.TheIntakes} {
		if len(l.Of(p)) == 0 {
			t.Errorf("nothing is missing in %s", p)
		}
	}
	if l.Booked || len(l.Asks) > 0 {
		t.Errorf("an empty yard has bookings or asks for some: %+v", l)
	}
}

func TestTheStartListFollowsWhatTheRegisterSays(t *testing.T) {
	s := empty(t)
	s.yard()
	s.room()
	missing := func() (out []string) {
		l, err := s.StartList(context.Background(), s.actor)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range l.Of(founding.TheRigs) {
			out = append(out, string(m.Cause))
		}
		return out
	}
	if got := missing(); !slices.Equal(got, []string{string(rig.NotInService)}) {
		t.Errorf("a new rig's station lacks %q, want that the rig is not in service", got)
	}
}

func TestAnExerciseKeepsItsVersionOnTheDaysBefore(t *testing.T) {
	s := empty(t)
	s.yard()
	room := s.room()
	e := s.theory("Height theory", room, "Works out the free height")
	next := founding.Exercise{Name: "Theory of height", Outcomes: []string{"Works out the free height", "Chooses kit"},
		Record: curriculum.Exercise{Setting: curriculum.Theory, Minutes: 90, Stations: []id.Station{room}, Ratio: 12}}
	of := founding.Of{ID: string(e), Rev: s.rev("exercise", string(e)), From: monday + 30}
	s.must(s.Exercise(context.Background(), s.actor, of, next, s.key()))
	ref := s.ref()
	before, _ := ref.Exercises.On(e, monday+29)
	after, _ := ref.Exercises.On(e, monday+30)
	if before.Minutes != 60 || after.Minutes != 90 || ref.Text(before.Name) != "Height theory" || ref.Text(after.Name) != "Theory of height" {
		t.Errorf("before %v %q, after %v %q", before.Minutes, ref.Text(before.Name), after.Minutes, ref.Text(after.Name))
	}
	if len(after.Outcomes) != 2 || after.Outcomes[0] != before.Outcomes[0] || ref.Outcomes.Len() != 2 {
		t.Errorf("the same words make another outcome: %v, %v", before.Outcomes, after.Outcomes)
	}
	for name, of := range map[string]founding.Of{"the revision before": {ID: string(e), Rev: of.Rev, From: monday + 40}} {
		if _, err := s.Exercise(context.Background(), s.actor, of, next, s.key()); fault.Of(err) != fault.Conflict {
			t.Errorf("a form shown with %s: %v, want a conflict", name, err)
		}
	}
	past := founding.Of{ID: string(e), Rev: of.Rev + 1, From: monday - 1}
	if _, err := s.Exercise(context.Background(), s.actor, past, next, s.key()); fieldsOf(err)["from"] == "" {
		t.Errorf("a version from a past day: %v, want a refusal", err)
	}
}

func TestWhatIsStillNeededIsNotRetired(t *testing.T) {
	s := empty(t)
	s.yard()
	room := s.room()
	e := s.theory("Height theory", room, "Works out the free height")
	ctx := context.Background()
	p := s.must(s.Programme(ctx, s.actor, founding.Of{}, founding.Programme{Name: "Work at height", Teaches: []founding.Taught{{Exercise: e}}}, s.key()))
	retire := func(kind, of string, day civil.Day) error {
		return s.Retire(ctx, s.actor, kind, founding.Of{ID: of, Rev: s.rev(kind, of)}, day, s.key())
	}
	if m := fieldsOf(retire("exercise", string(e), monday))["retired"]; !strings.Contains(m, "Work at height") {
		t.Errorf("an exercise that a programme teaches is retired, or the refusal %q does not name it", m)
	}
	outcome := string(s.ref().Outcomes.Keys()[0])
	if m := fieldsOf(retire("outcome", outcome, monday))["retired"]; !strings.Contains(m, "Height theory") {
		t.Errorf("an outcome that an exercise delivers is retired, or the refusal %q does not name it", m)
	}
	if m := fieldsOf(retire("programme", p, monday-1))["retired"]; m == "" {
		t.Error("a programme is retired from a past day")
	}
	for _, x := range []struct{ kind, of string }{{"programme", p}, {"exercise", string(e)}, {"outcome", outcome}} {
		if err := retire(x.kind, x.of, monday); err != nil {
			t.Errorf("the %s is not needed any more: %v %v", x.kind, err, fieldsOf(err))
		}
	}
	if gone, _ := s.ref().Exercises.On(e, monday+1); gone.On(monday) || s.ref().Text(gone.Name) != "Height theory" {
		t.Errorf("retired: %+v, want it in the record and not taught", gone)
	}
}

func TestARescuePlanIsNeverApprovedByItsAuthor(t *testing.T) {
	s := empty(t)
	me, other := s.yard()
	room := s.room()
	plan := founding.RescuePlan{Name: "Rescue", Text: "Alarm, lead, lower.", Stations: []id.Station{room}, Author: me, OnPaper: true, InForce: monday, ReviewBy: monday + 300, Target: 6}
	if _, err := s.RescuePlan(context.Background(), s.actor, plan, s.key()); fieldsOf(err)["author"] == "" {
		t.Errorf("an own plan: %v, want a refusal at the author", err)
	}
	plan.Author = other
	s.must(s.RescuePlan(context.Background(), s.actor, plan, s.key()))
	made := s.ref().RescuePlans.All(monday)[0]
	if made.ApprovedBy != me || made.Author != other || made.Version != 1 {
		t.Errorf("the plan is %+v", made)
	}
	if _, err := s.Drill(context.Background(), s.actor, founding.Drilled{Record: rig.Drill{Plan: made.ID, Day: monday + 1, Minutes: 8, Accepted: true, People: []id.Person{s.actor.Person}}}, s.key()); fieldsOf(err)["day"] == "" {
		t.Errorf("a drill to come: %v, want a refusal", err)
	}
	s.must(s.Drill(context.Background(), s.actor, founding.Drilled{Record: rig.Drill{Plan: made.ID, Day: monday, Minutes: 8, Accepted: true, People: []id.Person{s.actor.Person}}, Found: "The rope bag lay behind the door."}, s.key()))
}

func TestNobodyUnder18IsEnrolledByTheLimitsOfAdults(t *testing.T) {
	s := empty(t)
	s.yard()
	ctx := context.Background()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	p := s.must(s.Programme(ctx, s.actor, founding.Of{}, founding.Programme{Name: "Work at height", Teaches: []founding.Taught{{Exercise: e}}}, s.key()))
	in := s.must(s.Intake(ctx, s.actor, founding.Of{}, founding.Intake{Name: "Spring", Employer: "Fenwold Turbines", Record: people.Intake{Programme: id.Programme(p), From: monday + 7, Until: monday + 20}}, s.key()))
	enrol := func(born string, rest ...id.Profile) error {
		return s.Trainees(ctx, s.actor, founding.Trainees{Intake: id.Intake(in), Needs: []id.Exercise{e}, Rest: rest, Rows: []founding.Newcomer{{Name: "Dara Munnelly", Born: born}}}, s.key())
	}
	for _, c := range []struct {
		name, born string
		rest       id.Profile
		refused    bool
	}{
		{"18 on the first day", "2009-03-08", rulebook.Site, false},
		{"17 on the first day", "2009-03-09", rulebook.Site, true},
		{"17 with the limits for it", "2009-03-09", rulebook.EUYoung, false},
		{"no birth date", "", rulebook.Site, false},
		{"31 February", "2009-02-31", rulebook.Site, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := enrol(c.born, c.rest); (fieldsOf(err)["born_0"] != "") != c.refused {
				t.Errorf("refused: %v; want %v", err, c.refused)
			}
		})
	}
}

func TestAnIntakeIsRecordedWithItsTraineesOrNotAtAll(t *testing.T) {
	s := empty(t)
	s.yard()
	ctx := context.Background()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	p := s.must(s.Programme(ctx, s.actor, founding.Of{}, founding.Programme{Name: "Work at height", Teaches: []founding.Taught{{Exercise: e}}}, s.key()))
	record := func(name string, rows ...founding.Newcomer) error {
		_, err := s.Intake(ctx, s.actor, founding.Of{}, founding.Intake{Name: name, Employer: "Fenwold Turbines", Record: people.Intake{Programme: id.Programme(p), From: monday, Until: monday + 20},
			Trainees: founding.Trainees{Rest: []id.Profile{rulebook.Site}, Rows: rows}}, s.key())
		return err
	}
	count := func() (intakes, persons, needs int) {
		err := s.store.Read(ctx, func(v *store.View) error {
			ref, err := v.Reference()
			if err != nil {
				return err
			}
			rows, _, err := v.Persons(store.PersonFilter{})
			if err != nil {
				return err
			}
			for _, in := range ref.Intakes.All(monday) {
				list, err := v.TraineesOfIntake(in.ID)
				if err != nil {
					return err
				}
				for _, x := range list {
					needs += len(x.Needs)
				}
			}
			intakes, persons = ref.Intakes.Len(), len(rows)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return intakes, persons, needs
	}
	_, before, _ := count()
	if err := record("Spring", founding.Newcomer{Name: "Dara Munnelly"}, founding.Newcomer{Born: "1990-05-04"}); fieldsOf(err)["name_1"] == "" {
		t.Errorf("a row without a name: %v, want a refusal beside it", err)
	}
	if in, persons, _ := count(); in != 0 || persons != before {
		t.Errorf("the refused form left %d intakes and %d new people", in, persons-before)
	}
	if err := record("Spring", founding.Newcomer{Name: "Dara Munnelly"}, founding.Newcomer{}); err != nil {
		t.Fatal(err)
	}
	if in, persons, needs := count(); in != 1 || persons != before+1 || needs != 1 {
		t.Errorf("%d intakes, %d new people who need %d exercises; want one of each", in, persons-before, needs)
	}
	if err := record("Spring"); fieldsOf(err)["name"] == "" {
		t.Errorf("another intake of the name: %v, want a refusal", err)
	}
}

func TestATeamIsRecordedWithItsPapersOrNotAtAll(t *testing.T) {
	s := empty(t)
	s.yard()
	ctx := context.Background()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	staff := people.Staff{From: monday - 30, Weekdays: []int{1, 2, 3}, Rest: []id.Profile{rulebook.Site}}
	paper := founding.Paper{From: monday - 60, Until: monday + 400}
	record := func(rows ...founding.Member) error {
		return s.Team(ctx, s.actor, founding.Team{Staff: staff, Rows: rows}, s.key())
	}
	count := func() (works, papers int) {
		err := s.store.Read(ctx, func(v *store.View) error {
			ref, err := v.Reference()
			works = ref.Staff.Len()
			for _, list := range ref.StaffCertificates {
				papers += len(list)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return works, papers
	}
	works, papers := count()
	teaches := founding.Qualifications{Teaches: []id.Exercise{e}, Teaching: paper, Rescue: paper}
	for name, c := range map[string]struct {
		row  founding.Member
		want string
	}{
		"no name":           {founding.Member{Papers: teaches}, "name_1"},
		"no last valid day": {founding.Member{Name: "Eoin Barrett", Papers: founding.Qualifications{Rescue: founding.Paper{From: monday - 60}}}, "rescue_until_1"},
		"no exercise":       {founding.Member{Name: "Eoin Barrett", Papers: founding.Qualifications{Teaching: paper}}, "teaches_1"},
		"31 February":       {founding.Member{Name: "Eoin Barrett", Born: "1990-02-31"}, "born_1"},
		"twice":             {founding.Member{Name: "niamh  furey"}, "name_1"},
	} {
		if err := record(founding.Member{Name: "Niamh Furey", Papers: teaches}, c.row); fieldsOf(err)[c.want] == "" {
			t.Errorf("%s: %v %v, want a message beside %s", name, err, fieldsOf(err), c.want)
		}
	}
	if w, p := count(); w != works || p != papers {
		t.Errorf("refused forms left %d people and %d papers", w-works, p-papers)
	}
	if err := record(founding.Member{Name: "Niamh Furey", Papers: teaches}, founding.Member{}, founding.Member{Name: "Sile Heneghan"}); err != nil {
		t.Fatal(err, fieldsOf(err))
	}
	if w, p := count(); w != works+2 || p != papers+2 {
		t.Errorf("%d people and %d papers more, want two of each", w-works, p-papers)
	}
	if err := record(founding.Member{Name: "Niamh Furey"}); fieldsOf(err)["name_0"] == "" {
		t.Errorf("somebody of a name on record: %v, want a refusal", err)
	}
}

func TestAnEmptyRowEnrolsNobodyAndABadOneNobodyAtAll(t *testing.T) {
	s := empty(t)
	s.yard()
	ctx := context.Background()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	p := s.must(s.Programme(ctx, s.actor, founding.Of{}, founding.Programme{Name: "Work at height", Teaches: []founding.Taught{{Exercise: e}}}, s.key()))
	in := id.Intake(s.must(s.Intake(ctx, s.actor, founding.Of{}, founding.Intake{Name: "Spring", Employer: "Fenwold Turbines", Record: people.Intake{Programme: id.Programme(p), From: monday, Until: monday + 20}}, s.key())))
	enrol := func(rows ...founding.Newcomer) error {
		return s.Trainees(ctx, s.actor, founding.Trainees{Intake: in, Needs: []id.Exercise{e}, Rest: []id.Profile{rulebook.Site}, Rows: rows}, s.key())
	}
	count := func() (n int) {
		err := s.store.Read(ctx, func(v *store.View) error {
			list, err := v.TraineesOfIntake(in)
			n = len(list)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	if err := enrol(founding.Newcomer{Name: "Dara Munnelly"}, founding.Newcomer{Name: "Eoin Barrett", Born: "yesterday"}); err == nil || count() != 0 {
		t.Errorf("a bad row: %v, and %d enrolled; want a refusal and nobody", err, count())
	}
	if err := enrol(founding.Newcomer{}, founding.Newcomer{}); fieldsOf(err)["name_0"] == "" {
		t.Errorf("no name at all: %v, want a refusal", err)
	}
	if err := enrol(founding.Newcomer{Name: "Dara Munnelly"}, founding.Newcomer{}, founding.Newcomer{Name: "Eoin Barrett"}); err != nil || count() != 2 {
		t.Errorf("two names: %v, and %d enrolled", err, count())
	}
}

func TestTheExamplesAreRecordedOnceAndHoldTogether(t *testing.T) {
	s := empty(t)
	s.yard()
	room := s.room()
	ctx := context.Background()
	all := founding.Starting{Stations: map[founding.Ground][]id.Station{}}
	for _, e := range founding.Examples() {
		all.Examples = append(all.Examples, e.Key)
	}
	if err := s.Start(ctx, s.actor, all, s.key()); len(fieldsOf(err)) != len(founding.Grounds()) {
		t.Errorf("examples without ground: %v", fieldsOf(err))
	}
	for _, g := range founding.Grounds() {
		all.Stations[g] = []id.Station{room}
	}
	if err := s.Start(ctx, s.actor, all, s.key()); err != nil {
		t.Fatalf("%v %v", err, fieldsOf(err))
	}
	ref := s.ref()
	catalogue := curriculum.NewCatalogue(monday, ref.Outcomes.All(monday), ref.Exercises.All(monday), ref.Programmes.All(monday))
	for _, p := range catalogue.Check() {
		t.Errorf("exercise %s, programme %s: %s", p.Exercise, p.Programme, p.Say)
	}
	if err := s.Start(ctx, s.actor, all, s.key()); fieldsOf(err)["examples"] == "" {
		t.Errorf("the same examples again: %v, want a refusal", err)
	}
	for _, e := range founding.Examples() {
		for _, x := range e.Exercises {
			if x.Length.Document == "" || x.Share.Document == "" || !slices.Contains(rulebook.Marks(), x.Length.Mark) {
				t.Errorf("%s, %s: a figure without source or mark", e.Name, x.Name)
			}
		}
	}
}

// The sums are those of the clauses, as the rule book's lessons cite them.
func TestTheExamplesLessonsAddUpToTheirSources(t *testing.T) {
	sums := map[string]civil.Minutes{}
	for _, e := range founding.Examples() {
		for _, x := range e.Exercises {
			sums[x.Length.Clause] += x.Minutes
		}
	}
	for clause, want := range map[string]civil.Minutes{"lesson 16: 355 min for both rescue exercises": 355, "lesson 21: 230 min for the whole inspection": 230,
		"lesson on lightning protection: 50 min": 50, "basic safety: 4 h": 240} {
		if sums[clause] != want {
			t.Errorf("%s: the exercises take %d", clause, sums[clause])
		}
	}
}

func TestWorkElsewhereAndDaysAwayCountUntilTakenBack(t *testing.T) {
	s := empty(t)
	who, _ := s.yard()
	ctx := context.Background()
	start := dublin.At(monday+1, 22*60)
	for name, c := range map[string]struct {
		times founding.Times
		field string
	}{
		"ends before it begins": {founding.Times{Start: start, End: start - 1}, "duty_to"},
		"longer than a day":     {founding.Times{Start: start, End: start.Add(24*60 + 1)}, "duty_to"},
		"away in the past":      {founding.Times{From: monday - 3, Until: monday - 1}, "away_until"},
		"away backwards":        {founding.Times{From: monday + 3, Until: monday + 1}, "away_until"},
	} {
		if err := s.AddTimes(ctx, s.actor, who, c.times, s.key()); fieldsOf(err)[c.field] == "" {
			t.Errorf("%s: %v, want a refusal at %s", name, err, c.field)
		}
	}
	if err := s.AddTimes(ctx, s.actor, who, founding.Times{From: monday + 7, Until: monday + 8, Start: start, End: start.Add(24 * 60)}, s.key()); err != nil {
		t.Fatal(err)
	}
	list, err := s.Times(ctx, s.actor, who)
	if err != nil || len(list) != 2 {
		t.Fatalf("the times are %v, %v", list, err)
	}
	if list[0].Start != dublin.StartOfDay(monday+7) || list[0].End != dublin.StartOfDay(monday+9) {
		t.Errorf("away %v to %v, want both days whole", list[0].Start, list[0].End)
	}
	for _, x := range list {
		if err := s.TakeBack(ctx, s.actor, x.Kind, x.ID, s.key()); err != nil {
			t.Error(err)
		}
	}
	if list, err = s.Times(ctx, s.actor, who); err != nil || len(list) != 0 {
		t.Errorf("taken back, and still %v, %v", list, err)
	}
}

func TestPapersAreTakenAsTheySay(t *testing.T) {
	s := empty(t)
	who, _ := s.yard()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	ctx := context.Background()
	for name, c := range map[string]struct {
		q     founding.Qualifications
		field string
	}{
		"ticked without days":  {founding.Qualifications{Teaches: []id.Exercise{e}}, "teaching_from"},
		"days without a tick":  {founding.Qualifications{Teaching: founding.Paper{From: monday, Until: monday + 9}}, "teaches"},
		"no last valid day":    {founding.Qualifications{Rescue: founding.Paper{From: monday}}, "rescue_until"},
		"ends before it began": {founding.Qualifications{FirstAid: founding.Paper{From: monday, Until: monday - 1}}, "first_aid_until"},
		"nothing":              {founding.Qualifications{}, "teaches"},
	} {
		c.q.Person = who
		if err := s.Qualify(ctx, s.actor, c.q, s.key()); fieldsOf(err)[c.field] == "" {
			t.Errorf("%s: %v %v, want a refusal at %s", name, err, fieldsOf(err), c.field)
		}
	}
	q := founding.Qualifications{Person: who, Teaches: []id.Exercise{e}, Teaching: founding.Paper{From: monday - 9, Until: monday}}
	if err := s.Qualify(ctx, s.actor, q, s.key()); err != nil {
		t.Fatal(err)
	}
	c := s.ref().StaffCertificates[who][0]
	if !c.On(monday) || c.On(monday+1) || c.On(monday-10) {
		t.Errorf("the certificate is %+v, want it valid to %s", c, monday)
	}
}

func TestPublicHolidaysOfIrelandIn2027(t *testing.T) {
	// Organisation of Working Time Act 1997, second schedule, with St Brigid's Day
	// from 2023 (from memory): the first Monday of February, as 1 February 2027 is one.
	var days []string
	for _, c := range founding.PublicHolidays("ie", civil.DayOf(2027, time.January, 1), civil.DayOf(2027, time.December, 31)) {
		days = append(days, c.Day.String())
	}
	for _, want := range []string{"2027-02-01", "2027-03-17", "2027-03-29", "2027-05-03", "2027-06-07", "2027-08-02", "2027-10-25"} {
		if !slices.Contains(days, want) {
			t.Errorf("%s is not among %v", want, days)
		}
	}
	if got := founding.PublicHolidays("nowhere", monday, monday+365); got != nil {
		t.Errorf("an unknown country has %v", got)
	}
}

func TestWhoComesAgainStaysOnePerson(t *testing.T) {
	s := empty(t)
	s.yard()
	ctx := context.Background()
	e := s.theory("Height theory", s.room(), "Works out the free height")
	p := s.must(s.Programme(ctx, s.actor, founding.Of{}, founding.Programme{Name: "Work at height", Teaches: []founding.Taught{{Exercise: e}}}, s.key()))
	intake := func(name string) id.Intake {
		return id.Intake(s.must(s.Intake(ctx, s.actor, founding.Of{}, founding.Intake{Name: name, Employer: "Fenwold Turbines", Record: people.Intake{Programme: id.Programme(p), From: monday, Until: monday + 20}}, s.key())))
	}
	enrol := func(in id.Intake, name, born, same string) error {
		return s.Trainees(ctx, s.actor, founding.Trainees{Intake: in, Needs: []id.Exercise{e}, Rest: []id.Profile{rulebook.Site}, Rows: []founding.Newcomer{{Name: name, Born: born, Same: same}}}, s.key())
	}
	first, second := intake("Spring"), intake("Summer")
	if err := enrol(first, "Dara Munnelly", "1990-05-04", ""); err != nil {
		t.Fatal(err)
	}
	there, err := s.OnRecord(ctx, s.actor, "dara  munnelly", "1990-05-04")
	if err != nil || len(there) != 1 || len(there[0].Intakes) != 1 || there[0].Intakes[0] != "Spring" {
		t.Fatalf("on record of that name: %+v, %v", there, err)
	}
	dara := string(there[0].ID)
	for _, c := range []struct {
		in               id.Intake
		name, born, same string
		refused          string
	}{
		{first, "dara  munnelly", "1990-05-04", dara, "name_0"}, // is there already
		{second, "Dara Munnelly", "1990-05-04", "", "same_0"},   // nobody said that it is one person
		{second, "Dara Munnelly", "", "", "same_0"},             // no birth date tells two apart
		{second, "Dara Munnelly", "1990-05-04", "no-such-person", "same_0"},
		{second, "Dara Munnelly", "1990-05-04", dara, ""},
		{first, "Dara Munnelly", "1990-05-05", "", ""}, // somebody else of the name, by the birth date
	} {
		if err := enrol(c.in, c.name, c.born, c.same); (err != nil) != (c.refused != "") || err != nil && fieldsOf(err)[c.refused] == "" {
			t.Fatalf("%s, %s, %q: %v %v", c.name, c.born, c.same, err, fieldsOf(err))
		}
	}
	persons := map[id.Person]int{}
	err = s.store.Read(ctx, func(v *store.View) error {
		list, err := v.TraineesOfIntake(first, second)
		for _, x := range list {
			persons[x.Person]++
		}
		return err
	})
	if err != nil || len(persons) != 2 {
		t.Errorf("three enrolments are of %v, %v; want two people", persons, err)
	}
}
