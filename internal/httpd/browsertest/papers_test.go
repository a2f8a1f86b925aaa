//go:build browser

package browsertest

import "testing"

// TestTheSheetsOfADayArePrintedAPageEach goes from the day to its sheets and
// prints them, then one session's sheet and rescue card.
func TestTheSheetsOfADayArePrintedAPageEach(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "instructor", func(t *testing.T, p *Page) {
		p.Go("/day/2027-03-02")
		p.Click("link", "Day sheets")
		p.WantH1("Day sheets")
		p.WantSound()
		sheets := p.Names("article")
		paper := p.Print()
		if len(sheets) < 5 || len(paper.Sheets) != len(sheets) {
			t.Fatalf("%d sides of paper for %d sessions", len(paper.Sheets), len(sheets))
		}
		for _, s := range paper.Sheets {
			if s.Landscape() {
				t.Error("a sheet lies on its side")
			}
		}
		if !paper.Has("Ratio") || !paper.Has("Wind at the rig") || !paper.Has("and local law come") || paper.Has("Needs attention") {
			t.Errorf("the first side holds %q", paper.Sheets[0].Text)
		}
	})
}
