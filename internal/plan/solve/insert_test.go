package solve

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// ask draws a question about a problem.
func (d dice) ask(p *plan.Problem, standing []plan.Session) Ask {
	model := d.session(p, "")
	a := Ask{Exercise: model.Exercise, Trainees: model.Trainees, NotBefore: p.Zone.StartOfDay(p.From - 2)}
	if d.chance(20) {
		a.NotBefore = d.instant(p)
	}
	if d.chance(50) {
		a.Days = []civil.Day{p.From + civil.Day(d.upTo(p.Days)), p.From}
	}
	if d.chance(20) {
		a.Stations = []string{pick(d, p.Stations...).ID}
	}
	if d.chance(20) && len(model.Instructors) > 0 {
		a.Instructors = model.Instructors[:1]
	}
	if d.chance(20) && len(model.Rescuers) > 0 {
		a.Rescuers = model.Rescuers[:1]
	}
	if len(standing) > 0 && d.chance(40) {
		s := pick(d, standing...)
		a.Remove = []string{s.ID}
		if d.chance(70) {
			a.Exercise, a.Trainees = s.Exercise, s.Trainees
		}
	}
	if d.chance(20) && len(standing) > 1 {
		a.Remove = append(a.Remove, standing[0].ID)
	}
	return a
}

// Whatever is offered is clear by check; whatever is refused is refused by check
// for the rules that are named.
func TestInsertionsOfferAndRefuseAsCheckJudges(t *testing.T) {
	z := dublin(t)
	offered, refusals := 0, 0
	checkWith(t, 1000, func(rt rapid.TB, d dice) {
		p := d.problem(z)
		j := check.New(p)
		standing := d.standing(p, j, d.upTo(10), d.chance(70))
		a := d.ask(p, standing)
		judged, board := j.Board(standing), Compile(p).Board(standing)
		offers, refused := board.Insertions(a)
		for _, o := range offers {
			offered++
			if got := brokenIn(judged, a.Remove, o.Session); got != nil {
				rt.Fatalf("%+v\noffers %v, of which check finds %v", a, o.Session, judged.Change(a.Remove, []plan.Session{o.Session}))
			}
			if o.Session.Start < a.NotBefore || !takesPart(o.Session, a) {
				rt.Fatalf("%+v\noffers %v", a, o.Session)
			}
		}
		for _, r := range refused {
			refusals++
			got := brokenIn(judged, a.Remove, r.Session)
			if got == nil && len(a.Remove) > 0 && len(judged.All().Findings) > 0 {
				continue // it only breaks what the session it moves breaks
			}
			if !slices.Equal(got, r.Rules) || got == nil {
				rt.Fatalf("%+v\nrefuses %v for %v, check finds %v", a, r.Session, r.Rules, got)
			}
		}
	})
	if offered < 500 || refusals < 500 {
		t.Errorf("%d offers and %d refusals; the dice must meet both often", offered, refusals)
	}
}

// takesPart reports whether all whom a asks for are in s, and nobody twice.
func takesPart(s plan.Session, a Ask) bool {
	want := slices.Sorted(slices.Values(a.Trainees))
	has := func(list, of []string) bool {
		for _, id := range of {
			if !slices.Contains(list, id) {
				return false
			}
		}
		return true
	}
	return slices.Equal(s.Trainees, want) && has(s.Instructors, a.Instructors) && has(s.Rescuers, a.Rescuers)
}

