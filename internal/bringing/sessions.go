package bringing

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/sheets"
)

// presentRow is one trainee's part in a past session as a row says it.
type presentRow struct {
	sameSession
	end        civil.Instant
	instructor id.Person
	day        civil.Day
	trainee    id.Trainee
	who        *someone
	present    bool
	result     session.Assessed
	outcomes   []id.Outcome // of the exercise as taught on that day
}

// presence judges a row by itself; sessions puts the rows of one session together.
func (l *line) presence() {
	r := &presentRow{day: l.past("day"), result: session.NotAssessed}
	exercise, okExercise := l.exercise("exercise", l.text("exercise"), false)
	station, okStation := l.station()
	l.times(r)
	r.exercise, r.station = exercise.ID, station.ID
	l.session = r.sameSession
	l.instructor(r)
	r.who = l.find("name")
	present, err := sheets.Yes(l.cell("present"))
	if err != nil {
		l.refuse("present", "Present: %s.", err)
	}
	r.present = present
	l.assess(r)
	if l.refused() || !okExercise || !okStation {
		return
	}
	if !slices.Contains(exercise.Stations, station.ID) {
		l.caution("station", "%s is not a station of %s as taught today.", l.ref.Text(station.Name), l.ref.Text(exercise.Name))
	}
	if _, ok := credential.QualifiedOn(l.ref.StaffCertificates[r.instructor], r.instructor, exercise.ID, r.day, l.bookOn(r.day)); !ok {
		l.caution("instructor", "The records show no qualification for %s on that day.", l.ref.Text(exercise.Name))
	}
	if e, ok := l.ref.Exercises.On(exercise.ID, r.day); !ok && r.present {
		l.caution("day", "%s is on record for later days only: what was shown then counts for no programme.", l.ref.Text(exercise.Name))
	} else if ok {
		exercise = e
	}
	r.outcomes = exercise.Outcomes
	l.presentOf = r
	l.judged.Says = l.ref.Text(exercise.Name) + " on " + r.day.String() + ": " + r.who.name + " " + map[bool]string{true: "present", false: "did not come"}[present]
}

// times reads start and end, or start and hours.
func (l *line) times(r *presentRow) {
	start, err := sheets.Clock(l.cell("start"))
	if err != nil {
		l.refuse("start", "Start: %s.", err)
		return
	}
	if r.day == 0 {
		return
	}
	r.start = l.v.Zone().At(r.day, start)
	switch end := l.cell("end"); {
	case end.Is != sheets.Empty:
		m, err := sheets.Clock(end)
		if err != nil {
			l.refuse("end", "End: %s.", err)
			return
		}
		r.end = l.v.Zone().At(r.day, m)
	case l.cell("hours").Is != sheets.Empty:
		m, err := l.mapping.Habits.Hours(l.cell("hours"))
		if err != nil {
			l.refuse("hours", "Hours: %s.", err)
			return
		}
		r.end = r.start.Add(m)
	default:
		l.refuse("end", "Neither an end nor hours are given.")
		return
	}
	if r.end <= r.start {
		l.refuse("end", "The session ends before it starts.")
	}
	if r.end > l.v.Now() {
		l.refuse("end", "The session has not ended yet. Book it instead.")
	}
}

func (l *line) instructor(r *presentRow) {
	name := l.text("instructor")
	called := l.teachers[keyOf(name)]
	if len(called) == 1 {
		r.instructor = called[0]
		l.caution("instructor", "By the name alone this is taken for %s of the staff. Leave the row out if they are two people.", l.ref.StaffName(r.instructor))
	} else if name != "" {
		l.refuse("instructor", "%d of the staff are called %s; it must be one.", len(called), name)
	}
}

func (l *line) assess(r *presentRow) {
	cell := l.cell("result")
	if cell.Is == sheets.Empty {
		if r.present {
			l.caution("result", "No result is given: it counts as not assessed, and the exercise as not completed.")
		}
		return
	}
	text := plainName(cell.Text)
	good, err := sheets.Yes(cell)
	switch {
	case text == "competent" || err == nil && good:
		r.result = session.Competent
	case text == "not yet competent" || text == "not competent" || err == nil:
		r.result = session.NotYetCompetent
	case text == "not assessed":
	default:
		l.refuse("result", "%q is no result. Write competent, not yet competent or not assessed.", cell.Text)
	}
	if !r.present && r.result != session.NotAssessed {
		l.refuse("result", "A result is given for somebody who did not come.")
	}
}

