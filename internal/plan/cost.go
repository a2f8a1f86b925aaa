package plan

import (
	"math"
	"math/bits"

	"rungbook/internal/civil"
)

// Cost is what a plan costs, in the unit of the problem's weights.
type Cost int64

// MostCost is the largest cost a usable problem can lead to (2⁶²).
const MostCost Cost = 1 << 62

// plus and times stop at the largest number instead of turning negative. Their
// arguments are not negative.
func (c Cost) plus(d Cost) Cost {
	if c > math.MaxInt64-d {
		return math.MaxInt64
	}
	return c + d
}

func times(weight int64, n int64) Cost {
	hi, lo := bits.Mul64(uint64(weight), uint64(n))
	if hi != 0 || lo > math.MaxInt64 {
		return math.MaxInt64
	}
	return Cost(lo)
}

// Cost works out the cost of a plan's sessions from its definition. old is the
// plan they were repaired from, nil without one. It is exact for every valid
// plan of a usable problem; anything beyond stops at the largest number.
// Ids that the problem lacks are ignored.
func (p *Problem) Cost(sessions, old []Session) Cost {
	w := p.Weights
	cost := times(w.Unplaced, int64(len(p.Missing(sessions))))
	cost = cost.plus(times(w.StaffMinute, p.staffMinutes(sessions)))
	cost = cost.plus(times(w.TraineeDay, p.traineeDays(sessions)))
	cost = cost.plus(times(w.IntakeDay, p.intakeDays(sessions)))
	return cost.plus(times(w.Moved, moved(sessions, old)))
}

// Missing returns the needs that no session fills, in the problem's order.
func (p *Problem) Missing(sessions []Session) []Unplaced {
	type need struct{ trainee, exercise string }
	placed := make(map[need]bool)
	for i := range sessions {
		for _, t := range sessions[i].Trainees {
			placed[need{t, sessions[i].Exercise}] = true
		}
	}
	var out []Unplaced
	for i := range p.Trainees {
		t := &p.Trainees[i]
		for _, e := range t.Needs {
			if !placed[need{t.ID, e}] {
				out = append(out, Unplaced{Trainee: t.ID, Exercise: e})
			}
		}
	}
	return out
}

// staffMinutes is Σ hold minutes × (instructors + standby rescuers).
func (p *Problem) staffMinutes(sessions []Session) int64 {
	exercises := p.exerciseIndex()
	var sum Cost
	for i := range sessions {
		s := &sessions[i]
		e, ok := exercises[s.Exercise]
		if !ok {
			continue
		}
		staff := int64(len(s.Instructors) + len(s.Rescuers))
		sum = sum.plus(times(max(0, int64(p.Exercises[e].Hold(s.Period()).Length())), staff))
	}
	return int64(sum)
}

// traineeDays is Σ over trainees of the local days on which they have a session.
func (p *Problem) traineeDays(sessions []Session) int64 {
	known := make(map[string]bool, len(p.Trainees))
	for i := range p.Trainees {
		known[p.Trainees[i].ID] = true
	}
	type traineeDay struct {
		trainee string
		day     civil.Day
	}
	seen := make(map[traineeDay]bool)
	for i := range sessions {
		day := p.Zone.DayOf(sessions[i].Start)
		for _, t := range sessions[i].Trainees {
			if known[t] {
				seen[traineeDay{t, day}] = true
			}
		}
	}
	return int64(len(seen))
}

// intakeDays is Σ over intakes of the index of the day of their last session's start.
func (p *Problem) intakeDays(sessions []Session) int64 {
	intakeOf := make(map[string]string, len(p.Trainees))
	for i := range p.Trainees {
		intakeOf[p.Trainees[i].ID] = p.Trainees[i].Intake
	}
	last := make(map[string]civil.Instant)
	for i := range sessions {
		for _, t := range sessions[i].Trainees {
			in, ok := intakeOf[t]
			if at, had := last[in]; ok && (!had || at < sessions[i].Start) {
				last[in] = sessions[i].Start
			}
		}
	}
	var sum int64
	for _, at := range last {
		sum += max(0, int64(p.Zone.DayOf(at)-p.From))
	}
	return sum
}

// moved counts the sessions of old that are gone or changed.
func moved(sessions, old []Session) int64 {
	now := make(map[string]*Session, len(sessions))
	for i := range sessions {
		now[sessions[i].ID] = &sessions[i]
	}
	var n int64
	for i := range old {
		if s := now[old[i].ID]; s == nil || s.MovedFrom(&old[i]) {
			n++
		}
	}
	return n
}

func (p *Problem) exerciseIndex() map[string]int {
	index := make(map[string]int, len(p.Exercises))
	for i := range p.Exercises {
		index[p.Exercises[i].ID] = i
	}
	return index
}

// Hold returns [start − setup, end + strike): how long a session of this
// exercise takes its station, zones, circuits, kits and staff.
func (e *Exercise) Hold(session civil.Period) civil.Period {
	return civil.Period{Start: session.Start.Add(-e.Setup), End: session.End.Add(e.Strike)}
}
