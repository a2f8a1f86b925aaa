package check

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Subject is what a rule judges at a time.
type Subject string

// The subjects.
const (
	OfSession  Subject = "session"
	OfPair     Subject = "pair" // sessions on stations that share ground
	OfStation  Subject = "station"
	OfRig      Subject = "rig"
	OfKit      Subject = "kit"
	OfCircuit  Subject = "circuit"
	OfBodyDay  Subject = "body-day"
	OfBodyWeek Subject = "body-week"
	OfBody     Subject = "body"
	OfTrainee  Subject = "trainee"
	OfPlan     Subject = "plan"
)

// Rule is one rule of a valid plan.
type Rule struct {
	Name    string
	Subject Subject
	// Reach is how many days from a session another can lie and still decide
	// with it whether the rule holds, under the widest limits that Rungbook
	// ships (blocks of 14 days, runs of 14 days). For what a trainee did before
	// or will do after, the reach is the trainee's own path and not a number.
	Reach int

	reach func(plan.RestPolicy) int // the reach under one rest policy, nil = Reach
	rests rest
	judge func(*view)
}

// rest says what of a session a finding rests on. If a change alters that, the
// finding is charged to the change even where the session broke the rule before.
type rest uint8

const (
	onPlace rest = 1 << iota // exercise, station, start, end
	onHeads                  // how many people
)

// The rules, in the order of the specification.
var rules = []Rule{
	{Name: "grid", Subject: OfSession, rests: onPlace, judge: grid},
	{Name: "open-hours", Subject: OfSession, rests: onPlace, judge: openHours},
	{Name: "daylight", Subject: OfSession, rests: onPlace, judge: daylight},
	{Name: "station-fit", Subject: OfSession, rests: onPlace, judge: stationFit},
	{Name: "station-shut", Subject: OfSession, rests: onPlace, judge: stationShut},
	{Name: "station-clash", Subject: OfStation, Reach: 1, rests: onPlace, judge: stationClash},
	{Name: "zone-clash", Subject: OfPair, Reach: 1, rests: onPlace, judge: zoneClash},
	{Name: "energy-clash", Subject: OfCircuit, Reach: 1, rests: onPlace, judge: energyClash},
	{Name: "rig-headcount", Subject: OfRig, Reach: 1, rests: onPlace | onHeads, judge: rigHeadcount},
	{Name: "group-size", Subject: OfSession, judge: groupSize},
	{Name: "alone", Subject: OfSession, judge: alone},
	{Name: "ratio", Subject: OfSession, judge: ratio},
	{Name: "qualified", Subject: OfSession, rests: onPlace, judge: qualified},
	{Name: "entitled", Subject: OfSession, rests: onPlace, judge: entitled},
	{Name: "staff-min", Subject: OfSession, judge: staffMin},
	{Name: "first-aid", Subject: OfSession, rests: onPlace, judge: firstAid},
	{Name: "rescue-cover", Subject: OfSession, rests: onPlace, judge: rescueCover},
	{Name: "kit", Subject: OfKit, Reach: 1, rests: onPlace, judge: kit},
	{Name: "available", Subject: OfSession, rests: onPlace, judge: available},
	{Name: "double-booked", Subject: OfBody, Reach: 1, rests: onPlace, judge: doubleBooked},
	{Name: "needed-once", Subject: OfTrainee, rests: onPlace, judge: neededOnce},
	{Name: "order", Subject: OfTrainee, rests: onPlace, judge: order},
	{Name: "course-span", Subject: OfTrainee, judge: courseSpan},
	{Name: "deadline", Subject: OfTrainee, rests: onPlace, judge: deadline},
	{Name: "daily-rest", Subject: OfBody, Reach: 2, judge: dailyRest,
		reach: func(p plan.RestPolicy) int { return daysOf(p.DailyRest) + 1 }},
	{Name: "weekly-rest", Subject: OfBodyWeek, Reach: 28, judge: weeklyRest,
		reach: func(p plan.RestPolicy) int { return 2*blockDays(&p) + daysOf(p.WeeklyRest) }},
	{Name: "day-run", Subject: OfBody, Reach: 14, judge: dayRun,
		reach: func(p plan.RestPolicy) int { return p.RunDays + 1 }},
	{Name: "day-minutes", Subject: OfBodyDay, judge: dayMinutes},
	{Name: "day-span", Subject: OfBodyDay, judge: daySpan},
	{Name: "week-minutes", Subject: OfBodyWeek, Reach: 6, judge: weekMinutes},
	{Name: "height-minutes", Subject: OfBodyDay, judge: heightMinutes},
	{Name: "break", Subject: OfBody, Reach: 1, rests: onPlace, judge: breaks,
		reach: func(p plan.RestPolicy) int { return daysOf(p.Stretch+p.Break) + 1 }},
	{Name: "fixed", Subject: OfPlan},
	{Name: "stated", Subject: OfPlan},
}

