package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/plan"
	"rungbook/internal/plan/solve"
)

// aNeed is what --explain asks about; the zero value is nothing.
type aNeed struct{ trainee, exercise string }

// readNeed reads TRAINEE/EXERCISE. The error is of kind fault.Invalid.
func readNeed(arg string, p *plan.Problem) (aNeed, error) {
	if arg == "" {
		return aNeed{}, nil
	}
	trainee, exercise, ok := strings.Cut(arg, "/")
	if !ok {
		return aNeed{}, fault.New(fault.Invalid, "--explain is %q, must be TRAINEE/EXERCISE", arg)
	}
	t := slices.IndexFunc(p.Trainees, func(t plan.Trainee) bool { return t.ID == trainee })
	switch {
	case t < 0:
		return aNeed{}, fault.New(fault.Invalid, "--explain: no trainee has the id %q", trainee)
	case !slices.ContainsFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == exercise }):
		return aNeed{}, fault.New(fault.Invalid, "--explain: no exercise has the id %q", exercise)
	case !slices.Contains(p.Trainees[t].Needs, exercise):
		return aNeed{}, fault.New(fault.Invalid, "--explain: %s does not need %s", trainee, exercise)
	}
	return aNeed{trainee, exercise}, nil
}

// explain prints why a need has no place in a plan.
func explain(w io.Writer, p *plan.Problem, sessions []plan.Session, n aNeed) {
	e, ok := solve.Explain(p, sessions, n.trainee, n.exercise)
	if !ok {
		panic("a need that was read is one of the problem's")
	}
	name := n.trainee + "/" + n.exercise
	for _, c := range solve.Contradictions(p) {
		if c.Trainee == n.trainee && c.Exercise == n.exercise {
			fmt.Fprintf(w, "No plan can place %s: %s (%s, %s).\n", name, c.Words, c.Rule, c.At)
		}
	}
	switch {
	case e.Standing != nil:
		fmt.Fprintf(w, "%s is placed: %s.\n", name, where(p.Zone, e.Standing))
	case e.Fits != nil:
		fmt.Fprintf(w, "%s has no place in the plan, but fits as the plan is: %s.\n", name, where(p.Zone, e.Fits))
	case e.Causes == nil:
		fmt.Fprintf(w, "%s has no place, and no set of causes was found that could be lifted. The best place found breaks: %s.\n", name, strings.Join(e.Nearest, ", "))
		fmt.Fprintf(w, "Searched: %s.\n", effortOf(e))
	default:
		fmt.Fprintf(w, "%s has no place. What stands in its way:\n", name)
		for _, c := range e.Causes {
			fmt.Fprintf(w, "  %s  %s\n", strings.Join(c.Rules, ", "), c.Words)
		}
		fmt.Fprintf(w, "With %s lifted it fits: %s.\n", allOf(len(e.Causes)), where(p.Zone, e.Place))
		fmt.Fprintf(w, "With %s put back, an insertion search finds no place; it looks at %s, and moves no other session.\n", anyOf(len(e.Causes)), effortOf(e))
	}
}

func allOf(n int) string {
	switch n {
	case 1:
		return "this"
	case 2:
		return "both"
	}
	return fmt.Sprintf("all %d", n)
}

func anyOf(n int) string {
	if n == 1 {
		return "it"
	}
	return "any one of them"
}

// effortOf says what each search without success looked at.
func effortOf(e solve.Explanation) string {
	return fmt.Sprintf("%s on a station in %s, and at %s to join", counted(e.Starts, "start"), counted(e.Days, "day"), counted(e.Joins, "session"))
}

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// where words a session's place.
func where(z civil.Zone, s *plan.Session) string {
	words := fmt.Sprintf("%s on %s, %s to %s, instructors %s", s.Exercise, s.Station, z.Format(s.Start), z.Format(s.End), strings.Join(s.Instructors, " "))
	if len(s.Rescuers) > 0 {
		words += ", rescuers " + strings.Join(s.Rescuers, " ")
	}
	if s.ID != "" {
		words += " (session " + s.ID + ")"
	}
	return words
}
