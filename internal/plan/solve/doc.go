// Package solve finds times for sessions: for one exercise and one group among
// the sessions that stand, with station and staff (Insertions), and the fast test
// of a session that a search needs (Fits). It knows the problem types and nothing
// of where a problem came from; it does not word refusals and is not the judge:
// that is plan/check, with which it shares no code. Read ask.go first, then
// insert.go and station.go.
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
// # Short names
//
// b board, c compiled, q inquiry, s session, st station, e exercise, t trainee or
// instant, p person, policy or period, d day, k kit or course, f report of faults,
// v view, m mate.
package solve
