package check

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// crowd is a problem with a deck and plenty of people, and a session on it.
func crowd(places, most, ratio int, r *plan.Rescue, trainees, others, instructors, rescuers int) (*plan.Problem, plan.Session) {
	d := day("2027-03-02")
	valid := []plan.Validity{{From: d, Until: d}}
	p := &plan.Problem{Zone: dublin(), From: d, Days: 1, Rigs: []plan.Rig{{ID: "tower"}},
		Stations:  []plan.Station{{ID: "deck", Rig: "tower", Places: places, Rescue: r}},
		Exercises: []plan.Exercise{{ID: "climb", Minutes: 60, Stations: []string{"deck"}, GroupMax: most, Ratio: ratio}}}
	s := plan.Session{ID: "s", Exercise: "climb", Station: "deck", Start: p.Zone.At(d, 9*60), End: p.Zone.At(d, 10*60)}
	for i := range trainees + others {
		id := fmt.Sprint("t", i)
		p.Trainees = append(p.Trainees, plan.Trainee{ID: id, Needs: []string{"climb"}})
		if i < trainees {
			s.Trainees = append(s.Trainees, id)
		} else {
			s.Others = append(s.Others, id)
		}
	}
	for i := range instructors + rescuers {
		id := fmt.Sprint("p", i)
		p.People = append(p.People, plan.Person{ID: id, Rescuer: valid, Teaches: []plan.Teaches{{Exercise: "climb", Validity: valid[0]}}})
		if i < instructors {
			s.Instructors = append(s.Instructors, id)
		} else {
			s.Rescuers = append(s.Rescuers, id)
		}
	}
	return p, s
}

var guestRules = []string{"group-size", "ratio", "rescue-cover"}

// broken are the rules on people that a session breaks.
func broken(list []verdict.Finding) (out []string) {
	for _, f := range list {
		if slices.Contains(guestRules, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	slices.Sort(out)
	return out
}

func TestOthersTakePlacesCountForTheRatioAndMustBeRescued(t *testing.T) {
	cover := &plan.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true}
	for _, c := range []struct {
		name                                    string
		places, most, ratio                     int
		rescue                                  *plan.Rescue
		trainees, others, instructors, rescuers int
		want                                    []string
	}{
		{"the last place", 4, 0, 9, nil, 3, 1, 1, 0, nil},
		{"one beyond the places", 4, 0, 9, nil, 3, 2, 1, 0, []string{"group-size"}},
		{"the last of the group", 9, 4, 9, nil, 3, 1, 1, 0, nil},
		{"one beyond the group", 9, 4, 9, nil, 3, 2, 1, 0, []string{"group-size"}},
		{"the ratio holds with them", 9, 0, 4, nil, 3, 1, 1, 0, nil},
		{"the ratio breaks with them", 9, 0, 4, nil, 4, 1, 1, 0, []string{"ratio"}},
		{"an instructor to spare rescues", 9, 0, 4, cover, 4, 0, 2, 1, nil},
		{"who looks after them can't rescue", 9, 0, 4, cover, 4, 1, 2, 1, []string{"rescue-cover"}},
		{"too many trainees already: the rules say it", 2, 0, 9, nil, 3, 1, 1, 0, nil},
		{"nobody else", 1, 0, 1, nil, 1, 0, 1, 0, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, s := crowd(c.places, c.most, c.ratio, c.rescue, c.trainees, c.others, c.instructors, c.rescuers)
			if diff := cmp.Diff(c.want, broken(New(p).Guests(s))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// The others are judged as if they were trainees: a session breaks with them what it
// would break if they were, less what it breaks without them.
func TestOthersAreJudgedAsTraineesWould(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := func(least, most int, label string) int { return rapid.IntRange(least, most).Draw(t, label) }
		var r *plan.Rescue
		if n(0, 2, "cover") > 0 {
			r = &plan.Rescue{Rescuers: n(0, 3, "asked"), StandbyMin: n(0, 2, "standby"), OwnInstructorsCount: n(0, 1, "own") == 1}
		}
		p, s := crowd(n(1, 6, "places"), n(0, 6, "most"), n(1, 4, "ratio"), r, n(0, 5, "trainees"), n(0, 4, "others"), n(0, 3, "instructors"), n(0, 2, "rescuers"))
		as := s.Clone()
		as.Trainees, as.Others = append(as.Trainees, as.Others...), nil
		j := New(p)
		without := broken(j.Board([]plan.Session{s}).All().At(verdict.Stops))
		want := slices.DeleteFunc(broken(j.Board([]plan.Session{as}).All().At(verdict.Stops)), func(rule string) bool { return slices.Contains(without, rule) })
		if got := broken(j.Guests(s)); !slices.Equal(got, want) {
			t.Fatalf("others break %q, trainees in their place %q", got, want)
		}
	})
}

func TestEverybodyOnARigCountsForItsPeople(t *testing.T) {
	p, s := crowd(9, 0, 9, nil, 2, 2, 1, 0)
	p.Rigs[0].PeopleMax = 5
	p.Open = []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 0, To: civil.Minutes(24 * 60)}}
	over := func() bool {
		return slices.ContainsFunc(New(p).Board([]plan.Session{s}).All().At(verdict.Stops), func(f verdict.Finding) bool { return f.Rule == "rig-headcount" })
	}
	if over() {
		t.Error("two trainees, two others and an instructor are more than five")
	}
	if p.Rigs[0].PeopleMax = 4; !over() {
		t.Error("five people stand on a rig that bears four")
	}
}
