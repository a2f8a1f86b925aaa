package bringing_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/batch"
	"rungbook/internal/bringing"
)

// TestABatchTakenBackLeavesEverythingAsItWas brings in random lists of people,
// good and bad rows mixed, and takes each back.
func TestABatchTakenBackLeavesEverythingAsItWas(t *testing.T) {
	d := open(t)
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		var b strings.Builder
		b.WriteString("Name,Born,Number,Employer\n")
		for i := range rapid.IntRange(1, 6).Draw(rt, "rows") {
			fmt.Fprintf(&b, "%s %s,%s,%s,%s\n",
				rapid.SampledFrom([]string{"Ada", "Adda", "Bo", "Casimir", ""}).Draw(rt, "first"), rapid.SampledFrom([]string{"Quillon", "Quilon", "Umber"}).Draw(rt, "last"),
				rapid.SampledFrom([]string{"1990-01-01", "1991-02-31", "2/3/90", "", "1985-07-09"}).Draw(rt, "born"),
				rapid.SampledFrom([]string{"", fmt.Sprint("n", n, "-", i), "n-1"}).Draw(rt, "number"),
				rapid.SampledFrom([]string{"", "Larkmoor Rotors", "larkmoor  rotors", "Brightholm"}).Draw(rt, "employer"))
		}
		was := d.snapshot()
		j := d.judge(batch.People, "a.csv", b.String())
		if d.snapshot() != was {
			rt.Fatal("judging changed something")
		}
		if j.Takes() == 0 {
			if _, err := d.Bring(ctx, d.actor, j.File, j.Mapping, j.SeenOf(), d.key()); err == nil || d.snapshot() != was {
				rt.Fatalf("no row is taken, and yet: %v", err)
			}
			return
		}
		made := d.bring(j)
		shown, err := d.Batch(ctx, d.actor, made)
		if err != nil {
			rt.Fatal(err)
		}
		if people := tally(shown.Counts)["person"]; people != j.Takes() || j.Takes()+j.Count(bringing.Refused) != len(j.Rows) {
			rt.Fatalf("%d of %d rows were taken and %d people recorded:\n%s", j.Takes(), len(j.Rows), people, lines(j))
		}
		if err := d.TakeBack(ctx, d.actor, made, shown.Rev, d.key()); err != nil {
			rt.Fatal(err)
		}
		if d.snapshot() != was {
			rt.Fatal("taken back, and yet something is left or lost")
		}
	})
	if report, err := d.store.Rebuild(ctx); err != nil || !report.Equal() {
		t.Errorf("rebuilt: %v, %v", report, err)
	}
}
