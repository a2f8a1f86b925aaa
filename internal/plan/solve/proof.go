package solve

import (
	"time"

	"rungbook/internal/plan"
)

// proof is the bound that is proven beside the search. To prepare it may take
// longer than a round, so on large problems the search goes ahead for some rounds;
// from a fixed round on it takes some steps in each.
type proof struct {
	prover   Prover
	begun    chan Prover
	from     int64 // the first round in which it takes part
	perRound int   // steps
}

const (
	// aheadNeeds is from how many needs on the search goes ahead, aheadRounds for
	// how long.
	aheadNeeds  = 1000
	aheadRounds = 8
	// stepsTimesNeeds is about the work for the bound in a round: the more needs, the
	// longer a step.
	stepsTimesNeeds = 4096
	// patience is how often a run that waits asks whether it was stopped.
	patience = 10 * time.Millisecond
)

// begin prepares the proof while the search begins. Nobody waits for it if the run
// is stopped before it is ready: it touches nothing else, and ends.
func (f *proof) begin(r *run) {
	if r.o.Prove == nil {
		return
	}
	needs := len(r.t.needs)
	f.perRound = max(1, stepsTimesNeeds/max(256, needs))
	if needs > aheadNeeds {
		f.from = aheadRounds
	}
	f.begun = make(chan Prover, 1)
	go func(out chan<- Prover, p Options) { out <- p.Prove(r.t.p, p.Old) }(f.begun, *r.o)
}

// ready waits for the proof where it is due; false if the run was stopped
// meanwhile.
func (f *proof) ready(r *run) bool {
	if f.begun == nil || r.effort < f.from {
		return true
	}
	for {
		select {
		case f.prover = <-f.begun:
			f.begun = nil
			return true
		case <-time.After(patience):
			if r.stopped() {
				return false
			}
		}
	}
}

func (f *proof) best() plan.Cost {
	if f.prover == nil {
		return 0
	}
	return f.prover.Best()
}

func (f *proof) steps() {
	if f.prover == nil {
		return
	}
	for range f.perRound {
		f.prover.Step()
	}
}
