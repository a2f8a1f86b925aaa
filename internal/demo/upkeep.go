package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// soonest is how many days from today every inspection but one is good for at
// least: past the notice that is given before the last session that is booked.
const soonest = 36

// dueSoon is the inspection that falls due while people still want to book.
var dueSoon = struct {
	station, line string
	in            civil.Day
}{"hydraulics", "inspection.accumulator-charge", 13}

// layUpkeep writes what kept the yard fit for use: inspections, examined kit,
// rescue plans and their drills, and the times at which a station was shut.
func (b *builder) layUpkeep() {
	for _, row := range rigs {
		for _, line := range row.inspections {
			b.inspect(idOf[string](b, "rig", row.key), line, 0)
		}
	}
	for _, row := range stations {
		for _, line := range row.inspections {
			in := civil.Day(0)
			if row.key == dueSoon.station && line == dueSoon.line {
				in = dueSoon.in
			}
			b.inspect(idOf[string](b, "station", row.key), line, in)
		}
	}
	b.layKits()
	b.layItems()
	for i, row := range rescuePlans {
		b.approvePlan(row.namedRow, row.text, idsOf[id.Station](b, "station", row.stations), b.person(row.author), row.target, civil.Day(row.reviewIn))
		b.drill(row.key, civil.Day(25+40*i), row.target)
	}
	b.layShuts()
	b.records.Zone, b.records.Books = b.zone, b.books
}

// layKits writes each kit anew with every examination.
func (b *builder) layKits() {
	for _, row := range kits {
		k := rig.Kit{ID: idOf[id.Kit](b, "kit", row.key), Name: text(row.name), Count: row.count, Inspections: []string{row.line}, Rated: ratedKg[row.key]}
		months := b.interval(row.line)
		dates := b.inspect(string(k.ID), row.line, 0)
		for i, done := range dates {
			k.LastValid = done.AddMonths(months)
			act, by := "examined", b.inspector(row.line)
			standing := rig.Standing[rig.Kit]{From: done, Value: k}
			if i == 0 {
				act, by, standing.From = "taken-on", b.person(administrator), b.opened()
			}
			if i+1 < len(dates) {
				standing.Until = dates[i+1]
			}
			b.write(groundwork, standing.From, by, act, k)
			b.records.Kits = append(b.records.Kits, standing)
		}
	}
}

// interval is the months between two inspections by a line of the rule book.
func (b *builder) interval(line string) int {
	l, ok := b.books[0].Line(line)
	if !ok || l.Quantity != rulebook.InspectionMonths {
		panic("demo: the rule book states no months for " + line)
	}
	return int(l.Value)
}

// inspector is who looks after the things that a line speaks of.
func (b *builder) inspector(line string) id.Person {
	l, _ := b.books[0].Line(line)
	switch l.Field {
	case verdict.Energy:
		return b.person("hallsjo")
	case verdict.Lifting:
		return b.person("oyelakin")
	}
	return b.person("tierney")
}

// inspect writes the inspections of a thing by one line, each before the one
// before it ran out, and returns their days. in is how many days from today the
// next one falls due, 0 for one of the demo's own choosing.
func (b *builder) inspect(subject, line string, in civil.Day) []civil.Day {
	months := b.interval(line)
	if in == 0 {
		reach := int(b.Today.AddMonths(months) - b.Today - 3 - soonest)
		in = soonest + civil.Day(b.rand.IntN(max(reach, 1)))
	}
	done := max(min(b.workday((b.Today+in).AddMonths(-months)), b.workdayBefore(b.Today)), b.opened())
	dates := []civil.Day{done}
	for done > b.first-14 {
		done = max(b.workday(done.AddMonths(-months)+2), b.opened())
		dates = append([]civil.Day{done}, dates...)
	}
	by := b.inspector(line)
	for _, d := range dates {
		i := rig.Inspection{ID: fresh[id.Inspection](b), Subject: subject, Line: line, Done: d, Passed: true, By: by}
		b.records.Inspections = append(b.records.Inspections, i)
		b.write(upkeep, d, by, "inspected", i)
	}
	return dates
}

