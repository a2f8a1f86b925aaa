package chart

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden drawings anew")

// towerAndBlade and plinth are two yards of different scrap; nothing of one is
// in the other, so that no measure can hide in the code.
func towerAndBlade() Yard {
	return Yard{Name: "Carrowmoyle", Rigs: []Rig{
		{ID: "tower", Name: "Tower platform", Href: "/rigs/tower", Kind: Tower, Width: 42, Height: 180, Decks: []Deck{{Height: 40, Out: 26}, {Height: 140, Out: 26}},
			Zones: []Zone{{Name: "Drop zone", From: -45, To: -1, TopFrom: -26, TopTo: -2, Height: 38, InUse: true}},
			Stations: []Station{
				{ID: "a", Mark: "1", Name: "Deck 14 north", Lines: []string{"Harness basics", "6/6"}, Say: "in use", Href: "/stations/a", State: InUse, X: -25, Y: 140, Width: 22, Height: 22, Side: Left},
				{ID: "b", Mark: "2", Name: "Deck 4 south", Lines: []string{"shut: anchor test"}, Say: "shut", Href: "/stations/b", State: Shut, X: 45, Y: 40, Width: 22, Height: 22, Side: Right},
			}},
		{ID: "blade", Name: "Blade face", Kind: Blade, HangsOn: "tower", Side: Right, Off: 34, Lift: 14, Width: 30, Height: 150,
			Stations: []Station{{ID: "c", Mark: "3", Name: "Lower face", Lines: []string{"stops: no rescue plan"}, Say: "stops", Href: "/stations/c", State: Stops, X: 4, Y: 50, Width: 20, Height: 22}}},
		{ID: "class", Name: "Classroom", Kind: Classroom, Width: 90, Height: 32,
			Stations: []Station{{ID: "d", Mark: "4", Name: "Room", Lines: []string{"free all day"}, Say: "free", Href: "/stations/d", State: Free, X: 10, Width: 70, Height: 22}}},
	}}
}

func plinth() Yard {
	return Yard{Name: "Sandvik Öst", Rigs: []Rig{
		{ID: "hub", Name: "Nacelle on plinth", Kind: Nacelle, Side: Right, Width: 86, Height: 34, BaseWidth: 30, BaseHeight: 24, State: "in conversion",
			Stations: []Station{{ID: "p", Mark: "1", Name: "Gear room", Lines: []string{"Pump", "4/4", "live"}, Say: "in use, live", Href: "/stations/p", State: InUse, Live: true, X: 20, Y: 28, Width: 30, Height: 22}}},
		{ID: "tall", Name: "Tall tower", Kind: Tower, Width: 46, Height: 260, Decks: []Deck{{Height: 120}, {Height: 240, Out: 20}},
			Stations: []Station{{ID: "q", Mark: "2", Name: "Top deck", Lines: []string{"free all day"}, Say: "free", Href: "/stations/q", State: Free, X: 48, Y: 240, Width: 16, Height: 14, Side: Right}}},
		{ID: "wing", Name: "Blade", Kind: Blade, HangsOn: "tall", Side: Left, Off: 10, Lift: 20, Width: 40, Height: 210},
		{ID: "shed", Name: "Shed", Kind: Workshop, Width: 70, Height: 40},
	}}
}

func TestElevationsLookAsTheyDid(t *testing.T) {
	var locator bytes.Buffer
	if err := Locator(Elevation(towerAndBlade(), Options{Width: 240, Here: "c"}), "here is station 3").Render(context.Background(), &locator); err != nil {
		t.Fatal(err)
	}
	drawings := map[string]string{"locator.svg": locator.String()}
	for name, y := range map[string]Yard{"tower-and-blade.svg": towerAndBlade(), "plinth.svg": plinth()} {
		var b bytes.Buffer
		if err := ElevationFigure(Elevation(y, Options{Width: 1000, Labels: true})).Render(context.Background(), &b); err != nil {
			t.Fatal(err)
		}
		drawings[name] = b.String()
	}
	for name, got := range drawings {
		golden(t, name, got)
	}
}

// golden compares a drawing with the one kept in testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	got = strings.ReplaceAll(got, "><", ">\n<") + "\n"
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s has changed; look at it and run the test with -update", name)
	}
}

func number(t interface{ Fatalf(string, ...any) }, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("%q is no number", s)
	}
	return v
}

func TestElevationIsToScale(t *testing.T) {
	d := Elevation(towerAndBlade(), Options{Width: 1000, Labels: true})
	deck, room := d.Places[0].Box, d.Places[3].Box
	// 22 dm wide on the tower, 70 dm wide in the classroom.
	if got, want := number(t, room.W)/number(t, deck.W), 70.0/22; got < want*0.99 || got > want*1.01 {
		t.Errorf("a room of 7.0 m is %.3f times as wide as a station of 2.2 m, want %.3f", got, want)
	}
	rise := number(t, d.Places[1].Box.Y) - number(t, d.Places[0].Box.Y)
	if got, want := rise/number(t, deck.H), 100.0/22; got < want*0.99 || got > want*1.01 {
		t.Errorf("decks 10.0 m apart stand %.3f station heights apart, want %.3f", got, want)
	}
}

func TestElevationHatchesOnlyWhatIsInUse(t *testing.T) {
	y := towerAndBlade()
	if d := Elevation(y, Options{Width: 1000}); !d.Zones[0].InUse || d.Zones[0].Hatch == "" {
		t.Error("the drop zone in use is not hatched")
	}
	y.Rigs[0].Zones[0].InUse = false
	if d := Elevation(y, Options{Width: 1000}); d.Zones[0].InUse || d.Zones[0].Hatch != "" {
		t.Error("the drop zone not in use is hatched")
	}
	if d := Elevation(plinth(), Options{Width: 1000}); d.Places[0].Hatch == "" || d.Places[1].Hatch != "" {
		t.Error("exactly the live station must be hatched")
	}
}

