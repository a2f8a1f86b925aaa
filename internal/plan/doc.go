// Package plan holds the planning problem (PROBLEM) and its answer (PLAN): what
// they say, their strict JSON files, and the cost of a plan worked out from its
// definition. It judges nothing: whether a plan is valid is plan/check's
// business, how to find a good one plan/solve's. Ids are plain strings, periods
// are half-open, days are local days of the problem's zone. Read problem.go first.
package plan
