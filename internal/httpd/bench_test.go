package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/demo/demotest"
)

// BenchmarkPages measures the server's time for a page, signed in, compressed as
// browsers ask for it. Targets: p99 25 ms for the week, on ten years of records, and
// 15 ms for what is read at the rig.
func BenchmarkPages(b *testing.B) {
	for _, filled := range []*demotest.Yard{yard, tenYears} {
		s := serve(b, filled.Copy(b))
		r := s.as(access.Instructor)
		rig := "/yard/sessions/" + string(s.canStart().ID)
		places, sound := s.places(), s.sound()
		for _, page := range []struct{ name, path string }{
			{"week", "/week/" + monday.WeekString()}, {"day", "/day/" + monday.String()}, {"yard", "/"}, {"attention", "/attention"},
			{"session", fill("/sessions/{session}", places)}, {"book", "/book?" + sound.Encode()}, {"coverage", "/coverage"}, {"people", "/people"},
			{"my-day", "/yard"}, {"at-the-rig", rig}, {"check", rig + "/pre-use"},
			{"person", fill("/people/{person}", places)}, {"certificates", "/certificates"}, {"intakes", "/intakes"}, {"rule-book", "/rule-book"},
		} {
			b.Run(fmt.Sprintf("%s/years=%d", page.name, filled.Years), func(b *testing.B) { s.measure(b, r, page.path) })
		}
	}
}

func (s *site) measure(b *testing.B, r *reader, path string) {
	ask := func() {
		w := r.do("GET", path, nil, http.Header{"Accept-Encoding": {"gzip"}})
		if w.Code != http.StatusOK {
			b.Fatalf("%s: %d", path, w.Code)
		}
	}
	for range 20 {
		ask()
	}
	took := make([]time.Duration, 0, b.N)
	for b.Loop() {
		start := time.Now()
		ask()
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	at := func(p int) float64 { return float64(took[(len(took)-1)*p/100]) / float64(time.Millisecond) }
	b.ReportMetric(at(50), "p50-ms")
	b.ReportMetric(at(99), "p99-ms")
}
