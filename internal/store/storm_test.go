package store

import (
	"database/sql"
	"fmt"
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/weather"
	"rungbook/migrations"
)

func TestWhatMayBeAStormIsKnownFromItsEntryOnAndNoLongerOnceItIsCorrected(t *testing.T) {
	b := newBench(t)
	b.yard()
	reading := func(of string, gust weather.Speed) weather.Reading {
		mean, high := weather.Speed(60), weather.Height(100)
		return weather.Reading{ID: id.Reading(of), Kind: weather.Measured, At: nine, By: "ivo", Instrument: "mast", Averaging: weather.TenMinutes, Ice: weather.NoIce,
			Mean: &mean, Gust: &gust, Height: &high}
	}
	var heads []int64
	known := func(r ...weather.Reading) {
		t.Helper()
		for _, x := range r {
			b.put(x)
		}
		b.read(func(v *View) error { heads = append(heads, v.Head()); return nil })
	}
	known(reading("calm", 119))
	known(reading("slip", 210)) // 21.0 was typed for 12.0, say
	known(weather.Reading{ID: "told", Kind: weather.StormPassed, From: nine.Add(-600), At: nine, By: "ivo"})
	known(reading("slip", 110))
	b.read(func(v *View) error {
		for n, want := range [][]id.Reading{{}, {"slip"}, {"slip", "told"}, {"told"}} {
			r, err := v.At(heads[n], v.Today()).Reference()
			if err != nil {
				return err
			}
			got := []id.Reading{}
			for _, x := range r.Storms.All(civil.LastDay) {
				got = append(got, x.ID)
			}
			if len(got) != len(want) || len(got) > 0 && got[len(got)-1] != want[len(want)-1] {
				t.Errorf("known at entry %d: %v, want %v", heads[n], got, want)
			}
		}
		return nil
	})
	b.references.kept = nil // read as a whole, not entry by entry
	b.read(func(v *View) error {
		r, err := v.Reference()
		if err == nil && (r.Storms.Len() != 1 || r.Storms.Keys()[0] != "told") {
			t.Errorf("read as a whole: %v", r.Storms.Keys())
		}
		return err
	})
}

// TestReadingsOfBeforeAreFoundByTheMigrationAsByTheProgram compares the step's own
// arithmetic with weather.Strongest.
func TestReadingsOfBeforeAreFoundByTheMigrationAsByTheProgram(t *testing.T) {
	b := newBench(t)
	b.yard()
	n := 0
	for _, high := range []weather.Height{10, 15, 20, 50, 99, 100, 101, 300} {
		for gust := weather.Speed(70); gust <= 125; gust++ {
			mean := gust
			r := weather.Reading{ID: id.Reading(fmt.Sprint("r", n)), Kind: weather.Measured, At: nine, By: "ivo", Instrument: "mast", Averaging: weather.TenMinutes, Ice: weather.NoIce, Mean: &mean, Height: &high}
			if gust%2 == 0 {
				r.Gust, mean = &gust, gust-40
			}
			b.put(r)
			n++
		}
	}
	noted := func() (out []string) {
		b.read(func(v *View) error {
			return v.each(func(rows *sql.Rows) error {
				var of string
				err := rows.Scan(&of)
				out = append(out, of)
				return err
			}, `SELECT id FROM reference_entry WHERE kind = 'storm' ORDER BY id`)
		})
		return out
	}
	want := noted()
	step, err := migrations.Files.ReadFile("0017_storms.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{`DELETE FROM reference_entry WHERE kind = 'storm'`, string(step)} {
		if err := b.write0(s); err != nil {
			t.Fatal(err)
		}
	}
	if got := noted(); !slices.Equal(got, want) || len(got) == 0 || len(got) == n {
		t.Errorf("the step notes %d readings of %d, the program %d", len(got), n, len(want))
	}
}
