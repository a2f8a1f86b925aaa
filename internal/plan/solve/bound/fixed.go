package bound

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// apart takes out of a problem what its fixed sessions settle: what is left is a
// problem without fixed sessions, and sunk is what those have paid for.
//
// Proof. A plan is its fixed sessions F and others N. Nobody joins a session of F
// and none of them changes, so N is a valid plan of what is left: there a need that
// F meets is done at the end of its session; a station is shut, with its
// turnaround, while F holds it, and stations of the same zone while F holds the
// zone; people have F's times as duties, less the pauses, which count the same for
// rest, minutes and breaks. (What else F takes, kits and head count among it, is
// given back, which only helps N.) Cost: staff minutes of F and N add up. A
// trainee's days are F's and those of N's that are not F's. An intake's last day is
// F's and what N's lies beyond it. Needs left out are the same. So the cost is that
// of F and what N costs in what is left, if days that F has paid for are free.
//
// A session of old that is fixed is no longer looked at: it stands, or is changed
// by what is fixed.
func apart(p *plan.Problem, old []plan.Session) (left *plan.Problem, others []plan.Session, paid sunk) {
	if len(p.Fixed) == 0 {
		return p, old, sunk{}
	}
	q := *p
	q.Fixed = nil
	q.Stations, q.People = slices.Clone(p.Stations), slices.Clone(p.People)
	x := apartness{p: p, left: &q, met: map[string][]plan.Done{}, role: map[string]*[]civil.Period{}, bodies: bodiesOf(p)}
	x.meetNeeds()
	x.layRoles()
	fixed := map[string]bool{}
	for i := range p.Fixed {
		fixed[p.Fixed[i].ID] = true
		x.occupy(&p.Fixed[i])
	}
	for i := range old {
		if !fixed[old[i].ID] {
			others = append(others, old[i])
		}
	}
	return &q, others, x.sunk()
}

// apartness is the work of apart.
type apartness struct {
	p, left *plan.Problem
	met     map[string][]plan.Done     // by trainee: what fixed sessions meet, and when
	role    map[string]*[]civil.Period // by body: the duties of one role that is left
	bodies  map[string]string          // by id of a person or trainee
}

// meetNeeds turns the needs that fixed sessions meet into things done. Trainees
// who need nothing more are gone.
func (x *apartness) meetNeeds() {
	for i := range x.p.Fixed {
		s := &x.p.Fixed[i]
		for _, t := range s.Trainees {
			x.met[t] = append(x.met[t], plan.Done{Exercise: s.Exercise, At: s.End})
		}
	}
	x.left.Trainees = nil
	for _, t := range x.p.Trainees {
		t.Needs = slices.DeleteFunc(slices.Clone(t.Needs), func(e string) bool { return x.meets(t.ID, e) })
		if len(t.Needs) > 0 {
			t.Done = slices.Concat(t.Done, x.met[t.ID])
			x.left.Trainees = append(x.left.Trainees, t)
		}
	}
}

func (x *apartness) meets(trainee, exercise string) bool {
	return slices.ContainsFunc(x.met[trainee], func(d plan.Done) bool { return d.Exercise == exercise })
}

// layRoles finds for each body the role that its new duties go to: one only, since
// minutes of a duty that two roles name would count twice.
func (x *apartness) layRoles() {
	add := func(body, id string, duties *[]civil.Period) {
		if body == "" {
			body = id
		}
		*duties = slices.Clone(*duties)
		if x.role[body] == nil {
			x.role[body] = duties
		}
	}
	for i := range x.left.People {
		v := &x.left.People[i]
		add(v.Body, v.ID, &v.Duties)
	}
	for i := range x.left.Trainees {
		t := &x.left.Trainees[i]
		add(t.Body, t.ID, &t.Duties)
	}
}

// occupy takes a fixed session's place and people.
func (x *apartness) occupy(s *plan.Session) {
	e := &x.p.Exercises[slices.IndexFunc(x.p.Exercises, func(e plan.Exercise) bool { return e.ID == s.Exercise })]
	hold := e.Hold(s.Period())
	own := &x.p.Stations[slices.IndexFunc(x.p.Stations, func(k plan.Station) bool { return k.ID == s.Station })]
	for i := range x.left.Stations {
		k := &x.left.Stations[i]
		switch {
		case k.ID == own.ID:
			k.Shut = append(slices.Clone(k.Shut), civil.Period{Start: hold.Start.Add(-k.Turnaround), End: hold.End.Add(k.Turnaround)})
		case slices.ContainsFunc(k.Zones, func(z string) bool { return slices.Contains(own.Zones, z) }):
			k.Shut = append(slices.Clone(k.Shut), hold)
		}
	}
	for _, id := range slices.Concat(s.Trainees, s.Others) {
		x.busy(x.bodies[id], e, s.Period(), s.Start)
	}
	for _, id := range slices.Concat(s.Instructors, s.Rescuers) {
		x.busy(x.bodies[id], e, hold, s.Start)
	}
}

// bodiesOf maps every id of the problem to its body.
func bodiesOf(p *plan.Problem) map[string]string {
	out := make(map[string]string, len(p.People)+len(p.Trainees))
	for i := range p.People {
		out[p.People[i].ID] = p.People[i].Body
	}
	for i := range p.Trainees {
		out[p.Trainees[i].ID] = p.Trainees[i].Body
	}
	for id, body := range out {
		if body == "" {
			out[id] = id
		}
	}
	return out
}

// busy gives a body a time as duties, cut where the session pauses.
func (x *apartness) busy(body string, e *plan.Exercise, span civil.Period, start civil.Instant) {
	duties := x.role[body]
	if duties == nil {
		return // nothing of theirs is left to plan
	}
	at := span.Start
	for _, pause := range e.Pauses {
		if from := start.Add(pause.After); from > at {
			*duties = append(*duties, civil.Period{Start: at, End: from})
		}
		at = start.Add(pause.After + pause.Minutes)
	}
	if at < span.End {
		*duties = append(*duties, civil.Period{Start: at, End: span.End})
	}
}

// sunk is what fixed sessions have paid for.
type sunk struct {
	cost plan.Cost
	days map[string][]civil.Day // by trainee: days with a fixed session
	last map[string]int64       // by intake: index of the day of its last fixed session
}

func (x *apartness) sunk() sunk {
	q := *x.p
	q.Weights.Unplaced = 0
	out := sunk{cost: q.Cost(x.p.Fixed, nil), days: map[string][]civil.Day{}, last: map[string]int64{}}
	intake := map[string]string{}
	for i := range x.p.Trainees {
		intake[x.p.Trainees[i].ID] = x.p.Trainees[i].Intake
	}
	for i := range x.p.Fixed {
		s := &x.p.Fixed[i]
		day := x.p.Zone.DayOf(s.Start)
		for _, t := range s.Trainees {
			if !slices.Contains(out.days[t], day) {
				out.days[t] = append(out.days[t], day)
			}
			out.last[intake[t]] = max(out.last[intake[t]], int64(day-x.p.From))
		}
	}
	for _, days := range out.days {
		slices.Sort(days)
	}
	return out
}

// beyond is how many days a last day lies behind the one that an intake's fixed
// sessions reach.
func (f *facts) beyond(intake, day int) int64 {
	if intake < len(f.reached) {
		return max(0, int64(day)-f.reached[intake])
	}
	return int64(day)
}
