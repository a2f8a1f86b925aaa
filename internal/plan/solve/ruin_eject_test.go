package solve

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Three trainees need the same exercise, of which there is a session of one trainee
// each morning. The first may only come on the first day, the second on the first
// two; those who may come later have taken the earlier seats.
func TestAnEjectionChainPassesASeatOnUntilSomebodyFindsOneThatIsFree(t *testing.T) {
	day := civil.DayOf(2027, 3, 1)
	p := &plan.Problem{Zone: dublin(t), Grid: 60, From: day, Days: 3, Weights: plan.Weights{Unplaced: 1000}}
	p.Open = []plan.Window{{Weekdays: []int{1, 2, 3}, From: 8 * 60, To: 10 * 60}}
	p.Rigs = []plan.Rig{{ID: "tower"}}
	p.Stations = []plan.Station{{ID: "ladder", Rig: "tower", Places: 1}}
	p.Exercises = []plan.Exercise{{ID: "climb", Minutes: 120, Stations: []string{"ladder"}, GroupMin: 1, Ratio: 1}}
	p.People = []plan.Person{{ID: "guide", Rest: []string{}, Teaches: []plan.Teaches{{Exercise: "climb", Validity: plan.Validity{From: day, Until: day + 2}}}}}
	for i, id := range []string{"first", "second", "third"} {
		p.Trainees = append(p.Trainees, plan.Trainee{ID: id, Intake: id, Needs: []string{"climb"}, Deadline: day + civil.Day(i), Rest: []string{}})
	}
	r := newRun(p, &Options{Seed: 1})
	w := r.walks[0]
	w.building = nil
	seatOn := func(trainee, d int) {
		at := w.s.post(&w.s.t.spots[0], d, 0, []int{trainee})
		w.s.add(w.s.newSession(&at, []int{0}, []int{}))
	}
	seatOn(1, 0)
	seatOn(2, 1)
	for range 20 {
		w.step++
		ruinEject(w.rebuilder, w.pickSession(), 10)
		if !w.rebuild() {
			t.Fatal("what stands is not valid")
		}
		w.agrees(t, r)
		if len(w.s.open) == 0 {
			return
		}
	}
	t.Error("the first trainee has no seat, though each of the others could come a day later")
}
