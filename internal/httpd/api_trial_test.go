package httpd

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// drillable is a free time for a drill that nobody learns in.
func (p *program) drillable() (apiOptions, apiOffer) {
	p.Helper()
	for _, e := range read[apiExerciseList](p, p.get("/exercises"), http.StatusOK).Exercises {
		o := read[apiOptions](p, p.do("POST", "/options", map[string]any{"exercise": e.ID, "trial": "drill"}), http.StatusOK)
		// There must be room for others, of whom each rule asks as of any trainee.
		if i := slices.IndexFunc(o.Offers, func(x apiOffer) bool { return len(x.Cautions) == 0 && len(x.Rescuers) > 0 }); i >= 0 {
			return o, o.Offers[i]
		}
	}
	p.Fatal("no drill in the demo can be booked")
	return apiOptions{}, apiOffer{}
}

func TestATrialIsBookedByAProgramAndOthersJoinAndLeaveIt(t *testing.T) {
	s := open(t)
	p := s.token(access.Administrator, access.ScopeBook)
	o, best := p.drillable()
	if best.Trial != "drill" || len(best.Trainees) > 0 || strings.ContainsAny(best.Exercise, " \x00") {
		t.Fatalf("the offer is not ready to be sent: %+v", best)
	}
	body := proposalAs(best)
	body["seen"], body["trial"] = o.Seen, best.Trial
	if j := read[apiJudged](t, p.do("POST", "/proposals", map[string]any{"exercise": best.Exercise, "station": best.Station, "start": best.Start, "trainees": best.Trainees,
		"instructors": best.Instructors, "rescuers": best.Rescuers, "trial": "drill"}), http.StatusOK); j.Level == "stops" {
		t.Errorf("judged before it is booked: %+v", j)
	}
	done := read[apiDone](t, p.post("/sessions", body), http.StatusOK)
	sheet := read[apiSheet](t, p.get("/sessions/"+done.Session), http.StatusOK)
	if !sheet.Trial || sheet.TrialOf != "drill" || sheet.Exercise != best.Exercise || len(sheet.OtherParts) != 0 {
		t.Errorf("as it stands: %+v", sheet)
	}
	s.read(func(v *store.View) error {
		x, err := v.Session(id.Session(done.Session))
		if err == nil && (!x.Value.Trial || x.Value.TrialOf != session.TrialDrill) {
			t.Errorf("on record: %+v", x.Value)
		}
		return err
	})
	refused := read[apiProblem](t, p.post("/sessions", body), http.StatusConflict)
	for _, n := range refused.Nearest {
		if n.Trial != "drill" || n.Exercise != best.Exercise {
			t.Errorf("the nearest time is no drill of it: %+v", n)
		}
	}

	others, at := "/sessions/"+done.Session+"/others", "/sessions/"+done.Session
	head := s.head()
	for name, c := range map[string]struct {
		send   map[string]any
		status int
		say    string
	}{
		"nobody":           {map[string]any{"rev": done.Rev}, http.StatusUnprocessableEntity, "person"},
		"two at a time":    {map[string]any{"rev": done.Rev, "person": "x", "visitor": "Y", "as": "visitor"}, http.StatusUnprocessableEntity, "person"},
		"no part":          {map[string]any{"rev": done.Rev, "visitor": "Una Marsh"}, http.StatusUnprocessableEntity, "as"},
		"another part":     {map[string]any{"rev": done.Rev, "visitor": "Una Marsh", "as": "instructor"}, http.StatusUnprocessableEntity, "as"},
		"a stranger":       {map[string]any{"rev": done.Rev, "person": "none", "as": "visitor"}, http.StatusUnprocessableEntity, "person"},
		"an old revision":  {map[string]any{"rev": done.Rev + 7, "visitor": "Una Marsh", "as": "visitor"}, http.StatusConflict, ""},
		"not one of them":  {map[string]any{"rev": done.Rev, "leave": best.Instructors[0]}, http.StatusConflict, ""},
		"who teaches here": {map[string]any{"rev": done.Rev, "person": best.Instructors[0], "as": "observer"}, http.StatusUnprocessableEntity, "person"},
	} {
		if w := p.post(others, c.send); w.Code != c.status || !strings.Contains(w.Body.String(), c.say) {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
	}
	if s.head() != head {
		t.Error("what was refused wrote something")
	}
	joined := read[apiDone](t, p.post(others, map[string]any{"rev": done.Rev, "visitor": "Una Marsh", "as": "auditor"}), http.StatusOK)
	sheet = read[apiSheet](t, p.get(at), http.StatusOK)
	if len(sheet.OtherParts) != 1 || sheet.OtherParts[0].As != "auditor" || sheet.OtherParts[0].Person != sheet.Others[0] || sheet.TrialOf != "drill" {
		t.Fatalf("joined: %+v", sheet)
	}
	read[apiDone](t, p.post(others, map[string]any{"rev": joined.Rev, "leave": sheet.Others[0]}), http.StatusOK)
	if sheet = read[apiSheet](t, p.get(at), http.StatusOK); len(sheet.Others) != 0 || !sheet.Trial {
		t.Errorf("left: %+v", sheet)
	}
	if w := s.token(access.Instructor, access.ScopeRead).post(others, map[string]any{"rev": 3, "visitor": "Una Marsh", "as": "visitor"}); w.Code != http.StatusForbidden {
		t.Errorf("a token that only reads: %d", w.Code)
	}
	body["trial"] = "rehearsal"
	if w := p.post("/sessions", body); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "trial") {
		t.Errorf("a trial of no purpose: %d %s", w.Code, w.Body)
	}
}
