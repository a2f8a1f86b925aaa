// Package bound proves how cheap no plan can be: whole-number lower bounds on the
// cost of every valid plan of a problem, from its rules alone.
//
// The cost of a plan ties everything to everything: trainees share sessions,
// sessions share stations and staff. The bound puts a price on each tie and lets
// the parts go their own way, each as cheaply as it can: a trainee picks days, a
// group of stations picks sessions, a member of staff picks a day's work. Whatever
// the prices, the sum of what the parts cost is no more than any plan costs
// (Lagrangian duality; the proof is at dual). Better prices only make it higher.
//
//   - class.go, lattice.go, trainee.go: a trainee's days, their order and limits.
//   - crew.go, cover.go, cut.go: staff by group size; needs that can only be met in
//     some days, rounded up to whole crews.
//   - yard.go, knapsack.go: what stations and zones hold in a day.
//   - people.go, shift.go: what a member of staff can do in a day.
//   - prices.go, dual.go, climb.go, paced.go: prices, what they prove, how they improve.
//   - sell.go, menu.go: what a day's sessions are worth under prices.
//   - atonce.go: how many trainees a rig has room for, by heads and energy states.
//   - own.go: every intake by itself, last day by last day.
//   - windows.go, share.go, lasts.go: when the needs of intakes can meet, and cases
//     by the day on which each intake ends.
//   - fixed.go: what fixed sessions settle, taken out before all else.
//   - moved.go: sessions of an older plan that can't stay.
//   - bound.go puts it together: a climb on the needs that must stay unplaced alone
//     (a whole number, so rounded up) and one on the whole cost. Read it first.
//
// # What limits it
//
// An intake by itself is bounded within about 60 of the best plan known for it alone,
// on most of those of medium and half-year, also where staff cost something. Prices for
// all intakes together, each kept to its cheapest last day, prove no more than the sum of
// the intakes: on medium, and on two intakes of half-year that begin on one day, even
// with a third less time on the rigs. What is left lies between intakes that want whole
// sessions on the same stations and days, of which a price on seats sells any part. How
// much that is, short searches overstate: for these two, whose bound is 26,040 with free
// staff, 300 rounds found 27,180 and 2,500 rounds 26,100. A part of the gap is the plan's.
//
// All arithmetic is on int64, rounded downwards; no floating-point number takes
// part in a bound. A problem too large to be looked at has the bound 0.
//
// Prices and averages: Held and Karp 1971; Polyak 1969; Barahona and Anbil 2000; Duchi,
// Hazan and Singer 2011.
// The tests compare every bound with the cheapest of all plans of thousands of
// tiny problems, judged by plan/check.
package bound
