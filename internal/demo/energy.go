package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// The people who may be in charge of circuits beside the responsible person.
var inCharge = []struct{ circuit, person string }{
	{"hydraulic-power", "hallsjo"}, {"hydraulic-power", "oyelakin"}, {"hydraulic-power", demoInstructor}, {"switchboard", "lindroos"},
}

// layEnergy writes who may be in charge of circuits, and their states this
// morning: one live, one isolated with two locks and tested.
func (b *builder) layEnergy() {
	boss := b.person("muthukaruppan")
	for _, row := range inCharge {
		b.write(upkeep, b.handover(), boss, "authorised", rig.Authority{ID: fresh[id.Authority](b), Circuit: idOf[id.Circuit](b, "circuit", row.circuit),
			Person: b.person(row.person), From: b.handover(), Until: b.Today.AddMonths(5), By: boss})
	}
	day := b.workdayBefore(b.Today)
	at := func(c civil.Minutes) civil.Instant { return b.at(day, c) }
	must := func(i rig.Isolation, err error) rig.Isolation { b.note(err); return i }
	live := must(rig.Isolation{Circuit: idOf[id.Circuit](b, "circuit", "hydraulic-power")}.Energise(true, true, at(16*clock)))
	b.write(upkeep, day, b.person("hallsjo"), "live", live)

	first, second := boss, b.person("lindroos")
	is := must(rig.Isolation{Circuit: idOf[id.Circuit](b, "circuit", "switchboard")}.Isolate(text("SB2-0117"), first, true, at(16*clock+10)))
	b.write(upkeep, day, first, "isolated", is)
	is = must(is.LockOn(second, at(16*clock+15)))
	b.write(upkeep, day, first, "lock-on", is)
	is = must(is.TestDead(rig.DeadTest{By: first, At: at(16*clock + 25), Instrument: text("Two-pole tester 4"), ProvedBefore: true, ProvedAfter: true, StoredReleased: true}, true))
	b.write(upkeep, day, first, "tested-dead", is)
}
