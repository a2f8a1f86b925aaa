package drafting_test

import (
	"context"
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// losses are those that stand now and did not before.
func (o *office) losses(before []drafting.Loss) (out []drafting.Loss) {
	o.Helper()
	list, err := o.Losses(context.Background(), o.admin)
	if err != nil {
		o.Fatal(err)
	}
	for _, l := range list {
		if !slices.ContainsFunc(before, func(b drafting.Loss) bool { return b.ID == l.ID }) {
			out = append(out, l)
		}
	}
	return out
}

// TestEachKindOfLossStandsUntilItIsEnded records one of each, in the future or
// begun, and ends it.
func TestEachKindOfLossStandsUntilItIsEnded(t *testing.T) {
	o := open(t)
	c, err := o.LossChoices(context.Background(), o.admin)
	if err != nil || len(c.Stations) == 0 || len(c.Staff) == 0 || len(c.Reasons) == 0 {
		t.Fatalf("%+v, %v", c, err)
	}
	station, person := c.Stations[0].Station, c.Staff[0].Person
	before := o.losses(nil)
	for name, l := range map[string]drafting.Loss{
		"a station, until it is opened": {Kind: drafting.StationShut, Stations: []id.Station{station}, Start: eight.Add(-60), Reason: rig.ShutFault},
		"a station, some day":           {Kind: drafting.StationShut, Stations: []id.Station{station}, Start: eight.Add(6000), End: eight.Add(6100), Reason: rig.ShutOther},
		"a day of weather":              {Kind: drafting.WeatherDays, Stations: []id.Station{station}, From: monday + 1, Until: monday + 1},
		"away since yesterday":          {Kind: drafting.PersonAway, Person: person, Start: eight.Add(-24 * 60), End: eight.Add(60)},
		"away next week":                {Kind: drafting.PersonAway, Person: person, Start: zone.StartOfDay(monday + 7), End: zone.StartOfDay(monday + 8)},
		"on the ground from today":      {Kind: drafting.NoHeight, Person: person, From: monday, Until: monday},
		"on the ground since last week": {Kind: drafting.NoHeight, Person: person, From: monday - 7, Until: monday + 3},
	} {
		o.lose(l)
		stand := o.losses(before)
		if len(stand) != 1 || stand[0].Name == "" || stand[0].Name == stand[0].ID {
			t.Errorf("%s: %+v stand", name, stand)
			continue
		}
		got := stand[0]
		if l.Kind == drafting.WeatherDays && (got.Kind != drafting.StationShut || got.Reason != rig.ShutWeather || got.Start != zone.StartOfDay(monday+1) || got.End != zone.StartOfDay(monday+2)) {
			t.Errorf("%s: %+v", name, got)
		}
		if err := o.EndLoss(context.Background(), o.admin, got.Kind, []string{got.ID}, o.key()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		o.now.Add(1)
		switch left := o.losses(before); {
		case name == "a station, some day" || name == "a day of weather":
			// It is shut for a minute when its time comes: what was recorded is not unsaid.
			if len(left) == 1 && left[0].End != left[0].Start+1 {
				t.Errorf("%s: still %+v", name, left)
			}
			before = append(before, left...)
		case len(left) > 0:
			t.Errorf("%s: still %+v", name, left)
		default:
			o.kind(o.EndLoss(context.Background(), o.admin, got.Kind, []string{got.ID}, o.key()), fault.Conflict)
		}
	}
	o.lose(drafting.Loss{Kind: drafting.PersonAway, Person: person, Start: zone.StartOfDay(monday + 7), End: zone.StartOfDay(monday + 8)})
	away := o.losses(before)[0].ID
	o.kind(o.EndLoss(context.Background(), o.admin, drafting.PersonAway, []string{away, "nothing"}, o.key()), fault.NotFound)
	if len(o.losses(before)) != 1 {
		t.Error("of two losses one was ended though the other is none")
	}
	o.kind(o.EndLoss(context.Background(), o.admin, drafting.NoHeight, []string{"nothing"}, o.key()), fault.NotFound)
	o.kind(o.EndLoss(context.Background(), o.admin, "luck", []string{"nothing"}, o.key()), fault.NotFound)
}

func TestALossThatCanNotBeRecordedNamesItsField(t *testing.T) {
	o := open(t)
	c, err := o.LossChoices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	stations, person := []id.Station{c.Stations[0].Station}, c.Staff[0].Person
	head := o.head()
	for name, x := range map[string]struct {
		loss  drafting.Loss
		field string
	}{
		"nothing":                  {drafting.Loss{}, "kind"},
		"no station":               {drafting.Loss{Kind: drafting.StationShut, Start: eight, Reason: rig.ShutFault}, "stations"},
		"an unknown station":       {drafting.Loss{Kind: drafting.WeatherDays, Stations: []id.Station{"gone"}, From: monday, Until: monday}, "stations"},
		"no reason":                {drafting.Loss{Kind: drafting.StationShut, Stations: stations, Start: eight}, "reason"},
		"opens before it is shut":  {drafting.Loss{Kind: drafting.StationShut, Stations: stations, Start: eight, End: eight, Reason: rig.ShutFault}, "end"},
		"no start":                 {drafting.Loss{Kind: drafting.StationShut, Stations: stations, Reason: rig.ShutFault}, "start"},
		"nobody":                   {drafting.Loss{Kind: drafting.PersonAway, Start: eight, End: eight.Add(60)}, "person"},
		"a trainee":                {drafting.Loss{Kind: drafting.NoHeight, Person: "t-somebody", From: monday, Until: monday}, "person"},
		"away without end":         {drafting.Loss{Kind: drafting.PersonAway, Person: person, Start: eight}, "end"},
		"weather of yesterday":     {drafting.Loss{Kind: drafting.WeatherDays, Stations: stations, From: monday - 1, Until: monday - 1}, "until"},
		"ends before it begins":    {drafting.Loss{Kind: drafting.NoHeight, Person: person, From: monday + 2, Until: monday + 1}, "until"},
		"no first day":             {drafting.Loss{Kind: drafting.NoHeight, Person: person, Until: monday + 1}, "from"},
		"longer than can be meant": {drafting.Loss{Kind: drafting.NoHeight, Person: person, From: monday, Until: monday + 367}, "until"},
	} {
		err := o.Lose(context.Background(), o.admin, x.loss, o.key())
		if !slices.Contains(fieldsOf(err), x.field) {
			t.Errorf("%s: %v, want an error of the field %s", name, err, x.field)
		}
	}
	if o.head() != head {
		t.Error("something was written")
	}
	o.lose(drafting.Loss{Kind: drafting.NoHeight, Person: person, From: monday, Until: monday + 366})
}

// TestFiguresAddUp compares a draft's figures with what they are made of.
func TestFiguresAddUp(t *testing.T) {
	o := open(t)
	w := o.usual()
	d := o.draft(o.made(w))
	minutes, days := civil.Minutes(0), 0
	for _, s := range d.Figures.Staff {
		minutes += s.Minutes
		if s.Name == "" || s.Sessions == 0 {
			t.Errorf("%+v", s)
		}
	}
	for _, x := range d.Figures.Trainees {
		days += len(x.Days)
		if !slices.IsSorted(x.Days) || len(x.Days) == 0 {
			t.Errorf("%s comes in on %v", x.Name, x.Days)
		}
	}
	if minutes != d.Figures.StaffMinutes || days != d.Figures.TraineeDays || d.Figures.Sessions != len(d.Changes) {
		t.Errorf("%s of staff, %d days, %d sessions; stated %s, %d, %d", minutes, days, len(d.Changes), d.Figures.StaffMinutes, d.Figures.TraineeDays, d.Figures.Sessions)
	}
	proposed, last := civil.Minutes(0), civil.Day(0)
	for _, s := range d.Figures.Stations {
		proposed += s.Plan
		if s.Open < 0 || s.Name == "" {
			t.Errorf("%+v", s)
		}
	}
	for _, c := range d.Changes {
		proposed -= c.Session.Period().Length()
		last = max(last, zone.DayOf(c.Session.Start))
	}
	if proposed != 0 {
		t.Errorf("station use and sessions differ by %s", proposed)
	}
	if len(d.Figures.Intakes) != 1 || d.Figures.Intakes[0].Last < last {
		t.Errorf("last days %+v, the last session is on %s", d.Figures.Intakes, last)
	}
}
