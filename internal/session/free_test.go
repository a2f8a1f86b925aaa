package session

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

// busyTwin asks minute by minute, person by person, and knows no list.
func busyTwin(who string, others []Elsewhere, at civil.Instant) bool {
	for _, o := range others {
		if o.Session.State == UnderWay && o.Session.Run.Ended == 0 {
			for _, p := range o.Attendance.Presences {
				is := p.Who
				if p.Part == AsTrainee {
					is = o.Person[p.Who]
				}
				until := p.End
				if until == 0 {
					until = at + 1
				}
				for m := p.Start; m != 0 && p.Mark != DidNotCome && m < until; m++ {
					if m == at && is == who {
						return true
					}
				}
			}
		}
	}
	return false
}

func TestWhoIsInAnotherSessionAtAMomentIsNotFreeThere(t *testing.T) {
	staff := []string{"ada", "brona", "col"}
	rapid.Check(t, func(t *rapid.T) {
		var others []Elsewhere
		for n := range rapid.IntRange(0, 3).Draw(t, "sessions") {
			o := Elsewhere{Person: map[string]string{"trainee-ada": "ada", "trainee-x": "x"}}
			o.Session.State = rapid.SampledFrom(States()).Draw(t, fmt.Sprint("state", n))
			o.Session.Run = &Run{Began: 1, Ended: civil.Instant(rapid.SampledFrom([]int{0, 0, 15}).Draw(t, "ended"))}
			for range rapid.IntRange(0, 4).Draw(t, "presences") {
				p := Presence{Who: rapid.SampledFrom(staff).Draw(t, "who"), Part: rapid.SampledFrom([]Part{AsInstructor, AsRescuer, AsOther, AsTrainee}).Draw(t, "part"),
					Mark: rapid.SampledFrom([]Mark{Present, Left, DidNotCome}).Draw(t, "mark"), Start: civil.Instant(rapid.IntRange(0, 20).Draw(t, "start"))}
				if p.Part == AsTrainee {
					p.Who = rapid.SampledFrom([]string{"trainee-ada", "trainee-x", "trainee-nobody"}).Draw(t, "trainee")
				}
				if rapid.Bool().Draw(t, "left") {
					p.End = p.Start + civil.Instant(rapid.IntRange(0, 9).Draw(t, "long"))
				}
				o.Attendance.Presences = append(o.Attendance.Presences, p)
			}
			others = append(others, o)
		}
		at := civil.Instant(rapid.IntRange(1, 25).Draw(t, "at"))
		got := Busy(staff, others, at)
		for _, who := range staff {
			if want := busyTwin(who, others, at); slices.Contains(got, who) != want {
				t.Fatalf("%s is busy: %t, want %t", who, !want, want)
			}
		}
	})
}
