package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// A diary knows what of the yard and of people's time is taken. It answers
// whether something more fits, by the strictest limits that bind anybody at
// Carrowmoyle. It is plainer than plan/check, and on the safe side of it: what
// overlaps on a rig or a kit is added up as if it all happened at once.
type diary struct {
	zone       civil.Zone
	limits     rulebook.Policy // the strictest of all profiles
	pages      map[civil.Day]*page
	weeks      map[personWeek]civil.Minutes
	shut       map[id.Station][]civil.Period
	away       map[id.Person][]civil.Period
	kits       map[id.Kit]int
	changeover map[id.Circuit]civil.Minutes
	peopleMax  map[id.Rig]int
}

type personWeek struct {
	person id.Person
	monday civil.Day
}

// page is one day of the diary.
type page struct {
	held  []held
	times map[id.Person][]spell
}

// held is a session's grip on the ground.
type held struct {
	exercise *exercise
	station  rig.Station
	hold     civil.Period
	people   int // trainees and staff
}

// spell is one time of a person.
type spell struct {
	civil.Period
	pauses []civil.Period
	height civil.Minutes // of it at height
}

// minutes is the spell's length less its pauses.
func (s spell) minutes() civil.Minutes {
	m := s.Length()
	for _, p := range s.pauses {
		m -= p.Length()
	}
	return m
}

// openDiary opens an empty diary with the yard's limits and shut stations.
func (b *builder) openDiary() {
	d := &diary{
		zone: b.zone, pages: map[civil.Day]*page{}, weeks: map[personWeek]civil.Minutes{},
		shut: map[id.Station][]civil.Period{}, away: map[id.Person][]civil.Period{},
		kits: map[id.Kit]int{}, changeover: map[id.Circuit]civil.Minutes{}, peopleMax: map[id.Rig]int{},
	}
	for _, book := range b.books {
		for _, p := range book.Profiles {
			if policy, ok := book.Policy(p); ok {
				d.limits = rulebook.Stricter(d.limits, policy)
			}
		}
	}
	b.register = rig.NewRegister(b.records)
	for _, s := range b.records.Stations {
		for _, c := range b.register.Closed(s.Value.ID, b.first-7, b.Today+daysPerYear) {
			d.shut[s.Value.ID] = append(d.shut[s.Value.ID], c.Period)
		}
	}
	for _, k := range b.records.Kits {
		d.kits[k.Value.ID] = k.Value.Count
	}
	for _, r := range b.records.Rigs {
		d.peopleMax[r.Value.ID] = r.Value.PeopleMax
	}
	for _, c := range circuits {
		d.changeover[idOf[id.Circuit](b, "circuit", c.key)] = c.changeover
	}
	b.diary = d
}

func (d *diary) page(day civil.Day) *page {
	p := d.pages[day]
	if p == nil {
		p = &page{times: map[id.Person][]spell{}}
		d.pages[day] = p
	}
	return p
}

// ground reports whether a session's hold finds its station, zones, circuits,
// kits and rig free. Holds lie within one day.
func (d *diary) ground(day civil.Day, want held) bool {
	for _, s := range d.shut[want.station.ID] {
		if s.Overlaps(want.hold) {
			return false
		}
	}
	people := want.people
	used := map[id.Kit]int{}
	take(used, want)
	for _, h := range d.page(day).held {
		if !d.apart(h, want) {
			return false
		}
		if h.hold.Overlaps(want.hold) {
			take(used, h)
			if h.station.Rig == want.station.Rig {
				people += h.people
			}
		}
	}
	for k, n := range used {
		if n > d.kits[k] {
			return false
		}
	}
	return people <= d.peopleMax[want.station.Rig]
}

// apart reports whether two holds keep their distance on one station, in one
// zone and on one circuit.
func (d *diary) apart(a, b held) bool {
	gap := distance(a.hold, b.hold)
	if a.station.ID == b.station.ID {
		return gap >= a.station.Turnaround
	}
	for _, z := range a.station.Zones {
		if slices.Contains(b.station.Zones, z) && gap < 0 {
			return false
		}
	}
	for _, x := range a.exercise.record.Energy {
		for _, y := range b.exercise.record.Energy {
			if x.Circuit == y.Circuit && x.State != y.State && gap < d.changeover[x.Circuit] {
				return false
			}
		}
	}
	return true
}

// distance is how many minutes lie between two periods, negative if they overlap.
func distance(a, b civil.Period) civil.Minutes {
	if a.Overlaps(b) {
		return -1
	}
	if a.End <= b.Start {
		return b.Start.Sub(a.End)
	}
	return a.Start.Sub(b.End)
}

// take counts the kits of a hold: its rescue kit and its course kits.
func take(used map[id.Kit]int, h held) {
	if h.station.Rescue != nil {
		used[h.station.Rescue.Kit]++
	}
	for _, u := range h.exercise.record.Uses {
		used[u.Kit] += u.Count
	}
}

// free reports whether a person may take on a spell on a day.
func (d *diary) free(p id.Person, day civil.Day, s spell) bool {
	for _, a := range d.away[p] {
		if a.Overlaps(s.Period) {
			return false
		}
	}
	spells := append(slices.Clone(d.page(day).times[p]), s)
	slices.SortFunc(spells, func(a, b spell) int { return int(a.Start - b.Start) })
	var minutes, height civil.Minutes
	for i, x := range spells {
		if i > 0 && spells[i-1].End > x.Start {
			return false
		}
		minutes += x.minutes()
		height += x.height
	}
	first, last := spells[0].Start, spells[len(spells)-1].End
	l := d.limits
	return minutes <= l.DayMinutes && height <= l.HeightDay && last.Sub(first) <= l.DaySpan &&
		d.weeks[personWeek{p, day.Monday()}]+s.minutes() <= l.WeekMinutes &&
		unbroken(spells, l.Break) <= l.Stretch && d.rested(p, day, first, last)
}

// rested reports whether enough rest lies between a person's day from first to
// last and the days beside it.
func (d *diary) rested(p id.Person, day civil.Day, first, last civil.Instant) bool {
	if before := d.page(day - 1).times[p]; len(before) > 0 {
		if end := slices.MaxFunc(before, func(a, b spell) int { return int(a.End - b.End) }).End; first.Sub(end) < d.limits.DailyRest {
			return false
		}
	}
	if after := d.page(day + 1).times[p]; len(after) > 0 {
		if start := slices.MinFunc(after, func(a, b spell) int { return int(a.Start - b.Start) }).Start; start.Sub(last) < d.limits.DailyRest {
			return false
		}
	}
	return true
}

// unbroken is the longest chain of spells, cut where a pause or a gap is as long
// as a break. Precondition: spells are sorted and not empty.
func unbroken(spells []spell, least civil.Minutes) civil.Minutes {
	var longest civil.Minutes
	start, end := spells[0].Start, spells[0].Start
	cut := func(until, from civil.Instant) {
		if from.Sub(until) >= least {
			longest = max(longest, until.Sub(start))
			start = from
		}
	}
	for _, s := range spells {
		cut(end, s.Start)
		for _, p := range s.pauses {
			cut(p.Start, p.End)
		}
		end = s.End
	}
	return max(longest, end.Sub(start))
}

// note writes a person's spell down.
func (d *diary) note(p id.Person, s spell) {
	day := d.zone.DayOf(s.Start)
	page := d.page(day)
	page.times[p] = append(page.times[p], s)
	d.weeks[personWeek{p, day.Monday()}] += s.minutes()
}
