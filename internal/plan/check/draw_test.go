package check

import (
	"fmt"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// The generators draw small problems and boards that are crowded enough for
// every rule to be broken now and then. Half of them lie over a clock change.

func day(s string) civil.Day {
	d, err := civil.ParseDay(s)
	if err != nil {
		panic(err)
	}
	return d
}

func dublin() civil.Zone {
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		panic(err)
	}
	return z
}

type draw struct {
	*rapid.T
	p *plan.Problem
}

func (d draw) n(least, most int, label string) int {
	return rapid.IntRange(least, most).Draw(d.T, label)
}
func (d draw) yes(label string) bool    { return rapid.Bool().Draw(d.T, label) }
func (d draw) rarely(label string) bool { return d.n(0, 5, label) == 0 }
func (d draw) minutes(label string, of ...civil.Minutes) civil.Minutes {
	return rapid.SampledFrom(of).Draw(d.T, label)
}
func (d draw) oneOf(label string, of ...string) string { return rapid.SampledFrom(of).Draw(d.T, label) }

// some draws a sublist, in order.
func (d draw) some(label string, of ...string) (out []string) {
	for _, s := range of {
		if d.yes(label + " " + s) {
			out = append(out, s)
		}
	}
	return out
}

// period draws a period near the horizon, on quarter hours.
func (d draw) period(label string, longest int) civil.Period {
	start := d.p.Zone.StartOfDay(d.p.From).Add(civil.Minutes(15 * d.n(-96, 96*d.p.Days+96, label)))
	return civil.Period{Start: start, End: start.Add(civil.Minutes(15 * d.n(1, longest, label+" length")))}
}

func (d draw) periods(label string, most, longest int) (out []civil.Period) {
	for range d.n(0, most, label+"s") {
		out = append(out, d.period(label, longest))
	}
	return out
}

func (d draw) validities(label string) (out []plan.Validity) {
	for range d.n(0, 2, label) {
		out = append(out, d.validity(label))
	}
	return out
}

func (d draw) validity(label string) plan.Validity {
	if d.yes(label + " long") {
		return plan.Validity{From: d.p.From - 30, Until: d.p.From + 300}
	}
	from := d.p.From + civil.Day(d.n(-3, 4, label+" from"))
	return plan.Validity{From: from, Until: from + civil.Day(d.n(-1, 6, label+" until"))}
}

func drawProblem(t *rapid.T) *plan.Problem {
	p := &plan.Problem{Zone: dublin()}
	d := draw{t, p}
	p.Grid = d.minutes("grid", 0, 1, 15, 30)
	p.From = day(d.oneOf("from", "2027-03-01", "2027-03-03", "2027-03-25", "2027-03-22", "2027-10-28", "2027-10-30"))
	p.Days = d.n(0, 9, "days")
	p.Open = []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * 60, To: 17 * 60}, {Weekdays: []int{6, 7}, From: 0, To: 12 * 60},
		{Weekdays: []int{6, 7}, From: 12 * 60, To: 24 * 60}}
	if d.rarely("closed") {
		p.ClosedDays = []civil.Day{p.From + 1}
	}
	for i := range d.n(0, 9, "daylight") {
		p.Daylight = append(p.Daylight, plan.Daylight{Day: p.From + civil.Day(i), From: 7 * 60, To: civil.Minutes(17*60 + 30*(i%3))})
	}
	d.policies()
	d.yard()
	d.exercises()
	d.bodies()
	return p
}

func (d draw) policies() {
	for _, name := range []string{"a/b", "site"} {
		d.p.RestPolicies = append(d.p.RestPolicies, plan.RestPolicy{Name: name,
			DailyRest: d.minutes("daily rest", 0, 600, 660, 720), WeeklyRest: d.minutes("weekly rest", 0, 1440, 2100, 2880),
			WeeklyRestDays: d.n(0, 14, "rest days"), WeeklyRestCount: d.n(0, 2, "rest count"), RunDays: d.n(0, 4, "run"),
			DayMinutes: d.minutes("day", 0, 240, 480), DaySpan: d.minutes("span", 0, 300, 600), WeekMinutes: d.minutes("week", 0, 600, 1200),
			HeightDay: d.minutes("height", 0, 120, 300), Stretch: d.minutes("stretch", 0, 120, 240, 360), Break: d.minutes("break", 0, 15, 30, 60)})
	}
}

func (d draw) yard() {
	p := d.p
	p.Rigs = []plan.Rig{{ID: "tower", PeopleMax: d.n(0, 8, "people max")}, {ID: "nacelle", PeopleMax: 5}}
	p.Circuits = []plan.Circuit{{ID: "pump", Changeover: d.minutes("changeover", 0, 30, 60)}}
	p.Kits = []plan.Kit{{ID: "rope", Count: d.n(0, 3, "ropes")}, {ID: "winch", Count: 1}}
	for _, s := range d.periods("kit shut", 2, 40) {
		p.Kits[0].Shut = append(p.Kits[0].Shut, plan.KitShut{From: s.Start, To: s.End, Count: d.n(0, 2, "shut")})
	}
	for i, id := range []string{"deck", "ladder", "pump-room"} {
		s := plan.Station{ID: id, Rig: "tower", Places: d.n(1, 4, "places"), Zones: d.some("zones", "drop", "yard"),
			Height: d.yes("at height"), NeedsDaylight: d.rarely("needs daylight"), Turnaround: d.minutes("turnaround", 0, 0, 30),
			Shut: d.periods("station shut", 1, 40), StaffMin: d.n(0, 2, "staff min"), FirstAiders: d.n(0, 1, "first aiders")}
		if i == 2 {
			s.Rig = "nacelle"
		}
		if d.yes("rescue") {
			s.Rescue = &plan.Rescue{Rescuers: d.n(0, 2, "rescuers"), StandbyMin: d.n(0, 1, "standby"), OwnInstructorsCount: d.yes("own count"),
				Kit: d.oneOf("rescue kit", "", "rope")}
		}
		p.Stations = append(p.Stations, s)
	}
}

