package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// layComplaints is a complaint that was answered and waits for a decision, an appeal
// that was decided, and a complaint whose first answer is overdue. It takes new ids
// and so comes last.
func (b *builder) layComplaints() {
	b.layAppeal()
	by := b.person(administrator)
	came := b.workdaysBack(9)
	rain := complaint.Complaint{ID: fresh[id.Complaint](b), Kind: complaint.Grievance, Way: complaint.ByLetter, Received: came, From: "Slieveroe Turbine Care, training office, by its letter",
		Text:     "Our people stood in the rain for the better part of an hour on two mornings, because the hall was locked until the first session was over. Please say where they may wait.",
		Recorded: complaint.Signed{By: by, At: b.zone.At(came, 10*clock+5)}}
	b.write(signing, came, by, "received", rain)
	answered := b.workdaysBack(7)
	rain.Answers = []complaint.Answer{{By: by, At: b.zone.At(answered, 11*clock), Text: "Your letter is here, thank you. We ask the instructors of both mornings, and you hear from us within four weeks. Until then the hall is open from 07:15."}}
	b.write(signing, answered, by, "answered", rain)
	rain.Involved = []complaint.Involved{{By: by, At: b.zone.At(answered, 11*clock+10), People: []id.Person{b.person("mac-suibhne")}}}
	b.write(signing, answered, by, "involved-people-named", rain)

	late := b.workdaysBack(7)
	b.write(signing, late, by, "received", complaint.Complaint{ID: fresh[id.Complaint](b), Kind: complaint.Grievance, Way: complaint.ByPhone, Received: late,
		Text:     "A caller who gave no name says that two of the harness lockers are too small, and that harnesses are left on the floor there overnight.",
		Recorded: complaint.Signed{By: by, At: b.zone.At(late, 16*clock+20)}})
}

// layAppeal is an appeal against what was found of somebody months ago, decided by a
// responsible person who was not there.
func (b *builder) layAppeal() {
	r, who, decides := b.appealed()
	if r == nil {
		return // a past so short that nothing was found of anybody
	}
	i := slices.IndexFunc(r.intake.members, func(e *enrolment) bool { return e.trainee.ID == who })
	by, found := b.person(administrator), b.zone.DayOf(r.session.End)
	day := func(n int) civil.Day { return b.workdaysOn(found, n) }
	a := complaint.Complaint{ID: fresh[id.Complaint](b), Kind: complaint.Appeal, Way: complaint.ByMail, Received: day(3), Filer: r.intake.members[i].person.id, Against: complaint.Matter{Session: r.session.ID, Trainee: who},
		Text:     "I was found not yet competent, though the instructor was called away for part of what I showed. I ask that it be looked at again.",
		Recorded: complaint.Signed{By: by, At: b.zone.At(day(3), 9*clock+15)}}
	b.write(signing, day(3), by, "received", a)
	a.Answers = []complaint.Answer{{By: by, At: b.zone.At(day(4), 14*clock), Text: "Your appeal is here. Somebody who was not in the session decides it; you hear from us within four weeks."}}
	b.write(signing, day(4), by, "answered", a)
	a.Involved = []complaint.Involved{{By: by, At: b.zone.At(day(4), 14*clock+5)}}
	b.write(signing, day(4), by, "involved-people-named", a)
	a.Decisions = []complaint.Decision{{By: decides, At: b.zone.At(day(12), 15*clock+30), Outcome: complaint.UpheldInPart,
		Reason: "The record shows that the instructor was present all the time, so what was found stands. That it was not explained on the day is so, and should not be.",
		Done:   "The instructor explains each result that is not yet competent before the countersignature. The exercise was offered again without charge."}}
	b.write(signing, day(12), decides, "decided", a)
}

// appealed finds a session of long enough ago in which somebody was found not yet
// competent, and a responsible person who was not in it; neither was the
// administrator, who answers.
func (b *builder) appealed() (r *run, who id.Trainee, decides id.Person) {
	for _, r := range slices.Backward(b.runs) {
		if r.session.State != session.SignedOff || b.zone.DayOf(r.session.End) > b.workdaysBack(25) || b.inIt(r, b.person(administrator)) {
			continue
		}
		i := slices.IndexFunc(r.results.Results, func(x session.Result) bool { return x.Result == session.NotYetCompetent })
		for _, p := range responsible {
			if decides := b.person(p.now); i >= 0 && p.now != administrator && !b.inIt(r, decides) {
				return r, r.results.Results[i].Trainee, decides
			}
		}
	}
	return nil, "", ""
}

func (b *builder) inIt(r *run, p id.Person) bool {
	return slices.Contains(r.session.Instructors, p) || slices.Contains(r.session.Rescuers, p) || slices.Contains(r.session.Others, p)
}

// workdaysBack returns the n-th workday before today.
func (b *builder) workdaysBack(n int) civil.Day {
	d := b.Today
	for range n {
		d = b.workdayBefore(d)
	}
	return max(d, b.opened())
}
