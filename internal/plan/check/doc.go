// Package check judges plans: every rule of "What makes a plan valid" is one
// function here, named as the rule is, in the table of rules.go. It shares
// nothing with the planner but the problem types, and it never searches.
//
// A Judge is a compiled problem. A Board is a set of sessions in a Judge's eyes:
// All judges every subject, Change those that a change of sessions touches, by
// the same functions. Plan judges a whole plan with what it states of itself.
//
// The package does not know what caused a limit (an inspection, a law): findings
// carry the JSON pointer of the problem's value that decided, and whoever built
// the problem knows the cause. Read rules.go first.
package check
