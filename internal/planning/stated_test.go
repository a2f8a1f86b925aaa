package planning_test

import (
	"slices"
	"strings"
	"testing"
	"time"

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
)

var wednesday = today + 2

func TestTheSmallYardIsClear(t *testing.T) {
	r := sound()
	r.more = knowsTheory(today - 20)
	b := open(t, r)
	for _, p := range []plan.Session{climb(at(wednesday, 10, 0)), {ID: "new", Exercise: "theory", Station: "room", Start: at(wednesday, 10, 0), End: at(wednesday, 11, 0),
		Trainees: []string{"t-osei"}, Instructors: []string{"brona"}, Rescuers: []string{}}} {
		if got := b.judge(p); got != nil {
			t.Errorf("%s: %q, want clear", p.Exercise, got)
		}
	}
}

// TestWhatIsNotStatedStops spoils one record of the small yard at a time. Each
// answer must stop by the rule named and say the cause, not the mechanism.
func TestWhatIsNotStatedStops(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(*records)
		want  string // rule and sentence
	}{
		{"a height station without rescue", func(r *records) { r.deck.Rescue = nil }, "station-shut: the deck: the rescue cover is not stated"},
		{"a height station without a rescue kit", func(r *records) { r.deck.Rescue.Kit = "" }, "station-shut: the deck: the rescue kit is not stated"},
		{"a station without first aiders", func(r *records) { r.deck.FirstAiders = nil }, "station-shut: the deck: how many first-aiders it needs is not stated"},
		{"a station without places", func(r *records) { r.deck.Places = 0 }, "station-shut: the deck: how many trainees have a place is not stated"},
		{"a rig without a head-count limit", func(r *records) { r.rig.PeopleMax = 0 }, "station-shut: tower: how many people it bears is not stated"},
		{"a rig without a state", func(r *records) { r.rig.State = "" }, "station-shut: tower: the state is not stated"},
		{"a rig in conversion", func(r *records) { r.rig.State = rig.InConversion }, "station-shut: tower is in conversion since 2026-11-21"},
		{"a kit without a last valid day", func(r *records) { r.kit.LastValid = 0 }, "station-shut: rescue-kit: the last valid day is not stated"},
		{"a kit without a number", func(r *records) { r.kit.Count = 0 }, "station-shut: rescue-kit: how many there are is not stated"},
		{"an inspection without an interval", func(r *records) { r.deck.Inspections = []string{"inspection.unheard-of"} },
			"station-shut: the deck: the interval of an inspection is not stated (unheard of)"},
		{"staff without rest rules", func(r *records) { r.staff[0].Rest = nil }, "available: it is not stated which rest rules bind Bróna Keane"},
		{"staff bound by rules the book lacks", func(r *records) { r.staff[0].Rest = []id.Profile{rulebook.Site, rulebook.ZAAdult} },
			"available: the rule book in force does not hold the rest rules that bind Bróna Keane"},
		{"staff without weekdays", func(r *records) { r.staff[1].Weekdays = nil }, "available: "},
		{"a trainee without rest rules", func(r *records) { r.trainees[0].Rest = nil }, "available: it is not stated which rest rules bind Tilde Bjørnsen"},
		{"a trainee bound by rules the book lacks", func(r *records) { r.trainees[0].Rest = []id.Profile{rulebook.EUAdult} },
			"available: the rule book in force does not hold the rest rules that bind Tilde Bjørnsen"},
		{"a rule book that one field has not confirmed", func(r *records) { r.book.Confirmations = r.book.Confirmations[1:] },
			"station-shut: the rule book of 2026-11-21 is not confirmed for height and rescue"},
		{"a rule book that is confirmed from a later day on", func(r *records) { r.book.Confirmations[0].Day = wednesday + 1 },
			"station-shut: the rule book of 2026-11-21 is not confirmed for height and rescue"},
		{"no rule book yet", func(r *records) { r.book = book("book", wednesday+1) }, "station-shut: no rule book is in force on 2027-03-03"},
		{"no ratio for the setting", func(r *records) { r.climb.Setting = "in-a-simulator" }, "station-fit: the rule book states no ratio for in-a-simulator, which climb needs"},
		{"a midwinter day without a sunrise", func(r *records) { r.yard.Latitude = 89_000_000 }, "daylight: no daylight is stated for 2027-03-03"},
		{"no opening hours", func(r *records) { r.yard.Open = nil }, "open-hours: "},
		{"no rescue plan", func(r *records) { r.plan.Stations = []id.Station{"room"} }, "station-shut: no rescue plan is in force for the deck"},
		{"no drill", func(r *records) { r.drill.Day = wednesday + 1 }, "station-shut: no accepted drill of rescue plan plan for the deck is recorded"},
		{"a drill that was not accepted", func(r *records) { r.drill.Accepted = false }, "station-shut: drill of rescue plan plan for the deck was not accepted on 2027-02-19"},
		{"no inspection", func(r *records) { r.ladder.Subject = "room" }, "station-shut: no inspection of the deck is recorded (ladder)"},
		{"a dossier that was never begun", func(r *records) { r.dossier = nil },
			"station-shut: the dossier of tower lacks: survey of dimensions and mass, structural sign-off, anchor load test and 7 more"},
		{"an item that was never put in", func(r *records) { r.dossier = slices.Delete(r.dossier, 2, 3) }, "station-shut: the dossier of tower lacks: anchor load test"},
		{"an item that nobody accepted", func(r *records) { r.dossier[2].Accepted = nil }, "station-shut: the dossier of tower lacks: anchor load test"},
		{"an item that was accepted by who put it in", func(r *records) { r.dossier[2].Accepted.By = "ivo" }, "station-shut: the dossier of tower lacks: anchor load test"},
		{"an item that was revoked", func(r *records) { r.dossier[2].Revoked = &rig.EvidenceWord{By: "brona", At: at(today, 4, 0)} },
			"station-shut: dossier of tower: anchor load test was revoked on 2027-03-01"},
		{"an exercise that is not taught any more", func(r *records) { r.climb.Retired = wednesday }, "station-fit: climb is not taught since 2027-03-03"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := sound()
			r.more = knowsTheory(today - 20)
			c.spoil(r)
			got := open(t, r).judge(climb(at(wednesday, 10, 0)))
			if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, c.want) }) {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

func TestCertificatesDecideByTheirLastValidDay(t *testing.T) {
	for _, c := range []struct {
		name string
		cert string
		rule string
	}{
		{"the instructor's", "brona-climb", "qualified"},
		{"the rescuer's", "ivo-rescue", "rescue-cover"},
		{"the trainee's fitness", "tilde-fit", "entitled"},
	} {
		for _, until := range []civil.Day{wednesday - 1, wednesday} {
			r := sound()
			r.more = knowsTheory(today - 20)
			i := slices.IndexFunc(r.certs, func(x credential.Certificate) bool { return string(x.ID) == c.cert })
			r.certs[i].Until = until
			got := open(t, r).judge(climb(at(wednesday, 10, 0)))
			if stops := slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, c.rule+":") }); stops != (until < wednesday) {
				t.Errorf("%s certificate valid to %s: %q, want %s stopping: %t", c.name, until, got, c.rule, until < wednesday)
			}
		}
	}
}

