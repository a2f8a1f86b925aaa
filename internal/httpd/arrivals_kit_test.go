package httpd

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/arriving"
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// takeBack takes back all that a person holds.
func (s *site) takeBack(of id.Person, how arrival.Return) {
	s.Helper()
	desk, actor := arriving.New(s.store), s.actorOf(access.Administrator)
	k, err := desk.Kit(s.Context(), actor, of)
	if err != nil {
		s.Fatal(err)
	}
	back := arriving.TakingBack{Person: of}
	for _, h := range k.Held {
		back.Answers = append(back.Answers, arriving.Answer{Key: h.Key(), How: how})
	}
	if err := desk.TakeBack(s.Context(), actor, back, "taken back "+string(of)); err != nil {
		s.Fatal(err)
	}
}

// gate hands out kit at the arrivals of the first running intake.
type gate struct {
	*site
	r  *reader
	at string
	n  int
}

func (g *gate) row(n int) arriving.Row {
	in, _ := g.arrivalsOf()
	return in.Rows[n]
}

func (g *gate) handOut(row, want int, serials, sort string) string {
	g.Helper()
	g.n++
	x := g.row(row)
	w := g.r.post(g.at, vals("key", "gate"+strconv.Itoa(g.n), "trainee", string(x.Trainee.ID), "rev", revText(x.Rev), "came", "yes", "at_day", monday.String(), "at", "07:30", "issued", serials, "sort", sort))
	if w.Code != want {
		g.Fatalf("handing out %q as %q: %d, want %d: %s", serials, sort, w.Code, want, text(parse(g, w)))
	}
	return text(parse(g, w))
}

// heldKey finds the piece that a trainee holds by its serial.
func (g *gate) heldKey(row int, serial string) string {
	g.Helper()
	kit := g.row(row).Kit
	i := slices.IndexFunc(kit, func(h arriving.Held) bool { return h.Text == serial && h.Out() })
	if i < 0 {
		g.Fatalf("%s is not out", serial)
	}
	return kit[i].Key()
}

func (s *site) atGate() *gate {
	_, at := s.arrivalsOf()
	return &gate{site: s, r: s.as(access.Instructor), at: at}
}

func TestWhoLeavesSaysOfEachPieceWhatBecameOfIt(t *testing.T) {
	const bad, done = http.StatusUnprocessableEntity, http.StatusSeeOther
	g := open(t).atGate()
	g.handOut(0, done, "CM-H101, CM-H102", "")
	g.handOut(0, done, "X-77", "lanyard")
	who, name := g.row(0).Trainee.Person, g.row(0).Name
	here := text(parse(t, g.r.get("/yard/here")))
	if !strings.Contains(here, "CM-H101, CM-H102, X-77") {
		t.Error("the list of who is here does not say what they hold")
	}
	if w := g.r.post("/yard/here/out", vals("key", "past", "who", string(who))); w.Code != http.StatusConflict || !strings.Contains(text(parse(t, w)), "CM-H101 is out with "+name) {
		t.Errorf("signed out past their kit: %d", w.Code)
	}
	page := "/yard/here/" + string(who) + "/kit"
	leaving := parse(t, g.r.get(page+"?leaves=yes"))
	if said := text(leaving); !strings.Contains(said, name+" leaves") || !strings.Contains(said, "Serial X-77 isn’t on record: its inspection and retirement are not known") {
		t.Errorf("it says %s", said)
	}
	fit, broken, lanyard := g.heldKey(0, "CM-H101"), g.heldKey(0, "CM-H102"), g.heldKey(0, "X-77")
	send := func(want int, says string, kv ...string) {
		t.Helper()
		g.n++
		form := with(filledIn(find(leaving, func(n *html.Node) bool { return n.Data == "form" && attr(n, "action") == page })), vals(kv...))
		form.Set("key", "leaves"+strconv.Itoa(g.n))
		w := g.r.post(page, form)
		if w.Code != want || !strings.Contains(text(parse(t, w)), says) {
			t.Fatalf("%v: %d, want %d and %q: %s", kv, w.Code, want, says, text(parse(t, w)))
		}
	}
	send(bad, "Say what became of X-77", "how."+fit, "fit", "how."+broken, "fit")
	send(bad, "Say what was found of CM-H102", "how."+fit, "fit", "how."+broken, "not-fit", "how."+lanyard, "not-given-back")
	send(bad, "so it is not fit", "how."+fit, "fit", "found."+fit, "cut", "how."+broken, "fit", "how."+lanyard, "fit")
	send(done, "", "how."+fit, "fit", "how."+broken, "not-fit", "found."+broken, "a cut strap", "how."+lanyard, "not-given-back")

	var quarantine id.Quarantine
	for _, q := range g.reference().Quarantines.All(civil.LastDay) {
		if i, ok := g.reference().Items.On(id.Item(q.Subject), monday); ok && g.reference().Text(i.Serial) == "CM-H102" && g.reference().Text(q.Why) == "a cut strap" {
			quarantine = q.ID
		}
	}
	if quarantine == "" {
		t.Error("what came back not fit is in no quarantine")
	}
	here = text(parse(t, g.r.get("/yard/here")))
	if !strings.Contains(here, "Kit out with who is not here") || !strings.Contains(here, "X-77 with "+name) || strings.Contains(here, "CM-H101 with") || !strings.Contains(here, "not given back by") {
		t.Errorf("after they left: %s", here)
	}
	arrivals := text(parse(t, g.r.get(g.at)))
	for _, want := range []string{"CM-H101 taken back, fit", "CM-H102 taken back, not fit", "a cut strap", "says Okunrinboye"} {
		if !strings.Contains(arrivals, want) {
			t.Errorf("the arrivals do not say %q", want)
		}
	}
	if said := g.handOut(1, bad, "x-77", "lanyard"); !strings.Contains(said, "x-77 is handed out to "+name) {
		t.Error("what was not given back is handed to another")
	}
	if said := g.handOut(1, bad, "CM-H102", ""); !strings.Contains(said, "is in quarantine since") {
		t.Error("what came back not fit is handed out")
	}
	g.handOut(1, done, "CM-H101", "")
	if w := g.r.post(page, vals("key", "twice", "how."+fit, "fit")); w.Code != http.StatusConflict {
		t.Errorf("taken back twice: %d", w.Code)
	}
	if w := g.r.post(page, vals("key", "none")); w.Code != bad {
		t.Errorf("nothing answered: %d", w.Code)
	}
	if w := g.r.post(page, vals("key", "later", "how."+lanyard, "fit")); w.Code != done {
		t.Errorf("given back later: %d", w.Code)
	}
	g.handOut(1, done, "X-77", "lanyard")
	if w := g.as(access.Auditor).post(page, vals("key", "auditor")); w.Code != http.StatusForbidden {
		t.Errorf("an auditor takes kit back: %d", w.Code)
	}
}

