package httpd

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/drafting"
	"rungbook/internal/id"
)

// wish plans the first intake of the demo that has something left, for a second.
func (s *site) wish() drafting.Wish {
	s.Helper()
	c, err := s.drafts.Choices(context.Background(), s.actorOf(access.Administrator))
	if err != nil {
		s.Fatal(err)
	}
	w := c.Usual
	if len(w.Intakes) == 0 {
		s.Fatal("no intake of the demo has anything left to plan")
	}
	w.Seconds = 1
	return w
}

func (s *site) start(w drafting.Wish) id.Draft {
	s.Helper()
	keys++
	d, err := s.drafts.Start(context.Background(), s.actorOf(access.Administrator), w, "start "+strings.Repeat("x", keys))
	if err != nil {
		s.Fatal(err)
	}
	return d
}

// search searches all drafts that wait, until each has ended.
func (s *site) search(all ...id.Draft) {
	s.Helper()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.drafts.Run(ctx) }()
	for _, d := range all {
		looks, err := s.drafts.Watch(ctx, s.actorOf(access.Administrator), d)
		if err != nil {
			s.Fatal(err)
		}
		for range looks {
		}
	}
	stop()
	if err := <-ended; err != nil {
		s.Fatal(err)
	}
}

// found is a draft with a plan.
func (s *site) found() id.Draft {
	s.Helper()
	d := s.start(s.wish())
	s.search(d)
	return d
}

func wishForm(w drafting.Wish) url.Values {
	f := vals("from", w.From.String(), "until", w.Until.String(), "soon", string(w.Soon), "few_days", string(w.FewDays), "spare_staff", string(w.SpareStaff), "seconds", "10")
	for _, in := range w.Intakes {
		f.Add("intakes", string(in))
	}
	return f
}

func TestAnIntakeIsPlannedFromTheFormToTheBoard(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	w := r.post("/plan", with(wishForm(s.wish()), vals("key", "p1")))
	at := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(at, "/drafts/") {
		t.Fatalf("starting: %d to %q", w.Code, at)
	}
	if again := r.post("/plan", with(wishForm(s.wish()), vals("key", "p1"))); again.Header().Get("Location") != at {
		t.Errorf("the form sent twice leads to %q, then to %q", at, again.Header().Get("Location"))
	}
	queued := r.get(at)
	for _, want := range []string{"Waits: it begins in a moment.", "Take it out of the queue", `http-equiv="refresh"`, at + "/progress"} {
		if !strings.Contains(queued.Body.String(), want) {
			t.Errorf("a draft that waits doesn't say %q", want)
		}
	}
	if w := s.as(access.Instructor).get(at); w.Code != http.StatusForbidden {
		t.Errorf("an instructor sees a draft: %d", w.Code)
	}
	s.search(id.Draft(strings.TrimPrefix(at, "/drafts/")))
	done := r.get(at)
	page := text(parse(t, done))
	for _, want := range []string{"Days per trainee", "Staff hours", "Last day", "Use of stations", "What changes", "proposed", "to be told once the draft is accepted", "Problem, SHA-256"} {
		if !strings.Contains(page, want) {
			t.Errorf("the draft doesn't say %q", want)
		}
	}
	if strings.Contains(done.Body.String(), `http-equiv="refresh"`) {
		t.Error("a draft that is done still reloads itself")
	}
}

