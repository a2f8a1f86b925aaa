package httpd

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/incidents"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// spareIncident is an incident that a walk may look at: it stops nothing, lest a
// walk find everything stopped.
func (s *site) spareIncident() string {
	s.Helper()
	cmd := store.Command{Key: "spare incident", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("reported", 0, incident.Incident{ID: "spare-incident", Kind: incident.NearMiss, At: tx.Now(),
			Class: &incident.Class{By: cmd.Actor.Person, At: tx.Now()}})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-incident"
}

// responsible is somebody who may class an incident.
func (s *site) responsible() *reader {
	s.Helper()
	for _, role := range access.Roles() {
		if access.May(s.actorOf(role), access.ClassIncident) {
			return s.as(role)
		}
	}
	s.Fatal("nobody in the demo may class an incident")
	return nil
}

// tap presses the button of a form by its words, as the third tap does.
func (r *reader) tap(page *html.Node, words string) string {
	r.Helper()
	button := find(page, func(n *html.Node) bool { return n.Data == "button" && strings.Contains(text(n), words) })
	if button == nil {
		r.Fatalf("no button %q on the page", words)
	}
	form := button.Parent
	send := vals(attr(button, "name"), attr(button, "value"))
	for n := range form.Descendants() {
		if n.Data == "input" {
			send.Set(attr(n, "name"), attr(n, "value"))
		}
	}
	w := r.post(attr(form, "action"), send)
	if w.Code != http.StatusSeeOther {
		r.Fatalf("%q: %d: %s", words, w.Code, text(parse(r, w)))
	}
	return w.Header().Get("Location")
}

// bookedSoon is a booked session of a day to come.
func (s *site) bookedSoon() session.Session {
	s.Helper()
	for _, x := range s.ahead() {
		if x.State == session.Booked {
			return x
		}
	}
	s.Fatal("nothing is booked")
	return session.Session{}
}

func TestAnIncidentIsReportedInThreeTapsAndStopsTheSessionUntilItsRelease(t *testing.T) {
	s := open(t)
	x := s.bookedSoon()
	r := s.as(access.Instructor)
	start := parse(t, r.get("/sessions/"+string(x.ID)))
	one := find(start, func(n *html.Node) bool { return n.Data == "a" && text(n) == "Report an incident" })
	what := parse(t, r.get(attr(one, "href")))
	two := find(what, func(n *html.Node) bool { return n.Data == "a" && text(n) == "Electric shock or arc" })
	where := parse(t, r.get(attr(two, "href")))
	noted := r.tap(where, s.reference().Text(must(s.reference().Stations.On(x.Station, monday)).Name))
	of := strings.TrimSuffix(noted, "/noted")
	said := text(parse(t, r.get(noted)))
	for _, want := range []string{"until a responsible person has classed it", "Tell the scheme by", "told by voice"} {
		if !strings.Contains(said, want) {
			t.Errorf("what is noted does not say %q", want)
		}
	}
	stopped := func() bool {
		page := text(parse(t, r.get("/sessions/"+string(x.ID))))
		return strings.Contains(page, "not classed yet") || strings.Contains(page, "the written release is not on file")
	}
	for _, path := range []string{"/", "/attention"} {
		if !strings.Contains(text(parse(t, r.get(path))), "Electric shock or arc of ") {
			t.Errorf("%s does not tell of it", path)
		}
	}
	if !stopped() {
		t.Error("the session does not stop while nobody has classed it")
	}
	if w := r.post(noted, vals("key", "text", "note", "A cable lay in the wet.")); w.Code != http.StatusSeeOther {
		t.Errorf("the text: %d", w.Code)
	}
	boss := s.responsible()
	if w := boss.post(of+"/class", vals("key", "c1", "rev", "2", "significant", "yes", "shared", "yes")); w.Code != http.StatusSeeOther {
		t.Fatalf("to class it: %d: %s", w.Code, text(parse(t, w)))
	}
	if w := boss.post(of+"/class", vals("key", "c2", "rev", "3", "significant", "no")); w.Code != http.StatusUnprocessableEntity || !stopped() {
		t.Errorf("made less: %d", w.Code)
	}
	if w := boss.post(of+"/release", vals("key", "r1", "rev", "3", "day", (monday+1).String(), "text", "Letter 4")); w.Code != http.StatusUnprocessableEntity || !stopped() {
		t.Errorf("released tomorrow: %d", w.Code)
	}
	if w := boss.post(of+"/release", vals("key", "r2", "rev", "3", "day", monday.String(), "text", "Letter 4 of the scheme")); w.Code != http.StatusSeeOther || stopped() {
		t.Errorf("released: %d, it stops still: %v", w.Code, stopped())
	}
	if w := boss.post(of+"/told", vals("key", "t1", "rev", "4")); w.Code != http.StatusSeeOther {
		t.Errorf("told: %d", w.Code)
	}
	page := text(parse(t, boss.get(of)))
	for _, want := range []string{"A cable lay in the wet.", "Letter 4 of the scheme", "significant, with a shared cause"} {
		if !strings.Contains(page, want) {
			t.Errorf("the incident's page does not say %q", want)
		}
	}
	if page := text(parse(t, r.get("/attention"))); strings.Contains(page, "Electric shock or arc of ") {
		t.Error("a settled incident still warns")
	}
}

func must[T any](v T, ok bool) T {
	if !ok {
		panic("not on record")
	}
	return v
}

func TestATraineeReportsAndSeesTheirOwnReportAlone(t *testing.T) {
	s := open(t)
	r := s.as(access.TraineeRole)
	noted := r.tap(parse(t, r.get("/incidents/new?kind=near-miss")), "On the yard, or not known")
	if w := r.get(noted); w.Code != http.StatusOK {
		t.Errorf("their own: %d", w.Code)
	}
	if w := r.get("/incidents/" + s.spareIncident() + "/noted"); w.Code != http.StatusNotFound {
		t.Errorf("another's: %d, want none", w.Code)
	}
	if page := text(parse(t, s.as(access.Administrator).get(strings.TrimSuffix(noted, "/noted")))); strings.Contains(page, "Eluned") {
		t.Error("the incident names who reported it")
	}
}

func TestKitThatTookALoadIsInQuarantineAtOnceUntilThatIsLifted(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	noted := r.tap(parse(t, r.get("/incidents/new?kind=fall-arrested")), "On the yard, or not known")
	kit := s.kitNamed("Stretcher and casualty bag")
	if to := r.tap(parse(t, r.get(noted)), "Stretcher and casualty bag"); to != noted {
		t.Errorf("leads to %s", to)
	}
	of := strings.TrimSuffix(noted, "/noted")
	all := s.reference().Quarantines.All(civil.LastDay)
	if len(all) != 1 || all[0].Subject != string(kit) || all[0].Incident != id.Incident(strings.TrimPrefix(of, "/incidents/")) || all[0].By != "" {
		t.Fatalf("in quarantine: %+v", all)
	}
	at, page := "/quarantines/"+string(all[0].ID), "/kits/"+string(kit)
	for _, path := range []string{at, page} {
		if w := r.get(path); !strings.Contains(text(parse(t, w)), "is in quarantine") || !strings.Contains(w.Body.String(), `href="`+of+`"`) {
			t.Errorf("%s does not say that it is in quarantine, or leads not to the incident", path)
		}
	}
	boss := s.responsible()
	if w := boss.post(of+"/class", vals("key", "k0", "rev", "2", "significant", "no", "kit", string(s.kitNamed("Rescue kit, nacelle")))); w.Code != http.StatusSeeOther {
		t.Fatalf("to class it: %d: %s", w.Code, text(parse(t, w))) // a kit named by mistake stays in till somebody has looked at it
	}
	if n := len(s.reference().Quarantines.All(civil.LastDay)); n != 2 {
		t.Errorf("%d are in quarantine, want the one named first and the one named now", n)
	}
	if w := boss.post(of+"/kit", vals("key", "k2", "rev", "3")); w.Code != http.StatusConflict {
		t.Errorf("given back past its quarantine: %d", w.Code)
	}
	out := func() bool {
		return strings.Contains(text(parse(t, boss.get("/"))), "Out of use: Stretcher and casualty bag")
	}
	if !out() {
		t.Error("the yard does not tell of it")
	}
	boss.post("/inspections", vals("key", "looked", "subject", string(kit), "line", s.kitLine(kit), "done", monday.String(), "done_time", "08:00", "result", "passed"))
	newest := ""
	for _, i := range s.reference().Inspections.All(civil.LastDay) {
		if i.Subject == string(kit) && i.Done == monday {
			newest = string(i.ID)
		}
	}
	if w := boss.post(at+"/lift", vals("key", "lift", "inspection", newest, "why", "seams whole")); w.Code != http.StatusSeeOther || out() {
		t.Errorf("lifted: %d, out still: %v: %s", w.Code, out(), text(parse(t, w)))
	}
}

func TestOneItemOrPieceThatTookALoadLeavesTheOthersInUse(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	ref, kit := s.reference(), s.kitNamed("Harness set of six")
	var items []rig.Item
	for _, i := range ref.Items.All(monday) {
		if i.Kit == kit && i.Piece == 2 {
			items = append(items, i)
		}
	}
	for _, c := range []struct {
		sent string
		want []string
	}{
		{"item:" + string(items[0].ID), []string{string(items[0].ID)}},
		{"piece:2:" + string(kit), func() (out []string) {
			for _, i := range items {
				out = append(out, string(i.ID))
			}
			return out
		}()},
	} {
		noted := r.tap(parse(t, r.get("/incidents/new?kind=fall-arrested")), "On the yard, or not known")
		if !strings.Contains(r.get(noted).Body.String(), `value="`+c.sent+`"`) {
			t.Errorf("%s is not offered", c.sent)
		}
		for _, wrong := range []string{"item:gone", "piece:9:" + string(kit), "piece:x:" + string(kit), "gone"} {
			if w := r.post(noted, vals("key", "wrong"+wrong+c.sent, "kit", wrong)); w.Code != http.StatusUnprocessableEntity {
				t.Errorf("%s: %d", wrong, w.Code)
			}
		}
		if w := r.post(noted, vals("key", "part"+c.sent, "kit", c.sent)); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d: %s", c.sent, w.Code, text(parse(t, w)))
		}
		var got []string
		for _, q := range s.reference().Quarantines.All(civil.LastDay) {
			if "/incidents/"+string(q.Incident)+"/noted" == noted {
				got = append(got, q.Subject)
			}
		}
		slices.Sort(got)
		slices.Sort(c.want)
		if !slices.Equal(got, c.want) {
			t.Errorf("%s puts %v in quarantine, want %v", c.sent, got, c.want)
		}
	}
}

