package httpd

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/arriving"
	"rungbook/internal/demo"
)

// arrivalsOf is the arrivals of the first running intake, and their page.
func (s *site) arrivalsOf() (in arriving.Intake, at string) {
	s.Helper()
	for _, x := range s.reference().Intakes.All(monday) {
		if x.From <= monday && monday <= x.Until {
			in, err := arriving.New(s.store).Arrivals(s.Context(), s.actorOf(access.Administrator), x.ID)
			if err != nil {
				s.Fatal(err)
			}
			return in, "/intakes/" + string(x.ID) + "/arrivals"
		}
	}
	s.Fatal("no intake runs")
	return in, ""
}

func TestWhatIsTickedOfAnArrivalIsKeptAndWhatIsMissingIsSaid(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	in, at := s.arrivalsOf()
	row := in.Rows[0]
	day := monday.String()
	form := vals("key", "a1", "trainee", string(row.Trainee.ID), "rev", "1", "came", "yes", "at_day", day, "at", "07:21", "fitness_day", day, "fitness_at", "07:20",
		"issued", "CM-H101, cm-h 102", "contact", "Mother 0455")
	form["seen"] = []string{"identity", "fitness", "language"}
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	page := text(parse(t, r.get(at)))
	for _, want := range []string{"lacks site induction", "Kit handed out CM-H101, since", "Kit handed out CM-H102, since", "Mother 0455"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(text(parse(t, s.as(access.Auditor).get(at))), "Mother 0455") {
		t.Error("whom to call is shown to one who records no arrivals")
	}
	now, _ := s.arrivalsOf()
	if a := now.Rows[0].Arrival; a.Induction != nil || a.Language == nil || a.At != demo.Zone().At(monday, 7*60+21) || len(a.Kit) != 2 {
		t.Errorf("%+v", a)
	}
	for name, c := range map[string]struct{ set, to, want string }{
		"a statement signed later": {"fitness_at", "07:59", "signed later than it was seen"}, "a time to come": {"at", "23:00", "still to come"},
		"not said whether they came": {"came", "", "Say whether they came"}, "no time": {"fitness_at", "", ""},
	} {
		bad := with(form, vals(c.set, c.to, "key", "bad "+name, "rev", "2"))
		if name == "a statement signed later" {
			bad.Set("fitness_day", (monday + 1).String())
		}
		w := r.post(at, bad)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), c.want) {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if w := r.post(at, with(form, vals("key", "old", "rev", "1"))); w.Code != http.StatusConflict {
		t.Errorf("over another's entry: %d, want a conflict", w.Code)
	}
	gone := vals("key", "held", "trainee", string(row.Trainee.ID), "rev", "2", "came", "no")
	if w := r.post(at, gone); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "Take it back first") {
		t.Errorf("one who holds kit did not come: %d", w.Code)
	}
	s.takeBack(row.Trainee.Person, arrival.NeverGiven)
	if w := r.post(at, vals("key", "a3", "trainee", string(row.Trainee.ID), "rev", "3", "came", "no")); w.Code != http.StatusSeeOther {
		t.Fatalf("did not come: %d", w.Code)
	}
	if now, _ := s.arrivalsOf(); now.Rows[0].Arrival.State != arrival.DidNotCome || now.Rows[0].Arrival.Identity != nil {
		t.Errorf("%+v", now.Rows[0].Arrival)
	}
}

func TestWhoComesAndGoesStandsOnTheListOfWhoIsHere(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	if w := r.post("/yard/here", vals("key", "v1", "visitor", "Maura Quill, for the audit")); w.Code != http.StatusSeeOther {
		t.Fatalf("signed in: %d", w.Code)
	}
	page := parse(t, r.get("/yard/here"))
	row := find(page, func(n *html.Node) bool { return n.Data == "tr" && strings.Contains(text(n), "Maura Quill") })
	if row == nil || !strings.Contains(text(row), "visitor") {
		t.Fatal("the visitor is not on the list")
	}
	form := find(row, func(n *html.Node) bool { return n.Data == "form" })
	send := vals()
	for n := range form.Descendants() {
		if n.Data == "input" {
			send.Set(attr(n, "name"), attr(n, "value"))
		}
	}
	if w := r.post("/yard/here/out", send); w.Code != http.StatusSeeOther {
		t.Fatalf("signed out: %d", w.Code)
	}
	if strings.Contains(text(parse(t, r.get("/yard/here"))), "Maura Quill") {
		t.Error("who left is still on the list")
	}
	for name, form := range map[string]map[string][]string{"nobody": vals("key", "n"), "somebody who does not work here": vals("key", "w", "staff", "gone"),
		"two at a time": vals("key", "t", "staff", string(s.actorOf(access.Instructor).Person), "visitor", "Maura")} {
		if w := r.post("/yard/here", form); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if w := r.post("/yard/here/out", vals("key", "o", "who", "gone")); w.Code != http.StatusConflict {
		t.Errorf("somebody who is not here leaves: %d", w.Code)
	}
}

func TestIdentityIsSeenAgainAtALaterPart(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	in, at := s.arrivalsOf()
	row := in.Rows[0]
	form := vals("key", "again", "trainee", string(row.Trainee.ID), "rev", revText(row.Rev), "came", "yes", "again", "yes",
		"at_day", monday.String(), "at", "07:10", "fitness_day", monday.String(), "fitness_at", "07:05")
	for _, p := range []string{"identity", "fitness", "induction"} {
		form.Add("seen", p)
	}
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	now := s.arrivals(in.Intake.ID).Rows
	i := slices.IndexFunc(now, func(x arriving.Row) bool { return x.Trainee.ID == row.Trainee.ID })
	a := now[i].Arrival
	if a.Identity.By != s.actorOf(access.Instructor).Person || a.Identity.At <= row.Arrival.Identity.At {
		t.Errorf("identity seen by %s at %d, before by %s at %d", a.Identity.By, a.Identity.At, row.Arrival.Identity.By, row.Arrival.Identity.At)
	}
	if a.Induction.At != row.Arrival.Induction.At {
		t.Error("the induction is seen anew")
	}
}
