package completing

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
)

var zone, _ = civil.LoadZone("Europe/Dublin")

const monday civil.Day = 740000

// done is a file of one trainee who did two exercises with three outcomes, an hour
// each on two days, all noted and countersigned.
func done() file {
	first := curriculum.Exercise{ID: "harness", Outcomes: []id.Outcome{"fit", "check"}}
	second := curriculum.Exercise{ID: "rescue", Outcomes: []id.Outcome{"lower"}}
	return file{
		trainee:   people.Trainee{ID: "t", Person: "p", Intake: "in", Needs: []id.Exercise{"harness", "rescue"}},
		intake:    people.Intake{ID: "in", Programme: "height", From: monday},
		programme: curriculum.Programme{ID: "height", Units: []curriculum.Unit{{Outcomes: []id.Outcome{"fit", "check"}}, {Outcomes: []id.Outcome{"lower"}}}, Hours: 120, SpanDays: 2, Validity: "height.validity"},
		books:     []rulebook.Version{costs(1, rulebook.CostsOutcome)},
		held:      []held{ran("s1", first, monday), ran("s2", second, monday+1)},
		zone:      zone,
	}
}

func ran(of id.Session, e curriculum.Exercise, day civil.Day) held {
	start := zone.At(day, 9*60)
	h := held{exercise: e, minutes: 60,
		session:    session.Session{ID: of, State: session.SignedOff, Exercise: e.ID, Start: start, End: start.Add(60), Trainees: []id.Trainee{"t"}},
		attendance: session.Attendance{Session: of, Presences: []session.Presence{{Who: "t", Part: session.AsTrainee, Mark: session.Present, Start: start, End: start.Add(60)}}},
		results:    session.Results{Session: of, Notes: []session.Note{{Trainee: "t", Signed: start.Add(60)}}}}
	for _, o := range e.Outcomes {
		h.results.Results = append(h.results.Results, session.Result{Trainee: "t", Outcome: o, Result: session.Competent, How: session.Watched})
	}
	return h
}

// again is a later session of the second exercise in which it was found otherwise.
func again(a session.Assessed) held {
	h := ran("s3", curriculum.Exercise{ID: "rescue", Outcomes: []id.Outcome{"lower"}}, monday+1)
	h.results.Results[0].Result = a
	return h
}

// ended is a session that ended and waits for its signature.
func ended(h held) held {
	h.session.State = session.UnderWay
	h.session.Run = &session.Run{Began: h.session.Start, Ended: h.session.End}
	h.minutes = 0
	return h
}

