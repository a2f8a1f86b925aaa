package weather

import (
	"rungbook/internal/civil"
	"rungbook/internal/rulebook"
)

// Limits are what readings are judged by. A quantity that the rule book does not
// hold stops where it is a limit that every rule book was always asked for, and has
// a default on the safe side where it came later.
type Limits struct {
	values  map[rulebook.Quantity]int64
	assumed map[rulebook.Quantity]bool
}

// defaults are on the safe side of common practice; they have no source.
var defaults = map[rulebook.Quantity]int64{
	rulebook.ReadingAge: 30, rulebook.HeatCaution: 32, rulebook.HeatStop: 39,
	rulebook.LightningDistance: 10, rulebook.ClearMinutes: 20, rulebook.StormSpeed: 170,
}

// judgedBy lists the limits, so that all of them are looked up once.
var judgedBy = []rulebook.Quantity{
	rulebook.WindCaution, rulebook.WindStop, rulebook.GustStop, rulebook.ThunderWait, rulebook.WindChillFloor,
	rulebook.ReadingAge, rulebook.HeatCaution, rulebook.HeatStop, rulebook.LightningDistance, rulebook.ClearMinutes, rulebook.StormSpeed,
}

// LimitsOf returns the limits of the rule book in force; ok is false where none is.
func LimitsOf(book rulebook.Version, ok bool) Limits {
	l := Limits{map[rulebook.Quantity]int64{}, map[rulebook.Quantity]bool{}}
	for _, q := range judgedBy {
		if line, found := book.Strictest(q); ok && found {
			l.values[q] = line.Value
		} else if value, has := defaults[q]; has {
			l.values[q], l.assumed[q] = value, true
		}
	}
	return l
}

// Value returns a limit; stated is false where there is none, not even a default.
func (l Limits) Value(q rulebook.Quantity) (value int64, stated bool) {
	value, stated = l.values[q]
	return value, stated
}

// Assumed reports whether the rule book does not hold a limit and a default stands
// in for it.
func (l Limits) Assumed(q rulebook.Quantity) bool { return l.assumed[q] }

// Age is how old a reading may be.
func (l Limits) Age() civil.Minutes { return civil.Minutes(l.values[rulebook.ReadingAge]) }

// wait is how long after thunder work may not resume; a day where it is not stated.
func (l Limits) wait() civil.Minutes {
	if w, ok := l.values[rulebook.ThunderWait]; ok {
		return civil.Minutes(w)
	}
	return 24 * 60
}

// StopDistance is how near lightning may come before people start down.
func (l Limits) StopDistance(storm *Speed) Kilometres {
	speed := Speed(l.values[rulebook.StormSpeed])
	if storm != nil {
		speed = max(*storm, 0)
	}
	return StopDistance(Kilometres(l.values[rulebook.LightningDistance]), l.values[rulebook.ClearMinutes], speed)
}
