package planning

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// cautions returns what gives pause about a session though no rule stops it, one
// function each. Each is accepted by the responsible person of its field.
func (s *Slice) cautions(p plan.Session) []verdict.Finding {
	var out []verdict.Finding
	out = append(out, s.longRun(p)...)
	out = append(out, s.dueSoon(p)...)
	return append(out, s.aloneInTwoParts(p)...)
}

func sessionRef(p plan.Session) verdict.Ref { return verdict.Ref{Kind: verdict.Session, ID: p.ID} }

// longRun cautions for staff who would work as many days in a row as the rule
// book's notice, or more, the session counted.
func (s *Slice) longRun(p plan.Session) []verdict.Finding {
	line, ok := s.ground.book.Strictest(rulebook.RunDaysCaution)
	if !ok {
		return nil
	}
	var out []verdict.Finding
	for _, who := range slices.Concat(p.Instructors, p.Rescuers) {
		if run, from := s.runOf(who, p); run >= int(line.Value) {
			out = append(out, verdict.LongRun(verdict.Ref{Kind: verdict.Person, ID: who}, run, from, int(line.Value)))
		}
	}
	return out
}

// runOf counts the days in a row with any time of a member of staff, the
// proposed session's day among them.
func (s *Slice) runOf(who string, p plan.Session) (run int, from civil.Day) {
	zone := s.Problem.Zone
	days := map[civil.Day]bool{zone.DayOf(p.Start): true}
	for _, x := range s.Standing {
		if x.ID != p.ID && (slices.Contains(x.Instructors, who) || slices.Contains(x.Rescuers, who)) {
			days[zone.DayOf(x.Start)] = true
		}
	}
	for _, person := range s.Problem.People {
		if person.ID == who {
			for _, d := range person.Duties {
				days[zone.DayOf(d.Start)] = true
			}
		}
	}
	from = zone.DayOf(p.Start)
	for days[from-1] {
		from--
	}
	for d := from; days[d]; d++ {
		run++
	}
	return run, from
}

// dueSoon cautions that something the station stands on runs out soon after the
// session: an inspection, a kit, the review or the drill of its rescue plan.
func (s *Slice) dueSoon(p plan.Session) []verdict.Finding {
	day := s.Problem.Zone.DayOf(p.Start)
	var out []verdict.Finding
	for _, due := range s.ground.register.Due(id.Station(p.Station), day) {
		if due.Soon(day) {
			out = append(out, verdict.DueSoon(sessionRef(p), due.Subject, string(due.Kind), due.Line, due.Say(), due.Notice, due.Field))
		}
	}
	return out
}

// aloneInTwoParts cautions where the only first aider present is also the only
// rescuer: an injured person on the rope needs both at once.
func (s *Slice) aloneInTwoParts(p plan.Session) []verdict.Finding {
	i := slices.IndexFunc(s.Problem.Stations, func(x plan.Station) bool { return x.ID == p.Station })
	if i < 0 || s.Problem.Stations[i].Rescue == nil || s.Problem.Stations[i].Rescue.Rescuers == 0 {
		return nil
	}
	day := s.Problem.Zone.DayOf(p.Start)
	valid := func(v plan.Validity) bool { return v.Holds(day) }
	var aiders, rescuers []string
	for _, person := range s.Problem.People {
		if !slices.Contains(p.Instructors, person.ID) && !slices.Contains(p.Rescuers, person.ID) {
			continue
		}
		if slices.ContainsFunc(person.FirstAid, valid) {
			aiders = append(aiders, person.ID)
		}
		if slices.ContainsFunc(person.Rescuer, valid) {
			rescuers = append(rescuers, person.ID)
		}
	}
	if len(aiders) != 1 || !slices.Equal(aiders, rescuers) {
		return nil
	}
	return []verdict.Finding{verdict.AloneInTwoParts(sessionRef(p), verdict.Ref{Kind: verdict.Person, ID: aiders[0]})}
}
