package check

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// grid: start is on the grid of the local clock; end − start is the exercise's
// minutes.
func grid(v *view) {
	s, step := v.session, max(1, v.j.p.Grid)
	length := s.Session.End.Sub(s.Session.Start)
	if length != s.exercise.Minutes {
		v.stop(verdict.Length(s.ID, s.Exercise, length, s.exercise.Minutes, plan.Pointer("exercises", s.exercise.index, "minutes")))
	} else if v.j.p.Zone.Clock(s.Start)%step != 0 {
		v.stop(verdict.Grid(s.ID, s.Start, step, "/grid_minutes"))
	}
}

// openHours: inside one opening window, not on a closed day, inside the horizon.
// Windows that touch do not join.
func openHours(v *view) {
	s, j := v.session, v.j
	if s.day < j.p.From || s.day > j.last {
		v.stop(verdict.OutsideHorizon(s.ID, s.day, j.p.From, j.last, "/days"))
		return
	}
	if i, closed := j.closed[s.day]; closed {
		v.stop(verdict.ClosedDay(s.ID, s.day, plan.Pointer("closed_days", i)))
		return
	}
	windows := j.day(s.day).windows
	for _, w := range windows {
		if w.Covers(s.period) {
			return
		}
	}
	said := verdict.Say("it has none")
	for i, w := range windows {
		if i == 0 {
			said = verdict.Say(w)
		} else {
			said = append(said, " or ", w)
		}
	}
	v.stop(verdict.OutsideHours(s.ID, s.period, said, "/open"))
}

// daylight: where the station needs daylight, the day is listed and
// [start, end) lies inside it.
func daylight(v *view) {
	s, j := v.session, v.j
	if !s.station.NeedsDaylight {
		return
	}
	listed := j.light[s.day]
	if len(listed) == 0 {
		v.stop(verdict.NoDaylight(s.ID, s.Station, s.day, "/daylight"))
		return
	}
	var light civil.Period
	for _, i := range listed {
		l := j.p.Daylight[i]
		light = civil.Period{Start: j.p.Zone.At(l.Day, l.From), End: j.p.Zone.At(l.Day, l.To)}
		if light.Covers(s.period) {
			return
		}
	}
	v.stop(verdict.OutsideDaylight(s.ID, s.Station, s.period, light, plan.Pointer("daylight", listed[len(listed)-1])))
}

// stationFit: the station is one of the exercise's.
func stationFit(v *view) {
	s := v.session
	for _, id := range s.exercise.Stations {
		if id == s.Station {
			return
		}
	}
	v.stop(verdict.StationFit(s.ID, s.Exercise, s.Station, plan.Pointer("exercises", s.exercise.index, "stations")))
}

// stationShut: the hold does not overlap a shut period of the station.
func stationShut(v *view) {
	s := v.session
	for i, shut := range s.station.Shut {
		if s.hold.Overlaps(shut) {
			v.stop(verdict.StationShut(s.ID, s.Station, s.hold, shut, plan.Pointer("stations", s.station.index, "shut", i)))
		}
	}
}

// groupSize: group_min ≤ trainees ≤ min(group_max, places).
func groupSize(v *view) {
	s := v.session
	e, n := s.exercise, len(s.trainees)
	switch {
	case n < e.GroupMin:
		v.stop(verdict.GroupTooSmall(s.ID, e.ID, n, e.GroupMin, plan.Pointer("exercises", e.index, "group_min")))
	case e.GroupMax > 0 && e.GroupMax <= s.station.Places && n > e.GroupMax:
		v.stop(verdict.GroupTooLarge(s.ID, verdict.Ref{Kind: verdict.Exercise, ID: e.ID}, n, e.GroupMax,
			plan.Pointer("exercises", e.index, "group_max")))
	case n > s.station.Places:
		v.stop(verdict.GroupTooLarge(s.ID, verdict.Ref{Kind: verdict.Station, ID: s.Station}, n, s.station.Places,
			plan.Pointer("stations", s.station.index, "places")))
	}
}

