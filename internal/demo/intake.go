package demo

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// person is somebody who is or was trained here.
type person struct {
	id       id.Person
	employer id.Employer
	held     []*credential.Certificate
	did      []string  // programmes enrolled in
	until    civil.Day // end of the last window
}

// enrolment is a person in an intake.
type enrolment struct {
	trainee people.Trainee
	person  *person
	done    map[string]civil.Instant // exercise → when it was completed, or will be
	tried   civil.Instant            // end of the last session that did not complete its exercise
}

// intake is an intake with its people.
type intake struct {
	record    people.Intake
	programme *programme
	number    int // the yard's own, counted from 1
	members   []*enrolment
}

// ended reports whether the intake is over on a day.
func (in *intake) ended(d civil.Day) bool { return in.record.Until < d }

// holds returns the person's certificate of a name that is valid longest, of
// those valid on a day; nil if there is none.
func (p *person) holds(name string, d civil.Day) *credential.Certificate {
	var best *credential.Certificate
	for _, c := range p.held {
		if c.Holds == name && c.On(d) && (best == nil || c.Until > best.Until) {
			best = c
		}
	}
	return best
}

// entitled reports whether a trainee holds all that an exercise requires.
func (t *enrolment) entitled(e *exercise, d civil.Day) bool {
	return !slices.ContainsFunc(e.requires, func(name string) bool { return t.person.holds(name, d) == nil })
}

// inOrder reports whether an exercise may begin at start after what is done.
func (t *enrolment) inOrder(e *exercise, start civil.Instant) bool {
	for _, a := range e.after {
		done, ok := t.done[a.exercise]
		if gap := start.Sub(done); !ok || gap < a.minGap || (a.maxGap > 0 && gap > a.maxGap) {
			return false
		}
	}
	return true
}

// ready reports whether all that must come first is done or placed.
func (t *enrolment) ready(e *exercise) bool {
	return !slices.ContainsFunc(e.after, func(a afterRow) bool { _, ok := t.done[a.exercise]; return !ok })
}

// arrival is an intake to come.
type arrival struct {
	programme   string
	employer    int
	from, until civil.Day
	size        int
}

// admit writes an intake and its trainees with what they bring.
func (b *builder) admit(a arrival) *intake {
	p := b.programmes[a.programme]
	b.intakes++
	in := &intake{programme: p, number: b.intakes, record: people.Intake{
		ID: fresh[id.Intake](b), Name: text(fmt.Sprintf("%s %d", shortName(employers[a.employer].name), b.intakes)),
		Employer: b.employers[a.employer], Programme: p.record.ID, From: a.from, Until: a.until, Alone: a.programme == "rescue",
	}}
	day := max(b.opened()+1, min(a.from-14, b.Today))
	b.write(enrolling, day, b.person(administrator), "taken-in", in.record)
	for range a.size {
		in.members = append(in.members, b.enrol(in, a, day))
	}
	return in
}

// shortName is the first word of a name.
func shortName(name string) string {
	for i, r := range name {
		if r == ' ' {
			return name[:i]
		}
	}
	return name
}

// enrol writes one trainee of an intake: somebody who has been here before where
// the programme builds on an earlier one, else a new face.
func (b *builder) enrol(in *intake, a arrival, day civil.Day) *enrolment {
	who := b.returning(a, in.programme)
	if who == nil {
		who = b.newcomer(in.record.Employer, day)
	}
	b.bring(who, in.programme, a)
	who.did, who.until = append(who.did, a.programme), a.until
	t := &enrolment{person: who, done: map[string]civil.Instant{}, trainee: people.Trainee{
		ID: fresh[id.Trainee](b), Person: who.id, Intake: in.record.ID, Needs: in.programme.record.Exercises, Rest: bindTrainee,
	}}
	if b.young[who.id] {
		t.trainee.Rest = bindYoung
	}
	b.write(enrolling, day, b.person(administrator), "enrolled", t.trainee)
	return t
}

// returning finds a former trainee for a programme that builds on work at
// height, nil where there is none: of the same employer, not here at the moment,
// new to the programme; for a refresher one whose certificate soon runs out.
func (b *builder) returning(a arrival, p *programme) *person {
	if a.programme == "height" {
		return nil
	}
	for _, who := range b.former {
		held := who.holds(workAtHeight, a.from)
		if who.employer != b.employers[a.employer] || who.until >= a.from || held == nil || b.young[who.id] {
			continue
		}
		if a.programme == "refresher" {
			if held.Until > a.until && held.Until < a.from+58 {
				return who
			}
			continue
		}
		if !slices.Contains(who.did, a.programme) && held.Until > a.until {
			return who
		}
	}
	return nil
}

// newcomer writes a person who was not here before.
func (b *builder) newcomer(employer id.Employer, day civil.Day) *person {
	who := &person{id: fresh[id.Person](b), employer: employer}
	name := pick(b.rand, tongues).name(b.rand)
	born := day.AddMonths(-12*(19+b.rand.IntN(32))) - civil.Day(b.rand.IntN(daysPerYear))
	if len(b.special) > 0 {
		next := b.special[0]
		b.special = b.special[1:]
		if next.named != "" {
			who.id, name = b.person(next.named), next.named
		}
		if next.young {
			born = b.Today.AddMonths(-12*17) - civil.Day(40+b.rand.IntN(150))
			b.young[who.id] = true
		}
	}
	b.write(enrolling, day, b.person(administrator), "recorded", people.Person{
		ID: who.id, Name: text(name), Born: text(born.String()), Employer: employer, Number: text(fmt.Sprintf("%05d", 10000+b.rand.IntN(90000))),
	})
	b.former = append(b.former, who)
	return who
}

// brought is a certificate and the day on which it was seen, or replaced.
type brought struct {
	certificate *credential.Certificate
	seen        civil.Day
}

// bring notes the certificates from elsewhere that a trainee shows at the gate:
// fitness, and where the programme asks for them work at height and first aid.
func (b *builder) bring(who *person, p *programme, a arrival) {
	day := max(b.opened()+1, min(a.from-3, b.Today))
	need := func(name string, kind credential.Kind, validity string, until civil.Day) {
		if held := who.holds(name, a.from); held != nil && held.Until >= a.until {
			return
		}
		c := &credential.Certificate{
			ID: fresh[id.Certificate](b), Person: who.id, Kind: kind, Holds: name, Validity: validity, State: credential.Valid,
			Completed: until.AddMonths(-24), From: until.AddMonths(-24), Until: until,
		}
		who.held = append(who.held, c)
		b.brought = append(b.brought, brought{c, day})
	}
	later := func(least, most int) civil.Day { return a.until + civil.Day(least+b.rand.IntN(most-least)) }
	need(fitForHeight, credential.Medical, "validity.medical", later(20, 640))
	need(firstAid, credential.TakenOver, "validity.first-aid", later(15, 600))
	switch a.programme {
	case "blade", "rescue":
		need(workAtHeight, credential.TakenOver, "validity.height", later(30, 500))
	case "refresher":
		need(workAtHeight, credential.TakenOver, "validity.height", later(3, 40))
	}
}

// split parts a list into the fewest even groups of at most n.
func split(list []*enrolment, n int) [][]*enrolment {
	groups := (len(list) + n - 1) / n
	var out [][]*enrolment
	for i := range groups {
		out = append(out, list[i*len(list)/groups:(i+1)*len(list)/groups])
	}
	return out
}
