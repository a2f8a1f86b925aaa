package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// The evening drill ends so late that its people can't begin at 08:00.
const (
	drillFrom = 18*clock + 30
	drillTo   = 21*clock + 30
)

// drillTeam drills in the evening of the next working day that another follows.
var drillTeam = []string{"okunrinboye", "devanny", "szymczewski"}

// layTimes writes the time of the staff that is not a session: drills,
// inspections, maintenance, office days and absences. It comes before any
// session, which then has to fit in.
func (b *builder) layTimes() {
	for _, d := range b.records.Drills {
		for _, key := range []string{"devanny", "tierney", "mac-suibhne"} {
			b.duty(b.person(key), people.DrillDuty, b.span(d.Day, 14*clock, 16*clock))
		}
	}
	for _, key := range drillTeam {
		b.duty(b.person(key), people.DrillDuty, b.span(b.drillDay(), drillFrom, drillTo))
	}
	for d := b.first.Monday(); d < b.monday+21; d += 14 {
		b.dutyOn(d+1, "hallsjo", people.InspectionDuty, 15*clock, 17*clock)
		b.dutyOn(d+4, "oyelakin", people.MaintenanceDuty, 8*clock, 12*clock)
		b.dutyOn(d+10, "tierney", people.InspectionDuty, 13*clock, 16*clock)
	}
	for d := max(b.first, b.Today-28); d < b.monday+19; d++ {
		if d.Weekday() != 3 {
			b.dutyOn(d, administrator, people.OfficeDuty, 9*clock, 12*clock)
		}
	}
	for _, m := range b.staff {
		b.leave(m)
	}
}

// drillDay is the first working day after today that another one follows.
func (b *builder) drillDay() civil.Day {
	d := b.workday(b.Today + 1)
	for !b.open(d + 1) {
		d = b.workday(d + 1)
	}
	return d
}

// dutyOn writes a duty on a day, none if the yard is closed then.
func (b *builder) dutyOn(d civil.Day, key string, k people.DutyKind, from, to civil.Minutes) {
	if b.open(d) && d >= b.first {
		b.duty(b.person(key), k, b.span(d, from, to))
	}
}

func (b *builder) duty(p id.Person, k people.DutyKind, at civil.Period) {
	d := people.Duty{ID: fresh[id.Duty](b), Person: p, Kind: k, Start: at.Start, End: at.End}
	b.diary.note(p, spell{Period: at})
	b.write(upkeep, b.known(at.Start), b.person(administrator), "recorded", d)
}

// known is the day on which something to come stands in the records: the day
// itself, or today.
func (b *builder) known(t civil.Instant) civil.Day { return min(b.zone.DayOf(t), b.Today) }

// leave writes when a member of staff was or will be away: a few spans a year,
// and two in the coming fortnight that leave the yard short of people.
func (b *builder) leave(m *member) {
	for d := b.first + civil.Day(b.rand.IntN(90)); d < b.Today-20; d += 70 + civil.Day(b.rand.IntN(80)) {
		b.away(m.person, d, d+2+civil.Day(b.rand.IntN(4)))
	}
	switch m.key {
	case "mac-suibhne":
		b.away(m.person, b.monday+8, b.monday+10)
	case "brzozowicz":
		b.away(m.person, b.monday+9, b.monday+9)
	}
}

// away writes an absence from a day through another.
func (b *builder) away(p id.Person, from, through civil.Day) {
	a := people.Away{ID: fresh[id.Away](b), Person: p, Start: b.zone.StartOfDay(from), End: b.zone.StartOfDay(through + 1)}
	b.diary.away[p] = append(b.diary.away[p], civil.Period{Start: a.Start, End: a.End})
	b.write(upkeep, b.known(a.Start), b.person(administrator), "recorded", a)
}
