package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
)

// pastPerYear is how many intakes the yard had in a year.
const pastPerYear = 24

// order of the programmes of past intakes; the yard began with work at height,
// which the others build on.
var pastProgrammes = []string{
	"height", "height", "height", "nacelle", "blade", "height", "rescue", "nacelle", "height", "refresher", "blade",
	"height", "nacelle", "height", "rescue", "blade", "nacelle", "height", "refresher", "height", "nacelle", "blade",
}

// windowDays is how long an intake may take, within the span of a course.
const windowDays = courseDays - 2

// playHistory lets the past intakes come and go, ever closer together: the yard
// has been growing.
func (b *builder) playHistory() {
	last := b.monday - 14
	count := pastPerYear * b.Years * b.Scale
	for i := range count {
		from := b.workday(b.first + grown(i, count, last-b.first))
		size := 10 + b.rand.IntN(5)
		programme := pastProgrammes[i%len(pastProgrammes)]
		if programme == "rescue" {
			size = 8 + 4*b.rand.IntN(2)
		}
		in := b.admit(arrival{programme: programme, employer: i % len(employers), from: from, until: from + windowDays, size: size})
		b.play(in, pace{tenths: 5 + b.rand.IntN(6), last: min(from+windowDays, b.monday-8)})
	}
}

// grown returns how far into a span of days the i-th of n intakes comes: the
// distance between two falls steadily to a quarter.
func grown(i, n int, span civil.Day) civil.Day {
	return span * civil.Day(16*i*n-6*i*i) / civil.Day(10*n*n)
}

// award gives the certificate of the programme to each member who completed
// every step before today.
func (b *builder) award(in *intake) {
	for _, t := range in.members {
		var end civil.Instant
		complete := true
		for _, e := range in.programme.steps {
			done, ok := t.done[e.key]
			complete = complete && ok
			end = max(end, done)
		}
		if day := b.zone.DayOf(end); complete && day < b.Today {
			b.give(in, t, day)
		}
	}
}

// give writes a programme's certificate, dated by the rule book. A refresher
// replaces the certificate that it renews.
func (b *builder) give(in *intake, t *enrolment, completed civil.Day) {
	p := in.programme
	c := &credential.Certificate{
		ID: fresh[id.Certificate](b), Person: t.person.id, Kind: credential.ForProgramme, Programme: p.record.ID, Holds: p.holds,
		State: credential.Valid, Intake: in.record.ID, Trainee: t.trainee.ID,
	}
	if old := t.person.holds(p.holds, completed); p.renews && old != nil {
		renewal, err := credential.Renew(b.books, *old, completed, 0)
		b.note(err)
		if renewal.Counts == credential.NotCounted {
			return
		}
		*c = renewal.Dates.Put(*c)
		b.replaced = append(b.replaced, brought{old, completed})
	} else {
		dates, err := credential.Issue(b.books, p.validity, completed, 0)
		b.note(err)
		*c = dates.Put(*c)
	}
	t.person.held = append(t.person.held, c)
	b.awards = append(b.awards, c)
}

// firstNumber is the running number of the yard's first certificate.
const firstNumber = 1001

// writeCertificates writes those from elsewhere, numbers those of programmes in
// the order in which they were earned, and ends those that were replaced.
func (b *builder) writeCertificates() {
	by := b.person(administrator)
	for _, c := range b.brought {
		b.write(enrolling, c.seen, by, "taken-over", *c.certificate)
	}
	slices.SortStableFunc(b.awards, func(x, y *credential.Certificate) int { return int(x.Completed - y.Completed) })
	for i, c := range b.awards {
		c.Number = firstNumber + i
		b.write(certifying, c.Completed, by, "given", *c)
	}
	b.tellTheScheme()
	for _, c := range b.replaced {
		old := *c.certificate
		old.State = credential.Replaced
		b.write(certifying, c.seen, by, "replaced", old)
	}
}
