package people

import (
	"errors"
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// checked is any record that judges itself.
type checked interface{ Check() error }

func TestRecordsAreCheckedFieldByField(t *testing.T) {
	person := Person{ID: "p", Name: "n"}
	staff := Staff{ID: "p", From: 100, Weekdays: []int{1, 5}, Rest: []id.Profile{"site"}}
	intake := Intake{ID: "i", Name: "n", Employer: "e", Programme: "h", From: 100, Until: 100}
	trainee := Trainee{ID: "t", Person: "p", Intake: "i", Needs: []id.Exercise{"a", "b"}, Rest: []id.Profile{"site", "eu-adult"}}
	appointment := Appointment{ID: "a", Person: "p", Field: verdict.Energy, From: 100, Until: 100}
	duty := Duty{ID: "d", Person: "p", Kind: DrillDuty, Start: 10, End: 11}
	away := Away{ID: "w", Person: "p", Start: 10, End: 11}
	cases := []struct {
		name   string
		record checked
		field  string // "" = accepted
	}{
		{"a person", person, ""},
		{"a person without a name", Person{ID: "p"}, "name"},
		{"staff", staff, ""},
		{"staff without weekdays", edit(staff, func(s *Staff) { s.Weekdays = nil }), "weekdays"},
		{"staff on an eighth day", edit(staff, func(s *Staff) { s.Weekdays = []int{8} }), "weekdays"},
		{"staff on day zero", edit(staff, func(s *Staff) { s.Weekdays = []int{0} }), "weekdays"},
		{"staff on a day twice", edit(staff, func(s *Staff) { s.Weekdays = []int{1, 1} }), "weekdays"},
		{"staff without a rest policy", edit(staff, func(s *Staff) { s.Rest = nil }), "rest"},
		{"staff with a rest policy twice", edit(staff, func(s *Staff) { s.Rest = []id.Profile{"site", "site"} }), "rest"},
		{"staff for one day", edit(staff, func(s *Staff) { s.Until = 100 }), ""},
		{"staff who leave before they come", edit(staff, func(s *Staff) { s.Until = 99 }), "until"},
		{"staff without a first day", edit(staff, func(s *Staff) { s.From = 0 }), "from"},
		{"an intake of one day", intake, ""},
		{"an intake without an end", edit(intake, func(i *Intake) { i.Until = 0 }), "until"},
		{"an intake that ends before it comes", edit(intake, func(i *Intake) { i.Until = 99 }), "until"},
		{"an intake without a programme", edit(intake, func(i *Intake) { i.Programme = "" }), "programme"},
		{"an intake without an employer", edit(intake, func(i *Intake) { i.Employer = "" }), "employer"},
		{"a trainee", trainee, ""},
		{"a trainee who needs one thing twice", edit(trainee, func(t *Trainee) { t.Needs = []id.Exercise{"a", "a"} }), "needs"},
		{"a trainee without a rest policy", edit(trainee, func(t *Trainee) { t.Rest = nil }), "rest"},
		{"a trainee without an intake", edit(trainee, func(t *Trainee) { t.Intake = "" }), "intake"},
		{"an appointment for one day", appointment, ""},
		{"an appointment without an end", edit(appointment, func(a *Appointment) { a.Until = 0 }), "until"},
		{"an appointment for planning", edit(appointment, func(a *Appointment) { a.Field = verdict.Planning }), "field"},
		{"an appointment of nobody", edit(appointment, func(a *Appointment) { a.Person = "" }), "person"},
		{"a duty of a minute", duty, ""},
		{"a duty of no time", edit(duty, func(d *Duty) { d.End = 10 }), "end"},
		{"a duty without an end", edit(duty, func(d *Duty) { d.End = 0 }), "start"},
		{"a duty of another kind", edit(duty, func(d *Duty) { d.Kind = "nap" }), "kind"},
		{"an absence", away, ""},
		{"an absence of no time", edit(away, func(a *Away) { a.End = 10 }), "end"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			err := c.record.Check()
			var form *fault.Form
			if errors.As(err, &form); (err == nil) != (c.field == "") || (form != nil && form.Fields[c.field] == "") {
				t.Errorf("got %v, want a message at %q", form, c.field)
			}
		})
	}
}

func edit[T any](record T, change func(*T)) T {
	change(&record)
	return record
}

func TestStaffWorkOnTheirWeekdaysWithinTheirDays(t *testing.T) {
	monday := civil.DayOf(2027, 3, 1)
	s := Staff{ID: "p", From: monday, Until: monday + 7, Weekdays: []int{1, 3}}
	var got []civil.Day
	for d := monday - 7; d <= monday+14; d++ {
		if s.Works(d) {
			got = append(got, d)
		}
	}
	if want := []civil.Day{monday, monday + 2, monday + 7}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if (Staff{ID: "p", From: monday}).Works(monday) {
		t.Error("somebody whose weekdays are not stated works")
	}
}

func TestWhoIsAppointedForAFieldOnADay(t *testing.T) {
	list := []Appointment{
		{ID: "2", Person: "q", Field: verdict.Energy, From: 10, Until: 20},
		{ID: "1", Person: "p", Field: verdict.Energy, From: 20, Until: 30},
		{ID: "3", Person: "r", Field: verdict.Lifting, From: 0, Until: 99},
	}
	for d, want := range map[civil.Day]string{9: "", 10: "q", 19: "q", 20: "pq", 21: "p", 30: "p", 31: ""} {
		got := ""
		for _, a := range AppointedOn(list, verdict.Energy, d) {
			got += string(a.Person)
		}
		if got != want {
			t.Errorf("on day %d: got %q, want %q", int(d), got, want)
		}
	}
}
