package store

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// aDraft is a draft with every member given that a new one has.
func aDraft() (Draft, DraftFiles) {
	sum := "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
	return Draft{Kind: "intake", State: "queued", MadeAt: nine, MadeBy: "person", Entry: 3, From: 740000, Until: 740010, Wish: `{"a":1}`, Seconds: 30, Effort: -1,
			Seed: -7, Version: "v1", ProblemSHA: sum, FromSHA: sum},
		DraftFiles{Problem: []byte(`{"p":1}`), From: []byte(`{"f":1}`)}
}

func TestADraftComesBackAsItWasKept(t *testing.T) {
	b := newBench(t)
	ctx := context.Background()
	d, files := aDraft()
	made, err := b.AddDraft(ctx, "key", d, files)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := b.AddDraft(ctx, "key", d, files); err != nil || again != made {
		t.Errorf("the same form gives %q, %v; want %q", again, err, made)
	}
	b.read(func(v *View) error {
		for key, want := range map[string]id.Draft{"key": made, "other": ""} {
			if got, err := v.DraftOfForm(key); err != nil || got != want {
				t.Errorf("the form %s led to %q, want %q (%v)", key, got, want, err)
			}
		}
		return nil
	})
	if _, err := b.AddDraft(ctx, "", d, files); fault.Of(err) != fault.Invalid {
		t.Errorf("without a key: %v", err)
	}
	points := []DraftPoint{{1, 10, 900, 100, 3}, {9, 90, 800, 200, 2}}
	err = b.ChangeDraft(ctx, made, func(c *DraftChange) error {
		c.State, c.Why, c.Rounds, c.Steps, c.Cost, c.Bound, c.Unplaced, c.EndedAt, c.EndedBy = "stopped", "by-a-person", 5, 640, 800, 200, 2, nine.Add(1), "other"
		c.Plan, c.Points = []byte(`{"plan":1}`), points
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	d.ID, d.State, d.Why, d.Rounds, d.Steps, d.Cost, d.Bound, d.Unplaced, d.EndedAt, d.EndedBy, d.HasPlan =
		made, "stopped", "by-a-person", 5, 640, 800, 200, 2, nine.Add(1), "other", true
	files.Plan = []byte(`{"plan":1}`)
	b.read(func(v *View) error {
		got, err := v.Draft(made)
		if diff := cmp.Diff(d, got); diff != "" || err != nil {
			t.Errorf("%v %s", err, diff)
		}
		kept, err := v.DraftFiles(made)
		if diff := cmp.Diff(files, kept); diff != "" || err != nil {
			t.Errorf("%v %s", err, diff)
		}
		shown, err := v.DraftPoints(made)
		if diff := cmp.Diff(points, shown); diff != "" || err != nil {
			t.Errorf("%v %s", err, diff)
		}
		for state, want := range map[string]int{"stopped": 1, "queued": 0} {
			if list, err := v.DraftsIn(state); err != nil || len(list) != want {
				t.Errorf("%d drafts are %s, want %d (%v)", len(list), state, want, err)
			}
		}
		return nil
	})
}

func TestAChangeOfADraftThatFailsLeavesItAsItWas(t *testing.T) {
	b := newBench(t)
	d, files := aDraft()
	made, err := b.AddDraft(context.Background(), "key", d, files)
	if err != nil {
		t.Fatal(err)
	}
	refused := errors.New("refused")
	err = b.ChangeDraft(context.Background(), made, func(c *DraftChange) error {
		c.State = "accepted"
		return refused
	})
	if !errors.Is(err, refused) {
		t.Errorf("%v", err)
	}
	err = b.ChangeDraft(context.Background(), made, func(c *DraftChange) error {
		c.State, c.Plan = "lost", []byte("x") // no such state
		return nil
	})
	if err == nil {
		t.Error("a state that there is not was kept")
	}
	b.read(func(v *View) error {
		if got, err := v.Draft(made); err != nil || got.State != "queued" || got.HasPlan {
			t.Errorf("%+v, %v", got, err)
		}
		return nil
	})
	if err := b.ChangeDraft(context.Background(), "none", func(*DraftChange) error { return nil }); fault.Of(err) != fault.NotFound {
		t.Errorf("an unknown draft: %v", err)
	}
}

func TestWhoWasToldFirstStays(t *testing.T) {
	b := newBench(t)
	d, files := aDraft()
	made, err := b.AddDraft(context.Background(), "key", d, files)
	if err != nil {
		t.Fatal(err)
	}
	first := Told{Person: "person", At: nine, By: "other"}
	for _, told := range []Told{first, {Person: "person", At: nine.Add(5), By: "third"}} {
		if err := b.Tell(context.Background(), made, []Told{told}); err != nil {
			t.Fatal(err)
		}
	}
	b.read(func(v *View) error {
		got, err := v.Told(made)
		if diff := cmp.Diff([]Told{first}, got); diff != "" || err != nil {
			t.Errorf("%v %s", err, diff)
		}
		return nil
	})
}

func TestDraftsAreListedNewestFirst(t *testing.T) {
	b := newBench(t)
	var made []id.Draft
	for _, key := range []string{"one", "two", "three"} {
		d, files := aDraft()
		one, err := b.AddDraft(context.Background(), key, d, files)
		if err != nil {
			t.Fatal(err)
		}
		made = append(made, one)
	}
	b.read(func(v *View) error {
		list, err := v.Drafts(2)
		if err != nil || len(list) != 2 || list[0].ID != made[2] || list[1].ID != made[1] {
			t.Errorf("%+v, %v", list, err)
		}
		waiting, err := v.DraftsIn("queued")
		if err != nil || len(waiting) != 3 || waiting[0].ID != made[0] {
			t.Errorf("%+v, %v", waiting, err)
		}
		return nil
	})
}
