package check

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// The twin judges as slowly and plainly as it can: all pairs, minute by minute,
// straight from the text of the specification. It shares nothing with the rules
// but the problem types. Its answer is how far each subject lies beyond its limit.

type verdicts map[string]int64

func (v verdicts) add(excess int64, rule, who string, also ...string) {
	if excess <= 0 {
		return
	}
	key := fmt.Sprint(rule, " ", who, also)
	v[key] = max(v[key], excess)
}

type twin struct {
	p    *plan.Problem
	list []plan.Session
	out  verdicts
}

func judgeSlowly(p *plan.Problem, list []plan.Session) verdicts {
	w := twin{p, list, make(verdicts)}
	for i := range list {
		w.sessionAlone(&list[i])
		w.people(&list[i])
		for k := range list {
			if i != k {
				w.pairOf(&list[i], &list[k])
			}
		}
	}
	w.rigs()
	w.kits()
	for i := range p.Trainees {
		w.trainee(&p.Trainees[i])
	}
	for _, name := range w.bodyNames() {
		w.body(name)
	}
	return w.out
}

func find[T any](list []T, is func(T) bool) T {
	return list[slices.IndexFunc(list, is)]
}

func (w *twin) exercise(s *plan.Session) plan.Exercise {
	return find(w.p.Exercises, func(e plan.Exercise) bool { return e.ID == s.Exercise })
}

func (w *twin) station(s *plan.Session) plan.Station {
	return find(w.p.Stations, func(e plan.Station) bool { return e.ID == s.Station })
}

func (w *twin) person(id string) plan.Person {
	return find(w.p.People, func(v plan.Person) bool { return v.ID == id })
}

func (w *twin) period(s *plan.Session) civil.Period {
	return civil.Period{Start: s.Start, End: max(s.Start, s.End)}
}

func (w *twin) hold(s *plan.Session) civil.Period {
	e, p := w.exercise(s), w.period(s)
	return civil.Period{Start: p.Start - civil.Instant(e.Setup), End: p.End + civil.Instant(e.Strike)}
}

// inPause tells whether a minute of a session is a pause of at least some length.
func (w *twin) inPause(s *plan.Session, t civil.Instant, least civil.Minutes) bool {
	return t >= s.Start && t < s.End && w.pauseRun(s, t) >= least
}

// pauseRun is the length of the unbroken pause around t, 0 outside pauses.
func (w *twin) pauseRun(s *plan.Session, t civil.Instant) civil.Minutes {
	paused := func(t civil.Instant) bool {
		if t < s.Start || t >= s.End {
			return false
		}
		for _, p := range w.exercise(s).Pauses {
			if t >= s.Start.Add(p.After) && t < s.Start.Add(p.After+p.Minutes) {
				return true
			}
		}
		return false
	}
	if !paused(t) {
		return -1
	}
	from, to := t, t
	for paused(from - 1) {
		from--
	}
	for paused(to) {
		to++
	}
	return to.Sub(from)
}

func (w *twin) sessionAlone(s *plan.Session) {
	p, e, st := w.p, w.exercise(s), w.station(s)
	z, per, hold := p.Zone, w.period(s), w.hold(s)
	day := z.DayOf(s.Start)
	if z.Clock(s.Start)%max(1, p.Grid) != 0 {
		w.out.add(1, "grid", s.ID)
	}
	w.out.add(max(int64(s.End.Sub(s.Start)-e.Minutes), int64(e.Minutes-s.End.Sub(s.Start))), "grid", s.ID)
	open := false
	for _, win := range p.Open {
		open = open || slices.Contains(win.Weekdays, day.Weekday()) && z.At(day, win.From) <= per.Start && per.End <= z.At(day, win.To)
	}
	if !open || slices.Contains(p.ClosedDays, day) || day < p.From || day >= p.From+civil.Day(p.Days) {
		w.out.add(1, "open-hours", s.ID)
	}
	if st.NeedsDaylight {
		dark := int64(1)
		for _, l := range p.Daylight {
			if l.Day == day {
				dark = int64(max(0, z.At(day, l.From)-per.Start) + max(0, per.End-z.At(day, l.To)))
			}
		}
		w.out.add(dark, "daylight", s.ID)
	}
	if !slices.Contains(e.Stations, s.Station) {
		w.out.add(1, "station-fit", s.ID)
	}
	for _, shut := range st.Shut {
		var both int64
		for t := hold.Start; t < hold.End; t++ {
			if shut.Holds(t) {
				both++
			}
		}
		w.out.add(both, "station-shut", s.ID)
	}
}