// sameSession is what makes rows one session.
type sameSession struct {
	exercise id.Exercise
	station  id.Station
	start    civil.Instant
}

// sessions puts the rows together, finds each trainee's enrolment, and refuses
// what can't have been: two sessions at one time.
func (b *bench) sessions() error {
	groups := map[sameSession][]*line{}
	var order []sameSession
	for _, l := range b.lines {
		if r := l.presentOf; r != nil {
			if len(groups[r.sameSession]) == 0 {
				order = append(order, r.sameSession)
			}
			groups[r.sameSession] = append(groups[r.sameSession], l)
		}
	}
	if len(order) == 0 {
		return nil
	}
	if err := b.enrolments(); err != nil {
		return err
	}
	busy, err := b.busy(order)
	if err != nil {
		return err
	}
	b.leaveOutWhole(groups)
	slices.SortStableFunc(order, func(x, y sameSession) int { return cmp.Compare(x.start, y.start) })
	for _, key := range order {
		b.session(groups[key], busy)
	}
	return nil
}

// enrolments finds in which intake each trainee took part.
func (b *bench) enrolments() error {
	var whose []id.Person
	for _, l := range b.lines {
		if l.presentOf != nil {
			whose = append(whose, l.presentOf.who.id)
		}
	}
	slices.Sort(whose)
	all, err := b.v.TraineesOfPersons(slices.Compact(whose)...)
	if err != nil {
		return err
	}
	of := map[id.Person][]people.Trainee{}
	for _, t := range all {
		of[t.Person] = append(of[t.Person], t)
	}
	for _, l := range b.lines {
		r := l.presentOf
		if r == nil {
			continue
		}
		var fit []people.Trainee
		for _, t := range of[r.who.id] {
			if in, ok := b.ref.Intakes.On(t.Intake, b.today); ok && in.From <= r.day && r.day <= in.Until {
				fit = append(fit, t)
			}
		}
		if len(fit) != 1 {
			l.refuse("name", "%s is a trainee of %d intakes on %s; it must be one.", r.who.name, len(fit), r.day)
			continue
		}
		r.trainee = fit[0].ID
	}
	return nil
}

// taken is when somebody or something was busy.
type taken map[string][]civil.Period

func (b *bench) busy(order []sameSession) (taken, error) {
	from, to := order[0].start, order[0].start
	for _, k := range order {
		from, to = min(from, k.start), max(to, k.start)
	}
	list, err := b.v.SessionsBetween(from.Add(-24*60), to.Add(24*60))
	if err != nil {
		return nil, err
	}
	out := taken{}
	for _, s := range list {
		if s.State.Holds() {
			out.add(s)
		}
	}
	return out, nil
}

// whoIn lists station, trainees and instructors of a session.
func whoIn(s session.Session) []string {
	out := []string{string(s.Station)}
	for _, t := range s.Trainees {
		out = append(out, string(t))
	}
	for _, p := range s.Instructors {
		out = append(out, string(p))
	}
	return out
}

func (t taken) add(s session.Session) {
	for _, who := range whoIn(s) {
		t[who] = append(t[who], civil.Period{Start: s.Start, End: s.End})
	}
}

func (t taken) at(who string, p civil.Period) bool {
	return slices.ContainsFunc(t[who], func(q civil.Period) bool { return q.Overlaps(p) })
}

