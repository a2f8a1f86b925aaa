package store

import (
	"database/sql"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
)

// Completion says that a trainee completed an exercise in a session; the rule is
// session.Completed.
type Completion struct {
	Trainee  id.Trainee
	Person   id.Person
	Exercise id.Exercise
	Session  id.Session
	End      civil.Instant
}

const completionColumns = `SELECT c.trainee, t.person, c.exercise, c.session, c.finish `

// Completions returns what enrolments completed, by end and exercise.
func (v *View) Completions(trainees ...id.Trainee) ([]Completion, error) {
	return v.completions(ids(trainees...), `FROM json_each(?3) AS want CROSS JOIN trainee AS t ON t.id = want.value`)
}

// CompletionsOfPersons returns what persons completed in all their enrolments.
func (v *View) CompletionsOfPersons(persons ...id.Person) ([]Completion, error) {
	return v.completions(ids(persons...), `FROM json_each(?3) AS want CROSS JOIN trainee AS t ON t.person = want.value`)
}

func (v *View) completions(of []string, from string) ([]Completion, error) {
	if len(of) == 0 {
		return nil, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	return list(v, func(rows *sql.Rows) (c Completion, err error) {
		err = rows.Scan(&c.Trainee, &c.Person, &c.Exercise, &c.Session, &c.End)
		return c, err
	}, completionColumns+from+` CROSS JOIN completion AS c ON c.trainee = t.id
		WHERE `+v.at("t")+` AND `+v.at("c")+` ORDER BY c.finish, c.exercise, c.trainee`, want)
}

// HourRow is the time a person was present in one session as a trainee, pauses
// taken off.
type HourRow struct {
	Trainee  id.Trainee
	Session  id.Session
	Exercise id.Exercise
	Station  id.Station
	Rig      id.Rig
	Start    civil.Instant // of the session
	Minutes  civil.Minutes
}

// HoursOf returns a person's hours as a trainee, by session start. Pauses are
// those held, of a session that has no run those of the exercise on its day; one
// that was cut by leaving early counts for the part they were there. Only sessions
// that were signed count, and no trial.
func (v *View) HoursOf(p id.Person) ([]HourRow, error) {
	r, err := v.Reference()
	if err != nil {
		return nil, err
	}
	var out []HourRow
	err = v.each(func(rows *sql.Rows) error {
		var h HourRow
		var run sql.NullString
		var body sql.RawBytes
		if err := rows.Scan(&h.Trainee, &h.Session, &h.Exercise, &h.Station, &h.Start, &run, &body); err != nil {
			return err
		}
		attended, err := decodeBody[session.Attendance](body)
		if err != nil {
			return err
		}
		ran := session.Session{Start: h.Start}
		if run.Valid {
			if ran.Run, err = decodeBody[*session.Run]([]byte(run.String)); err != nil {
				return err
			}
		}
		day := v.zone.DayOf(h.Start)
		exercise, _ := r.Exercises.On(h.Exercise, day)
		station, _ := r.Stations.On(h.Station, day)
		h.Rig = station.Rig
		came := false
		for _, there := range attended.Presences { // one for each time they came back after leaving
			if there.Part == session.AsTrainee && there.Who == string(h.Trainee) && there.Mark != session.DidNotCome && !there.Open() {
				came = true
				h.Minutes += session.PresentMinutes([]session.Presence{there}, ran.Held(exercise))
			}
		}
		if came {
			out = append(out, h)
		}
		return nil
	}, `SELECT t.id, s.id, s.exercise, s.station, s.start, s.body -> '$.run', a.body
		FROM trainee AS t
		CROSS JOIN presence AS w ON w.who = t.id
		CROSS JOIN attendance AS a ON a.id = w.session
		CROSS JOIN session AS s ON s.id = w.session AND s.state IN (`+signedText+`) AND s.trial = 0
		WHERE t.person = ?3 AND `+v.at("t")+` AND `+v.at("a")+` AND `+v.at("s")+`
		ORDER BY s.start, s.id, t.id`, string(p))
	return out, err
}

// WithoutCertificate returns the trainees who come for something and were given no
// programme's certificate in their enrolment, by id. One declared void was none.
func (v *View) WithoutCertificate() ([]people.Trainee, error) {
	return list(v, scanBody[people.Trainee], `SELECT t.body FROM trainee AS t
		WHERE `+v.at("t")+` AND json_array_length(t.body, '$.needs') > 0 AND NOT EXISTS (
			SELECT 1 FROM certificate AS c WHERE c.person = t.person AND `+v.at("c")+`
				AND c.covers = ?3 AND c.state <> ?4 AND c.body ->> '$.trainee' = t.id)
		ORDER BY t.id`, string(credential.ForProgramme), string(credential.Void))
}

// CertificateCalled returns what exercises call the last certificate that was given
// for a programme, "" where none was or it is called nothing.
func (v *View) CertificateCalled(of id.Programme) (name string, err error) {
	_, err = v.one([]any{&name}, `SELECT coalesce(c.body ->> '$.holds', '') FROM certificate AS c
		WHERE c.programme = ?3 AND `+v.at("c")+` ORDER BY c.number DESC LIMIT 1`, string(of))
	return name, err
}
