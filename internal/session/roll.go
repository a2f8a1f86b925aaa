package session

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// Open reports whether a presence has begun and not ended: the person is there.
// Only a session that is booked or under way has such presences; what is credited
// counts the ended ones alone.
func (p Presence) Open() bool { return p.Mark != DidNotCome && p.Start != 0 && p.End == 0 }

// Here returns who is there in a part, "" for any, sorted.
func (a Attendance) Here(part Part) []string {
	var out []string
	for _, p := range a.Presences {
		if p.Open() && (part == "" || p.Part == part) {
			out = append(out, p.Who)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Seen is what a roll call found of one person: in which part they are there.
type Seen struct {
	Who  string
	Part Part
	Here bool
}

// Call returns the attendance after a roll called at a moment. Who is there and
// was not, came then: late where the session had begun (began; 0 = not yet), unless
// they return. Who was there and is not, left then. Nothing else changes. A coming
// that is taken back in its own minute leaves nothing. The error is fault.Invalid
// at "at" where somebody would leave before they came, or come before they left.
func (a Attendance) Call(at, began civil.Instant, seen []Seen) (Attendance, error) {
	out := Attendance{Session: a.Session, Presences: slices.Clone(a.Presences)}
	for _, s := range seen {
		mine := func(p Presence) bool { return p.Who == s.Who && p.Part == s.Part && p.Mark != DidNotCome }
		last := -1 // the latest of theirs
		for i, p := range out.Presences {
			if mine(p) && (last < 0 || p.Start > out.Presences[last].Start) {
				last = i
			}
		}
		here := last >= 0 && out.Presences[last].Open()
		switch {
		case here == s.Here:
		case here && at == out.Presences[last].Start:
			out.Presences = slices.Delete(out.Presences, last, last+1)
		case here && at < out.Presences[last].Start:
			return a, fault.Field("at", "Somebody would leave before they came. Give a later time.")
		case here:
			out.Presences[last].End, out.Presences[last].Mark = at, Left
		case last >= 0 && at < out.Presences[last].End:
			return a, fault.Field("at", "Somebody would return before they left. Give a later time.")
		default:
			p := Presence{Who: s.Who, Part: s.Part, Mark: Present, Start: at}
			if last < 0 && began != 0 && at > began {
				p.Mark = Late
			}
			out.Presences = slices.DeleteFunc(out.Presences, func(x Presence) bool { return x.Who == s.Who && x.Part == s.Part && x.Mark == DidNotCome })
			out.Presences = append(out.Presences, p)
		}
	}
	out.sort()
	return out, nil
}

func (a *Attendance) sort() {
	order := []Part{AsInstructor, AsRescuer, AsTrainee, AsOther}
	slices.SortStableFunc(a.Presences, func(x, y Presence) int {
		return cmp.Or(cmp.Compare(slices.Index(order, x.Part), slices.Index(order, y.Part)), cmp.Compare(x.Who, y.Who), cmp.Compare(x.Start, y.Start))
	})
}
