package drafting

import "rungbook/internal/plan"

// Level is how much somebody cares about one thing that makes a plan good.
type Level string

// The levels, mildest first.
const (
	Little Level = "little"
	Middle Level = "middle"
	Much   Level = "much"
)

// Levels lists the levels in the order forms show them.
func Levels() []Level { return []Level{Little, Middle, Much} }

// prices is the one table of what the choices mean. The unit is a quarter of a
// minute of one member of staff. Middle holds the proportions that the planner is
// tuned to: a day on which a trainee comes in is worth two hours of one member of
// staff, and an intake that ends a day later one hour. Little and much are a
// fourth and four times that.
var prices = map[Level]struct{ intakeDay, traineeDay, staffMinute int64 }{
	Little: {intakeDay: 60, traineeDay: 120, staffMinute: 1},
	Middle: {intakeDay: 240, traineeDay: 480, staffMinute: 4},
	Much:   {intakeDay: 960, traineeDay: 1920, staffMinute: 16},
}

// movedPrice is what a change of a booked session costs in a repair: about 40
// hours of staff, so that sessions are moved for those that were hit and hardly
// ever to save time.
const movedPrice = 4 * 60 * 40

func known(l Level) bool { _, ok := prices[l]; return ok }

// weigh sets the weights of a problem. A need without a place costs more than all
// else that a plan can cost together, so that a place always wins: it is the
// smallest power of ten above that, and the rest of a cost can be read behind it.
func weigh(p *plan.Problem, w Wish, moved int64, old int) {
	p.Weights = plan.Weights{
		IntakeDay: prices[w.Soon].intakeDay, TraineeDay: prices[w.FewDays].traineeDay, StaffMinute: prices[w.SpareStaff].staffMinute,
		Moved: moved,
	}
	var needs, ends int64
	intakes := map[string]bool{}
	for _, t := range p.Trainees {
		needs += int64(len(t.Needs))
		intakes[t.Intake] = true
	}
	for _, e := range p.Exercises {
		ends = max(ends, int64(e.Setup+e.Strike))
	}
	// A body's holds do not overlap, so that nobody works more than the horizon; a
	// clock change lengthens it by less than two days.
	days := int64(p.Days)
	most := p.Weights.StaffMinute*int64(len(p.People))*((days+2)*24*60+ends) + p.Weights.TraineeDay*needs +
		p.Weights.IntakeDay*int64(len(intakes))*days + moved*int64(len(p.Fixed)+old)
	p.Weights.Unplaced = 10
	for p.Weights.Unplaced <= most {
		p.Weights.Unplaced *= 10
	}
}
