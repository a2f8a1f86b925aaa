package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/people"
	"rungbook/internal/session"
)

// newcomerRow is a newcomer with something particular about them.
type newcomerRow struct {
	named string // "" = a name at random
	young bool   // 17 years old
}

// presentRow is an intake around today. Days count from the running week's
// Monday; steps is how many of its steps are on the board, 0 = all.
type presentRow struct {
	programme   string
	employer    int
	from, until civil.Day
	size        int
	pace        int
	steps       int
	newcomers   []newcomerRow
}

// present are the seven intakes of the demo: one just ended, four running, two to
// come. What the coming ones lack is for the visitor to book. They are placed in
// this order, so the earlier ones find more room.
var present = []presentRow{
	{programme: "height", employer: 2, from: -7, until: 4, size: 14, pace: 7},
	{programme: "rescue", employer: 1, from: -3, until: 9, size: 12, pace: 8},
	{programme: "nacelle", employer: 0, from: -3, until: 13, size: 14, pace: 9},
	{programme: "height", employer: 0, from: 0, until: 11, size: 12, pace: 7,
		newcomers: []newcomerRow{{named: traineeName}, {young: true}, {young: true}}},
	{programme: "blade", employer: 1, from: 0, until: 11, size: 12, pace: 9},
	{programme: "refresher", employer: 2, from: 3, until: 18, size: 14, pace: 5, steps: 2},
	{programme: "nacelle", employer: 1, from: 7, until: 32, size: 14, pace: 13, steps: 8},
}

// lastBooked is the last day, counted from the running Monday, with sessions.
const lastBooked = 18

// traineeName is the trainee who has an account.
const traineeName = "Eluned Vaughan-Prys"

// playPresent lets the present intakes arrive and places their sessions.
func (b *builder) playPresent() {
	var here []*intake
	for _, row := range present {
		b.special = row.newcomers
		in := b.admit(arrival{programme: row.programme, employer: row.employer, size: row.size,
			from: b.workday(b.monday + row.from), until: b.monday + row.until})
		here = append(here, in)
	}
	b.hinder(here)
	b.atTheGate(here)
	for i, in := range here {
		last := b.monday + min(present[i].until, lastBooked)
		b.play(in, pace{tenths: present[i].pace, steps: present[i].steps, last: last})
	}
}

// hinder gives two trainees of the refresher that is still to be booked in part
// a reason why not every time suits them: fitness that lapses, and a late shift
// at their own works.
func (b *builder) hinder(here []*intake) {
	in := here[slices.IndexFunc(present, func(p presentRow) bool { return p.programme == "refresher" })]
	fresh := slices.IndexFunc(in.members, func(t *enrolment) bool { return len(t.person.did) == 1 })
	if fresh < 0 {
		fresh = 0
	}
	until := b.monday + 9
	fit := in.members[fresh].person.holds(fitForHeight, in.record.From)
	fit.Completed, fit.From, fit.Until = until.AddMonths(-24), until.AddMonths(-24), until

	tired := in.members[(fresh+len(in.members)/2)%len(in.members)].person.id
	b.duty(tired, people.ElsewhereDuty, b.span(b.workday(until), 17*clock, 23*clock))
}

// pencil leaves every other session to come pencilled of those that give a
// caution, which then waits to be accepted; and one of the running Tuesday.
func (b *builder) pencil() {
	tuesday := b.monday + 1
	var ahead []*run
	for _, r := range b.runs {
		if day := b.zone.DayOf(r.session.Start); r.session.State == session.Booked && day >= b.Today {
			ahead = append(ahead, r)
		}
	}
	shown := tuesday < b.Today
	cautioned := 0
	for _, r := range ahead {
		if len(b.dueSoon(r.session)) == 0 {
			continue
		}
		on := b.zone.DayOf(r.session.Start) == tuesday
		if cautioned++; cautioned%2 == 0 || (on && !shown) {
			r.session.State = session.Pencilled
			shown = shown || on
		}
	}
	for _, r := range ahead {
		if !shown && b.zone.DayOf(r.session.Start) == tuesday {
			r.session.State, shown = session.Pencilled, true
		}
	}
}
