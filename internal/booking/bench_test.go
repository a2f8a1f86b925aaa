package booking_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
)

// byYears runs a measurement on a yard of one year and one of ten; the targets
// are for ten.
func byYears(b *testing.B, measure func(*testing.B, *office)) {
	for _, filled := range []*demotest.Yard{yard, tenYears} {
		b.Run(fmt.Sprintf("years=%d", filled.Years), func(b *testing.B) {
			dir := filled.Copy(b)
			o := openIn(b, dir)
			measure(b, o)
			if err := o.store.Close(); err != nil {
				b.Fatal(err)
			}
		})
	}
}

// percentiles times each step by itself and reports the median and the 99th
// hundredth in microseconds.
func percentiles(b *testing.B, step func(i int)) {
	for i := range 50 { // what a program does in its first minute
		step(i)
	}
	took := make([]time.Duration, 0, b.N)
	for i := 0; b.Loop(); i++ {
		start := time.Now()
		step(i)
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	at := func(p int) float64 { return float64(took[(len(took)-1)*p/100]) / float64(time.Microsecond) }
	b.ReportMetric(at(50), "p50-µs")
	b.ReportMetric(at(99), "p99-µs")
}

// shifted are proposals like what people ask: a session to come at another time.
func (o *office) shifted() (list []booking.Proposal) {
	for i, r := range o.ahead() {
		p := asProposal(r)
		p.Session = ""
		p.Start = p.Start.Add(civil.Minutes(15 * (i%9 - 4)))
		list = append(list, p)
	}
	return list
}

// One proposed session against the records, loading included. Target: p50 2 ms,
// p99 6 ms, and 1.2 times as long on ten years as on one.
func BenchmarkOneProposal(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		list := o.shifted()
		percentiles(b, func(i int) {
			if _, err := o.Judge(ctx, o.instructor, list[i%len(list)]); err != nil {
				b.Fatal(err)
			}
		})
	})
}

// The judging alone of one proposed session. Target: 200 µs.
func BenchmarkJudgingAlone(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		var slices []*planning.Slice
		var puts [][]plan.Session
		for _, p := range o.shifted() {
			j, err := o.Judge(ctx, o.instructor, p)
			if err != nil {
				b.Fatal(err)
			}
			slices, puts = append(slices, j.Slice), append(puts, []plan.Session{j.Session})
		}
		percentiles(b, func(i int) { slices[i%len(slices)].Change(nil, puts[i%len(puts)]) })
	})
}

// Free times for a group over two weeks. Target: p99 50 ms.
func BenchmarkFreeTimes(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		var asks []booking.Ask
		o.everyAnswer(func(options booking.Options) { asks = append(asks, options.Ask) })
		percentiles(b, func(i int) {
			if _, err := o.Options(ctx, o.instructor, asks[i%len(asks)]); err != nil {
				b.Fatal(err)
			}
		})
	})
}

// The board of a week. It is a part of the week's page, whose target is p99 25 ms.
func BenchmarkWeekBoard(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		percentiles(b, func(i int) {
			from := monday + civil.Day(i%3-1)*7
			if _, err := o.Board(ctx, o.instructor, from, from+6, booking.Filter{}); err != nil {
				b.Fatal(err)
			}
		})
	})
}

// What needs attention: every session to come, judged, in another minute each
// time. The yard's page counts it.
func BenchmarkAttention(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		percentiles(b, func(i int) {
			o.now = eight + civil.Instant(i%2)
			if _, err := o.Attention(ctx, o.instructor); err != nil {
				b.Fatal(err)
			}
		})
	})
}

// A session booked, judged and committed to disk, and stood down again.
func BenchmarkBookAndStandDown(b *testing.B) {
	byYears(b, func(b *testing.B, o *office) {
		p := proposal(o.offers().Offers[0])
		percentiles(b, func(int) {
			done, err := o.Book(ctx, o.instructor, p, booking.Send{Key: o.key()})
			if err != nil || done.Refused != nil {
				b.Fatal(err, done)
			}
			if err := o.StandDown(ctx, o.instructor, id.Session(done.Session), 1, session.DownOther, "", o.key()); err != nil {
				b.Fatal(err)
			}
		})
	})
}