// An incident of a time before quarantines holds its kit itself until it is given back.
func TestAnOlderIncidentHoldsItsKitAsItDid(t *testing.T) {
	s := open(t)
	kit := s.kitNamed("Stretcher and casualty bag")
	cmd := store.Command{Key: "older", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(s.Context(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("described", 0, incident.Incident{ID: "older", Kind: incident.KitOverloaded, At: eight, Kit: kit, Class: &incident.Class{By: cmd.Actor.Person, At: eight}})
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	boss := s.responsible()
	out := func() bool { return strings.Contains(text(parse(t, boss.get("/"))), "Kit out of use: ") }
	if !out() {
		t.Error("the kit is in use although nobody gave it back")
	}
	if w := boss.post("/incidents/older/kit", vals("key", "k2", "rev", "1")); w.Code != http.StatusSeeOther || out() {
		t.Errorf("given back: %d, out still: %v", w.Code, out())
	}
}

func TestEveryKindOfIncidentHasWords(t *testing.T) {
	kinds := incident.Kinds()
	for _, k := range kinds {
		if incidentWords[k] == "" {
			t.Errorf("%s has none", k)
		}
	}
	if len(incidentWords) != len(kinds) || len(slices.Compact(slices.Sorted(slices.Values(kinds)))) != len(kinds) {
		t.Error("a kind is missing from the form, or stands there twice")
	}
}

func TestOneFormReportsOneIncident(t *testing.T) {
	s := open(t)
	desk := incidents.New(s.store)
	actor := s.actorOf(access.Instructor)
	ctx := context.Background()
	first, err := desk.Report(ctx, actor, incidents.Report{Kind: incident.NearMiss}, "same")
	again, err2 := desk.Report(ctx, actor, incidents.Report{Kind: incident.NearMiss}, "same")
	if err != nil || err2 != nil || first != again {
		t.Errorf("%s, %v; %s, %v", first, err, again, err2)
	}
	for name, r := range map[string]incidents.Report{"no kind": {}, "no such session": {Kind: incident.NearMiss, Session: "gone"},
		"no such station": {Kind: incident.NearMiss, Station: "gone"}, "no such rig": {Kind: incident.NearMiss, Rig: "gone"}} {
		if _, err := desk.Report(ctx, actor, r, "bad "+name); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
