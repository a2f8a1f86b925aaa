package session

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Hows lists the ways in the order forms show them.
func Hows() []How { return []How{Watched, Asked, Written} }

// Assessments lists the results in the order forms show them.
func Assessments() []Assessed { return []Assessed{Competent, NotYetCompetent, NotAssessed} }

// NoteOf returns what stands beside a trainee's results; noted is false where
// nothing was noted of them yet.
func (r Results) NoteOf(t id.Trainee) (n Note, noted bool) {
	i := slices.IndexFunc(r.Notes, func(n Note) bool { return n.Trainee == t })
	if i < 0 {
		return Note{Trainee: t}, false
	}
	return r.Notes[i], true
}

// Noted returns the results with those of one trainee as given: each outcome of
// the exercise once, said how where it was assessed, and the score of a written
// test. A countersignature of other results is gone. The error is fault.Invalid,
// per field "result-<outcome>".
func (r Results) Noted(t id.Trainee, e curriculum.Exercise, list []Result, remark id.Commitment) (Results, error) {
	bad := fault.Fields{}
	var of []Result
	for _, o := range e.Outcomes {
		i := slices.IndexFunc(list, func(x Result) bool { return x.Outcome == o })
		field := "result-" + string(o)
		if i < 0 || !slices.Contains(Assessments(), list[i].Result) {
			bad.Add(field, "Say what was found: competent, not yet competent or not assessed.")
			continue
		}
		x := list[i]
		x.Trainee = t
		switch {
		case x.Result == NotAssessed:
			x.How, x.Score = "", 0
		case !slices.Contains(Hows(), x.How):
			bad.Add(field, "Say how it was assessed: watched, asked or written.")
		case x.How != Written:
			x.Score = 0
		case x.Score < 1 || x.Score > 100:
			bad.Add(field, "Give the score of the written test, from 1 to 100 percent.")
		}
		of = append(of, x)
	}
	if err := bad.Err(); err != nil {
		return r, err
	}
	out := r.without(t)
	out.Results = append(out.Results, of...)
	out.Notes = append(out.Notes, Note{Trainee: t, Remark: remark})
	return out.sorted(), nil
}

// Countersigned returns the results with a trainee's word for theirs.
func (r Results) Countersigned(n Note) Results {
	out := r
	out.Notes = slices.Clone(r.Notes)
	for i := range out.Notes {
		if out.Notes[i].Trainee == n.Trainee {
			out.Notes[i].Signed, out.Notes[i].Drawn = n.Signed, n.Drawn
		}
	}
	return out
}

// without returns the results without one trainee's.
func (r Results) without(t id.Trainee) Results {
	r.Results = slices.DeleteFunc(slices.Clone(r.Results), func(x Result) bool { return x.Trainee == t })
	r.Notes = slices.DeleteFunc(slices.Clone(r.Notes), func(n Note) bool { return n.Trainee == t })
	return r
}

func (r Results) sorted() Results {
	slices.SortStableFunc(r.Results, func(a, b Result) int { return cmp.Compare(a.Trainee, b.Trainee) })
	slices.SortStableFunc(r.Notes, func(a, b Note) int { return cmp.Compare(a.Trainee, b.Trainee) })
	return r
}

// Signed returns what stands of a session that has ended once it is signed: its
// times are the real ones, its staff are those who came, presences are cut to its
// times, whoever was never there did not come, and results of those are gone. move
// is ToSignOff or ToCutShort.
func Signed(s Session, a Attendance, r Results, move Move, by id.Person) (Session, Attendance, Results, error) {
	to, err := Next(s.State, move)
	if err != nil {
		return s, a, r, err
	}
	if !s.Ended() {
		return s, a, r, fault.New(fault.Conflict, "The session has not ended. Say first when the last one stopped working.")
	}
	run := s.Run
	s.State, s.Start, s.End = to, run.Began, run.Ended
	out := Attendance{Session: a.Session}
	came := map[Presence]bool{}
	for _, p := range Within(a.Presences, run.Began, run.Ended) {
		out.Presences = append(out.Presences, p)
		came[Presence{Who: p.Who, Part: p.Part}] = true
	}
	for _, t := range s.Trainees {
		if !came[Presence{Who: string(t), Part: AsTrainee}] {
			out.Presences = append(out.Presences, Presence{Who: string(t), Part: AsTrainee, Mark: DidNotCome})
			r = r.without(t)
		}
	}
	stay := func(list []id.Person, part Part) (in []id.Person) {
		for _, p := range list {
			if came[Presence{Who: string(p), Part: part}] {
				in = append(in, p)
			} else {
				out.Presences = append(out.Presences, Presence{Who: string(p), Part: part, Mark: DidNotCome})
			}
		}
		return in
	}
	s.Instructors, s.Rescuers, s.Others = stay(s.Instructors, AsInstructor), stay(s.Rescuers, AsRescuer), stay(s.Others, AsOther)
	out.sort()
	r.By = by
	return s.Sorted(), out, r, nil
}

// Within cuts ended presences to a period and leaves out what lies outside it.
func Within(list []Presence, from, until civil.Instant) (out []Presence) {
	for _, p := range list {
		p.Start, p.End = max(p.Start, from), min(p.End, until)
		if p.Mark != DidNotCome && p.Start < p.End {
			out = append(out, p)
		}
	}
	return out
}

// SortResults sorts results by trainee and outcome.
func SortResults(list []Result) {
	slices.SortFunc(list, func(a, b Result) int {
		return cmp.Or(cmp.Compare(a.Trainee, b.Trainee), cmp.Compare(a.Outcome, b.Outcome))
	})
}
