package running_test

import (
	"slices"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// needs finds a booked session of the test's day whose exercise needs a circuit in
// a state.
func (r *rigside) needs(state string) (out session.Session, of id.Circuit) {
	r.Helper()
	r.read(func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		for day := monday; day < monday+14 && of == ""; day++ {
			list, err := v.SessionsBetween(v.Zone().At(day, 0), v.Zone().At(day+1, 0))
			if err != nil {
				return err
			}
			for _, s := range list {
				e, _ := ref.Exercises.On(s.Exercise, day)
				for _, n := range e.Energy {
					if n.State == state && s.State == session.Booked {
						out, of = s, n.Circuit
					}
				}
			}
		}
		return nil
	})
	if of == "" {
		r.Fatalf("no session that is booked needs a circuit %s", state)
	}
	return out, of
}

// record puts a circuit's state on record as it is.
func (r *rigside) record(is rig.Isolation) {
	r.Helper()
	cmd := store.Command{Key: r.key(), Actor: r.instructor, Role: access.Instructor}
	if _, err := r.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("recorded", 0, is)
		return "", err
	}); err != nil {
		r.Fatal(err)
	}
}

func (r *rigside) energy(of id.Session) running.Gate {
	r.Helper()
	list := r.show(of).Gates
	i := slices.IndexFunc(list, func(g running.Gate) bool { return g.Name == "energy" })
	if i < 0 {
		r.Fatal("no gate asks for the circuit")
	}
	return list[i]
}

func TestASessionThatNeedsACircuitWaitsForItsRecordedStateAndItsChangeover(t *testing.T) {
	for _, state := range []string{"live", "dead"} {
		r := open(t)
		s, c := r.needs(state)
		var boss id.Person
		var changeover civil.Minutes
		r.read(func(v *store.View) error {
			ref, err := v.Reference()
			if err != nil {
				return err
			}
			for _, a := range ref.Appointments.All(monday) {
				if a.Field == "energy" && a.On(monday) {
					boss = a.Person
				}
			}
			rec, _ := ref.Circuits.On(c, monday)
			changeover = rec.Changeover
			return nil
		})
		moved := s.Start.Add(-changeover)
		locks := []rig.Lock{{Person: boss, On: moved}}
		test := &rig.DeadTest{By: boss, At: moved, Instrument: "i", ProvedBefore: true, ProvedAfter: true, StoredReleased: true}
		live := rig.Isolation{Circuit: c, State: rig.EnergyLive, Since: moved}
		dead := rig.Isolation{Circuit: c, State: rig.EnergyDead, Since: moved, Permit: "p", InCharge: boss, Locks: locks, Test: test}
		stranger := dead
		stranger.InCharge, stranger.Locks = r.instructor.Person, []rig.Lock{{Person: r.instructor.Person, On: moved}}
		untested := dead
		untested.State, untested.Test = rig.EnergyIsolated, nil
		for _, x := range []struct {
			name string
			is   rig.Isolation
			want bool
		}{
			{"unknown", rig.Isolation{Circuit: c, State: rig.EnergyUnknown}, false},
			{"live", live, state == "live"},
			{"isolated and not tested", untested, false},
			{"tested dead", dead, state == "dead"},
			{"tested dead, by nobody who is authorised", stranger, false},
			{"no lock on", rig.Isolation{Circuit: c, State: rig.EnergyLocksOff, Since: moved}, false},
		} {
			r.record(x.is)
			r.now = max(r.now, s.Start)
			if g := r.energy(s.ID); g.Holds != x.want || !g.Running || g.Mend == "" {
				t.Errorf("needs %s, %s: %+v", state, x.name, g)
			}
		}
		right := map[string]rig.Isolation{"live": live, "dead": dead}[state]
		right.Since = s.Start.Add(10)
		if right.Test != nil {
			again := *test
			again.At = right.Since
			right.Test = &again
		}
		r.record(right)
		for now, want := range map[civil.Instant]bool{right.Since.Add(changeover) - 1: false, right.Since.Add(changeover): true} {
			r.now = now
			if g := r.energy(s.ID); g.Holds != want {
				t.Errorf("needs %s, %d minutes after the move: %+v", state, now.Sub(right.Since), g)
			}
		}
	}
}
