package main

import (
	"fmt"
	"io"

	"rungbook/internal/plan/solve"
)

// mostContradictions is how many lines of contradictions are printed.
const mostContradictions = 20

// tellContradictions prints, before the search, which needs no plan can place and
// why: one line for all trainees whom the same stops.
func tellContradictions(w io.Writer, found []solve.Contradiction) {
	type cause struct{ exercise, rule, at, words string }
	var order []cause
	needs := make(map[cause][]string)
	for _, c := range found {
		k := cause{c.Exercise, c.Rule, c.At, c.Words}
		if needs[k] == nil {
			order = append(order, k)
		}
		needs[k] = append(needs[k], c.Trainee)
	}
	left := len(found)
	for i, k := range order {
		if i == mostContradictions {
			fmt.Fprintf(w, "no plan can place %d more needs; the plan gives the reason of each\n", left)
			return
		}
		left -= len(needs[k])
		fmt.Fprintf(w, "no plan can place %s/%s%s: %s (%s, %s)\n", needs[k][0], k.exercise, others(len(needs[k])-1), k.words, k.rule, k.at)
	}
}

func others(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return " and 1 other trainee"
	}
	return fmt.Sprintf(" and %d other trainees", n)
}
