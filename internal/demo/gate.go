package demo

import (
	"fmt"

	came "rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/rig"
)

// notNoted is how many trainees of an intake that begins today stand at the gate
// still.
const notNoted = 3

// atTheGate is what was seen of the trainees of present intakes when they came.
func (b *builder) atTheGate(here []*intake) {
	by := b.person(administrator)
	for _, in := range here {
		day := in.record.From
		if day > b.Today {
			continue
		}
		for i, t := range in.members {
			if day == b.Today && i >= len(in.members)-notNoted {
				continue
			}
			at := b.zone.At(day, 7*clock+10+civil.Minutes(i))
			seen := func() *came.Signed { return &came.Signed{By: by, At: at} }
			a := came.Arrival{Trainee: t.trainee.ID, State: came.Came, At: at, Identity: seen(), Number: seen(), Prerequisites: seen(),
				Fitness: seen(), FitnessAt: at.Add(-20), Induction: seen(), Language: seen(), Contact: "The employer’s office, day and night"}
			if in.programme.record.ID == b.programmes["height"].record.ID {
				a.Kit = b.handedOut(in, i, came.Signed{By: by, At: at})
			}
			b.write(booking, day, by, string(a.State), a)
		}
	}
}

// The harnesses of the yard that are handed out begin behind those of the first set,
// which hangs ready at the rig.
const firstHandedOut = setOf

// handedOut is what a trainee is handed: a harness of those on record while any is
// left that may be used; the first one a lanyard too, of which the yard keeps no items
// on record.
func (b *builder) handedOut(in *intake, n int, given came.Signed) []came.Slip {
	var out []came.Slip
	if at := firstHandedOut + b.handed; at < len(b.records.Items)-1 { // the last one is past its day
		b.handed++
		i := b.records.Items[at].Value
		out = append(out, came.Slip{Serial: i.Serial, Item: i.ID, Given: &given})
	}
	if n == 0 {
		out = append(out, came.Slip{Serial: text(fmt.Sprintf("CM-L%d%02d", in.number, n+1)), Sort: string(rig.LanyardItem), Given: &given})
	}
	return out
}

// aroundTheYard is who signed in today, and a near miss of the day before that the
// scheme is still to be told of. It takes new ids and so comes last.
func (b *builder) aroundTheYard() {
	by := b.person(administrator)
	early := b.zone.At(b.Today, 6*clock+50)
	for i, p := range []id.Person{by, b.person(demoInstructor)} {
		b.write(signing, b.Today, by, "signed-in", came.Stay{ID: fresh[id.Stay](b), Person: p, In: early.Add(civil.Minutes(5 * i))})
	}
	b.write(signing, b.Today, by, "signed-in", came.Stay{ID: fresh[id.Stay](b), Name: "Tadhg Ormsby, crane inspector, for the workshop", In: early.Add(25)})
	day := b.workdayBefore(b.Today)
	at := b.zone.At(day, 15*clock+20)
	near := incident.Incident{ID: fresh[id.Incident](b), Kind: incident.NearMiss, At: at, Note: "A shackle pin rolled off the deck into the fenced ground. Nobody stood there."}
	b.write(signing, day, by, "reported", near)
	near.Class = &incident.Class{By: b.person(responsible[0].now), At: at.Add(35)}
	b.write(signing, day, by, "classed", near)
}
