package solve

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// repaired plans a problem, changes it and repairs the plan.
func repaired(t *testing.T, change func(p *plan.Problem, was []plan.Session)) (p *plan.Problem, was []plan.Session, now Result) {
	t.Helper()
	p = readProblem(t, "small")
	was = Plan(p, Options{Seed: 1, Effort: 10}).Sessions
	change(p, was)
	now = Plan(p, Options{Seed: 1, Effort: 10, Old: was})
	pl := plan.Plan{Sessions: now.Sessions, Unplaced: now.Unplaced, Cost: &now.Cost}
	if report := check.Plan(p, &pl, check.Options{Old: &plan.Plan{Sessions: was}}); len(report.Findings) > 0 {
		t.Fatalf("the repaired plan breaks %s: %v", report.Findings[0].Rule, report.Findings[0])
	}
	return p, was, now
}

// changed counts the sessions that are gone or differ.
func changed(was, now []plan.Session) int {
	n := 0
	for i := range was {
		j := slices.IndexFunc(now, func(s plan.Session) bool { return s.ID == was[i].ID })
		if j < 0 || now[j].MovedFrom(&was[i]) {
			n++
		}
	}
	return n
}

func TestAPlanThatHoldsIsRepairedToItself(t *testing.T) {
	_, was, now := repaired(t, func(p *plan.Problem, _ []plan.Session) { p.Weights.Moved = 100_000 })
	if n := changed(was, now.Sessions); n > 0 {
		t.Errorf("%d of %d sessions changed though all hold and moving is dear", n, len(was))
	}
}

func TestAShutStationMovesLittleElse(t *testing.T) {
	hit := 0
	_, was, now := repaired(t, func(p *plan.Problem, was []plan.Session) {
		p.Weights.Moved = 2_000
		first := was[len(was)/2]
		day := civil.Period{Start: first.Start - 60*12, End: first.End + 60*12}
		for i := range p.Stations {
			if p.Stations[i].ID == first.Station {
				p.Stations[i].Shut = append(p.Stations[i].Shut, day)
			}
		}
		for _, s := range was {
			if s.Station == first.Station && day.Overlaps(s.Period()) {
				hit++
			}
		}
	})
	if n := changed(was, now.Sessions); n > hit+4 {
		t.Errorf("%d of %d sessions changed, %d were hit", n, len(was), hit)
	}
}

func TestALostInstructorIsReplacedAndTheSessionKeepsItsId(t *testing.T) {
	lost := ""
	_, was, now := repaired(t, func(p *plan.Problem, was []plan.Session) {
		lost = was[0].Instructors[0]
		for i := range p.People {
			if p.People[i].ID == lost {
				p.People[i].Available = []civil.Period{{Start: was[0].End + 24*60, End: was[0].End + 300*24*60}}
			}
		}
	})
	for _, s := range now.Sessions {
		if s.Start < was[0].End && slices.Contains(s.Instructors, lost) {
			t.Errorf("%s teaches %s on a day lost", lost, s.ID)
		}
	}
	known := 0
	for _, s := range now.Sessions {
		if slices.ContainsFunc(was, func(o plan.Session) bool { return o.ID == s.ID && o.Exercise == s.Exercise }) {
			known++
		}
	}
	if known < len(was)/2 {
		t.Errorf("%d of %d sessions are known again", known, len(was))
	}
}

func TestPeopleAndStationsThatHaveGoneAreNoReasonToFail(t *testing.T) {
	repaired(t, func(p *plan.Problem, was []plan.Session) {
		was[0].Station = "gone"
		was[1].Instructors = append(was[1].Instructors, "gone")
		was[2].Trainees = append(was[2].Trainees, "gone")
		was[3].Exercise = "gone"
	})
}
