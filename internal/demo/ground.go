package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// centre is the source of the limits that Carrowmoyle set itself.
func centre(clause string) rulebook.Source {
	return rulebook.Source{Document: "Carrowmoyle, risk assessment of the converted rigs", Version: "3", Clause: clause, Mark: rulebook.CommonPractice}
}

// layPlace writes the yard itself, which every later entry names.
func (b *builder) layPlace() {
	b.yard.ID, b.yard.Name, b.yard.Zone = idOf[id.Yard](b, "yard", "yard"), text(yardName), yardZone
	b.yard.Latitude, b.yard.Longitude, b.yard.Grid, b.yard.Open = latitude, longitude, grid, openingHours
	slices.SortFunc(b.yard.ClosedDays, func(x, y rig.ClosedDay) int { return int(x.Day - y.Day) })
	b.write(groundwork, b.opened(), b.person(administrator), "set-up", b.yard)
}

// layRules writes two versions of the rule book: the yard began with rules of
// its own that were wider, and tightened them about eight months ago.
func (b *builder) layRules() {
	opened, tightened := b.opened(), max(b.Today-240, b.first+90)
	b.books = []rulebook.Version{
		b.ruleBook("rules-1", opened, map[string]int64{"site.ratio-practical": 6, "site.height-day": 480, "site.daily-rest": 660, "site.run-days-caution": 6}),
		b.ruleBook("rules-2", tightened, map[string]int64{"site.ratio-practical": 6, "site.height-day": 360, "site.run-days-caution": 6}),
	}
	for _, v := range b.books {
		unconfirmed := v
		unconfirmed.Confirmations = []rulebook.Confirmation{}
		b.write(groundwork, v.From, b.person(administrator), "written", unconfirmed)
		b.write(groundwork, v.From, b.person(administrator), "confirmed", v)
	}
}

// ruleBook takes the shipped examples of the profiles that bind Carrowmoyle, with
// the lines that it set itself.
func (b *builder) ruleBook(key string, from civil.Day, own map[string]int64) rulebook.Version {
	v := rulebook.Version{
		ID: idOf[id.RuleBook](b, "rule book", key), From: from,
		Profiles: []id.Profile{rulebook.EUAdult, rulebook.EUYoung, rulebook.TrainingStandard, rulebook.Upkeep, rulebook.Site},
	}
	for _, p := range v.Profiles {
		for _, l := range rulebook.Examples(p) {
			if value, ok := own[l.ID]; ok {
				l.Value, l.Source = value, centre("rigs of a fixed place, used by our own instructors")
			}
			v.Lines = append(v.Lines, l)
		}
	}
	for _, r := range responsible {
		v.Confirmations = append(v.Confirmations, rulebook.Confirmation{Field: r.field, Person: b.person(b.responsibleOn(r.field, from)), Day: from})
	}
	v.Confirmations = append(v.Confirmations, rulebook.Confirmation{Field: verdict.Planning, Person: b.person(administrator), Day: from})
	return v
}

// handover is the day on which a field's responsible person changed.
func (b *builder) handover() civil.Day { return b.workday(b.Today - daysPerYear) }

// responsibleOn returns who is responsible for a field on a day.
func (b *builder) responsibleOn(f verdict.Field, d civil.Day) string {
	for _, r := range responsible {
		if r.field == f && r.before != "" && d < b.handover() {
			return r.before
		}
		if r.field == f {
			return r.now
		}
	}
	return administrator
}

// person returns the id of the member of staff that the tables call key.
func (b *builder) person(key string) id.Person { return idOf[id.Person](b, "person", key) }

// layRigs writes the rigs, their stations and what belongs to them.
func (b *builder) layRigs() {
	day, by := b.opened(), b.person(administrator)
	for i, row := range rigs {
		r := rig.Rig{
			ID: idOf[id.Rig](b, "rig", row.key), Name: text(row.name), Kind: row.kind, State: rig.InConversion,
			PeopleMax: row.peopleMax, Inspections: row.inspections, Drawing: row.drawing, Order: i + 1,
		}
		r.Drawing.Ground = nil
		for _, z := range row.drawing.Ground {
			z.Zone = idOf[id.Zone](b, "zone", string(z.Zone))
			r.Drawing.Ground = append(r.Drawing.Ground, z)
		}
		if row.onRig != "" {
			r.Drawing.OnRig = idOf[id.Rig](b, "rig", row.onRig)
		}
		b.write(groundwork, day, by, "taken-on", r)
		r.State = rig.InService
		b.write(groundwork, b.first-7, by, "put-in-service", r)
		b.records.Rigs = append(b.records.Rigs, rig.Standing[rig.Rig]{From: b.first - 7, Value: r})
	}
	for _, row := range zones {
		b.write(groundwork, day, by, "recorded", rig.Zone{ID: idOf[id.Zone](b, "zone", row.key), Name: text(row.name)})
	}
	for _, row := range circuits {
		b.write(groundwork, day, by, "recorded", rig.Circuit{ID: idOf[id.Circuit](b, "circuit", row.key), Name: text(row.name), Changeover: row.changeover})
	}
	for i, row := range stations {
		s := b.station(row, i+1)
		b.write(groundwork, day, by, "recorded", s)
		b.records.Stations = append(b.records.Stations, rig.Standing[rig.Station]{From: day, Value: s})
	}
}

