package planning_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// The tests below stand on a small yard of their own: a tower with a height deck
// and a classroom, two exercises that follow on each other, two of the staff and
// two trainees. Each test spoils one record and asks what planning makes of it.

const clock = civil.Minutes(60)

var (
	today   = civil.DayOf(2027, time.March, 1) // a Monday
	dublin  = zone("Europe/Dublin")
	bind    = []id.Profile{rulebook.Site, rulebook.UKAdultB} // UKAdultB rests in blocks of 14 days
	allWeek = []int{1, 2, 3, 4, 5, 6, 7}
)

func zone(name string) civil.Zone {
	z, err := civil.LoadZone(name)
	if err != nil {
		panic("the zones built in lack " + name)
	}
	return z
}

// records are those of the small yard before they are written.
type records struct {
	yard      rig.Yard
	book      rulebook.Version
	rig       rig.Rig
	deck      rig.Station
	room      rig.Station
	kit       rig.Kit
	plan      rig.RescuePlan
	drill     rig.Drill
	dossier   []rig.Evidence
	ladder    rig.Inspection
	theory    curriculum.Exercise
	climb     curriculum.Exercise
	programme curriculum.Programme
	intake    people.Intake
	staff     []people.Staff
	trainees  []people.Trainee
	certs     []credential.Certificate
	more      []any // written after all others
}

func one(n int) *int { return &n }

// sound is the yard in which everything is stated, confirmed and in order.
func sound() *records {
	first := today - 100
	r := &records{
		yard: rig.Yard{Zone: "Europe/Dublin", Latitude: 54_270_000, Longitude: -8_470_000, Grid: 15,
			Open: []rig.Window{{Weekdays: allWeek, From: 6 * clock, To: 22 * clock}}},
		rig: rig.Rig{ID: "tower", Kind: rig.TowerPlatform, State: rig.InService, PeopleMax: 20, Inspections: []string{"inspection.structure"}},
		deck: rig.Station{ID: "deck", Rig: "tower", Places: 6, Height: true, NeedsDaylight: true, FirstAiders: one(1), Inspections: []string{"inspection.ladder"},
			Rescue: &rig.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true, Kit: "rescue-kit"}},
		room: rig.Station{ID: "room", Rig: "tower", Places: 12, FirstAiders: one(0)},
		kit:  rig.Kit{ID: "rescue-kit", Count: 1, LastValid: today + 200},
		plan: rig.RescuePlan{ID: "plan", Version: 1, Stations: []id.Station{"deck"}, Author: "ivo", ApprovedBy: "brona",
			InForce: first, ReviewBy: today + 200, Target: 10},
		drill:  rig.Drill{ID: "drill", Plan: "plan", Version: 1, Day: today - 10, Minutes: 8, Accepted: true},
		ladder: rig.Inspection{ID: "ladder", Subject: "deck", Line: "inspection.ladder", Done: today - 10, Passed: true, By: "ivo"},
		theory: curriculum.Exercise{ID: "theory", Setting: curriculum.Theory, Minutes: 60, Stations: []id.Station{"room"}, GroupMin: 1, GroupMax: 12, Ratio: 12, Outcomes: []id.Outcome{"known"}},
		climb: curriculum.Exercise{ID: "climb", Setting: curriculum.Practical, Minutes: 120, Stations: []id.Station{"deck"}, GroupMin: 1, GroupMax: 4, Ratio: 4,
			After: []curriculum.After{{Exercise: "theory"}}, Requires: []string{"fit-for-height"}, Setup: 30, Strike: 15, Outcomes: []id.Outcome{"climbed"}},
		programme: curriculum.Programme{ID: "heights", Exercises: []id.Exercise{"theory", "climb"}},
		intake:    people.Intake{ID: "march", Employer: "windward", Programme: "heights", From: today - 60, Until: today + 60},
	}
	r.book = book("book", first)
	for _, point := range rig.RequiredOf(rig.TowerPlatform, true) {
		r.dossier = append(r.dossier, rig.Evidence{ID: id.Evidence("shows-" + point), Rig: "tower", Point: point, Done: first, Until: today + 400, File: rig.EvidenceFile{Hash: strings.Repeat("0a", 32), Type: rig.PDF, Bytes: 1},
			PutIn: rig.EvidenceWord{By: "ivo", At: at(first, 8, 0)}, Accepted: &rig.EvidenceWord{By: "brona", At: at(first, 9, 0)}})
	}
	for _, p := range []id.Person{"brona", "ivo", "ana"} {
		r.staff = append(r.staff, people.Staff{ID: p, From: first, Weekdays: allWeek, Rest: bind})
		r.certs = append(r.certs,
			certificate(string(p)+"-theory", p, credential.ToTeach, "theory", ""), certificate(string(p)+"-climb", p, credential.ToTeach, "climb", ""),
			certificate(string(p)+"-rescue", p, credential.ToRescue, "", ""), certificate(string(p)+"-aid", p, credential.FirstAid, "", ""))
	}
	for _, p := range []id.Person{"tilde", "osei"} {
		r.trainees = append(r.trainees, people.Trainee{ID: id.Trainee("t-" + p), Person: p, Intake: "march",
			Needs: []id.Exercise{"theory", "climb"}, Rest: bind})
		r.certs = append(r.certs, certificate(string(p)+"-fit", p, credential.Medical, "", "fit-for-height"))
	}
	return r
}