func TestASerialThatIsNotOnRecordIsACautionWhereNoItemsOfItsKindAreAndStopsWhereTheyAre(t *testing.T) {
	const bad, done = http.StatusUnprocessableEntity, http.StatusSeeOther
	g := open(t).atGate()
	for _, c := range []struct{ sort, says string }{
		{"", "its inspection and retirement are not known"}, {"harness", "where others of its kind (harness) are"}, {"hat", "Choose what it is from the list"},
	} {
		if said := g.handOut(0, bad, "Y-1", c.sort); !strings.Contains(said, c.says) {
			t.Errorf("as %q it does not say %q", c.sort, c.says)
		}
	}
	g.handOut(0, done, "Y-1", "rope")
	g.handOut(0, done, "Y-9", "rope")
	if len(g.row(0).Kit) != 2 {
		t.Fatal("nothing was handed out")
	}
	if said := text(parse(t, g.r.get(g.at))); !strings.Contains(said, "Serial Y-1 isn’t on record") {
		t.Error("the caution is not shown")
	}
	if k := g.row(0).Kit[0]; k.Sort != "rope" || k.Item != "" || k.Known() || k.Given == nil || k.Given.By != g.actorOf(access.Instructor).Person {
		t.Errorf("%+v", k)
	}
	key, page := g.heldKey(0, "Y-1"), "/yard/here/"+string(g.row(0).Trainee.Person)+"/kit"
	if w := g.r.post(page, vals("key", "y back", "how."+key, "not-fit", "found."+key, "sheath worn", "how."+g.heldKey(0, "Y-9"), "fit")); w.Code != done {
		t.Fatalf("%d", w.Code)
	}
	if said := g.handOut(1, bad, "y-1", "rope"); !strings.Contains(said, "came back not fit: sheath worn") {
		t.Error("what came back not fit is handed out again")
	}

	boss := g.as(access.Administrator)
	kit := string(g.kitNamed("Stretcher and casualty bag"))
	if w := boss.post("/set-up/items", vals("key", "y item", "kit", kit, "piece", "1", "each", "yes", "sort", "rope", "first_use", "2026-03-01", "serial", "Y-1\nY-9")); w.Code != done {
		t.Fatalf("recorded: %d: %s", w.Code, text(parse(t, w)))
	}
	if said := g.handOut(1, bad, "Y-1", ""); !strings.Contains(said, "came back not fit before it was on record") {
		t.Errorf("recorded, and clear though it came back not fit: %s", said)
	}
	if said := g.handOut(1, bad, "Y-2", "rope"); !strings.Contains(said, "where others of its kind (rope) are") {
		t.Error("a rope is on record, and another that is not is handed out")
	}
	line := g.kitLine(id.Kit(kit))
	looked := func(serial string, on civil.Day) {
		t.Helper()
		item := ""
		for _, i := range g.reference().Items.All(monday) {
			if g.reference().Text(i.Serial) == serial {
				item = string(i.ID)
			}
		}
		if w := boss.post("/inspections", vals("key", "looked "+serial, "subject", item, "line", line, "done", on.String(), "done_time", "08:00", "result", "passed")); w.Code != done {
			t.Fatalf("inspected: %d: %s", w.Code, text(parse(t, w)))
		}
	}
	looked("Y-1", monday)
	g.handOut(1, done, "Y-1", "")
	looked("Y-9", monday-7) // it came back fit, with what was not
	g.handOut(1, done, "Y-9", "")
}