// alone: a session with a trainee of an `alone` intake has trainees of that
// intake only.
func alone(v *view) {
	s, j := v.session, v.j
	var said []string
	for _, n := range s.trainees {
		intake := j.p.Trainees[n].Intake
		at, listed := j.intakes[intake]
		if !listed || !j.p.Intakes[at].Alone || contains(said, intake) {
			continue
		}
		said = append(said, intake)
		strangers, stranger := 0, 0
		for _, m := range s.trainees {
			if j.p.Trainees[m].Intake != intake {
				strangers, stranger = strangers+1, m
			}
		}
		if strangers > 0 {
			v.stop(verdict.Alone(s.ID, intake, strangers, j.trainees[stranger].ref, plan.Pointer("intakes", at, "alone")))
		}
	}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// ratio: instructors ≥ ceil(trainees / ratio), at least 1.
func ratio(v *view) {
	s := v.session
	most, at := RatioOn(s.exercise.Exercise, s.Station)
	p := v.j.presence(s)
	if p.Ratio(most) == 0 {
		return
	}
	v.stop(verdict.Ratio(s.ID, p.Instructors, p.Trainees, InstructorsNeeded(p.Trainees, most), most, ratioAt(s.exercise, at)))
}

// qualified: each instructor teaches the exercise, valid on the local day on
// which the session starts.
func qualified(v *view) {
	s := v.session
	for _, n := range s.instructors {
		person := &v.j.p.People[n]
		if Qualified(person.Teaches, s.Exercise, s.day) {
			continue
		}
		from, until, at := latest(len(person.Teaches), func(i int) (plan.Validity, bool) {
			return person.Teaches[i].Validity, person.Teaches[i].Exercise == s.Exercise
		})
		v.stop(verdict.Qualified(s.ID, person.ID, s.Exercise, s.day, from, until, entry("people", n, "teaches", at)))
	}
}

// latest returns the span that ends last among those that count, and its index;
// no days and −1 where none does.
func latest(n int, span func(int) (plan.Validity, bool)) (from, until civil.Day, at int) {
	at = -1
	for i := range n {
		if v, counts := span(i); counts && (at < 0 || v.Until > until) {
			from, until, at = v.From, v.Until, i
		}
	}
	return from, until, at
}

// entry points at one entry of a list in a record, or at the list if at is −1.
func entry(kind string, n int, list string, at int) string {
	if at < 0 {
		return plan.Pointer(kind, n, list)
	}
	return plan.Pointer(kind, n, list, at)
}

// entitled: each trainee holds every name the exercise requires, valid on that day.
func entitled(v *view) {
	s := v.session
	if len(s.exercise.Requires) == 0 {
		return
	}
	for _, n := range s.trainees {
		t := &v.j.p.Trainees[n]
		for _, name := range s.exercise.Requires {
			if holds(t.Holds, name, s.day) {
				continue
			}
			from, until, at := latest(len(t.Holds), func(i int) (plan.Validity, bool) {
				return t.Holds[i].Validity, t.Holds[i].Name == name
			})
			v.stop(verdict.Entitled(s.ID, t.ID, name, s.day, from, until, entry("trainees", n, "holds", at)))
		}
	}
}

func holds(list []plan.Hold, name string, day civil.Day) bool {
	for _, h := range list {
		if h.Name == name && h.Holds(day) {
			return true
		}
	}
	return false
}

// staffMin: instructors + rescuers ≥ the station's staff_min.
func staffMin(v *view) {
	s := v.session
	if p := v.j.presence(s); p.StaffMin(s.station.StaffMin) > 0 {
		v.stop(verdict.StaffMin(s.ID, s.Station, p.Staff, s.station.StaffMin, plan.Pointer("stations", s.station.index, "staff_min")))
	}
}

// firstAid: of instructors and rescuers, those with valid first aid ≥ first_aiders.
func firstAid(v *view) {
	s := v.session
	if p := v.j.presence(s); p.FirstAid(s.station.FirstAiders) > 0 {
		v.stop(verdict.FirstAid(s.ID, s.Station, p.FirstAiders, s.station.FirstAiders, s.day,
			plan.Pointer("stations", s.station.index, "first_aiders")))
	}
}

// rescueCover: each standby rescuer is a valid rescuer that day, also where no
// rescue is asked; where it is, standby rescuers ≥ standby_min and standby
// rescuers + counted instructors ≥ rescuers.
func rescueCover(v *view) {
	s := v.session
	for _, n := range s.rescuers {
		person := &v.j.p.People[n]
		if ValidOn(person.Rescuer, s.day) {
			continue
		}
		from, until, at := latest(len(person.Rescuer), func(i int) (plan.Validity, bool) { return person.Rescuer[i], true })
		v.stop(verdict.RescuerInvalid(s.ID, person.ID, s.day, from, until, entry("people", n, "rescuer", at)))
	}
	r := s.station.Rescue
	if r == nil {
		return
	}
	p := v.j.presence(s)
	most, _ := RatioOn(s.exercise.Exercise, s.Station)
	if shortStandby, short := p.RescueCover(*r, most); shortStandby+short > 0 {
		v.stop(verdict.RescueCover(s.ID, s.Station, p.Standby, p.CountedRescuers(*r, most), r.StandbyMin, r.Rescuers,
			plan.Pointer("stations", s.station.index, "rescue")))
	}
}

// available: each of a person's times in sessions lies inside one of their
// available periods: those of the record that stands in the session.
func available(v *view) {
	v.j.eachTime(v.session, func(r *role, t timed) {
		if r.available == nil {
			return
		}
		for _, a := range r.available {
			if a.Covers(t.Period) {
				return
			}
		}
		v.stop(verdict.Available(r.ref, v.session.ID, t.Period, plan.Pointer(append(r.pointer[:2:2], "available")...)))
	})
}