// TestAFollowerIsToldEachLookAndTheEnd reads the first look of a draft that waits
// before its search begins, so that no look is missed.
func TestAFollowerIsToldEachLookAndTheEnd(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	d := s.start(s.wish())
	at := "/drafts/" + string(d) + "/progress"
	server := httptest.NewServer(s.handler)
	defer server.Close()
	q, err := http.NewRequest(http.MethodGet, server.URL+at, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.cookies {
		q.AddCookie(c)
	}
	answer, err := server.Client().Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	first := make([]byte, 60)
	if _, err := io.ReadFull(answer.Body, first); err != nil || !strings.HasPrefix(string(first), "retry: 500\n\nevent: look\ndata: ") {
		t.Fatalf("the stream begins with %q, %v", first, err)
	}
	s.search(d)
	rest, err := io.ReadAll(answer.Body)
	if err != nil || !strings.HasSuffix(string(rest), "event: end\ndata: done\n\n") || !strings.Contains(string(rest), "Searching") {
		t.Errorf("the stream ends with %q, %v", rest[max(0, len(rest)-80):], err)
	}
	if late := r.get(at).Body.String(); late != "retry: 500\n\nevent: end\ndata: done\n\n" {
		t.Errorf("who comes after the end hears %q", late)
	}
}

func TestADraftTakenOutOfTheQueueSaysByWhom(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	d := s.start(s.wish())
	at := "/drafts/" + string(d)
	if w := r.post(at+"/stop", vals("key", "k")); w.Code != http.StatusSeeOther || w.Header().Get("Location") != at {
		t.Fatalf("stopping: %d to %q", w.Code, w.Header().Get("Location"))
	}
	if page := text(parse(t, r.get(at))); !strings.Contains(page, "Stopped before its time was up by Gr") || !strings.Contains(page, "It had found no plan till then") {
		t.Errorf("the page says %.400q", page)
	}
	if w := r.post(at+"/stop", vals("key", "k2")); w.Code != http.StatusSeeOther || w.Header().Get("Location") != at {
		t.Errorf("stopping what has ended: %d", w.Code)
	}
}

func TestTheWeekOfADraftStaysWithinItsWindow(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	w := s.wish()
	d := s.found()
	for _, week := range []string{"", w.From.WeekString(), w.Until.WeekString(), (w.From - 21).WeekString(), "2199-W01", "x"} {
		root := parse(t, r.get("/drafts/"+string(d)+"?week="+url.QueryEscape(week)))
		board := find(root, func(n *html.Node) bool { return attr(n, "id") == "board" })
		if board == nil {
			t.Fatalf("week %q has no board", week)
		}
		if week == w.From.WeekString() || week == w.Until.WeekString() {
			number := week[strings.Index(week, "W")+1:]
			if title := text(find(board, func(n *html.Node) bool { return n.Data == "h2" })); !strings.Contains(title, "Week "+strings.TrimPrefix(number, "0")) {
				t.Errorf("week %s is headed %q", week, title)
			}
		}
	}
}

func TestTraineesCanBeChosenForAPlan(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	w := s.wish()
	root := parse(t, r.get("/plan?"+with(wishForm(w), vals("choose", "trainees")).Encode()))
	var boxes []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode && attr(n, "name") == "trainees" && !has(n, "disabled") {
			boxes = append(boxes, n)
		}
	}
	if len(boxes) < 2 || slices.ContainsFunc(boxes, func(n *html.Node) bool { return !has(n, "checked") }) {
		t.Fatalf("%d trainees can be chosen, want all ticked", len(boxes))
	}
	form := with(wishForm(w), url.Values{"choose": {"trainees"}, "trainees": {attr(boxes[0], "value")}, "key": {"one"}})
	at := r.post("/plan", form).Header().Get("Location")
	list, err := s.drafts.List(context.Background(), s.actorOf(access.Administrator))
	if err != nil || len(list) != 1 || at != "/drafts/"+string(list[0].ID) {
		t.Fatalf("%d drafts, %v, at %q", len(list), err, at)
	}
	if got := list[0].Wish; len(got.Intakes) != 0 || len(got.Trainees) != 1 {
		t.Errorf("planned are %v and %v, want one trainee", got.Intakes, got.Trainees)
	}
	none := r.post("/plan", with(wishForm(w), url.Values{"choose": {"trainees"}, "key": {"none"}}))
	if none.Code != http.StatusUnprocessableEntity || !strings.Contains(none.Body.String(), "Choose an intake or trainees.") {
		t.Errorf("without a trainee: %d", none.Code)
	}
}

func TestWhatHasNoPlaceSaysWhyAndCanBeAskedCloser(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	w := s.wish()
	w.Until = w.From // one day is too short for all
	of := s.start(w)
	s.search(of)
	d := s.draft(of)
	if len(d.Unplaced) == 0 {
		t.Fatal("all of an intake's exercises fit into a day")
	}
	page := parse(t, r.get("/drafts/"+string(of)))
	list := find(page, func(n *html.Node) bool { return attr(n, "id") == "unplaced" })
	if list == nil || !strings.Contains(text(list), "Because") {
		t.Fatal("the page doesn't say what has no place, and why")
	}
	asked := 0
	for n := range list.Descendants() {
		at := attr(n, "href")
		if !strings.Contains(at, "/why?") || asked > 2 {
			continue
		}
		asked++
		why := r.get(at)
		said := text(parse(t, why))
		if why.Code != http.StatusOK || !strings.Contains(said, "has no place") || !strings.Contains(said, "Another plan may find a place.") && !strings.Contains(said, "Book it by itself") {
			t.Errorf("%s: %d: %.400s", at, why.Code, said)
		}
	}
	never := len(d.Never)
	if asked == 0 && never < len(d.Unplaced) {
		t.Error("nothing leads closer to why")
	}
	if w := r.get("/drafts/" + string(of) + "/why?trainee=nobody&exercise=nothing"); w.Code != http.StatusNotFound {
		t.Errorf("a need that is none: %d", w.Code)
	}
}
