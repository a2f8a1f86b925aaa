package demo

import (
	"slices"

	"rungbook/internal/civil"
)

// pace says how an intake's programme is spread: so many tenths of a working day
// lie between the first days of two steps; steps is how many of them are placed,
// 0 = all; last is the last day on which a session may be placed.
type pace struct {
	tenths, steps int
	last          civil.Day
}

// play places the intake's sessions block by block and gives the certificates
// that were earned.
func (b *builder) play(in *intake, p pace) {
	steps := in.programme.steps
	if p.steps > 0 {
		steps = steps[:p.steps]
	}
	placed := 0
	for _, block := range blocks(steps) {
		b.playBlock(in, block, placed, p)
		placed += len(block)
	}
	b.award(in)
}

// blocks parts a programme into runs of steps that don't build on each other, so
// that groups can do them in turn.
func blocks(steps []*exercise) (out [][]*exercise) {
	for _, e := range steps {
		n := len(out)
		if n > 0 && !slices.ContainsFunc(out[n-1], func(earlier *exercise) bool { return e.buildsOn(earlier) }) {
			out[n-1] = append(out[n-1], e)
			continue
		}
		out = append(out, []*exercise{e})
	}
	return out
}

func (e *exercise) buildsOn(earlier *exercise) bool {
	return slices.ContainsFunc(e.after, func(a afterRow) bool { return a.exercise == earlier.key })
}

// workdaysOn returns the day that lies n working days after d.
func (b *builder) workdaysOn(d civil.Day, n int) civil.Day {
	for range n {
		d = b.workday(d + 1)
	}
	return d
}

// playBlock lets the groups go round the steps of a block, which comes after so
// many others; who did not complete a step tries again twice.
func (b *builder) playBlock(in *intake, block []*exercise, placed int, p pace) {
	pending := make([][]*enrolment, len(block))
	for i := range block {
		pending[i] = in.members
	}
	for range 3 {
		groups := make([][][]*enrolment, len(block))
		turns := 0
		for i, e := range block {
			groups[i] = split(slices.DeleteFunc(slices.Clone(pending[i]), func(t *enrolment) bool { return !t.ready(e) }), e.groupMax)
			pending[i] = nil
			turns = max(turns, len(groups[i]))
		}
		for turn := range turns {
			from := b.workdaysOn(in.record.From, (placed*turns+turn*len(block))*p.tenths/10/turns)
			for i, e := range block {
				if n := len(groups[i]); turn < n {
					still, _ := b.schedule(in, wish{exercise: e, group: groups[i][(turn+i)%n], from: from, until: p.last, turn: in.number})
					pending[i] = append(pending[i], still...)
				}
			}
		}
	}
}
