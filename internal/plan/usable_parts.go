package plan

import (
	"math"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// lastDay is the last day that files can write.
var lastDay = civil.DayOf(9999, 12, 30)

func (c *census) horizon() error {
	p := c.p
	switch {
	case p.From < 1:
		return fault.Field("/from", "is no day")
	case p.Days < 0 || int64(p.From)+int64(p.Days) > int64(lastDay):
		return fault.Field("/days", "is %d: the horizon must end by %s", p.Days, lastDay)
	case p.Grid < 0:
		return fault.Field("/grid_minutes", "is %d, must be 1 or more", p.Grid)
	}
	for i, w := range p.Open {
		if w.From >= w.To {
			return fault.Field(Pointer("open", i), "the window ends no later than it starts")
		}
		for j, day := range w.Weekdays {
			if day < 1 || day > 7 {
				return fault.Field(Pointer("open", i, "weekdays", j), "is %d, must be 1 (Monday) to 7 (Sunday)", day)
			}
			if slices.Contains(w.Weekdays[:j], day) {
				return fault.Field(Pointer("open", i, "weekdays", j), "day %d is listed twice", day)
			}
			for k, v := range p.Open[:i] {
				if slices.Contains(v.Weekdays, day) && v.From < w.To && w.From < v.To {
					return fault.Field(Pointer("open", i), "overlaps window %d on weekday %d", k, day)
				}
			}
		}
	}
	for i, l := range p.Daylight {
		if l.From >= l.To {
			return fault.Field(Pointer("daylight", i), "the daylight ends no later than it starts")
		}
	}
	return nil
}

func (c *census) stations() error {
	for i := range c.p.Stations {
		s := &c.p.Stations[i]
		if !c.rigs.has(s.Rig) {
			return fault.Field(Pointer("stations", i, "rig"), "no rig has the id %q", s.Rig)
		}
		for j, z := range s.Zones {
			if err := wantID(z, "stations", i, "zones", j); err != nil {
				return err
			}
			if slices.Contains(s.Zones[:j], z) {
				return fault.Field(Pointer("stations", i, "zones", j), "%q is listed twice", z)
			}
		}
		if err := periods(s.Shut, "stations", i, "shut"); err != nil {
			return err
		}
		if s.Rescue != nil && s.Rescue.Kit != "" && !c.kits.has(s.Rescue.Kit) {
			return fault.Field(Pointer("stations", i, "rescue", "kit"), "no kit has the id %q", s.Rescue.Kit)
		}
	}
	for i := range c.p.Kits {
		for j, v := range c.p.Kits[i].Shut {
			if v.From >= v.To {
				return fault.Field(Pointer("kits", i, "shut", j), "the period ends no later than it starts")
			}
		}
	}
	return nil
}

func (c *census) exercises() error {
	for i := range c.p.Exercises {
		if err := c.exercise(&c.p.Exercises[i], i); err != nil {
			return err
		}
	}
	for i := range c.p.Courses {
		if err := knownOnce(c.p.Courses[i].Exercises, c.exerciseIDs, "exercise", "courses", i, "exercises"); err != nil {
			return err
		}
	}
	return nil
}

func (c *census) exercise(e *Exercise, i int) error {
	if e.Minutes < 1 {
		return fault.Field(Pointer("exercises", i, "minutes"), "is %d, must be 1 or more", int64(e.Minutes))
	}
	if e.Ratio < 1 {
		return fault.Field(Pointer("exercises", i, "ratio"), "is %d, must be 1 or more", e.Ratio)
	}
	stations := make([]string, len(e.RatioAt))
	for j, r := range e.RatioAt {
		if r.Ratio < 1 {
			return fault.Field(Pointer("exercises", i, "ratio_at", j, "ratio"), "is %d, must be 1 or more", r.Ratio)
		}
		stations[j] = r.Station
	}
	kits := make([]string, len(e.Uses))
	for j, u := range e.Uses {
		kits[j] = u.Kit
	}
	circuits := make([]string, len(e.Energy))
	for j, n := range e.Energy {
		if n.State != Live && n.State != Dead {
			return fault.Field(Pointer("exercises", i, "energy", j, "state"), "is %q, must be live or dead", n.State)
		}
		circuits[j] = n.Circuit
	}
	for j, a := range e.After {
		if !c.exerciseIDs.has(a.Exercise) {
			return fault.Field(Pointer("exercises", i, "after", j, "exercise"), "no exercise has the id %q", a.Exercise)
		}
	}
	return firstOf(
		knownOnce(e.Stations, c.stationIDs, "station", "exercises", i, "stations"),
		knownOnce(stations, c.stationIDs, "station", "exercises", i, "ratio_at"),
		knownOnce(kits, c.kits, "kit", "exercises", i, "uses"),
		knownOnce(circuits, c.circuits, "circuit", "exercises", i, "energy"),
	)
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// order refuses exercises that, by a chain of `after`, come after themselves.
// Exercises are taken off in any order that respects `after`; what is left over
// when nothing more can be taken lies on or behind a cycle.
func (c *census) order() error {
	list := c.p.Exercises
	waits := make([]int, len(list))
	next := make([][]int, len(list))
	for i := range list {
		for _, a := range list[i].After {
			before := c.exerciseIDs[a.Exercise]
			next[before] = append(next[before], i)
			waits[i]++
		}
	}
	var free []int
	for i, n := range waits {
		if n == 0 {
			free = append(free, i)
		}
	}
	for len(free) > 0 {
		i := free[0]
		free = free[1:]
		for _, j := range next[i] {
			if waits[j]--; waits[j] == 0 {
				free = append(free, j)
			}
		}
	}
	for i, n := range waits {
		if n > 0 {
			return fault.Field(Pointer("exercises", i, "after"), "%q can never be done: its after leads into a cycle", list[i].ID)
		}
	}
	return nil
}

func (c *census) staff() error {
	for i := range c.p.People {
		s := &c.p.People[i]
		for j, t := range s.Teaches {
			if !c.exerciseIDs.has(t.Exercise) {
				return fault.Field(Pointer("people", i, "teaches", j, "exercise"), "no exercise has the id %q", t.Exercise)
			}
		}
		if err := c.body("people", i, s.Body, s.Available, s.Duties, s.Rest); err != nil {
			return err
		}
	}
	return nil
}

// body checks what people and trainees have in common.
func (c *census) body(kind string, i int, person string, available, duties []civil.Period, rest []string) error {
	if person != "" && !IsID(person) {
		return wantID(person, kind, i, "person")
	}
	return firstOf(
		periods(available, kind, i, "available"),
		periods(duties, kind, i, "duties"),
		knownOnce(rest, c.policies, "rest policy", kind, i, "rest"),
	)
}

func (c *census) trainees() error {
	for i := range c.p.Trainees {
		t := &c.p.Trainees[i]
		if !IsID(t.Intake) {
			return wantID(t.Intake, "trainees", i, "intake")
		}
		if err := knownOnce(t.Needs, c.exerciseIDs, "exercise", "trainees", i, "needs"); err != nil {
			return err
		}
		for j, d := range t.Done {
			if !c.exerciseIDs.has(d.Exercise) {
				return fault.Field(Pointer("trainees", i, "done", j, "exercise"), "no exercise has the id %q", d.Exercise)
			}
			if k := slices.Index(t.Needs, d.Exercise); k >= 0 {
				return fault.Field(Pointer("trainees", i, "needs", k), "%q is also in done", d.Exercise)
			}
		}
		if err := c.body("trainees", i, t.Body, t.Available, t.Duties, t.Rest); err != nil {
			return err
		}
	}
	return nil
}

func (c *census) fixed() error {
	seen := make(known, len(c.p.Fixed))
	for i := range c.p.Fixed {
		s := &c.p.Fixed[i]
		if err := c.session(s, "fixed", i); err != nil {
			return err
		}
		if s.Start >= s.End {
			return fault.Field(Pointer("fixed", i), "the session ends no later than it starts")
		}
		if seen.has(s.ID) {
			return fault.Field(Pointer("fixed", i, "id"), "the id %q is used twice", s.ID)
		}
		seen[s.ID] = i
		for j, t := range s.Trainees {
			if !slices.Contains(c.p.Trainees[c.traineeIDs[t]].Needs, s.Exercise) {
				return fault.Field(Pointer("fixed", i, "trainees", j), "%q does not need %q", t, s.Exercise)
			}
		}
	}
	return nil
}

// session refuses a session that names what the problem lacks.
func (c *census) session(s *Session, kind string, i int) error {
	switch {
	case !IsID(s.ID):
		return wantID(s.ID, kind, i, "id")
	case !c.exerciseIDs.has(s.Exercise):
		return fault.Field(Pointer(kind, i, "exercise"), "no exercise has the id %q", s.Exercise)
	case !c.stationIDs.has(s.Station):
		return fault.Field(Pointer(kind, i, "station"), "no station has the id %q", s.Station)
	}
	for j, id := range s.Trainees {
		if !c.traineeIDs.has(id) {
			return fault.Field(Pointer(kind, i, "trainees", j), "no trainee has the id %q", id)
		}
	}
	for part, list := range [2][]string{s.Instructors, s.Rescuers} {
		for j, id := range list {
			if !c.people.has(id) {
				return fault.Field(Pointer(kind, i, [2]string{"instructors", "rescuers"}[part], j), "no person has the id %q", id)
			}
		}
	}
	for j, id := range s.Others {
		if !c.people.has(id) && !c.traineeIDs.has(id) {
			return fault.Field(Pointer(kind, i, "others", j), "nobody has the id %q", id)
		}
	}
	return nil
}

// costs refuses weights by which a valid plan could cost more than MostCost. A
// body's holds don't overlap, so staff take at most the horizon and one hold's
// ends each.
func (c *census) costs() error {
	p := c.p
	var needs, ends int64
	intakes := make(map[string]bool)
	for i := range p.Trainees {
		needs += int64(len(p.Trainees[i].Needs))
		intakes[p.Trainees[i].Intake] = true
	}
	for i := range p.Exercises {
		ends = max(ends, int64(p.Exercises[i].Setup+p.Exercises[i].Strike))
	}
	// All clock changes of a horizon together move its ends by less than two days.
	staff := times(int64(len(p.People)), (int64(p.Days)+2)*24*60+ends)
	most := times(p.Weights.Unplaced, needs).
		plus(times(p.Weights.StaffMinute, int64(staff))).
		plus(times(p.Weights.TraineeDay, needs)).
		plus(times(p.Weights.IntakeDay, int64(times(int64(len(intakes)), int64(p.Days))))).
		plus(times(p.Weights.Moved, int64(len(p.Fixed))+needs))
	if most > MostCost || most == math.MaxInt64 {
		return fault.Field("/weights", "the cost of a plan could pass 2^62 with these weights")
	}
	return nil
}

// wellFormed refuses a plan whose ids are ill-formed or repeated.
func (pl *Plan) wellFormed() error {
	seen := make(known, len(pl.Sessions))
	for i := range pl.Sessions {
		s := &pl.Sessions[i]
		if !IsID(s.ID) {
			return wantID(s.ID, "sessions", i, "id")
		}
		if seen.has(s.ID) {
			return fault.Field(Pointer("sessions", i, "id"), "the id %q is used twice", s.ID)
		}
		seen[s.ID] = i
	}
	return nil
}

// Knows reports the first thing that the plan names and the problem lacks, as a
// *fault.Error with a JSON pointer into the plan. Precondition: p is usable.
func (p *Problem) Knows(pl *Plan) error {
	c := &census{p: p}
	if err := c.kinds(); err != nil {
		return err
	}
	for i := range pl.Sessions {
		if err := c.session(&pl.Sessions[i], "sessions", i); err != nil {
			return err
		}
	}
	for i, u := range pl.Unplaced {
		if !c.traineeIDs.has(u.Trainee) {
			return fault.Field(Pointer("unplaced", i, "trainee"), "no trainee has the id %q", u.Trainee)
		}
		if !c.exerciseIDs.has(u.Exercise) {
			return fault.Field(Pointer("unplaced", i, "exercise"), "no exercise has the id %q", u.Exercise)
		}
	}
	return nil
}