func (d draw) exercises() {
	p := d.p
	for _, id := range []string{"climb", "knots", "valves"} {
		e := plan.Exercise{ID: id, Minutes: d.minutes("minutes", 60, 90, 240), Setup: d.minutes("setup", 0, 0, 15), Strike: d.minutes("strike", 0, 0, 15),
			Stations: d.some("stations", "deck", "ladder", "pump-room"), GroupMin: d.n(0, 2, "group min"), GroupMax: d.n(0, 4, "group max"),
			Ratio: d.n(1, 3, "ratio"), Requires: d.some("requires", "fit")}
		for range d.n(0, 2, "pauses") {
			e.Pauses = append(e.Pauses, plan.Pause{After: d.minutes("after", 15, 30, 45, 200), Minutes: d.minutes("pause", 0, 15, 30, 60)})
		}
		if d.rarely("ratio at") {
			e.RatioAt = []plan.RatioAt{{Station: "deck", Ratio: d.n(1, 3, "ratio on deck")}}
		}
		if d.yes("uses") {
			e.Uses = []plan.Use{{Kit: d.oneOf("used", "rope", "winch"), Count: d.n(0, 2, "use")}}
		}
		if !d.rarely("no energy") {
			e.Energy = []plan.Energy{{Circuit: "pump", State: plan.EnergyState(d.oneOf("state", "live", "dead"))}}
		}
		p.Exercises = append(p.Exercises, e)
	}
	if d.yes("after") {
		p.Exercises[0].After = []plan.After{{Exercise: "knots", MinGap: d.minutes("min gap", 0, 60), MaxGap: d.minutes("max gap", 0, 1440)}}
	}
	p.Courses = []plan.Course{{ID: "height", Exercises: []string{"climb", "knots"}, Days: d.n(0, 4, "course days")}}
}

func (d draw) bodies() {
	p := d.p
	for i := range 4 {
		v := plan.Person{ID: fmt.Sprintf("p%d", i), Rescuer: d.validities("rescuer"), FirstAid: d.validities("first aid"),
			Duties: d.periods("duty", 3, 40), Rest: d.some("rest", "a/b", "site")}
		for _, e := range []string{"climb", "knots", "valves"} {
			if !d.rarely("teaches not") {
				v.Teaches = append(v.Teaches, plan.Teaches{Exercise: e, Validity: d.validity("teaches")})
			}
		}
		if d.rarely("limited") {
			v.Available = append([]civil.Period{}, d.periods("available", 2, 200)...)
		}
		p.People = append(p.People, v)
	}
	for i := range 4 {
		v := plan.Trainee{ID: fmt.Sprintf("t%d", i), Intake: d.oneOf("intake", "in1", "in2"), Needs: d.some("needs", "climb", "knots", "valves"),
			Duties: d.periods("duty", 1, 40), Rest: d.some("rest", "a/b", "site")}
		if i == 0 && d.yes("two roles") {
			v.Body = "p0"
		}
		if d.rarely("deadline") {
			v.Deadline = p.From + civil.Day(d.n(0, 5, "deadline day"))
		}
		for _, h := range d.validities("fit") {
			v.Holds = append(v.Holds, plan.Hold{Name: "fit", Validity: h})
		}
		if d.rarely("done") {
			v.Done = []plan.Done{{Exercise: "knots", At: d.period("done at", 1).Start}}
		}
		p.Trainees = append(p.Trainees, v)
	}
	p.Intakes = []plan.Intake{{ID: "in1", Alone: d.yes("alone")}}
}

// drawSession draws a session that names only what the problem has.
func drawSession(t *rapid.T, p *plan.Problem, id string) plan.Session {
	d := draw{t, p}
	s := plan.Session{ID: id, Exercise: d.oneOf("exercise", "climb", "knots", "valves"), Station: d.oneOf("station", "deck", "ladder", "pump-room")}
	at := d.p.From + civil.Day(d.n(-1, min(p.Days, 3), "day"))
	s.Start = p.Zone.At(at, civil.Minutes(30*d.n(15, 26, "clock")+15*d.n(0, 1, "quarter")))
	for i := range p.Exercises {
		if p.Exercises[i].ID == s.Exercise {
			s.End = s.Start.Add(p.Exercises[i].Minutes)
		}
	}
	if d.rarely("odd length") {
		s.End = s.Start.Add(civil.Minutes(15 * d.n(-2, 12, "length")))
	}
	s.Trainees = d.some("trainee", "t0", "t1", "t2", "t3")
	s.Instructors = []string{d.oneOf("instructor", "p0", "p1", "p2", "p3")}
	if d.yes("second instructor") {
		s.Instructors = append(s.Instructors, d.oneOf("instructor", "p0", "p1", "p2", "p3"))
	}
	if d.yes("has rescuer") {
		s.Rescuers = []string{d.oneOf("rescuer", "p0", "p1", "p2", "p3")}
	}
	if d.rarely("watched") {
		s.Others = []string{d.oneOf("other", "p3", "t3", "t0")}
	}
	return s
}

func drawSessions(t *rapid.T, p *plan.Problem, most int, prefix string) (out []plan.Session) {
	for i := range rapid.IntRange(0, most).Draw(t, "sessions") {
		out = append(out, drawSession(t, p, fmt.Sprintf("%s%d", prefix, i)))
	}
	return out
}
