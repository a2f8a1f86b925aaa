package httpd

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/danielgtaylor/huma/v2"
	"github.com/go-chi/chi/v5"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/signin"
	"rungbook/internal/store"
)

// program is one that uses the interface with a token.
type program struct {
	*site
	token string
	keys  int
}

// token makes one for the demo's person of a role.
func (s *site) token(role access.Role, scope access.Scope) *program {
	s.Helper()
	keys++
	secret, err := signin.New(s.store).MakeToken(context.Background(), s.actorOf(role),
		signin.NewToken{Key: "token " + string(role) + string(scope) + string(rune('a'+keys%26)), Name: "test", Scope: scope, LastDay: monday})
	if err != nil {
		s.Fatal(err)
	}
	return &program{site: s, token: secret}
}

func (p *program) do(method, path string, body any, header ...string) *httptest.ResponseRecorder {
	p.Helper()
	var b bytes.Buffer
	if body != nil {
		if err := json.NewEncoder(&b).Encode(body); err != nil {
			p.Fatal(err)
		}
	}
	q := httptest.NewRequest(method, "http://yard.example"+apiPath+path, &b)
	q.Header.Set("Content-Type", "application/json")
	if p.token != "" {
		q.Header.Set("Authorization", "Bearer "+p.token)
	}
	for i := 0; i+1 < len(header); i += 2 {
		q.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	p.handler.ServeHTTP(w, q)
	return w
}

func (p *program) get(path string) *httptest.ResponseRecorder { return p.do("GET", path, nil) }

// post sends with a key of its own.
func (p *program) post(path string, body any) *httptest.ResponseRecorder {
	p.keys++
	return p.do("POST", path, body, "Idempotency-Key", "test-key-"+string(rune('a'+p.keys)))
}

func read[T any](t testing.TB, w *httptest.ResponseRecorder, want int) (out T) {
	t.Helper()
	if w.Code != want {
		t.Fatalf("%d, want %d: %s", w.Code, want, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil {
		t.Fatalf("%v in %s", err, w.Body)
	}
	return out
}

// apiOperations are those the description lists, by path, in order.
func apiOperations(s *site) (out []*huma.Operation) {
	api := (&server{}).api(chi.NewRouter())
	for _, item := range api.OpenAPI().Paths {
		for _, op := range []*huma.Operation{item.Get, item.Post} {
			if op != nil {
				out = append(out, op)
			}
		}
	}
	slices.SortFunc(out, func(a, b *huma.Operation) int { return strings.Compare(a.OperationID, b.OperationID) })
	return out
}

func (s *site) apiPaths() map[string]string {
	places := s.places()
	out := map[string]string{}
	for _, name := range []string{"{week}", "{session}", "{person}", "{intake}"} {
		out[name] = places[name]
	}
	return out
}

func TestTheInterfaceIsDescribedAsOpenAPI(t *testing.T) {
	s := open(t)
	w := (&program{site: s}).get("/openapi.json")
	doc := read[map[string]any](t, w, http.StatusOK)
	if doc["openapi"] != "3.1.0" {
		t.Errorf("openapi %v", doc["openapi"])
	}
	// Every reference leads to a schema, and every operation is told whole.
	schemas := doc["components"].(map[string]any)["schemas"].(map[string]any)
	var walk func(at string, v any)
	walk = func(at string, v any) {
		switch v := v.(type) {
		case map[string]any:
			if ref, ok := v["$ref"].(string); ok && schemas[strings.TrimPrefix(ref, "#/components/schemas/")] == nil {
				t.Errorf("%s refers to %s, which is not there", at, ref)
			}
			for name, x := range v {
				walk(at+"/"+name, x)
			}
		case []any:
			for _, x := range v {
				walk(at, x)
			}
		}
	}
	walk("", doc)
	paths := doc["paths"].(map[string]any)
	ids := map[any]bool{}
	n := 0
	for path, item := range paths {
		for method, x := range item.(map[string]any) {
			n++
			op := x.(map[string]any)
			if ids[op["operationId"]] || op["operationId"] == "" || op["summary"] == "" || op["description"] == "" || op["security"] == nil {
				t.Errorf("%s %s is not described whole: %v", method, path, op)
			}
			ids[op["operationId"]] = true
			told := map[any]bool{}
			parameters, _ := op["parameters"].([]any)
			for _, p := range parameters {
				if p := p.(map[string]any); p["in"] == "path" {
					told["{"+p["name"].(string)+"}"] = p["required"] == true && p["schema"] != nil
				}
			}
			for _, part := range strings.Split(path, "/") {
				if strings.HasPrefix(part, "{") && !told[part] {
					t.Errorf("%s %s does not tell its parameter %s", method, path, part)
				}
			}
			responses := op["responses"].(map[string]any)
			if responses["200"] == nil || responses["default"].(map[string]any)["content"].(map[string]any)["application/problem+json"] == nil {
				t.Errorf("%s %s tells no answer or no problem: %v", method, path, responses)
			}
		}
	}
	if n < 20 {
		t.Errorf("only %d operations are described", n)
	}
}

func TestEveryRouteOfTheInterfaceIsDescribed(t *testing.T) {
	r := chi.NewRouter()
	api := (&server{}).api(r)
	err := chi.Walk(r, func(method, path string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		if strings.HasPrefix(path, "/openapi") {
			return nil
		}
		item := api.OpenAPI().Paths[path]
		if item == nil || method == "GET" && item.Get == nil || method == "POST" && item.Post == nil || method != "GET" && method != "POST" {
			t.Errorf("%s %s is not described", method, path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What a token of each role and scope is let to do is what the table and the
// scope say, and no more.
func TestATokenIsLetWhereItsOwnerAndItsScopeAreAndNowhereElse(t *testing.T) {
	s := open(t)
	paths := s.apiPaths()
	operations := apiOperations(s)
	for _, role := range []access.Role{access.Instructor, access.Administrator, access.Auditor} {
		for _, scope := range access.Scopes() {
			p := s.token(role, scope)
			actor := s.actorOf(role)
			for _, op := range operations {
				action := actionOf(t, op)
				before := s.head()
				owner := access.May(actor, action)
				actor.Scope = scope
				may := access.May(actor, action)
				actor.Scope = access.Unscoped
				var w *httptest.ResponseRecorder
				if op.Method == "GET" {
					w = p.get(fill(op.Path, paths))
				} else {
					w = p.post(fill(op.Path, paths), smallest(op.OperationID))
				}
				switch {
				case w.Code >= 500:
					t.Errorf("%s as %s %s: %d %s", op.OperationID, role, scope, w.Code, w.Body)
				case may && !owner:
					t.Errorf("%s: a token of %s may what its owner may not", op.OperationID, role)
				case !may && (w.Code != http.StatusForbidden || s.head() != before):
					t.Errorf("%s as %s %s: %d, want forbidden and nothing written", op.OperationID, role, scope, w.Code)
				case may && op.Method == "GET" && w.Code != http.StatusOK:
					t.Errorf("%s as %s %s: %d %s", op.OperationID, role, scope, w.Code, w.Body)
				case may && w.Code == http.StatusForbidden && op.OperationID != "accept-caution":
					t.Errorf("%s as %s %s: forbidden, though both allow it", op.OperationID, role, scope)
				}
			}
		}
	}
}

// actionOf finds the action an operation names by its words.
func actionOf(t *testing.T, op *huma.Operation) access.Action {
	t.Helper()
	for _, r := range access.Table() {
		if strings.Contains(op.Description, "may "+r.Say+",") {
			return r.Action
		}
	}
	t.Fatalf("%s names no action: %s", op.OperationID, op.Description)
	return ""
}

// smallest is a body that passes the schema and asks for nothing that is there.
func smallest(operation string) map[string]any {
	proposal := map[string]any{"exercise": "none", "station": "none", "start": "2027-04-13T09:00:00+01:00", "trainees": []string{}, "instructors": []string{}}
	switch operation {
	case "find-options":
		return map[string]any{"exercise": "none", "intake": "none"}
	case "judge-proposal", "book-session":
		return proposal
	case "move-session":
		proposal["rev"] = 99
		return proposal
	case "change-people":
		return map[string]any{"trainees": []string{}, "instructors": []string{}, "rev": 99}
	case "stand-down":
		return map[string]any{"rev": 99, "reason": "weather"}
	case "accept-caution":
		return map[string]any{"caution": "eA", "reason": "x"}
	}
	return map[string]any{"rev": 99}
}

func TestWithoutATokenThatStandsNothingIsTold(t *testing.T) {
	s := open(t)
	for name, p := range map[string]*program{"none": {site: s}, "another": {site: s, token: "rungbook-none"}} {
		for _, path := range []string{"/yard", "/people", "/entries"} {
			w := p.get(path)
			got := read[apiProblem](t, w, http.StatusUnauthorized)
			if got.Kind != "not signed in" || w.Header().Get("Content-Type") != "application/problem+json" || w.Header().Get("WWW-Authenticate") != "Bearer" {
				t.Errorf("%s %s: %+v, %v", name, path, got, w.Header())
			}
		}
	}
	signed := s.as(access.Administrator)
	if w := signed.get(apiPath + "/yard"); w.Code != http.StatusUnauthorized {
		t.Errorf("a browser's cookie opens the interface: %d", w.Code)
	}
}

func TestATokenIsLimitedInRate(t *testing.T) {
	s := open(t)
	p, other := s.token(access.Instructor, access.ScopeRead), s.token(access.Administrator, access.ScopeRead)
	for i := range tokenUses {
		if w := p.get("/exercises"); w.Code != http.StatusOK {
			t.Fatalf("use %d: %d", i+1, w.Code)
		}
	}
	w := p.get("/exercises")
	if got := read[apiProblem](t, w, http.StatusTooManyRequests); got.Kind != "too often" || w.Header().Get("Retry-After") == "" {
		t.Errorf("%+v", got)
	}
	if w := other.get("/exercises"); w.Code != http.StatusOK {
		t.Errorf("another token: %d", w.Code)
	}
}

// group is an intake of the demo with an exercise that can be booked for it.
func (p *program) bookable() (apiOptions, apiOffer) {
	p.Helper()
	for _, in := range read[apiIntakeList](p, p.get("/intakes"), http.StatusOK).Intakes {
		for _, e := range read[apiExerciseList](p, p.get("/exercises"), http.StatusOK).Exercises {
			w := p.do("POST", "/options", map[string]any{"exercise": e.ID, "intake": in.ID})
			if w.Code != http.StatusOK {
				continue
			}
			o := read[apiOptions](p, w, http.StatusOK)
			if i := slices.IndexFunc(o.Offers, func(x apiOffer) bool { return len(x.Cautions) == 0 }); i >= 0 {
				return o, o.Offers[i]
			}
		}
	}
	p.Fatal("nothing in the demo can be booked")
	return apiOptions{}, apiOffer{}
}

func proposalAs(o apiOffer) map[string]any {
	return map[string]any{"exercise": o.Exercise, "station": o.Station, "start": o.Start, "trainees": o.Trainees, "instructors": o.Instructors, "rescuers": o.Rescuers}
}

func TestASessionIsBookedMovedStoodDownAndReopened(t *testing.T) {
	s := open(t)
	p := s.token(access.Administrator, access.ScopeBook)
	o, best := p.bookable()
	body := proposalAs(best)
	body["seen"] = o.Seen
	w := p.do("POST", "/sessions", body, "Idempotency-Key", "once-and-once-only")
	done := read[apiDone](t, w, http.StatusOK)
	if done.State != "booked" || done.Rev != 1 {
		t.Fatalf("booked: %+v", done)
	}
	head := s.head()
	again := read[apiDone](t, p.do("POST", "/sessions", body, "Idempotency-Key", "once-and-once-only"), http.StatusOK)
	if again != done || s.head() != head {
		t.Errorf("sent again: %+v and entry %d, want %+v and %d", again, s.head(), done, head)
	}
	other := proposalAs(best)
	other["trainees"] = best.Trainees[:1]
	if got := read[apiProblem](t, p.do("POST", "/sessions", other, "Idempotency-Key", "once-and-once-only"), http.StatusConflict); got.Kind != "conflict" {
		t.Errorf("the same key with other content: %+v", got)
	}
	refused := read[apiProblem](t, p.post("/sessions", body), http.StatusConflict)
	if refused.Winner == nil || refused.Winner.Session != done.Session || len(refused.Findings) == 0 || refused.Detail == "" {
		t.Errorf("the same place again: %+v", refused)
	}
	for _, f := range refused.Findings {
		if f.Found == "" || f.Required == "" || f.Rule == "" || f.Title == "" {
			t.Errorf("a finding is not whole: %+v", f)
		}
	}
	sheet := read[apiSheet](t, p.get("/sessions/"+done.Session), http.StatusOK)
	if sheet.Start != best.Start || !slices.Equal(sheet.Trainees, best.Trainees) || len(sheet.History) != 1 {
		t.Errorf("as it stands: %+v", sheet)
	}
	at := civilStart(t, s, best.Start)
	week := read[apiWeekOf](t, p.get("/weeks/"+s.zone().DayOf(at).WeekString()), http.StatusOK)
	if !slices.ContainsFunc(week.Sessions, func(x APISession) bool { return x.ID == done.Session }) {
		t.Error("its week lacks it")
	}
	down := read[apiDone](t, p.post("/sessions/"+done.Session+"/stand-down", map[string]any{"rev": done.Rev, "reason": "weather"}), http.StatusOK)
	if down.State != "stood-down" || down.Rev != 2 {
		t.Errorf("stood down: %+v", down)
	}
	if got := read[apiProblem](t, p.post("/sessions/"+done.Session+"/reopen", map[string]any{"rev": 1}), http.StatusConflict); got.Detail == "" {
		t.Errorf("with an old revision: %+v", got)
	}
	back := read[apiDone](t, p.post("/sessions/"+done.Session+"/reopen", map[string]any{"rev": down.Rev}), http.StatusOK)
	if back.State != "booked" {
		t.Errorf("reopened: %+v", back)
	}
	people := map[string]any{"rev": back.Rev, "trainees": best.Trainees[:1], "instructors": best.Instructors, "rescuers": best.Rescuers}
	fewer := p.post("/sessions/"+done.Session+"/people", people)
	if fewer.Code != http.StatusOK && fewer.Code != http.StatusUnprocessableEntity {
		t.Errorf("fewer people: %d %s", fewer.Code, fewer.Body)
	}
}

func (s *site) zone() (z civil.Zone) {
	s.Helper()
	s.read(func(v *store.View) error { z = v.Zone(); return nil })
	return z
}

func civilStart(t *testing.T, s *site, text string) civil.Instant {
	t.Helper()
	at, err := s.zone().Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func TestARefusalLosesNothing(t *testing.T) {
	s := open(t)
	p := s.token(access.Instructor, access.ScopeBook)
	_, best := p.bookable()
	body := proposalAs(best)
	body["instructors"] = []string{}
	before := s.head()
	got := read[apiProblem](t, p.post("/sessions", body), http.StatusUnprocessableEntity)
	if got.Kind != "refused" || len(got.Findings) == 0 || got.Findings[0].Level != "stops" || !strings.Contains(got.Detail, got.Findings[0].Found) || len(got.Nearest) == 0 {
		t.Errorf("%+v", got)
	}
	if s.head() != before {
		t.Error("something was written")
	}
	judged := read[apiJudged](t, p.do("POST", "/proposals", body), http.StatusOK)
	if judged.Level != "stops" || len(judged.Findings) != len(got.Findings) {
		t.Errorf("judged %+v, refused %+v", judged, got)
	}
	clear := read[apiJudged](t, p.do("POST", "/proposals", proposalAs(got.Nearest[0])), http.StatusOK)
	if clear.Level == "stops" {
		t.Errorf("the nearest free time is stopped: %+v", clear)
	}
}

func TestWhatCannotBeReadIsSaidWithItsField(t *testing.T) {
	s := open(t)
	p := s.token(access.Instructor, access.ScopeBook)
	_, best := p.bookable()
	before := s.head()
	for name, c := range map[string]struct {
		change map[string]any
		key    string
		status int
		say    string
	}{
		"no key":            {nil, "", http.StatusUnprocessableEntity, "Idempotency-Key"},
		"a short key":       {nil, "short", http.StatusUnprocessableEntity, "Idempotency-Key"},
		"another offset":    {map[string]any{"start": "2027-04-13T09:00:00+05:00"}, "key-key-1", http.StatusUnprocessableEntity, "start"},
		"seconds":           {map[string]any{"start": "2027-04-13T09:00:30+01:00"}, "key-key-2", http.StatusUnprocessableEntity, "seconds"},
		"no station":        {map[string]any{"station": ""}, "key-key-3", http.StatusUnprocessableEntity, "station"},
		"unknown station":   {map[string]any{"station": "none"}, "key-key-4", http.StatusUnprocessableEntity, "station"},
		"a field too many":  {map[string]any{"force": true}, "key-key-5", http.StatusUnprocessableEntity, "force"},
		"a number for text": {map[string]any{"exercise": 7}, "key-key-6", http.StatusUnprocessableEntity, "exercise"},
		"unknown trainee":   {map[string]any{"trainees": []string{"none"}}, "key-key-7", http.StatusUnprocessableEntity, "trainees"},
	} {
		body := proposalAs(best)
		for k, v := range c.change {
			body[k] = v
		}
		var header []string
		if c.key != "" {
			header = []string{"Idempotency-Key", c.key}
		}
		w := p.do("POST", "/sessions", body, header...)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.say) || w.Header().Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s: %d %s %s", name, w.Code, w.Header().Get("Content-Type"), w.Body)
		}
	}
	for path, want := range map[string]int{"/weeks/rubbish": 404, "/weeks/0001-W01": 404, "/sessions/none": 404, "/people/none": 404, "/intakes/none": 404, "/people?after=*": 422,
		"/people?surname=x": 422, "/certificates?until_to=2027-02-30": 422, "/entries?from=-1": 422, "/nowhere": 404} {
		w := s.token(access.Administrator, access.ScopeRead).get(path)
		if w.Code != want {
			t.Errorf("%s: %d, want %d: %s", path, w.Code, want, w.Body)
		}
	}
	if s.head() > before+20 { // the tokens alone
		t.Error("something was written")
	}
}

func TestTheKeyOfOneAccountIsNotAnothers(t *testing.T) {
	a := &call{Visit: signin.Visit{Actor: access.Actor{Account: "a"}}}
	b := &call{Visit: signin.Visit{Actor: access.Actor{Account: id.Account("b")}}}
	first, again := a.formKey("same"), a.formKey("same")
	if first == b.formKey("same") || first != again || strings.Contains(a.formKey("Bran"), "Bran") {
		t.Error("keys are shared, unsteady or as typed")
	}
}

func TestListsGoOnPageByPage(t *testing.T) {
	s := open(t)
	p := s.token(access.Administrator, access.ScopeRead)
	seen := map[string]bool{}
	next := ""
	for pages := 0; ; pages++ {
		l := read[apiPersonList](t, p.get("/people?after="+next), http.StatusOK)
		for _, x := range l.People {
			if seen[x.ID] {
				t.Fatalf("%s stands on two pages", x.Name)
			}
			seen[x.ID] = true
		}
		if next = l.Next; next == "" {
			if pages == 0 {
				t.Error("the demo's people fit on one page: nothing is tested")
			}
			break
		}
	}
	first := read[apiEntryList](t, p.get("/entries"), http.StatusOK)
	last := read[apiEntryList](t, p.get("/entries?from=100"), http.StatusOK)
	if len(first.Entries) != entriesAtOnce || last.Entries[0].Index != entriesAtOnce || first.All < 200 {
		t.Errorf("%d entries of %d, then from %d", len(first.Entries), first.All, last.Entries[0].Index)
	}
}
