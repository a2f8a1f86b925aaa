package check

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// The rest rules judge one body over all its roles, under each of its policies
// one by one. What only duties cause is not reported.

// eachPolicy calls judge for each policy of the body that has the limit.
func (v *view) eachPolicy(limit func(*plan.RestPolicy) bool, judge func(*plan.RestPolicy, verdict.Ref)) {
	b := &v.j.bodies[v.at]
	for _, n := range b.policies {
		if r := &v.j.p.RestPolicies[n]; limit(r) {
			judge(r, b.ref)
		}
	}
}

func limitAt(r *plan.RestPolicy, limit string) string {
	return plan.Pointer("rest_policies", r.Name, limit)
}

// dailyRest: from the latest end of a local day's times to the earliest start of
// those of the next day with any: ≥ daily_rest_minutes.
func dailyRest(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.DailyRest > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		days := v.dayLoads()
		for i := 1; i < len(days); i++ {
			prev, next := days[i-1], days[i]
			if next.first.Sub(prev.last) < r.DailyRest && (prev.lastSession || next.firstSession) {
				v.stop(verdict.DailyRest(who, r.Name, prev.last, next.first, next.day, r.DailyRest, limitAt(r, "daily_rest_minutes")))
			}
		}
	})
}

// dayRun: no more than run_days consecutive local days with any time.
func dayRun(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.RunDays > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		run, first, sessions := 0, civil.Day(0), false
		days := v.dayLoads()
		for i, d := range days {
			if i == 0 || days[i-1].day+1 != d.day {
				run, first, sessions = 0, d.day, false
			}
			run++
			sessions = sessions || d.sessions
			if run > r.RunDays && sessions {
				v.stopOne(verdict.DayRun(who, r.Name, first, d.day, run, r.RunDays, limitAt(r, "run_days")),
					int64(v.j.policies[r.Name]), int64(first), run)
			}
		}
	})
}

// dayMinutes: minutes of a local day's times ≤ day_minutes.
func dayMinutes(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.DayMinutes > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		for _, d := range v.dayLoads() {
			if d.minutes > r.DayMinutes && d.sessions {
				v.stop(verdict.DayMinutes(who, r.Name, d.day, d.minutes, r.DayMinutes, limitAt(r, "day_minutes")))
			}
		}
	})
}

// daySpan: latest end − earliest start of a local day's times ≤ day_span_minutes.
func daySpan(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.DaySpan > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		for _, d := range v.dayLoads() {
			if d.last.Sub(d.first) > r.DaySpan && (d.firstSession || d.lastSession) {
				v.stop(verdict.DaySpan(who, r.Name, d.day, d.first, d.last, r.DaySpan, limitAt(r, "day_span_minutes")))
			}
		}
	})
}

// weekMinutes: minutes in an ISO week ≤ week_minutes.
func weekMinutes(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.WeekMinutes > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		days := v.dayLoads()
		for i := 0; i < len(days); {
			monday, minutes, sessions := days[i].day.Monday(), civil.Minutes(0), false
			for ; i < len(days) && days[i].day < monday+7; i++ {
				minutes += days[i].minutes
				sessions = sessions || days[i].sessions
			}
			if minutes > r.WeekMinutes && sessions {
				v.stop(verdict.WeekMinutes(who, r.Name, monday, minutes, r.WeekMinutes, limitAt(r, "week_minutes")))
			}
		}
	})
}

// heightMinutes: minutes of [start, end) less pauses on height stations in a
// local day ≤ height_day_minutes, in whatever part.
func heightMinutes(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.HeightDay > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		for _, d := range v.dayLoads() {
			if d.height > r.HeightDay {
				v.stop(verdict.HeightMinutes(who, r.Name, d.day, d.height, r.HeightDay, limitAt(r, "height_day_minutes")))
			}
		}
	})
}
