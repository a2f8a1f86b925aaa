// Package solve finds times for sessions: whole plans (Plan), and for one exercise
// and one group among the sessions that stand, with station and staff (Insertions,
// Fits). It knows the problem types and nothing of where a problem came from; it
// does not word refusals and is not the judge: that is plan/check, with which it
// shares no code. For booking read ask.go first, then insert.go and station.go; for
// planning plan.go, then walk.go, rebuild.go and seat.go.
//
// # From problem to board
//
// Compile turns a problem into dense numbers, once: exercises, stations, people,
// trainees and bodies are indexes (compile.go), opening hours and midnights are
// instants (calendar.go). A Compiled never changes and is shared. A Board lays
// standing sessions out on it (board.go): rows of sessions by station, zone,
// circuit, kit, rig and trainee, in order of time, and for each body its times
// (times.go), duties among them. Near something means a slice of a sorted row.
//
// # Every rule twice
//
// A rule is broken by faults (own.go): a rule, what it is about, and by how much.
// Faults are found for a session by itself (own.go), against its neighbours
// (clash.go, levels.go), on a trainee's path (path.go) and among a body's times
// (rest.go). Fits lists the faults of all that a session touches, before and
// after it is on the board; it answers for those that are new or worse. So it
// charges a change as check does, and a test compares the two rule by rule on
// random problems, on boards that are clean and on boards that are not.
//
// Reading all of a body's times for each of hundreds of starts would be slow.
// dayView (view.go) gathers once what decides on one body and one local day: the
// day's first start, last end and minutes, the ends of the days around, the
// week's minutes, the run of days. It then judges a start by a few comparisons.
// That holds for a body that breaks nothing yet; for others the faults before and
// after are compared. A test compares the two ways.
//
// # Finding a time
//
// An inquiry walks the days of an Ask. A slot is a start on the grid in opening
// hours; its crew is what people make of it: what the trainees would break and
// which of the staff are free. Nothing about a station matters to a person but
// whether it is at height, so there are two crews to a slot at most. For each
// station (a berth) a slot is tried against place first (hours, light, neighbours,
// kits), then trainees, then staff, cheapest test first.
//
// Staff are found by an exact search (team.go): the smallest team that lacks
// nothing (ratio, staff-min, first-aid, rescue-cover, room on the rig), and among
// these the cheapest, in order of people who would come in only for it, then of
// the minutes they have that week. People who can do the same stand in for each
// other, so of each kind the cheapest is always taken first, which keeps the
// search small. The same set of free people is searched once a station and day.
//
// # What is listed
//
// Offers are ordered by trainee days, idle time, staff load (minutes, then days,
// then minutes its people already have that week), time (preference of the day,
// then start), station, ids: a total order (rank.go). So that the list shows real
// alternatives, a station and day gives at most three times that don't overlap,
// and beyond the first three places of the list each station and day stands once.
// A station and day without an offer gives one refusal: the time that breaks
// fewest rules, the earliest of these, with a team that breaks fewest, lacks
// fewest people, and is smallest and cheapest. On a day that is closed the times
// tried are those it would have if it were open.
//
// Offers break nothing that the session itself answers for, also where the
// session they move breaks it already and check would let that stand.
//
// # Planning
//
// Plan is large neighbourhood search (Shaw 1998; Ropke and Pisinger 2006): a step
// unseats needs that have something to do with each other (ruin*.go, one way a
// file), seats them again greedily with a little chance (rebuild.go, seat.go), and
// keeps the outcome or takes it back by the log (state.go). Ways to ruin that paid
// lately are taken more often (choice.go). Acceptance is annealing in cycles, each
// twice as long as the last (accept.go; Kirkpatrick, Gelatt and Vecchi 1983). It
// goes by a cost in which a need without a seat counts what seating it can cost at
// most, not weights.unplaced, which would drown every other term (state.guide).
//
// A seat is a place in a standing session (join.go) or in a new one. For a new one
// the seater asks, for each day and spot, at which starts most of those who wait
// can come, and takes the number that costs least for each: what is left over is
// priced by the best split into sessions, a small dynamic programme (guides.go).
// Sometimes it overlooks a choice, hurries, or begins at the end of the day, so
// that it does not always find the same (blinks: Christiaens and Vanden Berghe
// 2020). Staff are the smallest team and of these the least scarce people.
//
// One need after another does not find days that must be full to the minute. So one
// way to ruin seats a group again itself, in lockstep (ruin_outline.go): it draws how
// the group's needs spread over as few days as the rules of a day allow (outline.go,
// dynamic programming over sets of needs) and seats all of them day by day. On a short
// horizon a first plan gets some such draws for each intake before all else (build.go).
// A rebuild that can't end below what would be kept is given up at once (rebuild.go).
//
// As long as needs have no seat, some steps pack a day instead (pack.go): the sessions
// of that day, and new ones for such needs, keep their station and people, and an
// order is looked for in which all of them fit. That is a disjunctive graph (Roy and
// Sussmann 1964; sequence.go), searched by tabu moves on its longest path (Nowicki and
// Smutnicki 1996; Balas and Vazacopoulos 1998; Zhang, Li, Guan and Rao 2007) and on
// the way from one good order to another (Peng, Lü and Cheng 2015). What the graph
// does not know of, rest and rigs and kits, is asked when the sessions are laid out.
//
// # Why a step costs what it touches
//
// The starts at which somebody is free are a bit set for each person, day and shape
// of session (free.go, freeday.go), and so are those at which a spot is free
// (place.go): "these six and this station" is a few ANDs. A set is worked out when
// it is asked for, and kept under a fingerprint of all that can matter to it
// (marks.go; Zobrist 1970): an exclusive or, so that taking a step back makes the
// old sets good again. Costs are kept as sums (state.go). Lists of people in a
// session are never changed in place, so a copy of a plan is a flat copy.
//
// # Same effort, same bytes
//
// Four logical searches, whatever the number of cores, each with a stream of chance
// of its own, take a fixed number of steps and wait for each other: a round. The
// clock only decides after which round to stop, and the bound takes its steps in
// rounds too (proof.go). On a short horizon each search has its own plan, and at the
// end of a cycle all go on from the best. On a long one they change one plan
// together, each its own days (region.go). There are no fractions and no walks over
// maps.
//
// What a search relies on is judged in the tests: after each step on random
// problems check finds nothing and the cost is the definition's; the fast sets equal
// the slow test; a step taken back leaves no trace.
//
// # What can't be placed
//
// Contradictions names needs that no plan can place (contradiction.go). It narrows the
// starts of an exercise by what the yard and its staff offer to anybody
// (contradiction_field.go), then by what one trainee is allowed (contradiction_scan.go);
// each test is one that more sessions can't mend, so an empty rest is a proof. Of the
// needs that a plan leaves out for other reasons reason.go tells where they come
// nearest to a place. Explain looks closer at one of them: it gathers all that stands
// in the way of the best places (explain_cause.go), lifts it on a copy of the problem
// (explain_lift.go, explain_staff.go) and puts back what an insertion search
// (explain_insert.go) can do without.
//
// # Short names
//
// b board, c compiled, q inquiry, s session, st station, e exercise, t trainee or
// instant, p person, policy or period, d day, k kit or course, f report of faults,
// v view, m mate; in the search also n need, x session, w walk or window, k rebuilder
// or seater, sp spot.
package solve