func (w *twin) pairOf(s, o *plan.Session) {
	a, b := w.hold(s), w.hold(o)
	if a.Length() <= 0 || b.Length() <= 0 {
		return
	}
	first, second := a, b
	if b.Start < a.Start || b.Start == a.Start && o.ID < s.ID {
		first, second = b, a
	}
	need := int64(first.End - second.Start) // how much later the second should start
	st, ot := w.station(s), w.station(o)
	if s.Station == o.Station {
		w.out.add(need+int64(st.Turnaround), "station-clash", s.ID)
	} else {
		for _, zone := range st.Zones {
			if slices.Contains(ot.Zones, zone) {
				w.out.add(need, "zone-clash", s.ID, zone)
			}
		}
	}
	for _, n := range w.exercise(s).Energy {
		for _, m := range w.exercise(o).Energy {
			if n.Circuit == m.Circuit && n.State != m.State {
				c := find(w.p.Circuits, func(c plan.Circuit) bool { return c.ID == n.Circuit })
				w.out.add(need+int64(c.Changeover), "energy-clash", s.ID, n.Circuit)
			}
		}
	}
}

// over tells each session by how much the worst unbroken time beyond a limit,
// of those in which it is present, passes the limit.
func (w *twin) over(rule, thing string, mine []*plan.Session, present func(*plan.Session, civil.Instant) bool, beyond func(civil.Instant) int) {
	lo, hi := civil.Instant(1<<60), civil.Instant(0)
	for _, s := range mine {
		lo, hi = min(lo, w.hold(s).Start), max(hi, w.hold(s).End)
	}
	for t := lo; t < hi; t++ {
		if beyond(t) <= 0 {
			continue
		}
		peak, from := 0, t
		for ; beyond(t) > 0; t++ {
			peak = max(peak, beyond(t))
		}
		for _, s := range mine {
			for m := from; m < t; m++ {
				if present(s, m) {
					w.out.add(int64(peak), rule, s.ID, thing)
				}
			}
		}
	}
}

func (w *twin) rigs() {
	for _, rig := range w.p.Rigs {
		if rig.PeopleMax == 0 {
			continue
		}
		var mine []*plan.Session
		for i := range w.list {
			if w.station(&w.list[i]).Rig == rig.ID {
				mine = append(mine, &w.list[i])
			}
		}
		heads := func(s *plan.Session, t civil.Instant) (n int) {
			if w.period(s).Holds(t) {
				n += len(s.Trainees) + len(s.Others)
			}
			if w.hold(s).Holds(t) {
				n += len(s.Instructors) + len(s.Rescuers)
			}
			return n
		}
		w.over("rig-headcount", rig.ID, mine, func(s *plan.Session, t civil.Instant) bool { return heads(s, t) > 0 }, func(t civil.Instant) int {
			n := -rig.PeopleMax
			for _, s := range mine {
				n += heads(s, t)
			}
			return n
		})
	}
}

func (w *twin) kits() {
	for _, kit := range w.p.Kits {
		var mine []*plan.Session
		takes := func(s *plan.Session) (n int) {
			if r := w.station(s).Rescue; r != nil && r.Kit == kit.ID {
				n++
			}
			for _, u := range w.exercise(s).Uses {
				if u.Kit == kit.ID {
					n += u.Count
				}
			}
			return n
		}
		for i := range w.list {
			if takes(&w.list[i]) > 0 {
				mine = append(mine, &w.list[i])
			}
		}
		w.over("kit", kit.ID, mine, func(s *plan.Session, t civil.Instant) bool { return w.hold(s).Holds(t) }, func(t civil.Instant) int {
			taken, there := 0, kit.Count
			for _, s := range mine {
				if w.hold(s).Holds(t) {
					taken += takes(s)
				}
			}
			for _, c := range kit.Shut {
				if c.Period().Holds(t) {
					there -= c.Count
				}
			}
			return taken - max(0, there)
		})
	}
}
