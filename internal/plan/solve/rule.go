package solve

import "math/bits"

// rule is one rule of the planning problem, numbered in the order of the spec.
type rule uint8

const (
	grid rule = iota
	openHours
	daylight
	stationFit
	stationShut
	stationClash
	zoneClash
	energyClash
	rigHeadcount
	groupSize
	alone
	ratio
	qualified
	entitled
	staffMin
	firstAid
	rescueCover
	kitUse
	available
	doubleBooked
	neededOnce
	order
	courseSpan
	deadline
	dailyRest
	weeklyRest
	dayRun
	dayMinutes
	daySpan
	weekMinutes
	heightMinutes
	breakRule
	fixed
	ruleCount
)

// ruleNames are the names that people read, the spec's.
var ruleNames = [ruleCount]string{
	"grid", "open-hours", "daylight", "station-fit", "station-shut", "station-clash", "zone-clash", "energy-clash",
	"rig-headcount", "group-size", "alone", "ratio", "qualified", "entitled", "staff-min", "first-aid", "rescue-cover",
	"kit", "available", "double-booked", "needed-once", "order", "course-span", "deadline", "daily-rest", "weekly-rest",
	"day-run", "day-minutes", "day-span", "week-minutes", "height-minutes", "break", "fixed",
}

// rules is a set of rules, one bit each: the answer of the fast test.
type rules uint64

func (r rule) set() rules { return 1 << r }

// when returns r alone if broken, the empty set otherwise.
func (r rule) when(broken bool) rules {
	if broken {
		return 1 << r
	}
	return 0
}

func (s rules) has(r rule) bool { return s&(1<<r) != 0 }

func (s rules) count() int { return bits.OnesCount64(uint64(s)) }

// names lists the set in the order of the spec; nil when it is empty.
func (s rules) names() []string {
	var out []string
	for r := range ruleCount {
		if s.has(r) {
			out = append(out, ruleNames[r])
		}
	}
	return out
}
