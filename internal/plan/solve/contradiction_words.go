package solve

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// notOffered words why no start of an exercise passes all hurdles.
func (o *outlook) notOffered(e int) *Contradiction {
	f, ex := o.field(e), &o.c.exercises[e]
	is := func(r rule, words string, at ...any) *Contradiction {
		return &Contradiction{Exercise: ex.id, Rule: ruleNames[r], At: plan.Pointer(at...), Words: words}
	}
	if len(ex.stations) == 0 {
		return is(stationFit, "no station is given for this exercise", "exercises", e, "stations")
	}
	at := f.at
	switch f.hurdle {
	case atGroup:
		if at == nil { // the horizon has no days
			return is(openHours, "there is no day to plan", "days")
		}
		return is(groupSize, "the smallest group is "+number(max(1, ex.groupMin))+", and no session of it takes more than "+number(o.mostAnywhere(e)), at...)
	case atOpen:
		longest := o.longestWindow()
		switch {
		case int(o.c.until-o.c.from) > len(o.c.open): // the hours of later days are not looked at
		case longest == 0:
			return is(openHours, "no day that is planned is open", at...)
		case longest < ex.minutes:
			return is(openHours, "it lasts "+ex.minutes.String()+", and the longest opening window is "+longest.String(), "exercises", e, "minutes")
		}
		return is(openHours, "no start on the grid leaves it time to end in an opening window", at...)
	case atLight:
		return is(daylight, "no station of it has daylight for so long within opening hours", at...)
	case atShut:
		return is(stationShut, "its stations are shut whenever hours and light would leave a start", at...)
	case atStanding:
		return is(standingRule(f.what), "fixed sessions take its stations, their ground or energy at every start left", at...)
	case atKit:
		return is(kitUse, "it takes "+f.what+", and there are fewer at every start left", at...)
	case atValid:
		if f.lacks.has(ratio) && !o.taught(e) {
			return is(qualified, "nobody may teach it on any day on which a station could be used", at...)
		}
		return is(lowest(f.lacks), "even if all were free, too few people are qualified for the smallest group on any day on which a station could be used ("+listed(f.lacks)+" on "+f.what+")", at...)
	case atRig:
		return is(rigHeadcount, "the rig has no room for the smallest group at any start left: "+f.what, at...)
	}
	return is(lowest(f.lacks), "too few of those who are qualified are available, off duty and within their rest limits at any start left ("+listed(f.lacks)+" on "+f.what+")", at...)
}

// standingRule finds the rule of a name among those that standing sessions decide.
func standingRule(name string) rule {
	for _, r := range []rule{zoneClash, energyClash} {
		if ruleNames[r] == name {
			return r
		}
	}
	return stationClash
}

// lowest returns the first rule of a set in the order of the spec; ratio of none.
func lowest(s rules) rule {
	for r := range ruleCount {
		if s.has(r) {
			return r
		}
	}
	return ratio
}

// listed names the rules of a set.
func listed(s rules) string {
	out := ""
	for i, name := range s.names() {
		if i > 0 {
			out += ", "
		}
		out += name
	}
	return out
}

// mostAnywhere is the largest group of an exercise on any of its stations.
func (o *outlook) mostAnywhere(e int) int {
	most := 0
	for _, at := range o.c.exercises[e].stations {
		most = max(most, o.c.mostTrainees(e, at))
	}
	return most
}

// longestWindow is the length of the longest opening window of the horizon.
func (o *outlook) longestWindow() civil.Minutes {
	longest := civil.Minutes(0)
	for _, day := range o.c.open {
		for _, w := range day {
			longest = max(longest, w.Length())
		}
	}
	return longest
}

// taught reports whether anybody may teach an exercise on a day of the horizon.
func (o *outlook) taught(e int) bool {
	for p := range o.c.people {
		for _, v := range o.c.people[p].teaches[e] {
			if max(v.From, o.c.from) < min(v.Until+1, o.c.until) {
				return true
			}
		}
	}
	return false
}
