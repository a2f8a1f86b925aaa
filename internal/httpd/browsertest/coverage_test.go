//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestARigIsThoughtAway asks what the yard could not train, and who would be
// stuck, without the rig of most stations.
func TestARigIsThoughtAway(t *testing.T) {
	t.Parallel()
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("administrator")
			p.Go("/")
			p.menu("Coverage")
			p.WantText("hang on one station", "Hangs on one station", "only on")

			options := p.Options("Think a rig away")
			tower := slices.IndexFunc(options, func(o string) bool { return strings.Contains(o, "Tower") })
			if tower < 0 {
				t.Fatalf("the demo has no tower: %s", options)
			}
			p.Choose("Think a rig away", options[tower])
			p.Click("button", "Show")
			p.Want("heading", options[tower])
			p.WantText("Outcomes lost", "can't be trained", "stuck")
			p.WantSound()

			table := p.Within("table", "Who is stuck")
			rows := table.Names("row")
			if len(rows) < 3 {
				t.Fatalf("nobody is stuck: %s", rows)
			}
			trainee := table.Names("link")[0]
			table.Click("link", trainee)
			p.WantPath("/people/")
			p.WantH1(trainee)
		})
	}
}
