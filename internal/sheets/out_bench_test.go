package sheets

import (
	"io"
	"runtime"
	"strconv"
	"testing"

	"rungbook/internal/civil"
)

// BenchmarkAListOf100000Rows tells, beside the time, how many bytes of the heap are in
// use at the most while the list is written.
func BenchmarkAListOf100000Rows(b *testing.B) {
	for _, format := range Formats() {
		b.Run(format, func(b *testing.B) {
			var most uint64
			for b.Loop() {
				o, err := NewOut(io.Discard, format, "People")
				if err != nil {
					b.Fatal(err)
				}
				if err := o.Part("", "Number", "Name", "Day", "Employer"); err != nil {
					b.Fatal(err)
				}
				for i := range 100_000 {
					if err := o.Row(i, "Person number "+strconv.Itoa(i), civil.Day(20_000+i%500), "An employer of the coast"); err != nil {
						b.Fatal(err)
					}
					if i%10_000 == 0 {
						var m runtime.MemStats
						runtime.ReadMemStats(&m)
						most = max(most, m.HeapInuse)
					}
				}
				if err := o.Close(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(most)/(1<<20), "MB-heap")
		})
	}
}