// session makes one session of its rows. Where one of them is refused all are: a
// session is not taken with half of its people.
func (b *bench) session(rows []*line, busy taken) {
	first := rows[0].presentOf
	s := session.Session{State: session.SignedOff, Exercise: first.exercise, Station: first.station, Start: first.start, End: first.end}
	for _, l := range rows {
		r := l.presentOf
		if r.end != first.end {
			l.refuse("end", "Row %d gives the session another end.", rows[0].row.Number)
		}
		if p := r.instructor; !slices.Contains(s.Instructors, p) {
			s.Instructors = append(s.Instructors, p)
		}
		if slices.Contains(s.Trainees, r.trainee) {
			l.refuse("name", "%s stands in this session twice.", r.who.name)
		}
		s.Trainees = append(s.Trainees, r.trainee)
		if busy.at(string(r.trainee), civil.Period{Start: s.Start, End: s.End}) {
			l.refuse("start", "%s is in another session at that time.", r.who.name)
		}
	}
	rows[0].clash(s, busy)
	for _, l := range rows {
		if l.refused() {
			refuseWith(rows, l)
			return
		}
	}
	busy.add(s)
	row := rows[0].row.Number
	rows[0].adds("session", itoa(row))
	rows[0].adds("attendance", itoa(row))
	rows[0].adds("results", itoa(row))
	parts := make([]*presentRow, 0, len(rows)) // and not the rows, which hold the whole file
	for _, l := range rows {
		parts = append(parts, l.presentOf)
	}
	b.shared = append(b.shared, func(w *writer) error { return w.session(row, s, first.day, parts) })
}

// refuseWith refuses the rows of a session of which one was refused.
func refuseWith(rows []*line, because *line) {
	for _, other := range rows {
		if other != because && !other.refused() {
			other.refuse("exercise", "Row %d of the same session is refused, and a session is taken whole.", because.row.Number)
		}
	}
}

// leaveOutWhole refuses the sessions of rows that were refused by themselves. A
// row that was not read far enough is of a session by what its cells hold.
func (b *bench) leaveOutWhole(groups map[sameSession][]*line) {
	typed := func(l *line) [4]string {
		return [4]string{l.cell("exercise").Text, l.cell("station").Text, l.cell("day").Text, l.cell("start").Text}
	}
	byTyped := map[[4]string][]*line{}
	for _, l := range b.lines {
		if l.presentOf != nil {
			byTyped[typed(l)] = append(byTyped[typed(l)], l)
		}
	}
	for _, l := range b.lines {
		if l.refused() {
			refuseWith(groups[l.session], l)
			refuseWith(byTyped[typed(l)], l)
		}
	}
}

func (l *line) clash(s session.Session, busy taken) {
	span := civil.Period{Start: s.Start, End: s.End}
	if busy.at(string(s.Station), span) {
		l.refuse("station", "Another session was on this station at that time; it may be on record already.")
	}
	for _, p := range s.Instructors {
		if busy.at(string(p), span) {
			l.refuse("instructor", "%s is in another session at that time.", l.ref.StaffName(p))
		}
	}
	l.checked("exercise", s.Check())
}

// session writes a session that ran, who was there, and what they showed.
func (w *writer) session(row int, s session.Session, day civil.Day, parts []*presentRow) error {
	s.ID = id.Session(w.tx.ID())
	attendance, results := session.Attendance{Session: s.ID}, session.Results{Session: s.ID, By: s.Instructors[0]}
	for _, p := range s.Instructors {
		attendance.Presences = append(attendance.Presences, session.Presence{Who: string(p), Part: session.AsInstructor, Mark: session.Present, Start: s.Start, End: s.End})
	}
	for _, r := range parts {
		one := session.Presence{Who: string(r.trainee), Part: session.AsTrainee, Mark: session.DidNotCome}
		if r.present {
			one.Mark, one.Start, one.End = session.Present, s.Start, s.End
			for _, o := range r.outcomes {
				results.Results = append(results.Results, session.Result{Trainee: r.trainee, Outcome: o, Result: r.result})
			}
		}
		attendance.Presences = append(attendance.Presences, one)
	}
	for _, record := range []any{s.Sorted(), attendance, results} {
		if err := w.put(row, day, record); err != nil {
			return err
		}
	}
	return nil
}

// bookOn returns the rule book in force on a day.
func (b *bench) bookOn(d civil.Day) rulebook.Version {
	var in rulebook.Version
	for _, v := range b.ref.RuleBooks.All(civil.LastDay) {
		if v.From <= d && v.From >= in.From {
			in = v
		}
	}
	return in
}