// book is a confirmed rule book.
func book(of id.RuleBook, from civil.Day) rulebook.Version {
	v := rulebook.Version{ID: of, From: from, Profiles: []id.Profile{rulebook.Site, rulebook.UKAdultB, rulebook.TrainingStandard, rulebook.Upkeep}}
	for _, p := range v.Profiles {
		v.Lines = append(v.Lines, rulebook.Examples(p)...)
	}
	for _, f := range append(verdict.Fields(), verdict.Planning) {
		v.Confirmations = append(v.Confirmations, rulebook.Confirmation{Field: f, Person: "brona", Day: from})
	}
	return v
}

// set gives a line of a rule book another value.
func set(v rulebook.Version, line string, value int64) rulebook.Version {
	v.Lines = slices.Clone(v.Lines)
	for i := range v.Lines {
		if v.Lines[i].ID == line {
			v.Lines[i].Value = value
			return v
		}
	}
	panic("the rule book has no line " + line)
}

var certificates int

func certificate(cid string, p id.Person, k credential.Kind, e id.Exercise, holds string) credential.Certificate {
	certificates++
	return credential.Certificate{ID: id.Certificate(cid), Number: certificates, Person: p, Kind: k, Exercise: e, Holds: holds,
		Completed: today - 100, From: today - 100, Until: today + 400, State: credential.Valid}
}

// bench is a store with the small yard in it.
type bench struct {
	testing.TB
	store *store.Store
	now   civil.Instant
	keys  int
}

func at(d civil.Day, hour, minute civil.Minutes) civil.Instant {
	return dublin.At(d, hour*clock+minute)
}