func TestCausesOverdueAreSaidWithTheirDay(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*records)
		last  civil.Day // last day on which it is clear
		want  string
	}{
		// The ladder's interval is 6 months (the site's practice, no published source).
		{"an inspection", func(r *records) { r.ladder.Done = civil.DayOf(2026, time.September, 3) }, civil.DayOf(2027, time.March, 3),
			"station-shut: inspection of the deck overdue since 2027-03-04 (ladder)"},
		{"a rescue plan's review", func(r *records) { r.plan.ReviewBy = wednesday }, wednesday, "station-shut: review of rescue plan plan for the deck overdue since 2027-03-04"},
		{"an item of a dossier", func(r *records) { r.dossier[2].Until = wednesday }, wednesday, "station-shut: dossier of tower: anchor load test lapsed on 2027-03-04"},
		{"a kit", func(r *records) { r.kit.LastValid = wednesday }, wednesday, "station-shut: rescue-kit is out of date since 2027-03-04"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := sound()
			r.more = knowsTheory(today - 20)
			c.spoil(r)
			b := open(t, r)
			if got := b.judge(climb(at(c.last, 10, 0))); got != nil {
				t.Errorf("on its last day: %q, want clear", got)
			}
			got := b.judge(climb(at(c.last+1, 10, 0)))
			if !slices.Contains(got, c.want) {
				t.Errorf("a day later: %q, want %q", got, c.want)
			}
		})
	}
}

