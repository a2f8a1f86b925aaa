package completing

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
)

// costs is a rule book from a day on that says what a failure costs; −1 = nothing.
func costs(from civil.Day, what rulebook.Failing) rulebook.Version {
	b := rulebook.Version{ID: id.RuleBook("from-" + from.String()), From: from, Profiles: []id.Profile{"training"},
		Lines: []rulebook.Line{{ID: "height.validity", Profile: "training", Quantity: rulebook.ValidityMonths, Value: 24}}}
	if what >= 0 {
		b.Lines = append(b.Lines, rulebook.Line{ID: "height.validity.failure", Profile: "training", Quantity: rulebook.FailureCosts, Value: int64(what)})
	}
	return b
}

// at is a session of an exercise so many hours after the first began, in which an
// outcome was found as given and all others competent.
func at(of id.Session, e curriculum.Exercise, hours civil.Minutes, o id.Outcome, found session.Assessed) held {
	h := ran(of, e, monday)
	h.session.Start = h.session.Start.Add(hours * 60)
	h.session.End = h.session.Start.Add(60)
	h.attendance.Presences[0].Start, h.attendance.Presences[0].End = h.session.Start, h.session.End
	for i := range h.results.Results {
		if h.results.Results[i].Outcome == o {
			h.results.Results[i].Result = found
		}
	}
	return h
}

func TestACertificateWaitsUntilWhatAFailureCostWasDoneAfterIt(t *testing.T) {
	harness := curriculum.Exercise{ID: "harness", Outcomes: []id.Outcome{"fit", "check"}}
	rescue := curriculum.Exercise{ID: "rescue", Outcomes: []id.Outcome{"lower"}}
	check := curriculum.Exercise{ID: "check-only", Outcomes: []id.Outcome{"check"}}
	good := session.Competent
	failed := at("failed", harness, 2, "check", session.NotYetCompetent)
	before := []held{at("h0", harness, 0, "", good), at("r0", rescue, 1, "", good), failed}
	older := func(state credential.State, until civil.Day) []credential.Certificate {
		return []credential.Certificate{{ID: "old", Kind: credential.ForProgramme, Programme: "height", Trainee: "earlier", Completed: monday - 300, From: monday - 300, Until: until, State: state}}
	}
	const unsaid rulebook.Failing = -1
	for _, c := range []struct {
		name    string
		costs   rulebook.Failing
		after   []held
		certs   []credential.Certificate
		missing []id.Exercise
		held    bool
	}{
		{"the outcome, shown again elsewhere", rulebook.CostsOutcome, []held{at("c", check, 3, "", good)}, nil, nil, false},
		{"the exercise, only its outcome shown again", rulebook.CostsExercise, []held{at("c", check, 3, "", good)}, nil, []id.Exercise{"harness"}, true},
		{"the exercise, done again", rulebook.CostsExercise, []held{at("h1", harness, 3, "", good)}, nil, nil, false},
		{"the exercise, done again but for one outcome", rulebook.CostsExercise, []held{at("h1", harness, 3, "fit", session.NotAssessed), at("c", check, 4, "", good)}, nil, []id.Exercise{"harness"}, true},
		{"the programme, the exercise done again", rulebook.CostsProgramme, []held{at("h1", harness, 3, "", good)}, nil, []id.Exercise{"rescue"}, true},
		{"the programme, all of it done again", rulebook.CostsProgramme, []held{at("h1", harness, 3, "", good), at("r1", rescue, 4, "", good)}, nil, nil, false},
		{"the programme, half of it done in the same hour as the failure", rulebook.CostsProgramme, []held{at("r1", rescue, 2, "", good), at("h1", harness, 3, "", good)}, nil, []id.Exercise{"rescue"}, true},
		{"an older certificate that stands", rulebook.CostsCertificate, []held{at("h1", harness, 3, "", good)}, older(credential.Valid, monday+300), nil, true},
		{"an older certificate that is void", rulebook.CostsCertificate, []held{at("h1", harness, 3, "", good)}, older(credential.Void, monday+300), nil, false},
		{"an older certificate that had lapsed", rulebook.CostsCertificate, []held{at("h1", harness, 3, "", good)}, older(credential.Valid, monday-1), nil, false},
		{"an older certificate on its last day", rulebook.CostsCertificate, []held{at("h1", harness, 3, "", good)}, older(credential.Valid, monday), nil, true},
		{"no older certificate", rulebook.CostsCertificate, []held{at("h1", harness, 3, "", good)}, nil, nil, false},
		{"no line says it", unsaid, []held{at("h1", harness, 3, "", good), at("r1", rescue, 4, "", good)}, nil, nil, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := done()
			f.programme.Hours, f.programme.SpanDays = 0, 0
			f.books = []rulebook.Version{costs(1, c.costs)}
			f.held, f.certificates = append(slices.Clone(before), c.after...), c.certs
			p, ok := judge(f)
			if !ok {
				t.Fatal("nothing is proposed, so nothing says what is missing")
			}
			i := slices.IndexFunc(p.Holds, func(h Hold) bool { return h.Kind == FailureStands })
			if (i >= 0) != c.held {
				t.Fatalf("held: %v, by %+v", i >= 0, p.Holds)
			}
			if i < 0 {
				return
			}
			h := p.Holds[i]
			if h.Session.ID != "failed" || h.Failure.Outcome != "check" || !slices.Equal(h.Failure.Missing, c.missing) || (h.Failure.Certificate != "") != (c.certs != nil) {
				t.Errorf("held by %+v of %s", *h.Failure, h.Session.ID)
			}
		})
	}
}

func TestTheCostIsThatOfTheDayOfTheFailure(t *testing.T) {
	harness := curriculum.Exercise{ID: "harness", Outcomes: []id.Outcome{"fit", "check"}}
	f := done()
	f.programme.Hours, f.programme.SpanDays = 0, 0
	f.held = []held{at("h0", harness, 0, "", session.Competent), f.held[1], at("failed", harness, 2, "check", session.NotYetCompetent), at("h1", harness, 30, "", session.Competent)}
	for _, c := range []struct {
		name  string
		books []rulebook.Version
		want  rulebook.Failing
		line  bool
	}{
		{"the book of the day, not a later one", []rulebook.Version{costs(1, rulebook.CostsExercise), costs(monday+1, rulebook.CostsProgramme)}, rulebook.CostsExercise, true},
		{"the book that begins on the day", []rulebook.Version{costs(1, rulebook.CostsExercise), costs(monday, rulebook.CostsProgramme)}, rulebook.CostsProgramme, true},
		{"the first later one where it does not say", []rulebook.Version{costs(monday+9, rulebook.CostsProgramme), costs(1, -1), costs(monday+5, rulebook.CostsExercise)}, rulebook.CostsExercise, true},
		{"no book says", []rulebook.Version{costs(1, -1)}, 0, false},
		{"no book", nil, 0, false},
	} {
		f.books = c.books
		got := f.cost(monday)
		if (got.Line != "") != c.line || c.line && got.Failing != c.want {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