func (b *builder) station(row stationRow, order int) rig.Station {
	s := rig.Station{
		ID: idOf[id.Station](b, "station", row.key), Rig: idOf[id.Rig](b, "rig", row.rig), Name: text(row.name),
		Places: row.places, Zones: idsOf[id.Zone](b, "zone", row.zones), Height: row.height, NeedsDaylight: row.daylight,
		Turnaround: row.turnaround, StaffMin: row.staffMin, FirstAiders: &row.firstAiders,
		Inspections: row.inspections, Place: row.place, Order: order,
	}
	if row.rescueKit != "" {
		s.Rescue = &rig.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true, Kit: idOf[id.Kit](b, "kit", row.rescueKit)}
	}
	return s
}

// exercise is a row with its record.
type exercise struct {
	exerciseRow
	record curriculum.Exercise
	ratio  int // what binds: its own, or the rule book's if smaller
}

// programme is a row with its record.
type programme struct {
	programmeRow
	record curriculum.Programme
	steps  []*exercise
}

// layTeaching writes outcomes, exercises and programmes.
func (b *builder) layTeaching() {
	day, by := b.opened(), b.person(administrator)
	for _, row := range outcomes {
		b.write(groundwork, day, by, "written", curriculum.Outcome{ID: idOf[id.Outcome](b, "outcome", row.key), Name: text(row.name)})
	}
	for i, row := range allExercises() {
		e := &exercise{exerciseRow: row, record: b.exercise(row, i+1), ratio: row.ratio}
		for _, book := range b.books {
			if limit, _, ok := book.Ratio(string(row.setting)); ok {
				e.ratio = min(e.ratio, limit)
			}
		}
		b.exercises[row.key] = e
		b.write(groundwork, day, by, "written", e.record)
	}
	for i, row := range programmes {
		p := &programme{programmeRow: row, record: b.programme(row, i+1)}
		for _, key := range row.teaches {
			p.steps = append(p.steps, b.exercises[key])
		}
		b.programmes[row.key] = p
		b.write(groundwork, day, by, "written", p.record)
	}
}

func (b *builder) exercise(row exerciseRow, order int) curriculum.Exercise {
	e := curriculum.Exercise{
		ID: idOf[id.Exercise](b, "exercise", row.key), Name: text(row.name), Setting: row.setting,
		Minutes: row.minutes, Setup: row.setup, Strike: row.strike, Pauses: row.pauses,
		Stations: idsOf[id.Station](b, "station", slices.Concat(row.stations, row.later)), GroupMin: row.groupMin, GroupMax: row.groupMax, Ratio: row.ratio,
		Requires: row.requires, Outcomes: idsOf[id.Outcome](b, "outcome", row.outcomes), Order: order,
	}
	for _, s := range row.stations {
		if r, ok := row.ratioAt[s]; ok {
			e.RatioAt = append(e.RatioAt, curriculum.StationRatio{Station: idOf[id.Station](b, "station", s), Ratio: r})
		}
	}
	for _, a := range row.after {
		e.After = append(e.After, curriculum.After{Exercise: idOf[id.Exercise](b, "exercise", a.exercise), MinGap: a.minGap, MaxGap: a.maxGap})
	}
	for _, k := range row.uses {
		e.Uses = append(e.Uses, curriculum.KitUse{Kit: idOf[id.Kit](b, "kit", k), Count: 1})
	}
	for _, n := range row.energy {
		e.Energy = append(e.Energy, curriculum.EnergyNeed{Circuit: idOf[id.Circuit](b, "circuit", n.circuit), State: n.state})
	}
	return e
}

func (b *builder) programme(row programmeRow, order int) curriculum.Programme {
	p := curriculum.Programme{
		ID: idOf[id.Programme](b, "programme", row.key), Name: text(row.name), SpanDays: courseDays, Validity: row.validity, Order: order,
	}
	for _, key := range row.teaches {
		e := b.exercises[key].record
		p.Exercises = append(p.Exercises, e.ID)
		p.Hours += e.Minutes
		for _, pause := range e.Pauses {
			p.Hours -= pause.Minutes
		}
	}
	for _, u := range row.units {
		unit := curriculum.Unit{Name: text(u.name)}
		for _, key := range u.exercises {
			unit.Outcomes = append(unit.Outcomes, b.exercises[key].record.Outcomes...)
		}
		slices.Sort(unit.Outcomes)
		unit.Outcomes = slices.Compact(unit.Outcomes)
		p.Units = append(p.Units, unit)
	}
	return p
}

// courseDays is within how many calendar days a programme is completed
// (Requirements for Training, V15, 1 Apr 2025, cl 9.1.9(b)).
const courseDays = 28
