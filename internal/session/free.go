package session

import (
	"slices"

	"rungbook/internal/civil"
)

// Elsewhere is another session's own record: its roll, and for its trainees the
// person behind each.
type Elsewhere struct {
	Session    Session
	Attendance Attendance
	Person     map[string]string // by trainee; one who is not in it is nobody's
}

// Busy returns who of these is in another session at a moment, sorted: somebody
// whom its roll still names there, however long it runs over its time, and in
// whatever part. Who teaches, is assessed, watches or stands by there rescues
// nobody here. Sessions that have ended hold nobody.
func Busy(of []string, others []Elsewhere, at civil.Instant) (out []string) {
	for _, o := range others {
		if o.Session.State != UnderWay || o.Session.Ended() {
			continue
		}
		for _, p := range o.Attendance.Presences {
			who := p.Who
			if p.Part == AsTrainee {
				who = o.Person[who]
			}
			there := p.Mark != DidNotCome && p.Start != 0 && p.Start <= at && (p.End == 0 || at < p.End)
			if there && slices.Contains(of, who) {
				out = append(out, who)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
