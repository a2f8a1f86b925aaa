package plan_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"rungbook/internal/fault"
	"rungbook/internal/plan"
)

func probe(t *testing.T, data []byte) (*plan.Problem, *plan.Plan) {
	t.Helper()
	var f struct{ Problem, Plan json.RawMessage }
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	p, err := plan.DecodeProblem(f.Problem)
	if err != nil {
		t.Fatal(err)
	}
	pl, err := plan.DecodePlan(f.Plan, p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	return p, pl
}

// wantAt checks that err is a fault of kind Invalid at a pointer.
func wantAt(t *testing.T, err error, pointer, says string) {
	t.Helper()
	var f *fault.Error
	switch {
	case err == nil:
		t.Errorf("is usable, want an error at %q", pointer)
	case !errors.As(err, &f) || f.Kind != fault.Invalid:
		t.Errorf("got %v, want an invalid fault", err)
	case f.Field != pointer:
		t.Errorf("error at %q (%v), want it at %q", f.Field, err, pointer)
	case !strings.Contains(f.Message, says):
		t.Errorf("error says %q, want it to say %q", f.Message, says)
	}
}

// TestUnusableProblemsAreRefusedWithThePointerOfWhatIsWrong alters one text of a
// usable file at a time.
func TestUnusableProblemsAreRefusedWithThePointerOfWhatIsWrong(t *testing.T) {
	good := string(read(t, "testdata/problem.json"))
	for _, c := range []struct {
		name, old, new, pointer, says string
	}{
		{"another format", "rungbook.problem.v1", "rungbook.problem.v2", "/format", "must be"},
		{"a zone that is none", "Europe/Dublin", "Europe/Atlantis", "/zone", "IANA"},
		{"the machine's zone", "Europe/Dublin", "Local", "/zone", "IANA"},
		{"an unknown member", `"grid_minutes"`, `"grid_hours"`, "/grid_hours", "no such member"},
		{"a member in the wrong case", `"people_max"`, `"People_max"`, "/rigs/0/People_max", "no such member"},
		{"a repeated member", `"days": 14`, `"days": 14, "days": 15`, "/days", "twice"},
		{"null", `"closed_days": [`, `"courses": null, "closed_days": [`, "/courses", "null"},
		{"null in a list", `"closed_days": [`, `"closed_days": [null, `, "/closed_days/0", "null"},
		{"no days", `"days": 14,`, ``, "/days", "required"},
		{"no weight of a need", `"unplaced": 100000,`, ``, "/weights/unplaced", "required"},
		{"no places", `"places": 6,`, ``, "/stations/0/places", "required"},
		{"no rest of a person", `"rest": []`, `"teaches": []`, "/people/1/rest", "required"},
		{"a validity without an end", `"until": "2027-12-31"`, `"exercise": "climb"`, "/people/0/teaches/0/exercise", "twice"},
		{"a competence without an end", `"rescuer": [`, `"rescuer": [{"from": "2027-01-01"}, `, "/people/0/rescuer/0/until", "required"},
		{"a fraction", `"days": 14`, `"days": 14.5`, "/days", "whole number"},
		{"a number with an exponent", `"days": 14`, `"days": 1e1`, "/days", "whole number"},
		{"a number as text", `"days": 14`, `"days": "14"`, "/days", "whole number"},
		{"a negative number", `"days": 14`, `"days": -1`, "/days", "from 0"},
		{"a number above 10⁹", `"staff_minute": 1`, `"staff_minute": 1000000001`, "/weights/staff_minute", "1000000000"},
		{"a number beyond 64 bits", `"days": 14`, `"days": 99999999999999999999`, "/days", "1000000000"},
		{"a horizon beyond the calendar", `"days": 14`, `"days": 1000000000`, "/days", "9999"},
		{"a grid of 0", `"grid_minutes": 15`, `"grid_minutes": 0`, "/grid_minutes", "1 or more"},
		{"no such day", `"from": "2027-03-22"`, `"from": "2027-02-29"`, "/from", "day"},
		{"minutes of 0", `"minutes": 120`, `"minutes": 0`, "/exercises/1/minutes", "1 or more"},
		{"a ratio of 0", `"ratio": 4`, `"ratio": 0`, "/exercises/1/ratio_at/0/ratio", "1 or more"},
		{"a weekday that is none", `1,
    2`, `8, 2`, "/open/0/weekdays/0", "Monday"},
		{"overlapping windows", `"weekdays": [
    6`, `"weekdays": [ 5`, "/open/1", "overlaps"},
		{"a window that ends as it starts", `"to": "17:30"`, `"to": "08:00"`, "/open/0", "no later"},
		{"no such time", `"17:30"`, `"17:60"`, "/open/0/to", "17:60"},
		{"a period that ends before it starts", `"2027-03-28T08:00:00+01:00"`, `"2027-03-27T08:00:00+00:00"`, "/stations/0/shut/0", "no later"},
		{"an instant with seconds", `"2027-03-27T22:00:00+00:00"`, `"2027-03-27T22:00:30+00:00"`, "/stations/0/shut/0/0", "seconds"},
		{"an offset that is not the zone's then", `"2027-03-28T08:00:00+01:00"`, `"2027-03-28T08:00:00+00:00"`, "/stations/0/shut/0/1", "+01:00"},
		{"an instant in UTC form", `"2027-03-27T22:00:00+00:00"`, `"2027-03-27T22:00:00Z"`, "/stations/0/shut/0/0", "offset"},
		{"a period of three times", `"2027-03-27T22:00:00+00:00",`, `"2027-03-27T22:00:00+00:00", "2027-03-27T23:00:00+00:00",`, "/stations/0/shut/0", "3 times"},
		{"a period that is an object", `"available": []`, `"available": [{}]`, "/people/0/available/0", "[start, end]"},
		{"an ill-formed id", `"id": "tower"`, `"id": "tower north"`, "/rigs/0/id", "not an id"},
		{"an empty id", `"id": "tower"`, `"id": ""`, "/rigs/0/id", "not an id"},
		{"an id of 65 characters", `"id": "tower"`, `"id": "` + strings.Repeat("x", 65) + `"`, "/rigs/0/id", "not an id"},
		{"a repeated id", `"id": "climb"`, `"id": "knots"`, "/exercises/1/id", "twice"},
		{"a trainee with a person's id", `"id": "t1"`, `"id": "ada"`, "/trainees/0/id", "person"},
		{"an unknown rig", `"rig": "tower"`, `"rig": "mast"`, "/stations/0/rig", "mast"},
		{"an unknown rescue kit", `"kit": "winch"
   }`, `"kit": "rope"}`, "/stations/0/rescue/kit", "rope"},
		{"a rescue kit without a name", `"kit": "winch"
   }`, `"kit": ""}`, "/stations/0/rescue/kit", "empty"},
		{"a trainee who is nobody", `"id": "t1",
   "person": "b-7"`, `"id": "t1", "person": ""`, "/trainees/0/person", "empty"},
		{"a member of staff who is nobody", `"id": "ada"`, `"id": "ada", "person": ""`, "/people/0/person", "empty"},
		{"an unknown policy", `"site",
    "a/b ~ c"`, `"sight"`, "/trainees/0/rest/0", "sight"},
		{"a policy twice", `"site",
    "a/b ~ c"`, `"site", "site"`, "/trainees/0/rest/1", "twice"},
		{"an unknown circuit", `"circuit": "pump"`, `"circuit": "fan"`, "/exercises/1/energy/0", "fan"},
		{"a third state", `"dead"`, `"off"`, "/exercises/1/energy/0/state", "live or dead"},
		{"a need twice", `"needs": [
    "climb"`, `"needs": ["climb", "climb"`, "/trainees/0/needs/1", "twice"},
		{"a need that is done", `"needs": [
    "climb"`, `"needs": ["knots"`, "/trainees/0/needs/0", "done"},
		{"an unknown need", `"needs": [
    "climb"`, `"needs": ["swim"`, "/trainees/0/needs/0", "swim"},
		{"a cycle", `"id": "knots",`, `"id": "knots", "after": [{"exercise": "climb"}],`, "/exercises/0/after", "cycle"},
		{"a fixed session of an unknown exercise", `"exercise": "climb",
   "station": "deck"`, `"exercise": "swim", "station": "deck"`, "/fixed/0/exercise", "swim"},
		{"a fixed session with a stranger", `"others": [
    "ben"`, `"others": ["zoe"`, "/fixed/0/others/0", "zoe"},
		{"a fixed session without a need", `"exercise": "climb",
   "station": "deck"`, `"exercise": "knots", "station": "deck"`, "/fixed/0/trainees/0", "does not need"},
		{"a list where an object must be", `"weights": {`, `"weights": [], "x": {`, "/weights", "can't stand here"},
		{"a policy that is a number", `"a/b ~ c": {}`, `"a/b ~ c": 3`, "/rest_policies/a~1b ~0 c", "can't stand here"},
		{"a comma too many", `"moved": 200`, ``, "/weights", "line 270"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := strings.Replace(good, c.old, c.new, 1)
			if bad == good {
				t.Fatalf("%q is not in the file", c.old)
			}
			_, err := plan.DecodeProblem([]byte(bad))
			wantAt(t, err, c.pointer, c.says)
		})
	}
}

