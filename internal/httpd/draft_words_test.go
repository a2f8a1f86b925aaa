package httpd

import (
	"testing"

	"rungbook/internal/drafting"
)

func TestHowMuchBetterIsPossibleIsSaidInPlainWords(t *testing.T) {
	known := func(more, permille int) drafting.Better {
		return drafting.Better{Known: true, MorePlaced: more, Permille: permille}
	}
	cases := []struct {
		name     string
		better   drafting.Better
		unplaced int
		want     string
	}{
		{"no bound yet", drafting.Better{}, 0, "How much better is possible is not known yet."},
		{"a bound that says nothing", known(0, 1000), 0, "How much better is possible is not proven yet."},
		{"a bound that says next to nothing", known(0, 999), 0, "At most 99.9 % better is possible."},
		{"whole percent", known(0, 30), 0, "At most 3 % better is possible."},
		{"tenths", known(0, 23), 0, "At most 2.3 % better is possible."},
		{"the least", known(0, 1), 0, "At most 0.1 % better is possible."},
		{"the best", known(0, 0), 0, "Nothing better is possible."},
		{"one more could be placed", known(1, -1), 4, "At most 1 more could be placed."},
		{"none more, hours could", known(0, 45), 4, "No plan can place more; in days and hours at most 4.5 % better is possible."},
		{"none more, nor better", known(0, 0), 4, "No plan can place more, or do better."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := betterWords(drafting.Progress{Better: c.better, Unplaced: c.unplaced}); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

func TestADrawingLeavesOutPointsAtWhichNothingBecameBetter(t *testing.T) {
	points := []drafting.Point{{Steps: 1, Cost: 9, Bound: 1}, {Steps: 2, Cost: 9, Bound: 1}, {Steps: 3, Cost: 8, Bound: 1}, {Steps: 4, Cost: 8, Bound: 2}, {Steps: 5, Cost: 8, Bound: 2}, {Steps: 6, Cost: 8, Bound: 2}}
	var steps []int64
	for _, p := range changesOnly(points) {
		steps = append(steps, p.Steps)
	}
	if len(steps) != 4 || steps[0] != 1 || steps[1] != 3 || steps[2] != 4 || steps[3] != 6 {
		t.Errorf("the table keeps the points after %v steps", steps)
	}
}
