package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// rescueRow is how a rescue goes by the newest version of a plan. The nacelle's plan
// is as old as its paper: no steps are recorded of it.
type rescueRow struct {
	plan  string
	steps []string
	roles []roleRow
	safe  civil.Minutes
	kits  []string
}

type roleRow struct {
	name, does        string
	competent, beside bool
	count             int
}

var (
	leads   = roleRow{"Leader", "Commands, keeps talking to the casualty, says when to lower", true, false, 1}
	reaches = roleRow{"Rescuer at the casualty", "Goes to the casualty and takes the weight over", true, false, 1}
	calls   = roleRow{"Caller", "Calls 112, sends somebody to the gate, keeps the apron clear", false, true, 1}
)

var rescues = []rescueRow{
	{"plan-tower", []string{
		"Shout and sound the horn three times; everybody stops and clips on.",
		"Call on channel 4, then 112: tower, deck, how many, awake or not.",
		"Clear the west apron and hold the drop zone.",
		"Fix the lowering device to the nearest rated anchor; a second person checks it.",
		"Reach the casualty, connect to the harness, take the weight, then free their lanyard.",
		"Lower to the apron. From the inside ladder, raise to the next landing first.",
		"At the gate lamp: lay them as the first aider says, and stay until the ambulance has them.",
	}, []roleRow{leads, reaches, calls}, 15, []string{"kit-rescue-tower"}},
	{"plan-blade", []string{
		"Shout and sound the horn three times; everybody on ropes stops.",
		"Call on channel 4, then 112: blade face, how many, awake or not.",
		"Clear the east apron and hold the drop zone.",
		"The rescuer goes down the rescue line beside the casualty; the leader keeps the top.",
		"Connect, take the weight over, free the casualty's own rope.",
		"Lower both to the east apron and bring them to the gate lamp.",
	}, []roleRow{leads, reaches, calls}, 16, []string{"kit-rescue-tower"}},
}

// procedureOf is how a rescue goes by a plan's newest version; nil for one of which
// no steps are recorded.
func (b *builder) procedureOf(plan string) *rig.Procedure {
	for _, row := range rescues {
		if row.plan == plan {
			return b.procedure(row)
		}
	}
	return nil
}

func (b *builder) procedure(row rescueRow) *rig.Procedure {
	p := &rig.Procedure{SafeWithin: row.safe, Kits: idsOf[id.Kit](b, "kit", row.kits)}
	for _, s := range row.steps {
		p.Steps = append(p.Steps, text(s))
	}
	for _, r := range row.roles {
		p.Roles = append(p.Roles, rig.PlanRole{Name: text(r.name), Does: text(r.does), Competent: r.competent, Count: r.count, Beside: r.beside})
	}
	return p
}

// layWritten writes the version of the blade's plan that waits for approval: its
// review is near, and a drill found that nobody stood at the gate.
func (b *builder) layWritten() {
	plan := idOf[id.RescuePlan](b, "rescue plan", rescuePlans[1].key)
	var last rig.RescuePlan
	for _, p := range b.records.RescuePlans {
		if p.ID == plan && p.Version > last.Version {
			last = p
		}
	}
	next := rescues[1]
	next.steps = append(append([]string{}, next.steps[:2]...), append([]string{"Send somebody to the gate to lead the ambulance in."}, next.steps[2:]...)...)
	author, day := b.person(rescuePlans[1].author), b.workdayBefore(b.Today-1)
	w := rig.WrittenPlan{ID: fresh[id.WrittenPlan](b), Plan: plan, After: last.Version, Name: last.Name, Text: last.Text, Stations: last.Stations, Procedure: *b.procedure(next),
		Target: last.Target, InForce: b.Today, ReviewBy: b.Today.AddMonths(12), Author: author, State: rig.PlanWritten}
	b.write(upkeep, day, author, "written", w)
	sent, err := w.Send(author)
	b.note(err)
	b.write(upkeep, day, author, "sent", sent)
}