func TestEmptyAndHugeProblemsGiveAClearAnswer(t *testing.T) {
	const head = `{"format":"rungbook.problem.v1","zone":"Europe/Dublin","from":"2027-03-01","open":[],`
	for _, c := range []struct {
		name, data, pointer, says string
		usable                    bool
	}{
		{"nothing at all", ``, "", "empty", false},
		{"only white space", " \n", "", "empty", false},
		{"a list", `[]`, "", "one JSON object", false},
		{"a text", `"problem"`, "", "one JSON object", false},
		{"no members", `{}`, "/format", "required", false},
		{"no days, nobody", head + `"days":0,"weights":{"unplaced":0}}`, "", "", true},
		{"every number at its greatest", head + `"days":2000000,"weights":{"unplaced":1000000000,"staff_minute":1000000000,"trainee_day":1000000000,"intake_day":1000000000,"moved":1000000000}}`, "", "", true},
		{"weights that pass 2^62", head + `"days":100000,"weights":{"unplaced":0,"staff_minute":1000000000},"people":[` +
			people(41) + `]}`, "/weights", "2^62", false},
		{"invalid UTF-8", head + `"days":0,"weights":{"unplaced":0},"rigs":[{"id":"` + "\xff" + `"}]}`, "/rigs/0/id", "", false},
		{"very deep", head + `"days":` + strings.Repeat("[", 20000), "/days" + strings.Repeat("/0", 9999), "depth", false},
		{"two objects", `{"format":"rungbook.problem.v1","zone":"UTC","from":"2027-03-01","days":0,"open":[],"weights":{"unplaced":0}} {}`, "", "one JSON object", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := plan.DecodeProblem([]byte(c.data))
			if c.usable {
				if err != nil {
					t.Error(err)
				}
				return
			}
			wantAt(t, err, c.pointer, c.says)
		})
	}
}

