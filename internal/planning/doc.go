// Package planning turns the centre's records into the planning problem that
// plan/check and plan/solve work on, and their answers back into what people
// know: pointers become causes ("inspection of deck N overdue since 3 May"),
// ids become names. It judges no rule itself except the cautions in cautions.go.
//
// What is not stated stops: a height station without rescue cover, a person
// without a rest policy, a day without daylight figures are built into the
// problem as shut or never available, each with its cause.
//
// Read build.go first, then ground.go.
package planning
