package httpd

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/httprate"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/planning"
	"rungbook/internal/signin"
	"rungbook/internal/verdict"
)

// The interface for programs. Each operation names the action of the table that
// it needs, makes one call to the journey that the pages call too, and answers
// with values of api_values.go or with a problem of RFC 9457. What it offers is
// described from the same Go types at /api/v1/openapi.json.

const apiPath = "/api/v1"

// tokenUses is how often one token may be used in a minute.
const tokenUses = 240

// operation is one thing a program can ask for.
type operation struct {
	method, path string // path below apiPath
	action       access.Action
	id, summary  string
}

// Caller is what every operation is asked with.
type Caller struct {
	Authorization string `header:"Authorization" doc:"Bearer and a token that its owner made under /account/tokens."`
}

func (c Caller) bearer() string {
	scheme, secret, _ := strings.Cut(c.Authorization, " ")
	if !strings.EqualFold(scheme, "Bearer") {
		return ""
	}
	return strings.TrimSpace(secret)
}

// Keyed is what every operation that writes is asked with.
type Keyed struct {
	Caller
	Key string `header:"Idempotency-Key" required:"true" minLength:"8" maxLength:"128" doc:"Your own for each thing you want done: sent again with the same content, it is done once and answered alike."`
}

// call is one use of the interface: who acts, and how this yard's values read.
type call struct {
	*server
	signin.Visit
	ctx context.Context
}

// formKey makes a program's key one of ours: of this account alone, and without
// what was typed, since it stands in the ledger.
func (c *call) formKey(k string) string {
	sum := sha256.Sum256([]byte(string(c.Actor.Account) + "\x00" + k))
	return "api-" + hex.EncodeToString(sum[:16])
}

// style prints a finding with names, ISO days and times with their offset.
func (c *call) style(s *planning.Slice) verdict.Style {
	out := verdict.PlainStyle(c.Zone)
	out.Ref = s.Name
	return out
}

func (c *call) moment(t civil.Instant) string {
	if t == 0 {
		return ""
	}
	return c.Zone.Format(t)
}

// apiRouter answers under apiPath.
func (s *server) apiRouter(r chi.Router) {
	r.Use(s.readableCall)
	s.api(r)
}

// readableCall refuses an address that is not text, as pages do.
func (s *server) readableCall(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := readable(r)
		if err == nil {
			next.ServeHTTP(w, r)
			return
		}
		p := &apiProblem{Type: "about:blank", Title: titles[fault.Invalid], Status: status[fault.Invalid], Kind: fault.Invalid.String(), Detail: "The address is not readable as text."}
		w.Header().Set("Content-Type", p.ContentType(""))
		w.WriteHeader(p.Status)
		if err := json.NewEncoder(w).Encode(p); err != nil {
			s.log.Debug("the reader left")
		}
	})
}

func (s *server) api(r chi.Router) huma.API {
	config := huma.Config{
		OpenAPI: &huma.OpenAPI{
			OpenAPI: "3.1.0",
			Info: &huma.Info{Title: "Rungbook", Version: "1",
				Description: "Reads a yard's records and books its sessions, by the rights of a token's owner. Days are local, YYYY-MM-DD; moments are local times with their offset, of whole minutes. Nothing here replaces the before-use check, the risk assessment and whoever supervises."},
			Servers: []*huma.Server{{URL: apiPath}},
			Components: &huma.Components{
				Schemas:         huma.NewMapRegistry("#/components/schemas/", schemaName),
				SecuritySchemes: map[string]*huma.SecurityScheme{"token": {Type: "http", Scheme: "bearer"}},
			},
		},
		OpenAPIPath: "/openapi", Formats: huma.DefaultFormats, DefaultFormat: "application/json", RejectUnknownQueryParameters: true,
	}
	api := humachi.New(r, config)
	s.readRecords(api)
	s.readSessions(api)
	s.readLists(api)
	s.readReference(api)
	s.readGround(api)
	s.bookSessions(api)
	return api
}

// answer wraps a body as huma wants it.
type answer[O any] struct{ Body O }

// askedBy is an operation's input: it carries who asks.
type askedBy[I any] interface {
	*I
	bearer() string
}

// offer adds an operation.
func offer[I, O any, P askedBy[I]](s *server, api huma.API, o operation, do func(*call, P) (O, error)) {
	rule, _ := access.RuleOf(o.action)
	scope := access.ScopeRead
	if rule.Writes {
		scope = access.ScopeBook
	}
	problemSchema := api.OpenAPI().Components.Schemas.Schema(problemType, true, "problem")
	op := huma.Operation{Method: o.method, Path: o.path, OperationID: o.id, Summary: o.summary,
		Description: "Asks of the token's owner that they may " + rule.Say + ", and of the token the scope " + string(scope) + " or more.",
		Security:    []map[string][]string{{"token": {}}}, Tags: []string{string(scope)}, MaxBodyBytes: maxForm,
		Responses: map[string]*huma.Response{"default": {Description: "A problem of RFC 9457; nothing was written.",
			Content: map[string]*huma.MediaType{"application/problem+json": {Schema: problemSchema}}}},
	}
	huma.Register(api, op, func(ctx context.Context, in *I) (*answer[O], error) {
		c, err := s.enterByToken(ctx, P(in).bearer(), o.action)
		if err != nil {
			return nil, s.problemOf(ctx, err)
		}
		body, err := do(c, in)
		if err != nil {
			return nil, s.problemOf(ctx, err)
		}
		return &answer[O]{body}, nil
	})
}

// enterByToken finds out who acts, and that they and the token may.
func (s *server) enterByToken(ctx context.Context, secret string, action access.Action) (*call, error) {
	if secret == "" {
		return nil, errNoToken
	}
	visit, token, err := s.Door.OpenToken(ctx, secret)
	if err != nil {
		return nil, err
	}
	if visit.Actor.Account == "" {
		return nil, errNoToken
	}
	if s.tokenUse.OnLimit(silentWriter{}, &http.Request{}, string(token.ID)) {
		return nil, errTooOften
	}
	_, err = access.Require(visit.Actor, action)
	return &call{server: s, Visit: visit, ctx: ctx}, err
}

// silentWriter takes the headers a limit would set.
type silentWriter struct{}

func (silentWriter) Header() http.Header         { return http.Header{} }
func (silentWriter) Write(b []byte) (int, error) { return len(b), nil }
func (silentWriter) WriteHeader(int)             {}

var (
	errNoToken  = fault.New(fault.Forbidden, "Send Authorization: Bearer and a token that stands. It may be unknown, revoked, over, or its account disabled.")
	errTooOften = fault.New(fault.Forbidden, "This token was used too often. Wait a minute, then go on.")
)

func newTokenLimit() *httprate.RateLimiter {
	return httprate.NewRateLimiter(tokenUses, time.Minute, httprate.WithResponseHeaders(httprate.ResponseHeaders{}))
}