// On a board that breaks nothing there is an offer for a station and a day if and
// only if any session at any start with any staff is clear by check, and the
// first offer is no worse than the best of these.
func TestInsertionsFindATimeWheneverThereIsOne(t *testing.T) {
	z := dublin(t)
	found, none := 0, 0
	checkWith(t, 60, func(rt rapid.TB, d dice) {
		p := d.problem(z)
		p.Grid, p.People = 90, p.People[:min(4, len(p.People))]
		j := check.New(p)
		standing := d.standing(p, j, d.upTo(10), true)
		a := d.ask(p, standing)
		a.Days = []civil.Day{p.From + civil.Day(d.upTo(p.Days-1))}
		judged, board := j.Board(standing), Compile(p).Board(standing)
		offers, refused := board.Insertions(a)
		for _, st := range p.Stations {
			if len(a.Stations) > 0 && a.Stations[0] != st.ID {
				continue
			}
			clear := everyWay(p, judged, standing, a, st.ID)
			has := slices.ContainsFunc(offers, func(o Offer) bool { return o.Session.Station == st.ID })
			if has != (len(clear) > 0) {
				rt.Fatalf("%+v\n%s: offers %v, refused %v, but check clears %v", a, st.ID, offers, refused, clear)
			}
			if has {
				found++
			} else {
				none++
			}
			for _, s := range clear {
				if n, least := staffOf(s), staffOf(offers[0].Session); idleOf(z, standing, a.Remove, s) < offers[0].Idle ||
					idleOf(z, standing, a.Remove, s) == offers[0].Idle && n < least {
					rt.Fatalf("%+v\noffers %+v first, %v is better", a, offers[0], s)
				}
			}
		}
	})
	if found < 20 || none < 20 {
		t.Errorf("a time was found %d times and not %d times; the dice must meet both", found, none)
	}
}

func staffOf(s plan.Session) int { return len(s.Instructors) + len(s.Rescuers) }

// idleOf works out Offer.Idle from its definition.
func idleOf(z civil.Zone, standing []plan.Session, away []string, s plan.Session) civil.Minutes {
	var idle civil.Minutes
	for _, t := range s.Trainees {
		day := []civil.Period{s.Period()}
		for _, o := range standing {
			if slices.Contains(o.Trainees, t) && !slices.Contains(away, o.ID) && z.DayOf(o.Start) == z.DayOf(s.Start) {
				day = append(day, o.Period())
			}
		}
		slices.SortFunc(day, func(a, b civil.Period) int { return int(a.Start - b.Start) })
		for i := 1; i < len(day); i++ {
			idle += day[i].Start.Sub(day[i-1].End)
		}
	}
	return idle
}

// everyWay lists all clear sessions of an ask on one station and its only day.
func everyWay(p *plan.Problem, judged *check.Board, standing []plan.Session, a Ask, station string) []plan.Session {
	var clear []plan.Session
	e := p.Exercises[slices.IndexFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == a.Exercise })]
	if !slices.Contains(e.Stations, station) {
		return nil
	}
	ways := 1
	for range p.People {
		ways *= 3
	}
	period := p.Zone.DayPeriod(a.Days[0])
	for at := max(period.Start, a.NotBefore); at < period.End; at = at.Add(1) {
		if p.Zone.Clock(at)%p.Grid != 0 {
			continue
		}
		for way := range ways {
			s := plan.Session{Exercise: a.Exercise, Station: station, Start: at, End: at.Add(e.Minutes), Trainees: a.Trainees}
			if len(a.Remove) == 1 {
				s.ID = a.Remove[0]
				s.Others = standing[slices.IndexFunc(standing, func(o plan.Session) bool { return o.ID == s.ID })].Others
			}
			for i, w := 0, way; i < len(p.People); i, w = i+1, w/3 {
				switch w % 3 {
				case 1:
					s.Instructors = append(s.Instructors, p.People[i].ID)
				case 2:
					s.Rescuers = append(s.Rescuers, p.People[i].ID)
				}
			}
			if takesPart(plan.Session{Trainees: slices.Sorted(slices.Values(a.Trainees)), Instructors: s.Instructors, Rescuers: s.Rescuers}, a) &&
				len(judged.Change(a.Remove, []plan.Session{s}).Findings) == 0 {
				clear = append(clear, s)
			}
		}
	}
	return clear
}
