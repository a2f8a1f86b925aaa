package demo

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// finder finds the demo's people and things by the names that pages show.
type finder struct {
	t *testing.T
	s *Scenario
	r *records
}

func (f finder) exercise(name string) curriculum.Exercise {
	f.t.Helper()
	i := slices.IndexFunc(f.r.exercises, func(e curriculum.Exercise) bool { return string(e.Name) == name })
	if i < 0 {
		f.t.Fatalf("no exercise is called %q", name)
	}
	return f.r.exercises[i]
}

func (f finder) station(name string) id.Station {
	f.t.Helper()
	i := slices.IndexFunc(f.r.stations, func(s rig.Station) bool { return string(s.Name) == name })
	if i < 0 {
		f.t.Fatalf("no station is called %q", name)
	}
	return f.r.stations[i].ID
}

func (f finder) person(name string) string {
	f.t.Helper()
	for _, p := range f.r.persons {
		if string(p.Name) == name {
			return string(p.ID)
		}
	}
	f.t.Fatalf("nobody is called %q", name)
	return ""
}

// class returns the trainees of the last intake of a programme.
func (f finder) class(programme string) (out []string) {
	f.t.Helper()
	for _, in := range f.r.intakes {
		for _, p := range f.r.programmes {
			if p.ID != in.Programme || string(p.Name) != programme {
				continue
			}
			out = nil
			for _, x := range f.r.trainees {
				if x.Intake == in.ID {
					out = append(out, string(x.ID))
				}
			}
		}
	}
	return out
}

// ask is a session that a visitor might try to book.
func (f finder) ask(exercise, station string, at civil.Instant, trainees []string, instructor string, rescuers ...string) plan.Session {
	f.t.Helper()
	e := f.exercise(exercise)
	s := plan.Session{ID: "asked", Exercise: string(e.ID), Station: string(f.station(station)), Start: at, End: at.Add(e.Minutes),
		Trainees: slices.Sorted(slices.Values(trainees)), Instructors: []string{f.person(instructor)}}
	for _, r := range rescuers {
		s.Rescuers = append(s.Rescuers, f.person(r))
	}
	slices.Sort(s.Rescuers)
	return s
}

// refuses asks for sessions that a visitor might try, each of which breaks a rule.
func refuses(t *testing.T, s *store.Store, c Config) {
	made := scenario(t, c.Today.String())
	f := finder{t, made, recordsOf(made)}
	refresher, nacelle := f.class("Work at height, refresher"), f.class("Nacelle systems")
	drill := drillDayOf(made)
	next := func(d civil.Day, clock civil.Minutes) civil.Instant { return made.Zone.At(d, clock) }
	cases := []struct {
		rule string
		ask  plan.Session
	}{
		{"daily-rest", f.ask("Refresher rescue", "Inside ladder", next(drill+1, 8*60), refresher[:5],
			"Folasade Okunrinboye", "Radosław Szymczewski", "Fergal Mac Suibhne")},
		{"ratio", f.ask("Refresher rescue", "Inside ladder", next(made.Monday+10, 13*60), refresher[:7],
			"Tiago Vilarinho", "Radosław Szymczewski", "Oonagh Tierney")},
		{"rescue-cover", f.ask("Refresher rescue", "Inside ladder", next(made.Monday+10, 13*60), refresher[:5],
			"Tiago Vilarinho", "Radosław Szymczewski")},
		{"available", f.ask("Refresher rescue", "Inside ladder", next(made.Monday+9, 13*60), refresher[:5],
			"Tiago Vilarinho", "Radosław Szymczewski", "Fergal Mac Suibhne")},
		{"entitled", f.ask("Refresher rescue", "Inside ladder", next(made.Monday+10, 13*60), refresher,
			"Tiago Vilarinho", "Radosław Szymczewski", "Oonagh Tierney")},
		{"station-shut", f.ask("Refresher rescue", "Upper deck", next(made.Monday+8, 13*60), refresher[:5],
			"Tiago Vilarinho", "Radosław Szymczewski", "Oonagh Tierney")},
		{"order", f.ask("Nacelle test", "Room 1", next(made.Monday+8, 16*60), nacelle[:4], "Mattias Lindroos")},
	}
	err := s.Read(t.Context(), func(v *store.View) error {
		for _, x := range cases {
			d := v.Zone().DayOf(x.ask.Start)
			var b planning.Builder
			slice, err := b.Build(v, planning.Scope{From: d, Until: d, Trainees: planning.IDs[id.Trainee](x.ask.Trainees)})
			if err != nil {
				return err
			}
			stops := slice.Change(nil, []plan.Session{x.ask}).At(verdict.Stops)
			if !slices.ContainsFunc(stops, func(f verdict.Finding) bool { return f.Rule == x.rule }) {
				t.Errorf("%s on %s is not refused by %s but by %v", x.ask.Exercise, d, x.rule, stops)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// drillDayOf finds the evening drill that is to come.
func drillDayOf(s *Scenario) (d civil.Day) {
	for _, x := range recordsOf(s).duties {
		if s.Zone.Clock(x.Start) == drillFrom {
			d = s.Zone.DayOf(x.Start)
		}
	}
	return d
}

func TestEveryCircuitIsNeededLiveAndDeadInTheRunningWeek(t *testing.T) {
	s := scenario(t, "2026-11-25")
	r := recordsOf(s)
	needs := map[curriculum.EnergyNeed]int{}
	for _, x := range r.sessions {
		if d := s.Zone.DayOf(x.Start); d < s.Monday || d >= s.Monday+14 || x.State == session.StoodDown {
			continue
		}
		for _, e := range r.exercises {
			if e.ID != x.Exercise {
				continue
			}
			for _, n := range e.Energy {
				needs[n]++
			}
		}
	}
	between(t, "circuit states in use", len(needs), 4, 4)
}
