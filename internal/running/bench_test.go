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
// same disk: the medians of both. The yard's first session is signed before the
// clock runs, as a server that has run for a day has signed one.
func BenchmarkSign(b *testing.B) {
	var signing, commit []time.Duration
	for b.Loop() {
		b.StopTimer()
		r := open(b)
		for range 2 {
			s := r.ended()
			send, rev, roll := r.send(s.ID), r.show(s.ID).ResultsRev, r.show(s.ID).Attendance
			r.put("touched", roll) // the writer is warm
			began := time.Now()
			r.put("touched", roll)
			commit = append(commit, time.Since(began))
			b.StartTimer()
			began = time.Now()
			missing, err := r.Sign(ctx, r.instructor, s.ID, send, running.Signature{Without: true, Rev: rev})
			signing = append(signing, time.Since(began))
			b.StopTimer()
			if err != nil || len(missing) > 0 {
				b.Fatal(names(missing), err)
			}
		}
		signing, commit = slices.Delete(signing, len(signing)-2, len(signing)-1), slices.Delete(commit, len(commit)-2, len(commit)-1)
		b.StartTimer()
	}
	median := func(of []time.Duration) float64 {
		slices.Sort(of)
		return float64(of[len(of)/2].Microseconds()) / 1000
	}
	sign, one := median(signing), median(commit)
	b.ReportMetric(sign/one, "commits")
	b.ReportMetric(sign, "ms/sign")
	b.ReportMetric(one, "ms/commit")
}

// ended is a session that was held and has a result of everybody.
func (r *rigside) ended() session.Session {
	r.Helper()
	s := r.start()
	r.teach(s)
	r.now = r.now.Add(60)
	r.no(r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0))
	for _, x := range s.Trainees {
		shown := r.show(s.ID)
		r.no(r.Note(ctx, r.instructor, s.ID, r.send(s.ID), shown.ResultsRev, found(shown, x, session.Competent)))
	}
	return s
}