func open(t testing.TB, r *records) *bench {
	t.Helper()
	b := &bench{TB: t, now: at(today, 5, 0)}
	s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: func() time.Time { return time.Unix(int64(b.now)*60, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	b.store = s
	r.yard.ID = s.YardID()
	all := []any{r.yard, people.Employer{ID: "windward"}}
	for _, p := range []id.Person{"brona", "ivo", "ana", "tilde", "osei"} {
		all = append(all, people.Person{ID: p})
	}
	all = append(all, curriculum.Outcome{ID: "known"}, curriculum.Outcome{ID: "climbed"}, r.book, r.rig, r.kit, r.room, r.deck, r.plan, r.drill, r.ladder,
		rig.Inspection{ID: "structure", Subject: "tower", Line: "inspection.structure", Done: today - 10, Passed: true, By: "ivo"},
		r.theory, r.climb, r.programme, r.intake)
	all = append(all, anys(r.dossier)...)
	all = append(append(all, anys(r.staff)...), anys(r.trainees)...)
	all = append(all, anys(r.certs)...)
	b.putFrom(today-100, append(all, r.more...)...)
	return b
}

func anys[T any](list []T) []any {
	out := make([]any, len(list))
	for i, x := range list {
		out[i] = x
	}
	return out
}

// putFrom writes records that count from a day.
func (b *bench) putFrom(d civil.Day, all ...any) {
	b.Helper()
	b.keys++
	names := map[id.Person]string{"brona": "Bróna Keane", "ivo": "Ivo Šarić", "ana": "Ana Quintal", "tilde": "Tilde Bjørnsen", "osei": "Osei Darko"}
	cmd := store.Command{Key: "key " + strconv.Itoa(b.keys), Actor: access.Actor{Person: "brona"}, Role: access.Administrator}
	_, err := b.store.Write(b.Context(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		for _, x := range all {
			if p, ok := x.(people.Person); ok {
				p.Name = tx.Seal("person/"+string(p.ID), "name", names[p.ID])
				x = p
			}
			if st, ok := x.(rig.Station); ok && st.Name == "" {
				st.Name = tx.Seal("station/"+string(st.ID), "name", "the "+string(st.ID))
				x = st
			}
			if _, err := tx.Put("put", d, x); err != nil {
				return "", err
			}
		}
		return "", nil
	})
	if err != nil {
		b.Fatal(err)
	}
}

// run is a session of the small yard.
func run(sid id.Session, e id.Exercise, start civil.Instant, state session.State, trainees []id.Trainee, instructor id.Person, rescuers ...id.Person) session.Session {
	s := session.Session{ID: sid, State: state, Exercise: e, Station: "room", Start: start, End: start.Add(60), Trainees: trainees,
		Instructors: []id.Person{instructor}, Rescuers: rescuers}
	if e == "climb" {
		s.Station, s.End = "deck", start.Add(120)
	}
	return s
}

var tilde = []id.Trainee{"t-tilde"}

// climb proposes a climb of one trainee who knows the theory.
func climb(start civil.Instant) plan.Session {
	return planning.AsPlan(run("new", "climb", start, session.Booked, tilde, "brona", "ana", "ivo"))
}

func theory(start civil.Instant) plan.Session {
	return planning.AsPlan(run("new", "theory", start, session.Booked, tilde, "brona"))
}

// knowsTheory is the record of a theory session that tilde completed.
func knowsTheory(d civil.Day) []any {
	s := run("past-theory", "theory", at(d, 9, 0), session.SignedOff, tilde, "ana")
	return []any{s,
		session.Attendance{Session: s.ID, Presences: []session.Presence{
			{Who: "t-tilde", Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End},
			{Who: "ana", Part: session.AsInstructor, Mark: session.Present, Start: s.Start, End: s.End}}},
		session.Results{Session: s.ID, By: "ana", Results: []session.Result{{Trainee: "t-tilde", Outcome: "known", Result: session.Competent}}}}
}

// slice builds the slice around a proposal as booking does.
func (b *bench) slice(p plan.Session) *planning.Slice {
	b.Helper()
	d := dublin.DayOf(p.Start)
	scope := planning.Scope{From: d, Until: d, Trainees: planning.IDs[id.Trainee](p.Trainees), Staff: planning.IDs[id.Person](append(slices.Clone(p.Instructors), p.Rescuers...))}
	return b.build(scope)
}

func (b *bench) build(scope planning.Scope) (s *planning.Slice) {
	b.Helper()
	var builder planning.Builder
	err := b.store.Read(b.Context(), func(v *store.View) (err error) {
		s, err = builder.Build(v, scope)
		return err
	})
	if err != nil {
		b.Fatal(err)
	}
	return s
}

// judge answers a proposal: one line a stop, as pages word it.
func (b *bench) judge(p plan.Session) []string {
	b.Helper()
	s := b.slice(p)
	return lines(s, s.Judge(nil, []plan.Session{p}))
}

func lines(s *planning.Slice, r verdict.Report) (out []string) {
	style := verdict.PlainStyle(dublin)
	style.Ref = s.Name
	for _, f := range r.Findings {
		out = append(out, f.Rule+": "+f.Found.In(style))
	}
	return out
}
