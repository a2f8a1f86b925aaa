package rig

import (
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// The rule-book lines of textile kit: its detailed inspection, and the shorter
// interval of arduous use, which HSE INDG367 names for steel masts and towers.
const (
	textileLine = "inspection.harness"
	arduousLine = "inspection.harness-arduous"
)

// interval returns the line by which an inspection of a thing runs out: the one its
// record names, but for textile kit on a tower that of arduous use, where it is the
// shorter. A rule book without a line of arduous use states no interval for it.
func (g *Register) interval(key clockKey, book rulebook.Version) (rulebook.Line, bool) {
	line, ok := book.Line(key.line)
	ok = ok && recurs(line)
	if !ok || key.line != textileLine || !g.upTower(key.subject) {
		return line, ok
	}
	hard, stated := book.Line(arduousLine)
	switch {
	case !stated || !recurs(hard):
		return rulebook.Line{}, false
	case lastValid(0, hard) < lastValid(0, line):
		return hard, true
	}
	return line, true
}

// Asks reports whether a line that was judged by is the one a record names, or the
// shorter one of arduous use in its place.
func Asks(named, judged string) bool {
	return named == judged || named == textileLine && judged == arduousLine
}

// upTower reports whether a kit is used on a tower, or the kit of an item.
func (g *Register) upTower(subject string) bool {
	if g.onTower[id.Kit(subject)] {
		return true
	}
	for _, s := range g.items[id.Item(subject)] {
		if g.onTower[s.Value.Kit] {
			return true
		}
	}
	return false
}

func recurs(l rulebook.Line) bool {
	return l.Quantity == rulebook.InspectionDays || l.Quantity == rulebook.InspectionMonths
}

// addTowers notes the kits that are used on a station of a tower on any day, or
// hang ready there for a rescue.
func (g *Register) addTowers(r Records) {
	tower := map[id.Rig]bool{}
	for _, s := range r.Rigs {
		tower[s.Value.ID] = tower[s.Value.ID] || s.Value.Kind == TowerPlatform
	}
	up := map[id.Station]bool{}
	for _, s := range r.Stations {
		up[s.Value.ID] = up[s.Value.ID] || tower[s.Value.Rig]
		if tower[s.Value.Rig] && s.Value.Rescue != nil {
			g.onTower[s.Value.Rescue.Kit] = true
		}
	}
	for kit, stations := range r.KitAt {
		for _, st := range stations {
			g.onTower[kit] = g.onTower[kit] || up[st]
		}
	}
}
