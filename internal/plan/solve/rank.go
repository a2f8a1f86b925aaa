package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// best is how many places of the list of offers may share station and day.
const best = 3

func (p *proposal) staffMinutes() civil.Minutes {
	return p.hold.Length() * civil.Minutes(p.staff.size())
}

// rank orders proposals: fewest trainee days, then least idle time, then staff
// load (minutes, then days, then the minutes its people already have that week),
// then time (the preference of the day, then the start), then station, then ids.
func (q *inquiry) rank(a, b proposal) int {
	return cmp.Or(
		cmp.Compare(a.day.traineeDays, b.day.traineeDays), cmp.Compare(a.slot.idle, b.slot.idle),
		cmp.Compare(a.staffMinutes(), b.staffMinutes()), cmp.Compare(a.staff.price, b.staff.price),
		cmp.Compare(a.day.preference, b.day.preference), cmp.Compare(a.slot.start, b.slot.start),
		cmp.Compare(q.c.stations[a.station].id, q.c.stations[b.station].id),
		slices.Compare(a.staff.instructors, b.staff.instructors), slices.Compare(a.staff.rescuers, b.staff.rescuers),
	)
}

// answer turns what was found into the ranked, diverse list of offers and the
// list of refusals. All sessions are back on the board.
func (q *inquiry) answer() (offers []Offer, refused []Refusal) {
	type place struct {
		station int
		day     civil.Day
	}
	slices.SortFunc(q.offers, q.rank)
	shown := make(map[place]bool)
	for i := range q.offers {
		p := &q.offers[i]
		at := place{p.station, p.day.day}
		if q.enough(len(offers)) {
			break
		}
		if len(offers) < best || !shown[at] {
			shown[at] = true
			offers = append(offers, Offer{
				Session: q.session(p), TraineeDays: p.day.traineeDays, Idle: p.slot.idle,
				StaffMinutes: p.staffMinutes(), StaffDays: int(p.staff.price / comesIn),
			})
		}
	}
	slices.SortFunc(q.refused, func(a, b proposal) int {
		return cmp.Or(cmp.Compare(a.broken.count(), b.broken.count()), q.rank(a, b))
	})
	for i := range q.refused {
		if q.enough(len(refused)) {
			break
		}
		p := &q.refused[i]
		s := q.session(p)
		d, _ := q.c.session(&s)
		broken := q.b.charged(d, q.gone)
		if broken == 0 {
			broken = p.broken // no worse than what it moves, and not good enough to offer
		}
		refused = append(refused, Refusal{Session: s, Rules: broken.names()})
	}
	return offers, refused
}

func (q *inquiry) enough(n int) bool { return q.ask.Most > 0 && n >= q.ask.Most }

// session writes a proposal out, its ids sorted.
func (q *inquiry) session(p *proposal) plan.Session {
	trainees := slices.Clone(q.ask.Trainees)
	slices.Sort(trainees)
	var others []string
	for _, r := range q.others {
		others = append(others, r.id)
	}
	return plan.Session{
		ID: q.id, Exercise: q.ex.id, Station: q.c.stations[p.station].id,
		Start: p.slot.start, End: p.slot.start.Add(q.ex.minutes),
		Trainees: trainees, Instructors: slices.Clone(p.staff.instructors), Rescuers: slices.Clone(p.staff.rescuers), Others: others,
	}
}