func people(n int) string {
	var list []string
	for i := range n {
		list = append(list, `{"id":"p`+string(rune('a'+i/26))+string(rune('a'+i%26))+`","rest":[]}`)
	}
	return strings.Join(list, ",")
}

func TestUnusablePlansAreRefused(t *testing.T) {
	p, err := plan.DecodeProblem(read(t, "testdata/problem.json"))
	if err != nil {
		t.Fatal(err)
	}
	good := string(read(t, "testdata/plan.json"))
	session := good[strings.Index(good, "[")+1 : strings.Index(good, "],\n \"unplaced\"")]
	for _, c := range []struct{ name, old, new, pointer, says string }{
		{"another format", "rungbook.plan.v1", "rungbook.problem.v1", "/format", "must be"},
		{"an unknown member", `"bound"`, `"limit"`, "/limit", "no such member"},
		{"a session without an end", `"end": "2027-03-29T11:00:00+01:00",`, ``, "/sessions/0/end", "required"},
		{"a repeated session", session, session + "," + session, "/sessions/1/id", "twice"},
		{"an unknown station", `"deck"`, `"mast"`, "/sessions/0/station", "mast"},
		{"a trainee who is nobody", `"trainees": [
    "t1"`, `"trainees": ["t9"`, "/sessions/0/trainees/0", "t9"},
		{"a trainee as instructor", `"instructors": [
    "ada"`, `"instructors": ["t1"`, "/sessions/0/instructors/0", "t1"},
		{"an unplaced need of nobody", `"trainee": "t1"`, `"trainee": "t9"`, "/unplaced/0/trainee", "t9"},
		{"a negative cost", `"cost": 1234`, `"cost": -1`, "/cost", "whole number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := strings.Replace(good, c.old, c.new, 1)
			if bad == good {
				t.Fatalf("%q is not in the file", c.old)
			}
			pl, err := plan.DecodePlan([]byte(bad), p.Zone)
			if err == nil {
				err = p.Knows(pl)
			}
			wantAt(t, err, c.pointer, c.says)
		})
	}
}
