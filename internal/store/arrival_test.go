package store

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/migrations"
)

// TestWhoseKitIsToBeAnsweredForIsFoundByAnIndexAndByTheMigrationAlike compares the
// step's own words with arrival.KitOpen, of what stands and of what stood before.
func TestWhoseKitIsToBeAnsweredForIsFoundByAnIndexAndByTheMigrationAlike(t *testing.T) {
	b := newBench(t)
	b.yard()
	var before int64
	var all []arrival.Arrival
	b.do(func(tx *Tx) error {
		serial, found := tx.Seal("arrivals", "serial", "CM-L1"), tx.Seal("arrivals", "found", "a cut strap")
		back := func(how arrival.Return) *arrival.Back {
			b := &arrival.Back{How: how, By: "brona", At: nine}
			if how == arrival.BackNotFit {
				b.Found = found
			}
			return b
		}
		var slips []arrival.Slip
		for _, item := range []id.Item{"", "lanyard"} {
			slips = append(slips, arrival.Slip{Serial: serial, Item: item, Given: &arrival.Signed{By: "brona", At: nine}})
			for _, how := range arrival.Returns() {
				slips = append(slips, arrival.Slip{Serial: serial, Item: item, Back: back(how)})
			}
		}
		all = append(all, arrival.Arrival{}, arrival.Arrival{Issued: []id.Commitment{serial}})
		for n, s := range slips {
			all = append(all, arrival.Arrival{Kit: []arrival.Slip{s}}, arrival.Arrival{Kit: []arrival.Slip{slips[1], s, slips[(n+3)%len(slips)]}})
		}
		records := []any{rig.Kit{ID: "kit"}, rig.Item{ID: "lanyard", Kit: "kit", Serial: serial, Sort: rig.LanyardItem}}
		for n := range all {
			all[n].Trainee, all[n].State, all[n].At = id.Trainee(fmt.Sprintf("t%02d", n)), arrival.Came, nine
			records = append(records, people.Trainee{ID: all[n].Trainee, Person: "tilde", Intake: "march"}, all[n])
		}
		return putFrom(tx, tx.Today(), records...)
	})
	b.read(func(v *View) error { before = v.Head(); return nil })
	stands := slices.Clone(all)
	for n := range stands { // what was out comes back, and the other way round
		stands[n].Kit, stands[n].Issued = all[(n+1)%len(all)].Kit, all[(n+1)%len(all)].Issued
		b.put(stands[n])
	}
	open := func(of []arrival.Arrival) (out []id.Trainee) {
		for _, a := range of {
			if a.KitOpen() {
				out = append(out, a.Trainee)
			}
		}
		return out
	}
	asked := func(when string) {
		b.read(func(v *View) error {
			for entry, want := range map[int64][]id.Trainee{v.Head(): open(stands), before: open(all)} {
				got, err := v.At(entry, v.Today()).KitAnswersFor()
				var who []id.Trainee
				for _, a := range got {
					who = append(who, a.Trainee)
				}
				if err != nil || !slices.Equal(who, want) || len(who) == 0 || len(who) == len(all) {
					t.Errorf("%s, at entry %d: %v, %v; want %v", when, entry, who, err, want)
				}
			}
			return nil
		})
	}
	asked("as the program keeps it")
	step, err := migrations.Files.ReadFile("0020_open_slips.sql")
	if err != nil {
		t.Fatal(err)
	}
	from, end := strings.Index(string(step), "UPDATE"), strings.Index(string(step), "CREATE INDEX")
	for _, s := range []string{`UPDATE arrival SET kit_open = 0`, string(step)[from:end]} {
		if err := b.write0(s); err != nil {
			t.Fatal(err)
		}
	}
	asked("as the step finds it")
	b.equalsRebuilt()
}

// TestStaysAreThoseOfNowAndOfLately at each entry, whichever of their two times it is by.
func TestStaysAreThoseOfNowAndOfLately(t *testing.T) {
	b := newBench(t)
	b.yard()
	stay := func(of id.Stay, in, out civil.Minutes) arrival.Stay {
		s := arrival.Stay{ID: of, Person: "ivo", In: nine.Add(in)}
		if out != 0 {
			s.Out = nine.Add(out)
		}
		return s
	}
	b.put(stay("long-here", -9000, 0), stay("left-long-ago", -8000, 0), stay("left-lately", -7000, 0), stay("came-lately", 0, 0), stay("came-and-left", -1, 0))
	var before int64
	b.read(func(v *View) error { before = v.Head(); return nil })
	b.put(stay("left-long-ago", -8000, -7900), stay("left-lately", -7000, 5), stay("came-and-left", -1, 1))
	b.read(func(v *View) error {
		for name, c := range map[string]struct {
			entry int64
			since civil.Instant
			want  []id.Stay
		}{
			"now":                    {v.Head(), nine, []id.Stay{"long-here", "left-lately", "came-and-left", "came-lately"}},
			"now, of a minute later": {v.Head(), nine.Add(2), []id.Stay{"long-here", "left-lately", "came-lately"}},
			"now, of all time":       {v.Head(), 0, []id.Stay{"long-here", "left-long-ago", "left-lately", "came-and-left", "came-lately"}},
			"before they left":       {before, nine.Add(99), []id.Stay{"long-here", "left-long-ago", "left-lately", "came-and-left", "came-lately"}},
			"before anybody":         {before - 5, 0, nil},
		} {
			got, err := v.At(c.entry, v.Today()).Stays(c.since)
			var called []id.Stay
			for _, s := range got {
				called = append(called, s.ID)
			}
			if err != nil || !slices.Equal(called, c.want) {
				t.Errorf("%s: %v, %v; want %v", name, called, err, c.want)
			}
		}
		return nil
	})
	b.equalsRebuilt()
}
