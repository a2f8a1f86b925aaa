package httpd

import (
	"net/http"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// apiRows reads every page of a list of the interface.
func (p *program) apiRows(path, member string) (out []map[string]any) {
	p.Helper()
	at := path
	for range 1000 {
		w := p.get(at)
		body := read[map[string]any](p, w, http.StatusOK)
		if entry, ok := body["entry"].(float64); !ok || int64(entry) != p.head() {
			p.Fatalf("%s is of entry %v, the ledger's last is %d", at, body["entry"], p.head())
		}
		for _, row := range body[member].([]any) {
			out = append(out, row.(map[string]any))
		}
		next, _ := body["next"].(string)
		if next == "" {
			return out
		}
		at = path
		if strings.Contains(at, "?") {
			at += "&after=" + next
		} else {
			at += "?after=" + next
		}
	}
	p.Fatalf("%s has no last page", path)
	return nil
}

func TestListsOfTheInterfaceHoldWhatTheFilesHold(t *testing.T) {
	s := open(t)
	r := s.as(access.Auditor)
	ref := s.reference()
	in, rg := "&intake="+string(ref.Intakes.All(monday)[0].ID), "&rig="+string(ref.Rigs.All(monday)[0].ID)
	for _, c := range []struct{ path, member, file string }{
		{"/sessions" + whole, "sessions", "sessions.json" + whole},
		{"/sessions" + whole + in, "sessions", "sessions.json" + whole + in},
		{"/attendance" + whole, "attendance", "attendance.json" + whole},
		{"/attendance" + whole + in, "attendance", "attendance.json" + whole + in},
		{"/results" + whole + rg, "results", "results.json" + whole + rg},
		{"/hours" + whole, "hours", "hours.json" + whole},
		{"/outcomes", "outcomes", "outcomes.json"}, {"/kits", "kits", "kits.json"}, {"/inspections", "inspections", "inspections.json"},
		{"/inspections?subject=" + string(ref.Rigs.All(monday)[0].ID), "inspections", "inspections.json?subject=" + string(ref.Rigs.All(monday)[0].ID)},
		{"/rescue-plans", "rescue_plans", "rescue-plans.json"}, {"/rule-book", "lines", "rule-book.json"}, {"/employers", "employers", "employers.json"},
		{"/zones", "zones", "zones.json"}, {"/circuits", "circuits", "circuits.json"}, {"/shuts", "shuts", "shuts.json"},
		{"/appointments", "appointments", "appointments.json"}, {"/accounts", "accounts", "accounts.json"},
	} {
		t.Run(c.path, func(t *testing.T) {
			p := s.token(access.Auditor, access.ScopeRead)
			p.TB = t
			got, want := p.apiRows(c.path, c.member), r.taken("/lists/"+c.file)
			if len(got) != len(want.Rows) || len(got) == 0 {
				t.Errorf("%d rows, the file has %d", len(got), len(want.Rows))
			}
			for i := range got {
				if of, session := got[i]["session"]; session && of != want.Rows[i]["Session"] {
					t.Fatalf("row %d is of session %v, in the file of %v", i, of, want.Rows[i]["Session"])
				}
				if of, named := got[i]["person"]; named && want.Rows[i]["Person id"] != nil && of != want.Rows[i]["Person id"] {
					t.Fatalf("row %d is of %v, in the file of %v", i, of, want.Rows[i]["Person id"])
				}
			}
		})
	}
	programmes := s.token(access.Auditor, access.ScopeRead).apiRows("/programmes", "programmes")
	exercises := 0
	for _, p := range programmes {
		exercises += len(p["exercises"].([]any))
	}
	if file := r.taken("/lists/programmes.json"); exercises != len(file.Rows) {
		t.Errorf("%d exercises of programmes, the file has %d", exercises, len(file.Rows))
	}
}

func TestListsOfTheInterfaceRefuseWhatTheyCantRead(t *testing.T) {
	s := open(t)
	p := s.token(access.Auditor, access.ScopeRead)
	for path, want := range map[string]int{
		"/sessions?from=2027-02-30": http.StatusUnprocessableEntity, "/sessions?from=2027-03-02&until=2027-03-01": http.StatusUnprocessableEntity,
		"/sessions?after=bm90LWEta2V5": http.StatusUnprocessableEntity, "/hours?after=!": http.StatusUnprocessableEntity,
		"/sessions?person=x": http.StatusUnprocessableEntity, "/rule-book?version=none": http.StatusNotFound,
		"/sessions": http.StatusOK, "/sessions?until=" + monday.String(): http.StatusOK,
	} {
		if w := p.get(path); w.Code != want {
			t.Errorf("%s: %d, want %d: %s", path, w.Code, want, w.Body)
		}
	}
	if w := s.token(access.Instructor, access.ScopeBook).get("/accounts"); w.Code != http.StatusForbidden {
		t.Errorf("accounts for an instructor: %d", w.Code)
	}
}

// TestAListGoesOnBehindASessionThatMovedMeanwhile moves the last session of a page
// away before the next page is asked for: nothing that stayed is left out.
func TestAListGoesOnBehindASessionThatMovedMeanwhile(t *testing.T) {
	s := open(t)
	p := s.token(access.Administrator, access.ScopeRead)
	path := "/sessions?from=" + (monday - 70).String() + "&until=" + (monday + 70).String()
	all := p.apiRows(path, "sessions")
	first := read[map[string]any](t, p.get(path), http.StatusOK)
	rows := first["sessions"].([]any)
	if len(rows) != sessionsAtOnce || len(all) <= sessionsAtOnce+1 {
		t.Fatalf("%d of %d sessions on the first page", len(rows), len(all))
	}
	last := id.Session(rows[sessionsAtOnce-1].(map[string]any)["id"].(string))
	s.put(last, "moved", func(x *session.Session) { x.Start, x.End = x.Start.Add(-100*24*60), x.End.Add(-100*24*60) })
	second := read[map[string]any](t, p.get(path+"&after="+first["next"].(string)), http.StatusOK)
	if got, want := second["sessions"].([]any)[0].(map[string]any)["id"], all[sessionsAtOnce]["id"]; got != want {
		t.Errorf("the second page begins with %v, want %v", got, want)
	}
}
