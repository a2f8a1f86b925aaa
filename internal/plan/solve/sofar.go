package solve

// soFar writes the best plan found so far out, and leaves the run as it is: the
// sessions are put together in a state of their own. It is the plan of a run of
// as many rounds.
func (r *run) soFar() Result {
	k := newRebuilder(newState(r.t), 0, 0)
	k.begin(r.o.Old)
	shadow := run{t: r.t, o: r.o, walks: []*walk{{rebuilder: k}}, bound: r.bound, effort: r.effort}
	shadow.best.copyOf(&r.best)
	out := shadow.result()
	out.Steps = 0
	for _, w := range r.walks {
		out.Steps += w.steps
	}
	return out
}
