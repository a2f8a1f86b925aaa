package drafting

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// Figures are what a plan comes to. Lists are by name.
type Figures struct {
	Sessions     int // new or changed
	Kept         int // of a repair: standing sessions that stay as they are
	Trainees     []TraineeDays
	TraineeDays  int // of all of them
	Staff        []StaffTime
	StaffMinutes civil.Minutes // of all of them
	Intakes      []IntakeEnd
	Stations     []StationUse
}

// TraineeDays are the local days on which a trainee comes in, in the days planned
// and with what was booked before.
type TraineeDays struct {
	Trainee id.Trainee
	Name    string
	Days    []civil.Day
}

// StaffTime is how long one of the staff is at work for the sessions that are new
// or changed, from setting up to clearing away.
type StaffTime struct {
	Person   id.Person
	Name     string
	Minutes  civil.Minutes
	Sessions int
}

// IntakeEnd is when an intake's last session is.
type IntakeEnd struct {
	Intake   id.Intake
	Name     string
	Last     civil.Day // 0 = it has none in the days planned
	Deadline civil.Day // of the intake
}

// StationUse is how long a station is open in the days planned, and of that in
// use: by sessions that stand unchanged, and by those of the plan.
type StationUse struct {
	Station      id.Station
	Name         string
	Open         civil.Minutes
	Booked, Plan civil.Minutes
}

// whole are the sessions of the days planned as the plan would have them.
func (p *proposal) whole() []plan.Session {
	put, gone := p.put()
	var out []plan.Session
	for _, s := range p.slice.With(gone, put).Standing {
		if d := p.problem.Zone.DayOf(s.Start); p.row.From <= d && d <= p.row.Until {
			out = append(out, s)
		}
	}
	return out
}

func (p *proposal) figures() Figures {
	put, _ := p.put()
	whole := p.whole()
	f := Figures{Sessions: len(put), Kept: len(p.old) - p.touched()}
	f.Trainees = p.traineeDays(whole, put)
	for _, t := range f.Trainees {
		f.TraineeDays += len(t.Days)
	}
	f.Staff = p.staffTime(put)
	for _, s := range f.Staff {
		f.StaffMinutes += s.Minutes
	}
	f.Intakes = p.intakeEnds(whole)
	f.Stations = p.stationUse(whole, put)
	return f
}

// touched counts the standing sessions that the plan changes.
func (p *proposal) touched() int {
	n := 0
	for _, c := range p.changes {
		if c.Was != nil {
			n++
		}
	}
	return n
}

// about are the trainees whose days count: those chosen, of a repair those in
// sessions that change.
func (p *proposal) about(put []plan.Session) []string {
	var out []string
	for _, t := range p.chosen {
		out = append(out, string(t))
	}
	if Kind(p.row.Kind) == ForMend {
		for _, s := range put {
			out = append(out, s.Trainees...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (p *proposal) traineeDays(whole, put []plan.Session) []TraineeDays {
	days := map[string][]civil.Day{}
	for _, s := range whole { // by start
		d := p.problem.Zone.DayOf(s.Start)
		for _, t := range s.Trainees {
			if !slices.Contains(days[t], d) {
				days[t] = append(days[t], d)
			}
		}
	}
	var out []TraineeDays
	for _, t := range p.about(put) {
		out = append(out, TraineeDays{id.Trainee(t), p.slice.Name(verdict.Ref{Kind: verdict.Trainee, ID: t}), days[t]})
	}
	slices.SortStableFunc(out, func(a, b TraineeDays) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

func (p *proposal) staffTime(put []plan.Session) []StaffTime {
	var out []StaffTime
	for _, s := range put {
		hold := p.hold(s).Length()
		for _, who := range slices.Concat(s.Instructors, s.Rescuers) {
			i := slices.IndexFunc(out, func(x StaffTime) bool { return string(x.Person) == who })
			if i < 0 {
				i = len(out)
				out = append(out, StaffTime{Person: id.Person(who), Name: p.slice.Name(verdict.Ref{Kind: verdict.Person, ID: who})})
			}
			out[i].Minutes += hold
			out[i].Sessions++
		}
	}
	slices.SortStableFunc(out, func(a, b StaffTime) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

func (p *proposal) hold(s plan.Session) civil.Period {
	i := slices.IndexFunc(p.problem.Exercises, func(e plan.Exercise) bool { return e.ID == s.Exercise })
	if i < 0 {
		return s.Period()
	}
	return p.problem.Exercises[i].Hold(s.Period())
}

func (p *proposal) intakeEnds(whole []plan.Session) []IntakeEnd {
	last := map[id.Intake]civil.Day{}
	for _, t := range p.chosen {
		if tr, ok := p.slice.Trainee(t); ok {
			last[tr.Intake] = 0
		}
	}
	for _, s := range whole {
		for _, t := range s.Trainees {
			tr, ok := p.slice.Trainee(id.Trainee(t))
			if _, asked := last[tr.Intake]; ok && asked {
				last[tr.Intake] = max(last[tr.Intake], p.problem.Zone.DayOf(s.Start))
			}
		}
	}
	var out []IntakeEnd
	for in, d := range last {
		rec, _ := p.slice.Reference().Intakes.On(in, p.row.From)
		out = append(out, IntakeEnd{in, p.slice.Name(verdict.Ref{Kind: verdict.Intake, ID: string(in)}), d, rec.Until})
	}
	slices.SortFunc(out, func(a, b IntakeEnd) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Intake, b.Intake)) })
	return out
}

func (p *proposal) stationUse(whole, put []plan.Session) []StationUse {
	isPut := map[string]bool{}
	for _, s := range put {
		isPut[s.ID] = true
	}
	var out []StationUse
	for _, st := range p.slice.Problem.Stations {
		use := StationUse{Station: id.Station(st.ID), Name: p.slice.Name(verdict.Ref{Kind: verdict.Station, ID: st.ID})}
		for d := p.row.From; d <= p.row.Until; d++ {
			hours, _ := p.slice.Hours(d)
			for _, open := range hours {
				for _, left := range pieces(open, st.Shut) {
					use.Open += left.Length()
				}
			}
		}
		for _, s := range whole {
			switch {
			case s.Station != st.ID:
			case isPut[s.ID]:
				use.Plan += s.Period().Length()
			default:
				use.Booked += s.Period().Length()
			}
		}
		out = append(out, use)
	}
	return out
}
