package httpd

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/go-chi/chi/v5/middleware"

	"rungbook/internal/booking"
	"rungbook/internal/fault"
)

// apiProblem is an error as RFC 9457 has it. It loses nothing of a refusal: the
// findings and the nearest free times are members of their own.
type apiProblem struct {
	Type     string            `json:"type" doc:"about:blank: the title says what it is"`
	Title    string            `json:"title"`
	Status   int               `json:"status"`
	Detail   string            `json:"detail,omitempty" doc:"What was found and what can be done, in a sentence"`
	Kind     string            `json:"kind" enum:"internal,invalid,not found,conflict,forbidden,gone,refused,unusable,busy,not signed in,too often" doc:"For programs"`
	Request  string            `json:"request,omitempty" doc:"Number of an internal error, to quote"`
	Fields   map[string]string `json:"fields,omitempty" doc:"A sentence for each field that needs mending"`
	Findings []apiFinding      `json:"findings,omitempty" doc:"What the rules say; of kind refused at least one stops"`
	Nearest  []apiOffer        `json:"nearest,omitempty" doc:"Free times nearest to what was refused"`
	Winner   *apiWinner        `json:"winner,omitempty" doc:"Who took the place since the entry given as seen"`
}

type apiWinner struct {
	Session string `json:"session"`
	By      string `json:"by"`
	At      string `json:"at"`
}

var problemType = reflect.TypeFor[apiProblem]()

// Error makes a problem an error that huma sends as it is.
func (p *apiProblem) Error() string { return p.Detail }

// GetStatus is the answer's status.
func (p *apiProblem) GetStatus() int { return p.Status }

// ContentType is that of RFC 9457 section 3.
func (p *apiProblem) ContentType(string) string { return "application/problem+json" }

// problemOf words an error for a program.
func (s *server) problemOf(ctx context.Context, err error) error {
	var ready *apiProblem
	if errors.As(err, &ready) {
		return ready
	}
	kind := fault.Of(err)
	p := &apiProblem{Type: "about:blank", Title: titles[kind], Status: status[kind], Detail: fault.Message(err), Kind: kind.String()}
	if fields, ok := taken(err); ok {
		p.Fields = fields
		if len(fields) == 1 {
			for _, sentence := range fields {
				p.Detail = sentence
			}
		}
	}
	switch {
	case errors.Is(err, errNoToken):
		p.Status, p.Kind, p.Title = http.StatusUnauthorized, "not signed in", "No token that stands"
		return huma.ErrorWithHeaders(p, http.Header{"Www-Authenticate": {"Bearer"}})
	case errors.Is(err, errTooOften):
		p.Status, p.Kind, p.Title = http.StatusTooManyRequests, "too often", "Too often"
		return huma.ErrorWithHeaders(p, http.Header{"Retry-After": {"60"}})
	case kind == fault.Busy:
		return huma.ErrorWithHeaders(p, http.Header{"Retry-After": {strconv.Itoa(fault.After(err))}})
	case kind == fault.Internal:
		p.Request = middleware.GetReqID(ctx)
		p.Detail = "This is our fault, not yours. Nothing was saved. Try again, and if it fails again quote the request."
		s.log.Error("internal error", "request", p.Request, "route", routeOf(ctx), "err", address.ReplaceAllString(err.Error(), "…"))
	}
	return p
}

// refusedProblem is what a stopped proposal is answered with.
func (c *call) refusedProblem(p booking.Proposal, j *booking.Judged) error {
	out := &apiProblem{Type: "about:blank", Title: titles[fault.Refused], Status: status[fault.Refused], Kind: fault.Refused.String(),
		Findings: c.findings(j.Slice, j.Report.Findings)}
	for _, f := range out.Findings {
		if f.Level == "stops" {
			out.Detail = fmt.Sprintf("%s: %s. Required: %s.", f.Title, f.Found, f.Required)
			break
		}
	}
	if w := j.Winner; w != nil {
		out.Status, out.Kind, out.Title = http.StatusConflict, fault.Conflict.String(), w.By+" was first"
		out.Winner = &apiWinner{string(w.Session), w.By, c.moment(w.At)}
	}
	near, err := c.Desk.Near(c.ctx, c.Actor, p)
	if err != nil && fault.Of(err) == fault.Internal {
		return err
	}
	for _, n := range near {
		out.Nearest = append(out.Nearest, c.offer(j.Slice, n, p.Trial))
	}
	return out
}

// schemaName names a value in the description: apiStation and APIStation are Station.
func schemaName(t reflect.Type, hint string) string {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	for _, prefix := range []string{"api", "API"} { // a struct that others embed is exported, or huma does not look into it
		if name, ours := strings.CutPrefix(t.Name(), prefix); ours {
			return name
		}
	}
	return huma.DefaultSchemaNamer(t, hint)
}
