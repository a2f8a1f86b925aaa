package plan

import (
	"errors"
	"fmt"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// The format names of the two files.
const (
	ProblemFormat = "rungbook.problem.v1"
	PlanFormat    = "rungbook.plan.v1"
)

type problemFile struct {
	Format string `json:"format"`
	Problem
}

type planFile struct {
	Format string `json:"format"`
	Plan
}

// DecodeProblem reads a PROBLEM file. Every error is a *fault.Error of kind
// Invalid whose Field is the JSON pointer (RFC 6901) of what is wrong. What only
// the rules can tell (fixed sessions that break one) is left to plan/check.
func DecodeProblem(data []byte) (*Problem, error) {
	found, err := survey(data, problemShape)
	if err != nil {
		return nil, err
	}
	if err := wantFormat(found, ProblemFormat); err != nil {
		return nil, err
	}
	zone, err := civil.LoadZone(found["/zone"])
	if err != nil {
		return nil, fault.Field("/zone", "%s", err)
	}
	f := problemFile{Problem: Problem{Grid: 1}}
	if err := unmarshal(data, &f, readers(zone)); err != nil {
		return nil, err
	}
	if f.Grid < 1 {
		return nil, fault.Field("/grid_minutes", "is 0, must be 1 or more")
	}
	if err := f.Problem.Usable(); err != nil {
		return nil, err
	}
	return &f.Problem, nil
}

// DecodePlan reads a PLAN file whose times are of zone. Errors are as those of
// DecodeProblem. Whether the plan speaks of things the problem has is asked of
// Knows, since an older plan may name what has gone.
func DecodePlan(data []byte, zone civil.Zone) (*Plan, error) {
	found, err := survey(data, planShape)
	if err != nil {
		return nil, err
	}
	if err := wantFormat(found, PlanFormat); err != nil {
		return nil, err
	}
	var f planFile
	if err := unmarshal(data, &f, planReaders(zone)); err != nil {
		return nil, err
	}
	if err := f.Plan.wellFormed(); err != nil {
		return nil, err
	}
	return &f.Plan, nil
}

func wantFormat(found map[string]string, format string) error {
	if f := found["/format"]; f != format {
		return fault.Field("/format", "is %q, must be %q", f, format)
	}
	return nil
}

// EncodeProblem writes a PROBLEM file that DecodeProblem reads back equal. Rest
// that is not stated is left out, which makes the file unusable, as it must be.
func EncodeProblem(p *Problem) ([]byte, error) {
	return marshal(problemFile{ProblemFormat, *p}, p.Zone)
}

// EncodePlan writes a PLAN file in canonical order (see Plan.Sort), times with
// the offsets of zone. The same plan gives the same bytes.
func EncodePlan(p *Plan, zone civil.Zone) ([]byte, error) {
	c := Plan{Cost: p.Cost, Bound: p.Bound, Made: p.Made, Sessions: make([]Session, len(p.Sessions))}
	for i := range p.Sessions {
		c.Sessions[i] = p.Sessions[i].Clone()
	}
	if p.Unplaced != nil {
		c.Unplaced = append([]Unplaced{}, p.Unplaced...)
	}
	c.Sort()
	return marshal(planFile{PlanFormat, c}, zone)
}

func marshal(v any, zone civil.Zone) ([]byte, error) {
	out, err := json.Marshal(v, json.WithMarshalers(writers(zone)), json.Deterministic(true), jsontext.WithIndent(" "))
	if err != nil {
		return nil, fmt.Errorf("encode: %w", err)
	}
	return append(out, '\n'), nil
}

func unmarshal(data []byte, v any, u *json.Unmarshalers) error {
	err := json.Unmarshal(data, v, json.WithUnmarshalers(u), json.RejectUnknownMembers(true))
	return inWords(data, err)
}

// inWords turns what the JSON package says into a sentence with a pointer.
func inWords(data []byte, err error) error {
	if err == nil {
		return nil
	}
	var meaning *json.SemanticError
	var form *jsontext.SyntacticError
	switch {
	case errors.As(err, &form) && errors.Is(err, jsontext.ErrDuplicateName):
		return fault.Field(string(form.JSONPointer), "is given twice")
	case errors.As(err, &form):
		line := 1 + strings.Count(string(data[:min(int(form.ByteOffset), len(data))]), "\n")
		return fault.Field(string(form.JSONPointer), "line %d: %s", line, jsonReason(form.Err))
	case errors.As(err, &meaning) && errors.Is(err, json.ErrUnknownName):
		return fault.Field(string(meaning.JSONPointer), "no such member here (names are case-sensitive)")
	case errors.As(err, &meaning):
		var own wrongValue
		if errors.As(err, &own) {
			return fault.Field(string(meaning.JSONPointer), "%s", own.sentence)
		}
		return fault.Field(string(meaning.JSONPointer), "a JSON %s can't stand here", meaning.JSONKind)
	}
	return fault.Field("", "not readable as JSON: %s", err)
}

func jsonReason(err error) string {
	if err == nil {
		return "the JSON is malformed"
	}
	return strings.TrimPrefix(err.Error(), "jsontext: ")
}