func TestLocatorPointsOutOneStation(t *testing.T) {
	here := 0
	for _, p := range Elevation(towerAndBlade(), Options{Width: 240, Here: "c"}).Places {
		if p.Here != (p.Mark.Words == "3") || !p.Here && p.Mark.Words != "" {
			t.Errorf("here is %v with the number %q", p.Here, p.Mark.Words)
		}
		if p.Here {
			here++
		}
	}
	if here != 1 {
		t.Errorf("%d stations are pointed out, want 1", here)
	}
	for _, p := range Elevation(towerAndBlade(), Options{Width: 240}).Places {
		if p.Here || p.Mark.Words == "" {
			t.Errorf("station %q: here is %v though none was asked for", p.Mark.Words, p.Here)
		}
	}
}

func TestEmptyYardIsBareGround(t *testing.T) {
	d := Elevation(Yard{Name: "Nowhere"}, Options{Width: 1000, Labels: true})
	if len(d.Places) != 0 || len(d.Lines) == 0 || number(t, d.Width) <= 0 || number(t, d.Height) <= 0 {
		t.Errorf("%d places, %d lines, %s × %s", len(d.Places), len(d.Lines), d.Width, d.Height)
	}
}

func TestBladeWithoutItsTowerStandsAlone(t *testing.T) {
	y := Yard{Rigs: []Rig{{ID: "b", Name: "Blade", Kind: Blade, HangsOn: "gone", Side: Right, Width: 30, Height: 150}}}
	if groups := clusters(y); len(groups) != 1 || len(groups[0].rigs) != 1 {
		t.Errorf("%d clusters, want the blade alone", len(groups))
	}
}

func randomYard(t *rapid.T) Yard {
	measure := rapid.IntRange(10, 300)
	var y Yard
	for i := range rapid.IntRange(1, 6).Draw(t, "rigs") {
		r := Rig{ID: strconv.Itoa(i), Name: rapid.StringMatching(`[A-Z][a-z ]{1,30}`).Draw(t, "name"), Kind: rapid.SampledFrom([]Kind{Tower, Blade, Nacelle, Classroom, Workshop}).Draw(t, "kind"),
			Width: measure.Draw(t, "w"), Height: measure.Draw(t, "h"), BaseWidth: measure.Draw(t, "bw"), BaseHeight: measure.Draw(t, "bh"), Side: rapid.SampledFrom([]Side{Left, Right}).Draw(t, "side")}
		if r.Kind == Blade && i > 0 {
			r.HangsOn = "0"
		}
		for j := range rapid.IntRange(0, 4).Draw(t, "stations") {
			r.Stations = append(r.Stations, Station{ID: r.ID + strconv.Itoa(j), Mark: "1", Name: rapid.StringMatching(`[A-Z][a-z ]{1,40}`).Draw(t, "station"), Lines: []string{"free"}, X: rapid.IntRange(0, r.Width).Draw(t, "x"), Y: rapid.IntRange(0, r.Height).Draw(t, "y"), Width: 20, Height: 20})
		}
		y.Rigs = append(y.Rigs, r)
	}
	return y
}

// Labels are as wide however small the rigs are drawn: a yard of many rigs goes in two
// rows before its rigs shrink to nothing, and one of few stays in one.
func TestRigsKeepTheirSizeBesideTheirLabels(t *testing.T) {
	o := Options{Width: 1216, Labels: true}
	if n := len(Rows(towerAndBlade(), o)); n != 1 {
		t.Errorf("a yard of few rigs is drawn in %d rows", n)
	}
	y := towerAndBlade()
	for n := range 3 {
		more := y.Rigs[len(y.Rigs)-1]
		more.ID, more.Name = "more "+strconv.Itoa(n), "Another hall with a long name: in conversion"
		y.Rigs = append(y.Rigs, more)
	}
	groups := clusters(y)
	_, two := parted(groups, o)
	if one := fit(groups, o); 2*one >= two {
		t.Fatalf("one row draws at %.3f, two at %.3f: no case of what is asked", one, two)
	}
	if n := len(Rows(y, o)); n != 2 {
		t.Errorf("a yard of many rigs is drawn in %d rows", n)
	}
}

func TestAnyYardFitsItsSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := randomYard(t)
		d := Elevation(y, Options{Width: 2400, Labels: true})
		w, h := number(t, d.Width), number(t, d.Height)
		if w > 2400.1 {
			t.Fatalf("the drawing is %v wide, more than it may be", w)
		}
		stations := 0
		for _, r := range y.Rigs {
			stations += len(r.Stations)
		}
		if len(d.Places) != stations {
			t.Fatalf("%d places for %d stations", len(d.Places), stations)
		}
		for _, p := range d.Places {
			x, top := number(t, p.Box.X), number(t, p.Box.Y)
			if x < -0.2 || top < -0.2 || x+number(t, p.Box.W) > w+0.2 || top+number(t, p.Box.H) > h+0.2 {
				t.Fatalf("station box %v leaves the sheet of %v × %v", p.Box, w, h)
			}
			tx, ty := number(t, p.Target.X), number(t, p.Target.Y)
			if tx < -0.2 || ty < -0.2 || tx+number(t, p.Target.W) > w+0.2 {
				t.Fatalf("label %v of %q leaves the sheet of %v × %v", p.Target, p.Name.Words, w, h)
			}
		}
	})
}

func BenchmarkElevation(b *testing.B) {
	y := towerAndBlade()
	for b.Loop() {
		Elevation(y, Options{Width: 1216, Labels: true})
	}
}
