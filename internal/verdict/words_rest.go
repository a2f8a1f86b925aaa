package verdict

import "rungbook/internal/civil"

// The rest rules speak of a body and of the policy whose limit it is.

func policyLimit(policy string, required ...any) Text {
	return append(Text(required), " (policy ", Ref{Policy, policy}, ")")
}

// DailyRest says that the rest before a day is too short.
func DailyRest(who Ref, policy string, end, next civil.Instant, day civil.Day, least civil.Minutes, at string) Finding {
	rest := next.Sub(end)
	return stop("daily-rest", who, at, int64(least-rest),
		Say("ends at ", end, "; next starts at ", next, ": ", rest, " rest"),
		policyLimit(policy, least), Ref{Policy, policy}, OnDay(day))
}

// Endless is the length of a rest after which nothing follows, longer than any limit.
const Endless civil.Minutes = 1 << 40

// WeeklyRest says that a block of days holds too few long rests. short is the
// sum of what is missing on the best of them, longest the longest rest there is,
// Endless if it is the last.
func WeeklyRest(who Ref, policy string, block civil.Day, days, rests, count int, longest, least, short civil.Minutes, at string) Finding {
	found := Say("in the ", days, " days from ", block, " the longest rest is ", longest)
	if count > 1 {
		found = Say("in the ", days, " days from ", block, " ", Count(rests, "of the rests is", "of the rests are"), " long enough; the longest ", restLength(longest))
	}
	required := Say("one of ", least)
	if count > 1 {
		required = Say(count, " of ", least)
	}
	return stop("weekly-rest", who, at, int64(short), found, policyLimit(policy, required), Ref{Policy, policy}, OnDay(block))
}

func restLength(longest civil.Minutes) Text {
	if longest == Endless {
		return Say("has no end")
	}
	return Say("is ", longest)
}

// DayRun says that somebody has too many days in a row.
func DayRun(who Ref, policy string, first, day civil.Day, run, most int, at string) Finding {
	return stop("day-run", who, at, int64(run-most),
		Say(Count(run, "day", "days"), " in a row from ", first, " to ", day), policyLimit(policy, "at most ", most), Ref{Policy, policy}, OnDay(day))
}

// DayMinutes says that somebody's times of a day are too long together.
func DayMinutes(who Ref, policy string, day civil.Day, minutes, most civil.Minutes, at string) Finding {
	return stop("day-minutes", who, at, int64(minutes-most),
		Say(minutes, " on ", day), policyLimit(policy, "at most ", most), Ref{Policy, policy}, OnDay(day))
}

// DaySpan says that somebody's day lasts too long from first start to last end.
func DaySpan(who Ref, policy string, day civil.Day, start, end civil.Instant, most civil.Minutes, at string) Finding {
	span := end.Sub(start)
	return stop("day-span", who, at, int64(span-most),
		Say("from ", start, " to ", end, ": ", span), policyLimit(policy, "at most ", most), Ref{Policy, policy}, OnDay(day))
}

// WeekMinutes says that somebody's times of an ISO week are too long together.
func WeekMinutes(who Ref, policy string, monday civil.Day, minutes, most civil.Minutes, at string) Finding {
	return stop("week-minutes", who, at, int64(minutes-most),
		Say(minutes, " in the week of ", monday), policyLimit(policy, "at most ", most), Ref{Policy, policy}, OnDay(monday))
}

// HeightMinutes says that somebody is too long on height stations in a day.
func HeightMinutes(who Ref, policy string, day civil.Day, minutes, most civil.Minutes, at string) Finding {
	return stop("height-minutes", who, at, int64(minutes-most),
		Say(minutes, " at height on ", day), policyLimit(policy, "at most ", most), Ref{Policy, policy}, OnDay(day))
}

// Break says that a session is part of a chain of times without a long enough
// break.
func Break(who Ref, id, policy string, chain civil.Period, most, pause civil.Minutes, at string) Finding {
	return stop("break", who, at, int64(chain.Length()-most),
		Say(chain.Length(), " without a break of ", pause, ", ", chain),
		policyLimit(policy, "at most ", most), Ref{Policy, policy}, session(id))
}

// The rules of the plan as a whole.

// FixedGone says that a fixed session is not in the plan.
func FixedGone(id, at string) Finding {
	return stop("fixed", session(id), at, 1, Say("is missing"), Say("the fixed session, unchanged"))
}

// FixedChanged says that a fixed session is in the plan with other fields.
func FixedChanged(id, field, at string) Finding {
	return stop("fixed", session(id), at, 1, Say("differs in "+field), Say("the fixed session, unchanged"))
}

// CostStated says that the plan's own cost is not its cost.
func CostStated(stated, cost int64) Finding {
	return stop("stated", Ref{Kind: Plan}, "", 1, Say("states a cost of ", stated), Say("its cost, ", cost), Ref{Plan, "cost"})
}

// BoundStated says that the plan's bound lies above its cost.
func BoundStated(bound, cost int64) Finding {
	return stop("stated", Ref{Kind: Plan}, "", 1, Say("states a bound of ", bound), Say("at most its cost, ", cost), Ref{Plan, "bound"})
}

// UnplacedStated says that the list of needs left out is wrong about one need.
func UnplacedStated(trainee, exercise string, listed bool) Finding {
	found := Say("leaves ", Ref{Exercise, exercise}, " of ", Ref{Trainee, trainee}, " out and does not list it")
	if listed {
		found = Say("lists ", Ref{Exercise, exercise}, " of ", Ref{Trainee, trainee}, " as left out")
	}
	return stop("stated", Ref{Trainee, trainee}, "", 1, found, Say("exactly the needs left out, each once"), Ref{Exercise, exercise})
}
