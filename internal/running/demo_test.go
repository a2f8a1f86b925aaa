package running_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Whenever in the working day a demo is made, one session is ready to be started by
// whoever opens it, and of the one under way all stands.
func TestTheDemoHasASessionThatIsReadyAndOneThatRuns(t *testing.T) {
	for _, c := range []struct {
		day  string
		hour civil.Minutes
		left []string // to whoever starts the ready one
	}{{"2027-03-02", 9*60 + 40, nil}, {"2026-11-27", 14 * 60, nil}, {"2026-11-27", 9*60 + 40, nil}, {"2027-03-01", 9*60 + 40, nil},
		{"2026-12-04", 9*60 + 40, []string{"cautions-read"}}, // of that morning's others each has a caution, or needs a circuit
	} {
		t.Run(fmt.Sprint(c.day, " ", c.hour), func(t *testing.T) {
			day, err := civil.ParseDay(c.day)
			if err != nil {
				t.Fatal(err)
			}
			now := demo.Zone().At(day, c.hour)
			s, err := store.Open(ctx, store.Options{Dir: t.TempDir(), Clock: func() time.Time { return time.Unix(int64(now)*60, 0) }})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if err := demo.Fill(ctx, s, demo.Config{Today: day, Seed: 1, Years: 1}); err != nil {
				t.Fatal(err)
			}
			var today []session.Session
			var who access.Actor
			err = s.Read(ctx, func(v *store.View) (err error) {
				if today, err = v.SessionsBetween(demo.Zone().StartOfDay(day), demo.Zone().StartOfDay(day+1)); err != nil {
					return err
				}
				ref, err := v.Reference()
				if err != nil {
					return err
				}
				for _, x := range ref.Accounts.All(day) {
					if x.Person != "" && len(x.Roles) == 1 && x.Roles[0] == access.Instructor {
						who = access.Actor{Account: x.ID, Person: x.Person, Roles: x.Roles, Today: day}
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			desk := running.New(s)
			ready, runs := 0, 0
			for _, x := range today {
				shown, err := desk.Show(ctx, who, x.ID)
				if err != nil {
					t.Fatal(err)
				}
				shut := running.Shut(shown.Gates, x.State)
				switch {
				case x.State == session.UnderWay && len(shut) > 0:
					t.Errorf("of the session under way does not stand: %v", names(shut))
				case x.State == session.UnderWay:
					runs++
				case x.State == session.Booked && len(c.left) > 0 && slices.Equal(names(shut), c.left):
					ready++
				case x.State == session.Booked && len(shut) == 0:
					ready++
					if left, err := desk.Start(ctx, who, x.ID, running.Send{Key: "start", Rev: shown.Row.Rev}); err != nil || len(left) > 0 {
						t.Errorf("the ready one is not started: %v, %v", names(left), err)
					}
				}
			}
			if ready != 1 || runs != 1 {
				t.Errorf("%d sessions are ready and %d under way, want one each", ready, runs)
			}
		})
	}
}
