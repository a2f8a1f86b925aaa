package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// InService reports whether a station may be used on a local day, and all causes
// why not. Shut periods are not days: StationAt adds them for one hold.
func (g *Register) InService(s id.Station, d civil.Day) (ok bool, causes []Cause) {
	causes = g.Station(s, d)
	return len(causes) == 0, causes
}

// Station returns the causes for which a station may not be used on a local day:
// its rig's, its own, and those of its rescue plan and rescue kit.
func (g *Register) Station(s id.Station, d civil.Day) []Cause {
	ref := stationRef(s)
	st, ok := g.StationOn(s, d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: ref, Missing: MissingRecord}}
	}
	if st.Retired != 0 && st.Retired <= d {
		return []Cause{{Kind: Retired, Subject: ref, Since: st.Retired}}
	}
	book, ok := g.book(d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: ref, Missing: MissingRuleBook}}
	}
	causes := g.rig(st.Rig, d, book)
	state := func(missing bool, what Missing) {
		if missing {
			causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: what})
		}
	}
	state(st.Places <= 0, MissingPlaces)
	state(st.FirstAiders == nil, MissingFirstAiders)
	state(st.Height && st.Rescue == nil, MissingRescue)
	state(st.Height && st.Rescue != nil && st.Rescue.Kit == "", MissingRescueKit)
	causes = append(causes, g.clocks(ref, string(s), st.Inspections, d, book)...)
	if st.AsksForRescue() {
		causes = append(causes, g.rescue(st, d, book)...)
	}
	return causes
}

// AsksForRescue reports whether a rescue plan must stand for the station, and its
// brief be held.
func (st Station) AsksForRescue() bool {
	return st.Height || (st.Rescue != nil && (st.Rescue.Rescuers > 0 || st.Rescue.StandbyMin > 0))
}

// Rig returns the causes for which no station of a rig may be used on a day.
func (g *Register) Rig(r id.Rig, d civil.Day) []Cause {
	book, ok := g.book(d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: rigRef(r), Missing: MissingRuleBook}}
	}
	return g.rig(r, d, book)
}

func (g *Register) rig(r id.Rig, d civil.Day, book rulebook.Version) []Cause {
	ref := rigRef(r)
	var since civil.Day
	var rig Rig
	found := false
	for _, s := range g.rigs[r] {
		if s.On(d) {
			rig, since, found = s.Value, s.From, true
		}
	}
	if !found {
		return []Cause{{Kind: NotStated, Subject: ref, Missing: MissingRecord}}
	}
	var causes []Cause
	switch rig.State {
	case InService, Restricted:
	case InConversion, Withdrawn:
		causes = append(causes, Cause{Kind: NotInService, Subject: ref, State: rig.State, Since: since})
	default:
		causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: MissingState})
	}
	if rig.PeopleMax <= 0 {
		causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: MissingPeopleMax})
	}
	causes = append(causes, g.dossier(r, d)...)
	return append(causes, g.clocks(ref, string(r), rig.Inspections, d, book)...)
}

// Kit returns the causes for which a kit may not be used on a day. Its own last
// valid day and the inspections it needs all count: the earliest clock wins.
func (g *Register) Kit(k id.Kit, d civil.Day) []Cause {
	book, ok := g.book(d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: kitRef(k), Missing: MissingRuleBook}}
	}
	return g.kit(k, d, book)
}

// namedItems is how many causes of items are told where no piece may be used.
const namedItems = 3

func (g *Register) kit(k id.Kit, d civil.Day, book rulebook.Version) []Cause {
	ref := kitRef(k)
	kit, ok := g.KitOn(k, d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: ref, Missing: MissingRecord}}
	}
	if kit.Retired != 0 && kit.Retired <= d {
		return []Cause{{Kind: Retired, Subject: ref, Since: kit.Retired}}
	}
	var causes []Cause
	if kit.Count <= 0 {
		causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: MissingCount})
	}
	switch {
	case kit.LastValid == 0:
		causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: MissingLastValid})
	case kit.LastValid < d:
		causes = append(causes, Cause{Kind: KitOutOfDate, Subject: ref, Since: kit.LastValid + 1})
	}
	causes = append(causes, g.clocks(ref, string(k), kit.Inspections, d, book)...)
	if p := g.PiecesOn(k, d); p.Listed && p.Usable == 0 && len(causes) == 0 {
		causes = append(append(causes, Cause{Kind: NoPiece, Subject: ref}), p.Causes[:min(len(p.Causes), namedItems)]...)
	}
	return causes
}