func TestWhoIsCompleteAndWhatHoldsTheCertificate(t *testing.T) {
	cases := []struct {
		name     string
		change   func(*file)
		proposed bool
		holds    []HoldKind
	}{
		{"all done", func(*file) {}, true, nil},
		{"an outcome not yet competent", func(f *file) { f.held[0].results.Results[1].Result = session.NotYetCompetent }, false, nil},
		{"an outcome not assessed", func(f *file) { f.held[1].results.Results[0].Result = session.NotAssessed }, false, nil},
		{"an outcome that no exercise delivered", func(f *file) { f.programme.Units[1].Outcomes = []id.Outcome{"lower", "raise"} }, false, nil},
		{"an exercise of theirs never done", func(f *file) { f.trainee.Needs = append(f.trainee.Needs, "ladder") }, false, nil},
		{"did not come", func(f *file) { f.held[1].attendance.Presences[0].Mark = session.DidNotCome }, false, nil},
		{"found wanting since", func(f *file) { f.held = append(f.held, again(session.NotYetCompetent)) }, false, nil},
		{"not assessed since", func(f *file) { f.held = append(f.held, again(session.NotAssessed)) }, true, nil},
		{"found wanting, then competent", func(f *file) { f.held = append(f.held, again(session.NotYetCompetent), again(session.Competent)) }, true, nil},
		{"comes for nothing", func(f *file) { f.trainee.Needs = nil }, false, nil},
		{"replaced", func(f *file) { f.replaced = true }, false, nil},
		{"a programme without outcomes", func(f *file) { f.programme.Units = nil }, false, nil},
		{"units without outcomes", func(f *file) { f.programme.Units = []curriculum.Unit{{}} }, false, nil},
		{"ended and not signed", func(f *file) { f.held[1] = ended(f.held[1]) }, true, []HoldKind{NotSigned}},
		{"under way still", func(f *file) { f.held[1] = ended(f.held[1]); f.held[1].session.Run.Ended = 0 }, false, nil},
		{"another of theirs over and never run", func(f *file) {
			h := again(session.Competent)
			h.session.State, h.attendance, h.results = session.Booked, session.Attendance{}, session.Results{}
			f.held = append(f.held, h)
		}, true, []HoldKind{NotSigned}},
		{"no form", func(f *file) { f.held[0].results.Notes = nil }, true, []HoldKind{NoForm}},
		{"not countersigned", func(f *file) { f.held[0].results.Notes[0].Signed = 0 }, true, []HoldKind{NotCountersigned}},
		{"both", func(f *file) { f.held[0].results.Notes = nil; f.held[1].results.Notes[0].Signed = 0 }, true, []HoldKind{NoForm, NotCountersigned}},
		{"a minute too few", func(f *file) { f.programme.Hours = 121 }, true, []HoldKind{ShortHours}},
		{"to the minute", func(f *file) { f.programme.Hours = 120 }, true, nil},
		{"on the last day of its span", func(f *file) { f.programme.SpanDays = 2 }, true, nil},
		{"a day too long", func(f *file) { f.programme.SpanDays = 1 }, true, []HoldKind{TooLong}},
		{"no limit of days", func(f *file) { f.programme.SpanDays = 0 }, true, nil},
		{"given", func(f *file) { f.certificates = given("t", credential.Valid) }, false, nil},
		{"given and withdrawn", func(f *file) { f.certificates = given("t", credential.Withdrawn) }, false, nil},
		{"given in error and void", func(f *file) { f.certificates = given("t", credential.Void) }, true, nil},
		{"of another enrolment", func(f *file) { f.certificates = given("earlier", credential.Valid) }, true, nil},
		{"recorded from a paper since", func(f *file) { f.certificates = given("", credential.Valid) }, false, nil},
		{"recorded from a paper of earlier", func(f *file) { f.certificates = given("", credential.Valid); f.certificates[0].Completed = monday - 1 }, true, nil},
		{"another kind of paper", func(f *file) {
			f.certificates = given("t", credential.Valid)
			f.certificates[0].Kind = credential.FirstAid
		}, true, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := done()
			c.change(&f)
			p, ok := judge(f)
			var holds []HoldKind
			for _, h := range p.Holds {
				holds = append(holds, h.Kind)
			}
			if ok != c.proposed || !slices.Equal(holds, c.holds) {
				t.Errorf("proposed %v, held by %v; want %v, %v", ok, holds, c.proposed, c.holds)
			}
			if ok && (p.Completed != monday+1 || len(p.Rests) != 3) {
				t.Errorf("completed %s on %d outcomes", p.Completed, len(p.Rests))
			}
		})
	}
}

func given(t id.Trainee, s credential.State) []credential.Certificate {
	return []credential.Certificate{{ID: "c", Person: "p", Kind: credential.ForProgramme, Programme: "height", Trainee: t, Completed: monday, State: s}}
}

// Whatever was held, noted and signed: nobody is proposed of whom an outcome was not
// shown in a session they came to, and nobody without a hold of whom anything is
// unsigned.
func TestNobodyIsProposedWithAMissingOutcome(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		f := done()
		for range rapid.IntRange(0, 4).Draw(r, "more") {
			f.held = append(f.held, ran(id.Session(fmt.Sprint("m", len(f.held))), f.held[rapid.IntRange(0, 1).Draw(r, "of")].exercise, monday+civil.Day(rapid.IntRange(0, 3).Draw(r, "day"))))
		}
		for i := range f.held {
			h := &f.held[i]
			switch rapid.IntRange(0, 5).Draw(r, "what") {
			case 0:
				h.results.Results[0].Result = rapid.SampledFrom(session.Assessments()).Draw(r, "found")
			case 1:
				h.attendance.Presences[0].Mark = rapid.SampledFrom([]session.Mark{session.DidNotCome, session.Late}).Draw(r, "mark")
			case 2:
				*h = ended(*h)
			case 3:
				h.results.Notes = nil
			case 4:
				h.results.Notes[0].Signed = 0
			}
		}
		p, ok := judge(f)
		if !ok {
			return
		}
		for _, want := range []id.Outcome{"fit", "check", "lower"} {
			i := slices.IndexFunc(p.Rests, func(x Rest) bool { return x.Outcome == want })
			if i < 0 {
				r.Fatalf("proposed without %s", want)
			}
			h := f.held[slices.IndexFunc(f.held, func(h held) bool { return h.session.ID == p.Rests[i].Session.ID })]
			if h.results.Of("t", want) != session.Competent || !h.attendance.Came("t") {
				r.Fatalf("%s rests on %s, where it was not shown", want, h.session.ID)
			}
		}
		for _, h := range f.held {
			if n, _ := h.results.NoteOf("t"); len(p.Holds) == 0 && (!h.session.State.Signed() || h.attendance.Came("t") && n.Signed == 0) {
				r.Fatalf("ready although %s is not signed or countersigned", h.session.ID)
			}
		}
	})
}
