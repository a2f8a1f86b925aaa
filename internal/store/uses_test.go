package store

import (
	"fmt"
	"slices"
	"testing"
)

// TestWhatSpeaksOfARecordIsFound asks it of one record of every kind, which name
// each other.
func TestWhatSpeaksOfARecordIsFound(t *testing.T) {
	b := newBench(t)
	b.do(func(tx *Tx) error { return putFrom(tx, tx.Today()-1, oneOfEach(tx)...) })
	b.read(func(v *View) error {
		for of, want := range map[string][]string{
			"station":  {"exercise exercise", "rescue-plan plan", "shut shut"},
			"exercise": {"programme programme"},
			"zone":     {"rig rig", "station station"},
			"circuit":  {"exercise exercise"},
			"outcome":  {"exercise exercise", "programme programme"},
			"intake":   {"trainee 1"},
			"nobody":   nil,
		} {
			list, err := v.Uses(of)
			if err != nil {
				return err
			}
			var got []string
			for _, u := range list {
				if u.ID == "" {
					got = append(got, fmt.Sprint(u.Kind, " ", u.Count))
				} else {
					got = append(got, u.Kind+" "+u.ID)
				}
			}
			for _, w := range want {
				if !slices.Contains(got, w) {
					t.Errorf("%s: %q is not among %q", of, w, got)
				}
			}
			if want == nil && len(got) > 0 {
				t.Errorf("%s: %q speak of it", of, got)
			}
		}
		return nil
	})
}