// clocks judges each recurring inspection that a thing needs. One that it needs no
// more, and that failed last, stops too.
func (g *Register) clocks(ref verdict.Ref, subject string, lines []string, d civil.Day, book rulebook.Version) []Cause {
	var causes []Cause
	for _, line := range lines {
		if c, bad := g.clock(ref, clockKey{subject, line}, d, book); bad {
			causes = append(causes, c)
		}
	}
	for _, line := range g.inspected[subject] {
		if slices.Contains(lines, line) {
			continue
		}
		if _, failed := lastInspection(g.inspections[clockKey{subject, line}], d); failed != 0 {
			causes = append(causes, Cause{Kind: InspectionFailed, Subject: ref, Line: line, Since: failed})
		}
	}
	return causes
}

func (g *Register) clock(ref verdict.Ref, key clockKey, d civil.Day, book rulebook.Version) (Cause, bool) {
	line, ok := g.interval(key, book)
	if !ok {
		return Cause{Kind: NotStated, Subject: ref, Missing: MissingInterval, Line: key.line}, true
	}
	pass, failed := lastInspection(g.inspections[key], d)
	switch {
	case failed != 0:
		return Cause{Kind: InspectionFailed, Subject: ref, Line: key.line, Since: failed}, true
	case pass == 0:
		return Cause{Kind: InspectionMissing, Subject: ref, Line: key.line}, true
	}
	if last := lastValid(pass, line); last < d {
		return Cause{Kind: InspectionOverdue, Subject: ref, Line: line.ID, Since: last + 1}, true
	}
	return Cause{}, false
}

// lastValid returns the last day for which an inspection passed on a day is
// good. Months: that day of the month, counted in (EN 365 as read: done 15 Jan
// 2026, good through 15 Jan 2027). Days: an inspection "within the previous 7
// days" is good for 7 × 24 h (Work at Height Regulations 2005 reg 12(4)); its
// hour is not asked, so the last whole day is the 6th after it.
func lastValid(passed civil.Day, line rulebook.Line) civil.Day {
	if line.Quantity == rulebook.InspectionDays {
		return passed + civil.Day(line.Value) - 1
	}
	return passed.AddMonths(int(line.Value))
}

// lastInspection returns the day of the last passed inspection done by the end
// of d, and the day of the first failed one after it, 0 where there is none. Two
// of one day are in the order of their times; where a time is not recorded the
// failed one counts as the later. Precondition: list is sorted by Done.
func lastInspection(list []Inspection, d civil.Day) (pass, failed civil.Day) {
	var passAt civil.Instant
	for _, i := range slices.Backward(list) {
		if i.Done < pass {
			break
		}
		if i.Passed && i.Done <= d {
			pass, passAt = i.Done, max(passAt, i.At)
		}
	}
	for _, i := range slices.Backward(list) {
		if i.Done < pass {
			break
		}
		before := i.Done == pass && i.At != 0 && passAt != 0 && i.At < passAt
		if !i.Passed && i.Done <= d && !before {
			failed = i.Done
		}
	}
	return pass, failed
}

// StationAt returns the causes for which a station may not be used in a hold:
// those of each local day that the hold touches, its shut periods, quarantines and
// storms.
// Precondition: hold.Start < hold.End.
func (g *Register) StationAt(s id.Station, hold civil.Period) []Cause {
	causes := slices.Concat(g.ShutIn(s, hold), g.QuarantinedIn(s, hold), g.StormsIn(s, hold))
	for d := g.zone.DayOf(hold.Start); d <= g.zone.DayOf(hold.End-1); d++ {
		for _, c := range g.Station(s, d) {
			if !slices.Contains(causes, c) {
				causes = append(causes, c)
			}
		}
	}
	return causes
}

// ShutIn returns the shut periods of a station that overlap a period, as causes.
func (g *Register) ShutIn(s id.Station, p civil.Period) []Cause {
	var causes []Cause
	for _, shut := range g.shuts[s] {
		if shut.Start < p.End && (shut.End == 0 || p.Start < shut.End) {
			causes = append(causes, g.shutCause(shut))
		}
	}
	return causes
}

func (g *Register) shutCause(s Shut) Cause {
	return Cause{Kind: IsShut, Subject: stationRef(s.Station), Since: g.zone.DayOf(s.Start), Shut: s.ID, Reason: s.Reason, Start: s.Start, End: s.End}
}
