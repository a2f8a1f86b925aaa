package drafting_test

import (
	"context"
	"errors"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

func TestADraftIsSearchedToItsEndAndKeepsHowItCameAbout(t *testing.T) {
	o := open(t)
	w := o.usual()
	w.Seed, w.Seconds = 7, 3
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.wait(of)
	d := o.draft(of)
	if d.Progress.State != drafting.Done || d.Progress.Why != "" || !d.HasPlan {
		t.Errorf("progress %+v", d.Progress)
	}
	if len(d.ProblemSHA) != 64 || d.FromSHA != "" || d.Seed != 7 || d.Version != "test" || d.MadeAt != eight || d.MadeBy == "" || d.Title == "" {
		t.Errorf("kept: %+v", d.Brief)
	}
	if d.Progress.Cost < d.Progress.Bound || !d.Progress.Better.Known {
		t.Errorf("cost %d, bound %d, better %+v", d.Progress.Cost, d.Progress.Bound, d.Progress.Better)
	}
	list, err := o.List(context.Background(), o.admin)
	if err != nil || len(list) != 1 || list[0].ID != of {
		t.Errorf("list %+v, %v", list, err)
	}
}

func TestAFormSentTwiceMakesOneDraft(t *testing.T) {
	o := open(t)
	w := o.usual()
	first, err := o.Start(context.Background(), o.admin, w, "same")
	if err != nil {
		t.Fatal(err)
	}
	second, err := o.Start(context.Background(), o.admin, w, "same")
	if err != nil || second != first {
		t.Errorf("%s, %v; want %s", second, err, first)
	}
}

func TestAWishThatCanNotBePlannedNamesItsField(t *testing.T) {
	o := open(t)
	for name, c := range map[string]struct {
		spoil func(*drafting.Wish)
		field string
	}{
		"nobody":                {func(w *drafting.Wish) { w.Intakes = nil }, "intakes"},
		"yesterday":             {func(w *drafting.Wish) { w.From = monday - 1 }, "from"},
		"ends before it begins": {func(w *drafting.Wish) { w.Until = w.From - 1 }, "until"},
		"a day too long":        {func(w *drafting.Wish) { w.Until = w.From + drafting.MostDays }, "until"},
		"no such level":         {func(w *drafting.Wish) { w.FewDays = "very" }, "few_days"},
		"no time":               {func(w *drafting.Wish) { w.Seconds = 0 }, "seconds"},
		"too much time":         {func(w *drafting.Wish) { w.Seconds = drafting.MostSeconds + 1 }, "seconds"},
		"a trainee unknown":     {func(w *drafting.Wish) { w.Trainees = []id.Trainee{"gone"} }, "trainees"},
		"an intake unknown":     {func(w *drafting.Wish) { w.Intakes = []id.Intake{"gone"} }, "intakes"},
	} {
		w := o.usual()
		c.spoil(&w)
		_, err := o.Start(context.Background(), o.admin, w, o.key())
		if !slices.Contains(fieldsOf(err), c.field) {
			t.Errorf("%s: %v, want an error of the field %s", name, err, c.field)
		}
	}
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	full := o.usual()
	full.Intakes = []id.Intake{c.Intakes[slices.IndexFunc(c.Intakes, func(in drafting.IntakeChoice) bool { return in.Open == 0 })].Intake}
	if _, err := o.Start(context.Background(), o.admin, full, o.key()); !slices.Contains(fieldsOf(err), "intakes") {
		t.Errorf("an intake with nothing open: %v", err)
	}
	longest := o.usual()
	longest.Until = longest.From + drafting.MostDays - 1
	if _, err := o.Start(context.Background(), o.admin, longest, o.key()); err != nil {
		t.Errorf("the longest span: %v", err)
	}
}

func TestTheQueueIsBoundedAndWaitsItsTurn(t *testing.T) {
	o := open(t)
	w := o.long()
	first, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.untilSearching(first)
	var waiting []id.Draft
	for {
		of, err := o.Start(context.Background(), o.admin, w, o.key())
		if err != nil {
			o.kind(err, fault.Conflict)
			break
		}
		if waiting = append(waiting, of); len(waiting) > 20 {
			t.Fatal("the queue has no end")
		}
	}
	if p := o.draft(waiting[1]).Progress; p.State != drafting.Queued || p.Ahead != 2 {
		t.Errorf("the third: %+v", p)
	}
	// One taken out of the queue leaves it at once, and a place is free.
	if err := o.Stop(context.Background(), o.admin, waiting[0]); err != nil {
		t.Fatal(err)
	}
	if p := o.wait(waiting[0]); p.State != drafting.Stopped || p.Why != drafting.ByPerson {
		t.Errorf("taken out: %+v", p)
	}
	o.kind(o.Stop(context.Background(), o.admin, waiting[0]), fault.Conflict)
	if _, err := o.Start(context.Background(), o.admin, w, o.key()); err != nil {
		t.Errorf("with a place free: %v", err)
	}
}

func TestASearchThatAPersonStopsKeepsTheBest(t *testing.T) {
	o := open(t)
	w := o.long()
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.untilRounds(of, 1)
	if err := o.Stop(context.Background(), o.admin, of); err != nil {
		t.Fatal(err)
	}
	if p := o.wait(of); p.State != drafting.Stopped || p.Why != drafting.ByPerson {
		t.Errorf("%+v", p)
	}
	if d := o.draft(of); !d.HasPlan || len(d.Changes) == 0 || d.Progress.State != drafting.Stopped {
		t.Errorf("%+v with %d changes", d.Progress, len(d.Changes))
	}
	o.accept(of)
}

// untilRounds waits until a search has done some rounds.
func (o *office) untilRounds(of id.Draft, rounds int64) {
	o.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, err := o.Watch(ctx, o.admin, of)
	if err != nil {
		o.Fatal(err)
	}
	for p := range c {
		if p.Rounds >= rounds {
			return
		}
	}
	o.Fatal("the search ended before")
}

func TestASearchThatTheProgramsEndCutsShortIsKeptAndMarked(t *testing.T) {
	o := open(t)
	w := o.long()
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	w.Seed = 2
	next, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.untilRounds(of, 1)
	watched, err := o.Watch(context.Background(), o.admin, next)
	if err != nil {
		t.Fatal(err)
	}
	o.close()
	for p := range watched { // whoever watches one that waits is sent away
		if p.State != drafting.Queued {
			t.Errorf("the one that waits: %+v", p)
		}
	}
	o.start()
	if d := o.draft(of); d.Progress.State != drafting.Stopped || d.Progress.Why != drafting.Restart || !d.HasPlan || len(d.Changes) == 0 {
		t.Errorf("%+v with %d changes", d.Progress, len(d.Changes))
	}
	o.untilSearching(next) // what waited goes on
	o.accept(of)
}

// TestAProgramThatDiedLeavesTheBestThatWasKept runs a desk whose clock jumps, so
// that the plan so far is kept while the search runs, and looks at what another
// desk makes of it, as after a power cut.
func TestAProgramThatDiedLeavesTheBestThatWasKept(t *testing.T) {
	o := open(t)
	o.end()
	var ticks atomic.Int64
	clock := func() time.Time { return time.Unix(3*ticks.Add(1), 0) } // three seconds later each time
	o.Desk = drafting.New(o.store, drafting.Options{Version: "test", Clock: clock})
	o.run()
	w := o.long()
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.untilRounds(of, 3)
	kept := o.draft(of)
	if kept.Progress.State != drafting.Searching || !kept.HasPlan || len(kept.Changes) == 0 {
		t.Fatalf("while it runs: %+v with %d changes", kept.Progress, len(kept.Changes))
	}
	o.end()
	err = o.store.ChangeDraft(context.Background(), of, func(c *store.DraftChange) error { // as if nobody had said how it ended
		c.State, c.Why = string(drafting.Searching), ""
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	o.close()
	o.start()
	if p := o.wait(of); p.State != drafting.Stopped || p.Why != drafting.Restart {
		t.Errorf("%+v", p)
	}
	o.accept(of)
}

func TestTheSameWorkGivesTheSameBytes(t *testing.T) {
	o := open(t)
	first := o.made(o.usual())
	second, err := o.Again(context.Background(), o.admin, first, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.wait(second)
	d := o.draft(second)
	if d.Same == nil || !*d.Same || d.Repeats != first || o.draft(first).Same != nil {
		t.Errorf("same %v, repeats %q", d.Same, d.Repeats)
	}
	c, err := o.Compare(context.Background(), o.admin, first, second)
	if err != nil || !c.SameProblem || len(c.OnlyA)+len(c.OnlyB)+len(c.Differences) > 0 || c.SamePlan == 0 {
		t.Errorf("%v: same problem %t, %d + %d needs, %d differences, %d the same", err, c.SameProblem, len(c.OnlyA), len(c.OnlyB), len(c.Differences), c.SamePlan)
	}
	// A repair is made again too, from the same sessions.
	o.lostDay()
	mended := o.mend(0)
	again, err := o.Again(context.Background(), o.admin, mended, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.wait(again)
	if d := o.draft(again); d.Same == nil || !*d.Same || d.FromSHA == "" {
		t.Errorf("the repair: same %v, from %q", d.Same, d.FromSHA)
	}
}

func TestTwoDraftsAreSetSideBySide(t *testing.T) {
	o := open(t)
	w := o.usual()
	a := o.made(w)
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	w.Intakes = []id.Intake{c.Intakes[len(c.Intakes)-1].Intake}
	b := o.made(w)
	got, err := o.Compare(context.Background(), o.admin, a, b)
	if err != nil {
		t.Fatal(err)
	}
	if got.SameProblem || len(got.OnlyA) == 0 || len(got.Differences) == 0 {
		t.Errorf("same problem %t, %d only in the first, %d differences", got.SameProblem, len(got.OnlyA), len(got.Differences))
	}
	for _, n := range slices.Concat(got.OnlyA, got.OnlyB) {
		if n.Name == "" || n.Title == "" || n.Name == string(n.Trainee) {
			t.Errorf("a need without a name: %+v", n)
		}
	}
}

func TestNothingRunsOnOnceTheDeskIsClosed(t *testing.T) {
	before := runtime.NumGoroutine()
	o := &office{TB: t}
	t.Run("a desk's life", func(t *testing.T) {
		o = open(t)
		ctx, cancel := context.WithCancel(context.Background())
		w := o.long()
		var all []id.Draft
		for range 3 {
			of, err := o.Start(ctx, o.admin, w, o.key())
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, of)
		}
		o.untilRounds(all[0], 1)
		for range 20 { // some who leave, some who stay to the end
			for _, of := range all {
				if _, err := o.Watch(ctx, o.admin, of); err != nil {
					t.Fatal(err)
				}
			}
		}
		cancel()
	})
	for range 500 { // what was told to end needs a moment
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	stacks := make([]byte, 1<<16)
	t.Errorf("%d goroutines before, %d after\n%s", before, runtime.NumGoroutine(), stacks[:runtime.Stack(stacks, true)])
}

func TestOnlyAnAdministratorPlans(t *testing.T) {
	o := open(t)
	of := o.made(o.usual())
	ctx := context.Background()
	for _, who := range []access.Actor{o.instructor, {}} {
		for name, try := range map[string]func() error{
			"choices": func() error { _, err := o.Choices(ctx, who); return err },
			"start":   func() error { _, err := o.Start(ctx, who, o.usual(), o.key()); return err },
			"list":    func() error { _, err := o.List(ctx, who); return err },
			"draft":   func() error { _, err := o.Draft(ctx, who, of); return err },
			"watch":   func() error { _, err := o.Watch(ctx, who, of); return err },
			"stop":    func() error { return o.Stop(ctx, who, of) },
			"again":   func() error { _, err := o.Again(ctx, who, of, o.key()); return err },
			"explain": func() error { _, err := o.Explain(ctx, who, of, "x", "y"); return err },
			"compare": func() error { _, err := o.Compare(ctx, who, of, of); return err },
			"accept":  func() error { _, err := o.Accept(ctx, who, of, o.key()); return err },
			"discard": func() error { return o.Discard(ctx, who, of) },
			"told":    func() error { return o.Told(ctx, who, of, o.admin.Person) },
			"losses":  func() error { _, err := o.Losses(ctx, who); return err },
			"lossy":   func() error { _, err := o.LossChoices(ctx, who); return err },
			"lose":    func() error { return o.Lose(ctx, who, drafting.Loss{}, o.key()) },
			"end":     func() error { return o.EndLoss(ctx, who, drafting.StationShut, []string{"x"}, o.key()) },
			"hit":     func() error { _, err := o.Hit(ctx, who, monday, monday); return err },
			"mend":    func() error { _, err := o.Mend(ctx, who, monday, monday, 1, o.key()); return err },
		} {
			if err := try(); fault.Of(err) != fault.Forbidden {
				t.Errorf("%s by %v: %v", name, who.Roles, err)
			}
		}
	}
}

// fieldsOf are the fields that an error of a form speaks of.
func fieldsOf(err error) (out []string) {
	var one *fault.Error
	if errors.As(err, &one) && one.Field != "" {
		out = append(out, one.Field)
	}
	var form *fault.Form
	if errors.As(err, &form) {
		for field := range form.Fields {
			out = append(out, field)
		}
	}
	return out
}