// approvePlan writes the yearly versions of a rescue plan.
func (b *builder) approvePlan(row namedRow, words string, stations []id.Station, author id.Person, target civil.Minutes, reviewIn civil.Day) {
	var versions []rig.RescuePlan
	for review := b.Today + reviewIn; ; {
		p := rig.RescuePlan{
			ID: idOf[id.RescuePlan](b, "rescue plan", row.key), Name: text(row.name), Text: text(words), Stations: stations,
			Author: author, InForce: max(review.AddMonths(-12), b.opened()), ReviewBy: review, Target: target,
		}
		p.ApprovedBy = b.person(b.responsibleOn(verdict.HeightRescue, p.InForce))
		versions = append([]rig.RescuePlan{p}, versions...)
		if p.InForce <= b.first-14 {
			break
		}
		review = p.InForce + 5
	}
	for i, p := range versions {
		p.Version = i + 1
		if i == len(versions)-1 {
			p.Procedure = b.procedureOf(row.key)
		}
		b.records.RescuePlans = append(b.records.RescuePlans, p)
		b.write(groundwork, p.InForce, p.ApprovedBy, "approved", p)
	}
}

// drill writes the rescues drilled under a plan, the last one so many days ago.
func (b *builder) drill(plan string, ago civil.Day, target civil.Minutes) {
	age, ok := b.books[0].Strictest(rulebook.DrillAge)
	if !ok {
		panic("demo: the rule book states no age for drills")
	}
	planID := idOf[id.RescuePlan](b, "rescue plan", plan)
	for done := b.workdayBefore(b.Today - ago); ; done = max(b.workday(done.AddMonths(-int(age.Value))+7), b.opened()) {
		d := rig.Drill{ID: fresh[id.Drill](b), Plan: planID, Version: b.versionOn(planID, done), Day: done, Minutes: target - 1 + civil.Minutes(b.rand.IntN(2)), Accepted: true}
		b.records.Drills = append(b.records.Drills, d)
		b.write(upkeep, done, b.person("devanny"), "drilled", d)
		if done <= b.first-14 {
			return
		}
	}
}

// versionOn returns the version of a rescue plan in force on a day, the first one
// before that.
func (b *builder) versionOn(plan id.RescuePlan, d civil.Day) int {
	version := 1
	for _, p := range b.records.RescuePlans {
		if p.ID == plan && p.InForce <= d {
			version = p.Version
		}
	}
	return version
}

// layShuts shuts the upper deck for an anchor test over the running week, and
// lets a station be out of use now and then before that.
func (b *builder) layShuts() {
	reasons := []rig.ShutReason{rig.ShutFault, rig.ShutMaintenance, rig.ShutInspection, rig.ShutWeather}
	for d := b.first + 30; d < b.Today-30; d += 60 + civil.Day(b.rand.IntN(60)) {
		from := b.workday(d)
		b.shut(rig.Shut{
			Station: idOf[id.Station](b, "station", pick(b.rand, stations).key), Reason: pick(b.rand, reasons),
			Start: b.at(from, 8*clock), End: b.at(b.workday(from+1), 12*clock),
		})
	}
	b.shut(rig.Shut{
		Station: idOf[id.Station](b, "station", "deck-upper"), Reason: rig.ShutAnchorTest,
		Start: b.at(b.workdayBefore(b.monday), 13*clock), End: b.at(b.monday+10, 12*clock),
		Note: text("Two of the four west anchors are pulled to their test load. The deck stays roped off until the report is signed."),
	})
}

func (b *builder) shut(s rig.Shut) {
	s.ID = fresh[id.Shut](b)
	b.records.Shuts = append(b.records.Shuts, s)
	b.write(upkeep, b.zone.DayOf(s.Start), b.person("devanny"), "shut", s)
}
