package solve

import (
	"slices"
	"strconv"

	"rungbook/internal/civil"
)

// field is what the yard and its staff offer for an exercise, whoever needs it.
type field struct {
	begun   bool
	days    map[civil.Day][]chance
	never   *Contradiction // of nobody in particular: nothing is offered on any day
	scanned bool           // never and first are known
	first   civil.Instant  // the first start there is, 0 = none
	furthest
	circles map[string]map[int]bool // bodies who need it, by those who may share a session
}

// chance is a start at which a session could be held, on ground or at height.
type chance struct {
	at    civil.Instant
	kinds [2]bool
}

// hurdle is what a start of an exercise must pass, one after another.
type hurdle uint8

const (
	atGroup hurdle = iota // a station takes the smallest group
	atOpen                // opening hours
	atLight
	atShut
	atStanding // the fixed sessions leave station, ground and energy
	atKit
	atValid // people who may, that day
	atRig
	atStaff // of those, enough who are free
	atTrainee
)

// furthest remembers at which hurdle the starts that came furthest were stopped.
type furthest struct {
	hurdle hurdle
	lacks  rules // of staff: what the best team lacks
	what   string
	at     []any
}

func (f *furthest) stopped(h hurdle, lacks rules, what string, at ...any) {
	if h > f.hurdle || h == f.hurdle && (f.at == nil || lacks.count() < f.lacks.count()) {
		*f = furthest{h, lacks, what, at}
	}
}

func (o *outlook) field(e int) *field {
	f := &o.fields[e]
	if !f.begun {
		f.begun, f.days = true, make(map[civil.Day][]chance)
	}
	return f
}

// offered: nothing is offered for the exercise on any day.
func (o *outlook) offered(t, e int) *Contradiction {
	o.firstOffer(e)
	if never := o.field(e).never; never != nil {
		told := *never
		told.Trainee = o.c.trainees[t].id
		return &told
	}
	return nil
}

// firstOffer returns the first start at which anybody could do the exercise.
func (o *outlook) firstOffer(e int) (civil.Instant, bool) {
	f := o.field(e)
	for d := o.c.from; d < o.c.until && !f.scanned; d++ {
		if o.spent() {
			return 0, false
		}
		if on := o.on(e, d); len(on) > 0 {
			f.scanned, f.first = true, on[0].at
		}
	}
	if !f.scanned {
		f.scanned, f.never = true, o.notOffered(e)
	}
	return f.first, f.first != 0
}

// on lists the starts of a day at which the exercise can be held for the smallest
// group: a place, and staff for it.
func (o *outlook) on(e int, d civil.Day) []chance {
	f := o.field(e)
	if list, known := f.days[d]; known {
		return list
	}
	ex := &o.c.exercises[e]
	starts := o.c.starts(d, ex.minutes)
	list := make([]chance, len(starts))
	for i, at := range starts {
		list[i].at = at
	}
	o.work += 1 + len(starts)*len(ex.stations)
	for _, at := range ex.stations {
		o.tryBerth(e, at, d, list)
	}
	list = slices.DeleteFunc(list, func(c chance) bool { return c.kinds == [2]bool{} })
	f.days[d] = list
	return list
}

