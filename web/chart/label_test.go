package chart

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrapBreaksAtSpacesIntoTwoLines(t *testing.T) {
	for _, c := range []struct {
		s    string
		n    int
		want []string
	}{
		{"shut: anchor test", 17, []string{"shut: anchor test"}},
		{"shut: anchor test", 16, []string{"shut: anchor", "test"}},
		{"Rescue: casualty under the hub", 20, []string{"Rescue: casualty", "under the hub"}},
		{"one two three four five", 9, []string{"one two", "three fo…"}},
		{"Unterbrechungsfrei", 8, []string{"Unterbr…"}},
		{"", 8, []string{""}},
	} {
		if got := wrap(c.s, c.n); !slices.Equal(got, c.want) {
			t.Errorf("wrap(%q, %d) = %q, want %q", c.s, c.n, got, c.want)
		}
	}
}

func TestLabelsKeepTheirWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st := Station{Name: rapid.String().Draw(t, "name"), Lines: rapid.SliceOfN(rapid.StringMatching(`[A-Za-z ]{0,40}`), 0, 3).Draw(t, "lines")}
		for kind, chars := range map[Kind]int{Tower: sideChars, Workshop: flagChars} {
			l := labelOf(st, Rig{Kind: kind})
			if n := len([]rune(l.name)); n > nameChars {
				t.Fatalf("the name %q has %d characters, at most %d fit", l.name, n, nameChars)
			}
			for _, line := range l.lines {
				if n := len([]rune(line)); n > chars {
					t.Fatalf("on a %s the line %q has %d characters, at most %d fit", kind, line, n, chars)
				}
			}
		}
	})
}

func TestPhrasesShareALineAboveARoofAndNeverBesideATower(t *testing.T) {
	st := Station{Name: "Pump", Lines: []string{"Pitch pump", "4/6 to 11:30", "hydraulic power live"}}
	if got, want := labelOf(st, Rig{Kind: Nacelle}).lines, []string{"Pitch pump · 4/6 to 11:30", "hydraulic power live"}; !slices.Equal(got, want) {
		t.Errorf("above a roof the lines are %q, want %q", got, want)
	}
	if got, want := labelOf(st, Rig{Kind: Tower}).lines, st.Lines; !slices.Equal(got, want) {
		t.Errorf("beside a tower the lines are %q, want %q", got, want)
	}
}

func TestLevelsStandBesideTheTower(t *testing.T) {
	d := Elevation(towerAndBlade(), Options{Width: 1000, Labels: true})
	var got []string
	for _, text := range d.Texts {
		if text.Kind == "level" {
			got = append(got, text.Words)
		}
	}
	if want := "+18.0 +14.0 +4.0"; strings.Join(got, " ") != want {
		t.Errorf("levels %q, want %q", got, want)
	}
	for _, text := range d.Texts {
		for _, p := range d.Places {
			if text.Kind == "level" && number(t, text.X) > number(t, p.Box.X) {
				t.Errorf("the level %s stands at %s, over the station at %s", text.Words, text.X, p.Box.X)
			}
		}
	}
}

func TestAZoneInUseIsNamed(t *testing.T) {
	named := func(y Yard) bool {
		return slices.ContainsFunc(Elevation(y, Options{Width: 1000, Labels: true}).Texts, func(x Text) bool { return x.Kind == "zone" && x.Words == "Drop zone in use" })
	}
	y := towerAndBlade()
	if !named(y) {
		t.Error("the zone in use has no word")
	}
	y.Rigs[0].Zones[0].InUse = false
	if named(y) {
		t.Error("a zone at rest is called in use")
	}
}

func TestTwoRowsHoldEveryStationAtOneScale(t *testing.T) {
	y := towerAndBlade()
	rows := TwoRows(y, Options{Width: 500, Labels: true})
	if len(rows) != 2 {
		t.Fatalf("%d rows, want 2", len(rows))
	}
	places := append(slices.Clone(rows[0].Places), rows[1].Places...)
	if len(places) != 4 {
		t.Fatalf("%d stations in two rows, want 4", len(places))
	}
	// 22 dm wide on the tower, 70 dm wide in the classroom.
	if got, want := number(t, places[3].Box.W)/number(t, places[0].Box.W), 70.0/22; got < want*0.97 || got > want*1.03 {
		t.Errorf("a room of 7.0 m is %.3f times as wide as a station of 2.2 m, want %.3f", got, want)
	}
	for _, d := range rows {
		if w := number(t, d.Width); w > 500.1 {
			t.Errorf("a row is %v wide, at most 500 fit", w)
		}
		if d.Width != rows[0].Width {
			t.Errorf("rows of %s and %s pixels would be shown at two scales", rows[0].Width, d.Width)
		}
	}
	one := Elevation(y, Options{Width: 500, Labels: true})
	if number(t, rows[0].Places[0].Box.W) <= number(t, one.Places[0].Box.W) {
		t.Error("two rows are drawn no larger than one")
	}
	y.Rigs = y.Rigs[:2]
	if rows := TwoRows(y, Options{Width: 500, Labels: true}); len(rows) != 1 {
		t.Errorf("a tower and its blade were parted into %d rows", len(rows))
	}
}
