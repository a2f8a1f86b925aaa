package drafting

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/solve"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

// Impossible is a need that no plan of a draft's problem can place, known before
// any search.
type Impossible struct {
	Need
	Rule string       // the plan rule that leaves no place
	Say  verdict.Text // why, in words of the records where they have any
}

// mostNever is how many needs without any place a draft keeps.
const mostNever = 200

// barred is an impossible need as a draft keeps it.
type barred struct{ Trainee, Exercise, Rule, At, Words string }

// contradictions finds the needs that no plan can place.
func (t *task) contradictions() []barred {
	var out []barred
	for _, c := range solve.Contradictions(t.problem) {
		if len(out) < mostNever {
			out = append(out, barred{c.Trainee, c.Exercise, c.Rule, c.At, c.Words})
		}
	}
	return out
}

// impossible words what a draft keeps of them.
func (m memo) impossible(s *planning.Slice) []Impossible {
	var out []Impossible
	for _, b := range m.Never {
		one := Impossible{Need: needOf(s, b.Trainee, b.Exercise), Rule: b.Rule, Say: say(s, b.Words)}
		if c, ok := s.Cause(verdict.Finding{Rule: b.Rule, At: b.At}); ok && c.Say != nil {
			one.Say = c.Say
		}
		out = append(out, one)
	}
	return out
}

func needOf(s *planning.Slice, trainee, exercise string) Need {
	return Need{id.Trainee(trainee), s.Name(verdict.Ref{Kind: verdict.Trainee, ID: trainee}),
		id.Exercise(exercise), s.Name(verdict.Ref{Kind: verdict.Exercise, ID: exercise})}
}

// Explanation says why a plan leaves a need without a place: an irreducible set
// of causes. With all of them lifted an insertion search finds a place; with any
// one put back it finds none. A plan in which other sessions lie elsewhere may
// place the need.
type Explanation struct {
	Need
	Standing *plan.Session // the need has a place: here; nothing else is said then
	Fits     *plan.Session // it can be placed as the plan is: here; nothing else is said then
	Causes   []Cause       // none where no set was found that can be lifted
	Place    *plan.Session // where it fits with all causes lifted
	Nearest  []string      // without causes: rules broken at the best place found
	Starts   int           // starts on a station that each search without success looked at, or more
	Days     int           // days that were searched
	Slice    *planning.Slice
}

// Cause is one thing that stands in a need's way.
type Cause struct {
	Rules []string // plan rules
	Say   verdict.Text
}

// Explain tells why a draft leaves a need without a place. Errors: fault.NotFound
// for a need that the draft's problem lacks, fault.Conflict without a plan.
func (d *Desk) Explain(ctx context.Context, actor access.Actor, of id.Draft, trainee id.Trainee, exercise id.Exercise) (Explanation, error) {
	if _, err := access.Require(actor, access.SeeDrafts); err != nil {
		return Explanation{}, err
	}
	p, err := d.read(ctx, of)
	if err != nil {
		return Explanation{}, err
	}
	e, ok := solve.Explain(p.problem, p.plan.Sessions, string(trainee), string(exercise))
	if !ok {
		return Explanation{}, fault.New(fault.NotFound, "This draft has no such need.")
	}
	put, gone := p.put()
	with := p.slice.With(gone, put)
	out := Explanation{Need: needOf(with, e.Trainee, e.Exercise), Standing: e.Standing, Fits: e.Fits, Place: e.Place, Nearest: e.Nearest,
		Starts: e.Starts, Days: e.Days, Slice: with}
	for _, c := range e.Causes {
		out.Causes = append(out.Causes, Cause{c.Rules, say(with, c.Words)})
	}
	return out, nil
}

// named are the kinds of things whose ids stand in the planner's sentences.
var named = []verdict.RefKind{verdict.Exercise, verdict.Station, verdict.Person, verdict.Trainee, verdict.Rig, verdict.Zone,
	verdict.Circuit, verdict.Kit, verdict.Intake, verdict.Course, verdict.Policy}

// say turns a sentence of the planner into one whose ids, days and instants are
// values, so that pages show names and local times.
func say(s *planning.Slice, sentence string) verdict.Text {
	sessions := map[string]string{}
	for _, x := range s.Standing {
		sessions[x.ID] = x.Exercise
	}
	var out verdict.Text
	for i, word := range strings.Split(sentence, " ") {
		if i > 0 {
			out = append(out, " ")
		}
		core := strings.Trim(word, `.,;:()"`)
		before, after, _ := strings.Cut(word, core)
		if value := valueOf(s, sessions, core); core != "" && value != nil {
			out = append(out, before, value, after)
		} else {
			out = append(out, word)
		}
	}
	return out
}

// valueOf returns what a word stands for, nil where it is only a word.
func valueOf(s *planning.Slice, sessions map[string]string, word string) any {
	if at, err := s.Problem.Zone.Parse(word); err == nil {
		return at
	}
	if d, err := civil.ParseDay(word); err == nil {
		return d
	}
	if exercise, ok := sessions[word]; ok {
		return verdict.Ref{Kind: verdict.Exercise, ID: exercise}
	}
	i := slices.IndexFunc(named, func(k verdict.RefKind) bool { return s.Name(verdict.Ref{Kind: k, ID: word}) != word })
	if i < 0 {
		return nil
	}
	return verdict.Ref{Kind: named[i], ID: word}
}

// words is a sentence of the planner with names, days and times as they are read
// on the spot.
func words(s *planning.Slice, sentence string) string {
	return say(s, sentence).In(verdict.Style{Ref: s.Name, Day: civil.Day.String, Instant: s.Problem.Zone.Format})
}
