package demo

import (
	"cmp"
	"slices"

	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// toGive is how many of the latest certificates wait for the administrator.
const toGive = 2

// leaveToGive takes back the latest certificates of two trainees who were present
// all the time and have no session to come: what they did was noted and
// countersigned, but for one session of the second.
func (b *builder) leaveToGive() {
	latest := slices.Clone(b.awards)
	slices.SortStableFunc(latest, func(x, y *credential.Certificate) int { return int(y.Completed - x.Completed) })
	left := 0
	for _, c := range latest {
		runs := b.runsOf(c.Trainee)
		if left == toGive || c.Person == b.person(traineeName) || b.renewsOne(c) || !b.onlyHere(c) || !wholly(runs, c.Trainee) {
			continue
		}
		b.awards = slices.DeleteFunc(b.awards, func(x *credential.Certificate) bool { return x == c })
		for i, r := range runs {
			n := session.Note{Trainee: c.Trainee, Signed: r.session.End}
			if left == 1 && i == len(runs)-1 {
				n.Signed = 0
			}
			r.results.Notes = append(r.results.Notes, n)
			slices.SortFunc(r.results.Notes, func(x, y session.Note) int { return cmp.Compare(x.Trainee, y.Trainee) })
			for j := range r.results.Results {
				if r.results.Results[j].Trainee == c.Trainee {
					r.results.Results[j].How = session.Watched
				}
			}
		}
		left++
	}
}

// runsOf are the sessions of an enrolment in the order of time.
func (b *builder) runsOf(t id.Trainee) (out []*run) {
	for _, r := range b.runs {
		if slices.Contains(r.session.Trainees, t) && r.session.State != session.StoodDown {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(x, y *run) int { return int(x.session.Start - y.session.Start) })
	return out
}

// wholly reports whether a trainee was there for the whole of sessions that were
// signed off.
func wholly(runs []*run, t id.Trainee) bool {
	for _, r := range runs {
		i := slices.IndexFunc(r.attendance.Presences, func(p session.Presence) bool { return p.Who == string(t) })
		if r.session.State != session.SignedOff || i < 0 || r.attendance.Presences[i].Mark != session.Present {
			return false
		}
	}
	return len(runs) > 0
}

// renewsOne reports whether a certificate renewed another one.
func (b *builder) renewsOne(c *credential.Certificate) bool {
	return slices.ContainsFunc(b.replaced, func(x brought) bool { return x.certificate.Person == c.Person })
}

// onlyHere reports whether the holder came for this one programme alone, so that
// nothing later rests on the certificate.
func (b *builder) onlyHere(c *credential.Certificate) bool {
	i := slices.IndexFunc(b.former, func(p *person) bool { return p.id == c.Person })
	return i >= 0 && len(b.former[i].did) == 1
}
