package people

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// The Check methods judge a record by itself before it is written. Each returns
// a form error with one sentence per field.

// Check judges a person's record.
func (p Person) Check() error {
	bad := fault.Fields{}
	if p.ID == "" || p.Name == "" {
		bad.Add("name", "The person has no name.")
	}
	return bad.Err()
}

// Check judges a staff record. Weekdays and rest policies may be missing in an
// older record, where they stop; a new one states them.
func (s Staff) Check() error {
	bad := fault.Fields{}
	if s.ID == "" {
		bad.Add("person", "Who works here is not stated.")
	}
	checkDays(bad, s.From, s.Until, false)
	if len(s.Weekdays) == 0 {
		bad.Add("weekdays", "On which weekdays they work is not stated.")
	}
	for i, w := range s.Weekdays {
		if w < 1 || w > 7 || slices.Contains(s.Weekdays[:i], w) {
			bad.Add("weekdays", "%d is not a weekday from 1, Monday, to 7, or stands twice.", w)
		}
	}
	checkRest(bad, s.Rest)
	return bad.Err()
}

// Check judges an intake.
func (i Intake) Check() error {
	bad := fault.Fields{}
	if i.Name == "" {
		bad.Add("name", "The intake has no name.")
	}
	if i.Employer == "" {
		bad.Add("employer", "For whom the intake comes is not stated.")
	}
	if i.Programme == "" {
		bad.Add("programme", "Which programme the intake follows is not stated.")
	}
	checkDays(bad, i.From, i.Until, true)
	return bad.Err()
}

// Check judges a trainee's enrolment.
func (t Trainee) Check() error {
	bad := fault.Fields{}
	if t.Person == "" {
		bad.Add("person", "Who the trainee is is not stated.")
	}
	if t.Intake == "" {
		bad.Add("intake", "With which intake the trainee comes is not stated.")
	}
	for i, e := range t.Needs {
		if slices.Contains(t.Needs[:i], e) {
			bad.Add("needs", "An exercise is needed twice.")
		}
	}
	checkRest(bad, t.Rest)
	return bad.Err()
}

// Check judges an appointment. It is for a field that needs one, and it ends: an
// appointment without a last day would go on for ever unnoticed.
func (a Appointment) Check() error {
	bad := fault.Fields{}
	if a.Person == "" {
		bad.Add("person", "Who is appointed is not stated.")
	}
	if !slices.Contains(verdict.Fields(), a.Field) {
		bad.Add("field", "%q is not a field that needs an appointment.", a.Field)
	}
	checkDays(bad, a.From, a.Until, true)
	return bad.Err()
}

// DutyKinds lists the kinds of duty in the order forms show them.
func DutyKinds() []DutyKind {
	return []DutyKind{DrillDuty, InspectionDuty, MaintenanceDuty, ElsewhereDuty, OfficeDuty}
}

// Check judges a duty.
func (d Duty) Check() error {
	bad := fault.Fields{}
	if d.Person == "" {
		bad.Add("person", "Whose duty it is is not stated.")
	}
	if !slices.Contains(DutyKinds(), d.Kind) {
		bad.Add("kind", "%q is not a kind of duty.", d.Kind)
	}
	checkTimes(bad, d.Start, d.End)
	return bad.Err()
}

// Check judges an absence.
func (a Away) Check() error {
	bad := fault.Fields{}
	if a.Person == "" {
		bad.Add("person", "Who is away is not stated.")
	}
	checkTimes(bad, a.Start, a.End)
	return bad.Err()
}

// Check judges days without work at height.
func (n NoHeight) Check() error {
	bad := fault.Fields{}
	if n.Person == "" {
		bad.Add("person", "Who does not work at height is not stated.")
	}
	checkDays(bad, n.From, n.Until, true)
	return bad.Err()
}

func checkDays(bad fault.Fields, from, until civil.Day, ends bool) {
	if from == 0 {
		bad.Add("from", "The first day is not stated.")
	}
	if until == 0 && ends {
		bad.Add("until", "The last day is not stated.")
	}
	if until != 0 && until < from {
		bad.Add("until", "The last day, %s, lies before the first, %s.", until, from)
	}
}

func checkTimes(bad fault.Fields, start, end civil.Instant) {
	if start == 0 || end == 0 {
		bad.Add("start", "Start or end is not stated.")
	} else if end <= start {
		bad.Add("end", "It ends before it starts.")
	}
}

func checkRest(bad fault.Fields, rest []id.Profile) {
	if len(rest) == 0 {
		bad.Add("rest", "No rest policy is chosen; without one the person can't be planned.")
	}
	for i, p := range rest {
		if p == "" || slices.Contains(rest[:i], p) {
			bad.Add("rest", "A rest policy is empty or stands twice.")
		}
	}
}

// AppointedOn returns the appointments of one field that stand on a day, by
// person: who may accept its cautions then.
func AppointedOn(list []Appointment, f verdict.Field, d civil.Day) []Appointment {
	var out []Appointment
	for _, a := range list {
		if a.Field == f && a.On(d) {
			out = append(out, a)
		}
	}
	slices.SortFunc(out, func(a, b Appointment) int { return cmp.Or(cmp.Compare(a.Person, b.Person), cmp.Compare(a.ID, b.ID)) })
	return out
}