// Rules returns the rules in the order of the specification.
func Rules() []Rule { return append([]Rule(nil), rules...) }

// daysOf returns how many calendar days a length can touch beyond its first.
func daysOf(m civil.Minutes) int { return int((m + 24*60 - 1) / (24 * 60)) }

// GreatestReach returns the greatest reach of any rule, in days: sessions of the
// same people further away than that can't decide anything. The limits of the
// given policies widen it where they are wider than those Rungbook ships.
func GreatestReach(policies ...plan.RestPolicy) int {
	most := 0
	for _, r := range rules {
		most = max(most, r.Reach)
		for _, p := range policies {
			if r.reach != nil {
				most = max(most, r.reach(p))
			}
		}
	}
	return most
}

// over is the kind of list a view holds.
type over uint8

const (
	overSession over = iota
	overStation
	overZone
	overCircuit
	overRig
	overKit
	overBody
	overTrainee
	overs
)

// rulesOver are the rules by the kind of view they read.
var rulesOver = func() (by [overs][]*Rule) {
	kinds := map[Subject]over{OfSession: overSession, OfPair: overZone, OfStation: overStation, OfRig: overRig,
		OfKit: overKit, OfCircuit: overCircuit, OfBodyDay: overBody, OfBodyWeek: overBody, OfBody: overBody, OfTrainee: overTrainee}
	for i := range rules {
		if k, ok := kinds[rules[i].Subject]; ok {
			by[k] = append(by[k], &rules[i])
		}
	}
	return by
}()

// view is one subject as its rules see it. One view serves many subjects, one
// after another, so that its lists need not be made anew.
type view struct {
	j        *Judge
	at       int     // index of the station, zone, circuit, rig, kit, body or trainee
	session  *sess   // of a session
	sessions []*sess // of a station, zone, circuit, rig, kit or trainee, by start of hold
	times    []timed // of a body, by start

	// Of a body, made from its times when first asked for.
	days  made[dayLoad]
	busy  made[busy]
	ends  made[civil.Instant] // latest end of a session among the times before each
	parts []piece
	free  []civil.Minutes
	// Of a list of sessions.
	spanned []span
	next    []int
	clashes []clash
	loads   []load

	out  *[]finding
	rule *Rule
}

// made is a list that is made at most once for each subject.
type made[T any] struct {
	list []T
	done bool
}

// start empties the list and reports whether it must be made.
func (m *made[T]) start() bool {
	if m.done {
		return false
	}
	m.list, m.done = m.list[:0], true
	return true
}

// judgeSession, judgeList and judgeBody run all rules over one subject.
func (v *view) judgeSession(s *sess) {
	v.session = s
	v.judge(overSession)
}

func (v *view) judgeList(kind over, at int, list []*sess) {
	if len(list) > 0 {
		v.at, v.sessions = at, list
		v.judge(kind)
	}
}

func (v *view) judgeBody(at int, times []timed) {
	if len(times) > 0 {
		v.at, v.times = at, times
		v.days.done, v.busy.done, v.ends.done = false, false, false
		v.judge(overBody)
	}
}

func (v *view) judge(kind over) {
	for _, r := range rulesOver[kind] {
		v.rule = r
		r.judge(v)
	}
}
