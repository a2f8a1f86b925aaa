package planning

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

// low is a member of staff who does not work at height on some days, with what
// they may do on all others.
type low struct {
	days    []people.NoHeight
	teaches []plan.Teaches
	rescuer []plan.Validity
}

// loadLow finds the days on which the staff asked for do not work at height.
func (l *loader) loadLow() error {
	p := l.slice.Problem
	list, err := l.view.NoHeightOf(l.staff, p.From, p.From+civil.Day(p.Days))
	if err != nil {
		return err
	}
	days := map[id.Person][]people.NoHeight{}
	for _, n := range list {
		days[n.Person] = append(days[n.Person], n)
	}
	for i := range p.People {
		if n := days[id.Person(p.People[i].ID)]; len(n) > 0 {
			l.slice.keepLow(&p.People[i], n)
		}
	}
	return nil
}

// keepLow takes what is done at height from a member of staff on some days:
// teaching what may be run on a height station, and standing by as rescuer. An
// exercise that may also be run on the ground is taken too: which station a
// session of it gets can change, and nobody is to be sent up by that.
func (s *Slice) keepLow(p *plan.Person, days []people.NoHeight) {
	s.low[p.ID] = low{days, p.Teaches, p.Rescuer}
	var teaches []plan.Teaches
	for _, t := range p.Teaches {
		if !s.mayBeHigh(t.Exercise) {
			teaches = append(teaches, t)
			continue
		}
		for _, v := range outside(t.Validity, days) {
			teaches = append(teaches, plan.Teaches{Exercise: t.Exercise, Validity: v})
		}
	}
	var rescuer []plan.Validity
	for _, r := range p.Rescuer {
		rescuer = append(rescuer, outside(r, days)...)
	}
	p.Teaches, p.Rescuer = teaches, rescuer
}

func (s *Slice) mayBeHigh(exercise string) bool {
	i := slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == exercise })
	return i < 0 || slices.ContainsFunc(s.Problem.Stations, func(st plan.Station) bool {
		return st.Height && slices.Contains(s.Problem.Exercises[i].Stations, st.ID)
	})
}

// outside returns what some days leave of a validity. days are by first day.
func outside(v plan.Validity, days []people.NoHeight) []plan.Validity {
	var out []plan.Validity
	for _, n := range days {
		if n.Until < v.From || v.Until < n.From {
			continue
		}
		if v.From < n.From {
			out = append(out, plan.Validity{From: v.From, Until: n.From - 1})
		}
		v.From = n.Until + 1
	}
	if v.From <= v.Until {
		out = append(out, v)
	}
	return out
}

// lowCause says that somebody may not teach or stand by on a day because they do
// not work at height then, where that alone is why.
func (s *Slice) lowCause(f verdict.Finding) (Cause, bool) {
	if len(s.low) == 0 || len(f.Also) == 0 || f.Also[0].Kind != verdict.Person || f.Rule != "qualified" && f.Rule != "rescue-cover" {
		return Cause{}, false
	}
	who := f.Also[0]
	is, known := s.low[who.ID]
	day, said := dayIn(f.Required)
	if !known || !said {
		return Cause{}, false
	}
	i := slices.IndexFunc(is.days, func(n people.NoHeight) bool { return n.From <= day && day <= n.Until })
	may := check.ValidOn(is.rescuer, day)
	if f.Rule == "qualified" {
		may = slices.ContainsFunc(f.Found.Refs(), func(r verdict.Ref) bool { return r.Kind == verdict.Exercise && check.Qualified(is.teaches, r.ID, day) })
	}
	if i < 0 || !may {
		return Cause{}, false
	}
	return Cause{Say: verdict.Say(who, " does not work at height until ", is.days[i].Until)}, true
}

// dayIn returns the first day that a sentence names.
func dayIn(t verdict.Text) (civil.Day, bool) {
	for _, part := range t {
		if d, ok := part.(civil.Day); ok {
			return d, true
		}
	}
	return 0, false
}
