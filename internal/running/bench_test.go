package running_test

import (
	"slices"
	"testing"
	"time"

	"rungbook/internal/running"
	"rungbook/internal/session"
)

// BenchmarkShow is a session's page at the rig without drawing it, with the 99th
// percentile.
func BenchmarkShow(b *testing.B) {
	r := open(b)
	s := r.start()
	var took []time.Duration
	for b.Loop() {
		began := time.Now()
		r.show(s.ID)
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "p99-ms")
}

// BenchmarkSign compares a signature with one durable commit of one entry on the
// same disk.
func BenchmarkSign(b *testing.B) {
	var signing, commit time.Duration
	n := 0
	for b.Loop() {
		b.StopTimer()
		r := open(b)
		s := r.start()
		r.teach(s)
		r.now = r.now.Add(60)
		if err := r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0); err != nil {
			b.Fatal(err)
		}
		for _, x := range s.Trainees {
			shown := r.show(s.ID)
			if err := r.Note(ctx, r.instructor, s.ID, r.send(s.ID), shown.ResultsRev, found(shown, x, session.Competent)); err != nil {
				b.Fatal(err)
			}
		}
		send, rev := r.send(s.ID), r.show(s.ID).ResultsRev
		roll := r.show(s.ID).Attendance
		r.put("touched", roll) // the writer is warm
		began := time.Now()
		r.put("touched", roll)
		commit += time.Since(began)
		b.StartTimer()
		began = time.Now()
		missing, err := r.Sign(ctx, r.instructor, s.ID, send, running.Signature{Without: true, Rev: rev})
		signing += time.Since(began)
		if err != nil || len(missing) > 0 {
			b.Fatal(names(missing), err)
		}
		n++
	}
	b.ReportMetric(float64(signing)/float64(commit), "commits")
	b.ReportMetric(float64(signing.Microseconds())/1000/float64(n), "ms/sign")
	b.ReportMetric(float64(commit.Microseconds())/1000/float64(n), "ms/commit")
}