// tryBerth marks the starts of a day that a station offers.
func (o *outlook) tryBerth(e, at int, d civil.Day, list []chance) {
	c, f, ex, st := o.c, o.field(e), &o.c.exercises[e], &o.c.stations[at]
	least := max(1, ex.groupMin)
	if c.mostTrainees(e, at) < least {
		f.stopped(atGroup, 0, "", "exercises", e, "group_min")
		return
	}
	if len(list) == 0 {
		f.stopped(atOpen, 0, "", "open")
		return
	}
	s := &session{exercise: e, station: at}
	need := team{teachers: ex.instructorsFor(at, least), staff: st.staffMin, aiders: st.firstAiders, rescue: st.rescue}
	valid := o.validOn(e, d)
	all := newSearch(need, staffing{}, valid, noLimit)
	smallest, _, enough := all.complete()
	var lacks rules
	if !enough {
		_, lacks = all.nearest()
	}
	kind := count(st.height)
	for i := range list {
		c.setTime(s, list[i].at, list[i].at.Add(ex.minutes))
		if h, what, pointer := o.stoppedAt(s); h != atTrainee {
			f.stopped(h, 0, what, pointer...)
			continue
		}
		if !enough {
			f.stopped(atValid, lacks, st.id, "people")
			continue
		}
		room := o.b.room(st.rig, least, s.hold, s.span)
		if room < smallest.size() {
			f.stopped(atRig, 0, number(least)+" with "+number(smallest.size())+" staff", "rigs", st.rig, "people_max")
			continue
		}
		if lacks := o.shortAt(s, need, valid, room); lacks != 0 {
			f.stopped(atStaff, lacks, st.id, "people")
			continue
		}
		list[i].kinds[kind] = true
	}
}

// stoppedAt tells at which hurdle of the place a session is stopped; atTrainee if
// at none.
func (o *outlook) stoppedAt(s *session) (h hurdle, what string, at []any) {
	c, st := o.c, &o.c.stations[s.station]
	if st.needsDaylight && !c.lightAt(s.day, s.span) {
		return atLight, "", []any{"daylight"}
	}
	for i, shut := range st.shut {
		if shut.Overlaps(s.hold) {
			return atShut, "", []any{"stations", s.station, "shut", i}
		}
	}
	clash := ""
	o.b.clashes(s, func(f fault) { clash = ruleNames[f.rule] })
	if clash != "" {
		return atStanding, clash, []any{"fixed"}
	}
	for k := range c.kits {
		if n := c.takes(s, k); n > 0 && o.b.kitOver(k, s.hold, n) > 0 {
			return atKit, number(n) + " of " + c.kits[k].id, []any{"kits", k, "count"}
		}
	}
	return atTrainee, "", nil
}

// validOn lists who could staff an exercise on a day, free or not.
func (o *outlook) validOn(e int, d civil.Day) []mate {
	var out []mate
	for p := range o.c.people {
		pe := &o.c.people[p]
		m := mate{
			person: p, body: pe.body, shared: o.c.bodies[pe.body].staff > 1,
			teaches: validOn(pe.teaches[e], d), rescues: validOn(pe.rescuer, d), aids: validOn(pe.firstAid, d),
		}
		if m.teaches || m.rescues {
			out = append(out, m)
		}
	}
	return out
}

// shortAt returns what the staff of those who are free for a session lacks.
func (o *outlook) shortAt(s *session, need team, valid []mate, room int) rules {
	tm := o.c.timeOf(s, asInstructor)
	free := make([]mate, 0, len(valid))
	for i := range valid {
		p := valid[i].person
		if o.bars(&o.c.people[p].role, &tm, &o.views[p]) == 0 {
			free = append(free, valid[i])
		}
	}
	found := newSearch(need, staffing{}, free, room)
	if _, _, ok := found.complete(); ok {
		return 0
	}
	_, lacks := found.nearest()
	return lacks
}

// bars returns the rules that one more time breaks for a role, with nothing but
// duties and fixed sessions beside it, and that no further time can mend. v is the
// view last made for the role, or any other.
func (o *outlook) bars(r *role, t *timeSpan, v *dayView) rules {
	out := available.when(!r.freeFor(t.Period))
	if v.b == nil || v.body != r.body || v.day != t.day {
		*v = o.b.view(r.body, t.day)
	}
	broken := v.judge(t)
	if broken&v.broken != 0 {
		broken = o.b.wouldBreak(r.body, *t, o.b.faultsOf(r.body))
	}
	policies := o.c.bodies[r.body].policies
	for i := range policies {
		if restCount(&policies[i]) > 1 {
			broken &^= weeklyRest.set()
		}
	}
	return out | broken
}

func number(n int) string { return strconv.Itoa(n) }

func quoted(s string) string { return strconv.Quote(s) }