func TestAShutStationStopsFromItsMinuteToItsMinute(t *testing.T) {
	r := sound()
	// A climb holds the deck from 30 minutes before its start to 15 after its end.
	r.more = append(knowsTheory(today-20), rig.Shut{ID: "shut", Station: "deck", Start: at(wednesday, 12, 15), End: at(wednesday, 15, 0), Reason: rig.ShutFault})
	b := open(t, r)
	for _, c := range []struct {
		hour, minute civil.Minutes
		clear        bool
	}{{10, 0, true}, {10, 15, false}, {13, 0, false}, {15, 15, false}, {15, 30, true}} {
		got := b.judge(climb(at(wednesday, c.hour, c.minute)))
		if (got == nil) != c.clear {
			t.Errorf("at %02d:%02d: %q, want clear %t", c.hour, c.minute, got, c.clear)
		}
		if !c.clear && !strings.Contains(got[0], "the deck is shut 2027-03-03T12:15") {
			t.Errorf("at %02d:%02d: %q, want the shut period and its reason", c.hour, c.minute, got)
		}
	}
}

func TestARecordOfAnotherDayIsNotForgotten(t *testing.T) {
	// The room where theory is taught changes hands: the exercise of that name is
	// not taught from Wednesday on, and a new one stands from Friday. What was
	// booked under either keeps its people's time.
	r := sound()
	r.more = append(knowsTheory(today-20),
		curriculum.Exercise{ID: "talk", Setting: curriculum.Theory, Minutes: 60, Stations: []id.Station{"room"}, GroupMin: 1, Ratio: 12, Retired: wednesday})
	b := open(t, r)
	b.putFrom(wednesday+2, rig.Station{ID: "attic", Rig: "tower", Places: 4, FirstAiders: one(0)},
		curriculum.Exercise{ID: "lecture", Setting: curriculum.Theory, Minutes: 60, Stations: []id.Station{"attic"}, GroupMin: 1, Ratio: 12})
	late := run("late", "talk", at(wednesday-1, 20, 30), session.Booked, nil, "brona")
	early := run("early", "lecture", at(wednesday+2, 6, 0), session.Booked, nil, "brona")
	early.Station = "attic"
	b.putFrom(today-1, late, early)

	// 12 h of daily rest (site rule): from 21:30 to 9:30, and to 6:00 from 18:00.
	for _, c := range []struct {
		name  string
		start civil.Instant
		clear bool
	}{
		{"12 h after the last lesson of a name that is gone", at(wednesday, 10, 0), true},
		{"less than 12 h after it", at(wednesday, 9, 45), false},
		{"12 h before the first lesson on a new station", at(wednesday+1, 15, 45), true},
		{"less than 12 h before it", at(wednesday+1, 16, 0), false},
	} {
		got := b.judge(climb(c.start))
		if rested := !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "daily-rest:") }); rested != c.clear {
			t.Errorf("%s: %q, want daily-rest clear %t", c.name, got, c.clear)
		}
	}
	proposal := planning.AsPlan(run("new", "talk", at(wednesday, 12, 0), session.Booked, nil, "ana"))
	if got := b.judge(proposal); !slices.Contains(got, "station-fit: talk is not taught since 2027-03-03") {
		t.Errorf("a proposal of an exercise that is not taught: %q, want station-fit with its cause", got)
	}
	proposal = planning.AsPlan(run("new", "lecture", at(wednesday, 12, 0), session.Booked, nil, "ana"))
	if got := b.judge(proposal); !slices.Contains(got, "station-fit: lecture is not in the records on 2027-03-03") {
		t.Errorf("a proposal of an exercise that is to come: %q, want station-fit with its cause", got)
	}
}

func TestATraineeWhoAlsoTeachesRestsFromBoth(t *testing.T) {
	r := sound()
	r.trainees = append(r.trainees, people.Trainee{ID: "t-ana", Person: "ana", Intake: "march", Needs: []id.Exercise{"theory"}, Rest: bind})
	// Ana teaches on six days in a row (the site's rule allows six), Monday to Saturday …
	for d := range civil.Day(6) {
		r.more = append(r.more, run(id.Session("teaches-"+string(rune('a'+d))), "theory", at(today+7+d, 9, 0), session.Booked, nil, "ana"))
	}
	b := open(t, r)
	p := planning.AsPlan(run("new", "theory", at(today+13, 12, 0), session.Booked, []id.Trainee{"t-ana"}, "brona"))
	got := b.judge(p) // … and would learn on the seventh.
	if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "day-run:") }) {
		t.Errorf("%q, want day-run: six days of teaching and one of learning", got)
	}
	p = planning.AsPlan(run("new", "theory", at(today+14, 12, 0), session.Booked, []id.Trainee{"t-ana"}, "brona"))
	if got := b.judge(p); got != nil {
		t.Errorf("%q, want clear after a day off", got)
	}
}
