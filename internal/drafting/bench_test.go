package drafting_test

import (
	"context"
	"testing"

	"rungbook/internal/drafting"
)

// BenchmarkDraft measures the page of a draft of the whole yard's open needs over
// half a year.
func BenchmarkDraft(b *testing.B) {
	o := open(b)
	w := o.usual()
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		b.Fatal(err)
	}
	w.Intakes = nil
	for _, in := range c.Intakes {
		w.Intakes = append(w.Intakes, in.Intake)
	}
	w.From, w.Until = monday, monday+drafting.MostDays-1
	of := o.made(w)
	for b.Loop() {
		o.draft(of)
	}
}

// BenchmarkDraftOverBooked measures the page of a draft that leaves many needs out.
func BenchmarkDraftOverBooked(b *testing.B) {
	o := open(b)
	w := o.long()
	w.Until, w.Seconds = w.From+4, 1
	of := o.made(w)
	left := 0
	for b.Loop() {
		left = len(o.draft(of).Unplaced)
	}
	b.ReportMetric(float64(left), "unplaced")
}

// BenchmarkStart measures what a form waits for: the problem of half a year is
// built, checked and kept.
func BenchmarkStart(b *testing.B) {
	o := open(b)
	o.end()
	w := o.usual()
	w.From, w.Until = monday, monday+drafting.MostDays-1
	for b.Loop() {
		of, err := o.Start(context.Background(), o.admin, w, o.key())
		if err != nil {
			b.Fatal(err)
		}
		if err := o.Stop(context.Background(), o.admin, of); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHit measures judging everything that is booked in a fortnight.
func BenchmarkHit(b *testing.B) {
	o := open(b)
	for b.Loop() {
		o.hit()
	}
}
