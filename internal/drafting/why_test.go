package drafting_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

func text(s *planning.Slice, t verdict.Text) string {
	return t.In(verdict.Style{Ref: s.Name, Day: civil.Day.String, Instant: zone.Format, Period: func(p civil.Period) string { return zone.Format(p.Start) }})
}

// TestWhatNoPlanCanPlaceIsSaidBeforeTheSearchInWordsOfTheRecords shuts every
// station of an exercise that is still open.
func TestWhatNoPlanCanPlaceIsSaidBeforeTheSearchInWordsOfTheRecords(t *testing.T) {
	o := open(t)
	w := o.usual()
	first := o.draft(o.made(w))
	exercise := id.Exercise(first.Changes[0].Session.Exercise)
	e, _ := o.reference().Exercises.On(exercise, monday)
	o.lose(drafting.Loss{Kind: drafting.WeatherDays, Stations: e.Stations, From: w.From, Until: w.Until})
	w.Seconds = drafting.MostSeconds
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		t.Fatal(err)
	}
	early := o.draft(of)
	if len(early.Never) == 0 {
		t.Fatal("nothing is said before the search")
	}
	for _, n := range early.Never {
		if n.Exercise != exercise || n.Name == "" || n.Title == "" || len(n.Say) == 0 {
			t.Errorf("%+v", n)
		}
	}
	if said := text(early.Slice, early.Never[0].Say); !strings.Contains(said, "shut") {
		t.Errorf("said: %q", said)
	}
	o.searched(of)
	d := o.draft(of)
	barred := 0
	for _, u := range d.Unplaced {
		if u.Exercise == exercise {
			barred++
			if u.Never == nil {
				t.Errorf("%s of %s is left out; that no plan can place it is not said", u.Title, u.Name)
			}
		}
		for _, word := range strings.Fields(u.Reason) {
			if word == string(u.Exercise) || word == string(u.Trainee) {
				t.Errorf("an id stands in %q", u.Reason)
			}
		}
	}
	if barred != len(early.Never) {
		t.Errorf("%d needs are left out, %d were said to have no place", barred, len(early.Never))
	}
	one := d.Unplaced[slices.IndexFunc(d.Unplaced, func(u drafting.Unplaced) bool { return u.Exercise == exercise })]
	why, err := o.Explain(context.Background(), o.admin, of, one.Trainee, one.Exercise)
	if err != nil || len(why.Causes) == 0 || why.Place == nil {
		t.Fatalf("%+v, %v", why, err)
	}
	if !slices.ContainsFunc(why.Causes, func(c drafting.Cause) bool { return slices.Contains(c.Rules, "station-shut") }) {
		t.Errorf("causes %+v, want the shut station", why.Causes)
	}
	_, err = o.Explain(context.Background(), o.admin, of, "nobody", exercise)
	o.kind(err, fault.NotFound)
}

// TestANeedThatIsLeftOutSaysWhatStopsItBesideThePlan takes the only day away from
// whoever may teach what is still open.
func TestANeedThatIsLeftOutSaysWhatStopsItBesideThePlan(t *testing.T) {
	o := open(t)
	w := o.usual()
	first := o.draft(o.made(w)).Changes[0].Session
	c, err := o.LossChoices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range c.Staff {
		o.lose(drafting.Loss{Kind: drafting.PersonAway, Person: s.Person, Start: zone.StartOfDay(w.From), End: zone.StartOfDay(w.Until + 1)})
	}
	d := o.draft(o.made(w))
	if len(d.Unplaced) == 0 {
		t.Fatal("nothing is left out though everybody is away")
	}
	for _, u := range d.Unplaced {
		if u.Exercise == id.Exercise(first.Exercise) && u.Never == nil && len(u.Why) == 0 {
			t.Errorf("%s of %s: %q, and no more is said", u.Title, u.Name, u.Reason)
		}
	}
}
