package coverage_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/coverage"
	"rungbook/internal/credential"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

var (
	ctx    = context.Background()
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
	staff  = access.Actor{Person: "staff", Roles: []access.Role{access.Instructor}, Today: monday}
)

var yard = demotest.New(eight, 1)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

func filled(t *testing.T) *store.Store {
	t.Helper()
	return demotest.Open(t, yard.Copy(t), func() civil.Instant { return eight })
}

// rows are all rows of a map by outcome, one each.
func rows(m coverage.Map) map[id.Outcome]coverage.Row {
	out := map[id.Outcome]coverage.Row{}
	for _, p := range m.Programmes {
		for _, u := range p.Units {
			for _, r := range u.Rows {
				out[r.Outcome] = r
			}
		}
	}
	return out
}

func TestTheMapSaysWhatIsTaughtWhereAndWhatIsLostWithoutARig(t *testing.T) {
	s := filled(t)
	y := coverage.New(s)
	whole, err := y.Map(ctx, staff, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	lost, single := 0, 0
	for outcome, r := range rows(whole) {
		delivering := 0
		for i, c := range r.Cells {
			for _, e := range c.Exercises {
				if !slices.Contains(e.Outcomes, outcome) || !slices.Contains(e.Stations, whole.Stations[i].Station.ID) {
					t.Errorf("%s does not deliver %s there", e.ID, outcome)
				}
			}
			if len(c.Exercises) > 0 && whole.Stations[i].Out == nil {
				delivering++
			}
		}
		if r.Stations != delivering || (r.Only != "") != (delivering == 1) {
			t.Errorf("%s: %d stations, only %q; counted %d", r.Name, r.Stations, r.Only, delivering)
		}
		switch delivering {
		case 0:
			lost++
		case 1:
			single++
		}
	}
	if whole.Lost != lost || whole.Single != single || single == 0 {
		t.Errorf("lost %d, single %d; counted %d and %d", whole.Lost, whole.Single, lost, single)
	}
	for _, r := range whole.Rigs {
		without, err := y.Map(ctx, staff, 0, r.ID)
		if err != nil {
			t.Fatal(err)
		}
		for outcome, row := range rows(without) {
			if was := rows(whole)[outcome]; row.Stations > was.Stations {
				t.Errorf("without %s %s has more stations", r.ID, row.Name)
			}
		}
		if without.Lost < whole.Lost || len(without.Stuck) < len(whole.Stuck) {
			t.Errorf("without %s less is lost", r.ID)
		}
		for _, x := range without.Stuck {
			if x.Name == "" || x.Intake == "" || len(x.Needs) == 0 {
				t.Errorf("stuck is %+v", x)
			}
		}
	}
	if _, err := y.Map(ctx, access.Actor{Roles: []access.Role{access.TraineeRole}}, 0, ""); fault.Of(err) != fault.Forbidden {
		t.Errorf("for a trainee: %v", err)
	}
}

func TestAStationShutAllDayDeliversNothingThatDay(t *testing.T) {
	s := filled(t)
	y := coverage.New(s)
	before, err := y.Map(ctx, staff, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(before.Stations, func(c coverage.Column) bool { return c.Out == nil })
	st := before.Stations[i].Station.ID
	admin := access.Actor{Person: mustPerson(t, s), Roles: []access.Role{access.Administrator}, Today: monday}
	start := demo.Zone().StartOfDay(monday)
	// Two shut periods that follow on each other shut the day as one does.
	for n, p := range []civil.Period{{Start: start, End: eight}, {Start: eight, End: start.Add(24 * 60)}} {
		shutting := keeping.Shutting{Station: st, Start: p.Start, End: p.End, Reason: rig.ShutFault}
		if err := keeping.New(s).Shut(ctx, admin, shutting, []string{"one", "two"}[n]); err != nil {
			t.Fatal(err)
		}
	}
	after, err := y.Map(ctx, staff, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	if after.Stations[i].Out == nil {
		t.Error("the station counts as usable on a day on which it is shut from end to end")
	}
	next, err := y.Map(ctx, staff, monday+1, "")
	if err != nil {
		t.Fatal(err)
	}
	if next.Day != monday+1 || next.Stations[i].Out != nil {
		t.Errorf("%s: %v; it is shut on the day before alone", next.Day, next.Stations[i].Out)
	}
}

func TestAShutRigTellsWhichCertificatesOfThoseWhoAreStuckLapse(t *testing.T) {
	s := filled(t)
	y := coverage.New(s)
	whole, err := y.Map(ctx, staff, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	var without coverage.Map
	for _, r := range whole.Rigs {
		if without, err = y.Map(ctx, staff, 0, r.ID); err != nil {
			t.Fatal(err)
		}
		if len(without.Stuck) > 0 {
			break
		}
	}
	if len(without.Stuck) == 0 {
		t.Fatal("no rig leaves anybody stuck: nothing is looked at")
	}
	was, who := len(without.Lapsing), without.Stuck[0].Person
	cmd := store.Command{Key: "certificates", Actor: access.Actor{Person: mustPerson(t, s)}, Role: access.Administrator}
	_, err = s.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		for n, until := range []civil.Day{monday - 1, monday, monday + 90, monday + 91} {
			c := credential.Certificate{ID: id.Certificate(tx.ID()), Number: 900_001 + n, Person: who, Kind: credential.ForProgramme, Programme: without.Programmes[0].ID,
				Completed: monday - 600, From: monday - 600, Until: until, State: credential.Valid}
			if _, err := tx.Put("given", 0, c); err != nil {
				return "", err
			}
		}
		return "", nil
	})
	if err != nil {
		t.Fatal(err)
	}
	after, err := y.Map(ctx, staff, 0, without.Without)
	if err != nil {
		t.Fatal(err)
	}
	var until []civil.Day
	for _, l := range after.Lapsing {
		if l.Certificate.Person == who {
			until = append(until, l.Certificate.Until)
		}
	}
	if len(after.Lapsing) != was+2 || !slices.Equal(until, []civil.Day{monday, monday + 90}) || after.Lapsing[0].Name == "" {
		t.Errorf("%v lapse, want those of today and of 90 days on", until)
	}
}

func mustPerson(t *testing.T, s *store.Store) (p id.Person) {
	t.Helper()
	err := s.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		p = ref.Staff.Keys()[0]
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}
