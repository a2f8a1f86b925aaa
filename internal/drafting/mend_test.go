package drafting_test

import (
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// The days that tests mend.
const fortnight = 13

// lostDay loses the stations of a day's sessions, and says which day.
func (o *office) lostDay() civil.Day {
	o.Helper()
	day := monday + 2
	var stations []id.Station
	for _, s := range o.between(day, day) {
		if !slices.Contains(stations, s.Station) {
			stations = append(stations, s.Station)
		}
	}
	o.lose(drafting.Loss{Kind: drafting.WeatherDays, Stations: stations[:1], From: day, Until: day})
	return day
}

func (o *office) lose(l drafting.Loss) {
	o.Helper()
	if err := o.Lose(context.Background(), o.admin, l, o.key()); err != nil {
		o.Fatal(err)
	}
}

// mend makes a repair draft of the fortnight.
func (o *office) mend(civil.Day) id.Draft {
	o.Helper()
	of, err := o.Mend(context.Background(), o.admin, monday, monday+fortnight, drafting.MostSeconds, o.key())
	if err != nil {
		o.Fatal(err)
	}
	o.searched(of)
	return of
}

func (o *office) hit() drafting.Hits {
	o.Helper()
	h, err := o.Hit(context.Background(), o.admin, zone.DayOf(civil.Instant(o.now.Load())), monday+fortnight)
	if err != nil {
		o.Fatal(err)
	}
	return h
}

func ids(h drafting.Hits) (out []string) {
	for _, x := range h.Sessions {
		out = append(out, string(x.Session.ID))
	}
	slices.Sort(out)
	return out
}

func TestALostDayIsMendedWithFewChanges(t *testing.T) {
	o := open(t)
	if h := o.hit(); len(h.Sessions) > 0 {
		t.Fatalf("before anything is lost %d sessions are hit", len(h.Sessions))
	}
	_, err := o.Mend(context.Background(), o.admin, monday, monday+fortnight, 1, o.key())
	o.kind(err, fault.Conflict)
	day := o.lostDay()
	hit := o.hit()
	if len(hit.Sessions) == 0 {
		t.Fatal("the lost day hits nothing")
	}
	for _, x := range hit.Sessions {
		if zone.DayOf(x.Session.Start) != day || len(x.Findings) == 0 || x.Findings[0].Rule != "station-shut" || x.Exercise == "" || x.Station == "" {
			t.Errorf("hit: %+v", x)
		}
	}
	of := o.mend(day)
	d := o.draft(of)
	if d.Kind != drafting.ForMend || d.Figures.Kept == 0 {
		t.Errorf("kind %s, %d kept", d.Kind, d.Figures.Kept)
	}
	changed := 0
	for _, c := range d.Changes {
		if c.Was != nil && !slices.Contains(ids(hit), c.Was.ID) {
			changed++
		}
	}
	if changed > len(hit.Sessions) {
		t.Errorf("%d sessions change that were not hit, for %d that were", changed, len(hit.Sessions))
	}
	o.accept(of)
	if left := o.findings(monday, monday+fortnight); len(left) > 0 {
		t.Errorf("after the repair: %q", left)
	}
}

// TestWhatStartsSoonStaysUnlessItIsHit sets the clock so that a day's first
// sessions start within the notice time.
func TestWhatStartsSoonStaysUnlessItIsHit(t *testing.T) {
	o := open(t)
	day := o.lostDay()
	o.now.Store(int64(zone.At(day-1, 18*60)))
	hit := o.hit()
	soon := map[id.Session]session.Session{}
	for _, s := range o.between(day, day) {
		if s.Start < civil.Instant(o.now.Load()).Add(hit.Notice) && !slices.Contains(ids(hit), string(s.ID)) {
			soon[s.ID] = s
		}
	}
	if hit.Notice == 0 || len(soon) == 0 {
		t.Fatalf("notice %s, %d sessions within it that are not hit", hit.Notice, len(soon))
	}
	for _, x := range hit.Sessions {
		if x.Soon != (x.Session.Start < civil.Instant(o.now.Load()).Add(hit.Notice)) {
			t.Errorf("%+v: soon %t", x.Session, x.Soon)
		}
	}
	of, err := o.Mend(context.Background(), o.admin, day-1, monday+fortnight, drafting.MostSeconds, o.key())
	if err != nil {
		t.Fatal(err)
	}
	o.searched(of)
	o.accept(of)
	o.read(func(v *store.View) error {
		for sid, was := range soon {
			now, err := v.Session(sid)
			if err != nil {
				return err
			}
			if now.Value.Start != was.Start || now.Value.Station != was.Station || !slices.Equal(now.Value.Instructors, was.Instructors) {
				t.Errorf("%s starts within the notice time, is not hit, and was changed", sid)
			}
		}
		return nil
	})
}

func TestALostInstructorIsReplaced(t *testing.T) {
	o := open(t)
	s := o.between(monday+3, monday+3)[0]
	who := s.Instructors[0]
	o.lose(drafting.Loss{Kind: drafting.PersonAway, Person: who, Start: zone.StartOfDay(monday + 3), End: zone.StartOfDay(monday + 4)})
	if !slices.Contains(ids(o.hit()), string(s.ID)) {
		t.Fatal("the session of somebody who is away is not hit")
	}
	of := o.mend(monday + 3)
	o.accept(of)
	for _, x := range o.between(monday+3, monday+3) {
		if x.State != session.StoodDown && (slices.Contains(x.Instructors, who) || slices.Contains(x.Rescuers, who)) {
			t.Errorf("%s is away and stands in %s", who, x.ID)
		}
	}
	if left := o.findings(monday, monday+fortnight); len(left) > 0 {
		t.Errorf("after the repair: %q", left)
	}
}

// TestWhoDoesNotWorkAtHeightTeachesOnTheGroundOnly loses somebody for height, and
// looks at what is said and what the repair makes of it.
func TestWhoDoesNotWorkAtHeightTeachesOnTheGroundOnly(t *testing.T) {
	o := open(t)
	ref := o.reference()
	high := func(s session.Session) bool { st, _ := ref.Stations.On(s.Station, monday); return st.Height }
	i := slices.IndexFunc(o.ahead(), func(s session.Session) bool {
		return high(s) && zone.DayOf(s.Start) > monday+1 && zone.DayOf(s.Start) <= monday+fortnight
	})
	if i < 0 {
		t.Fatal("nothing is booked at height")
	}
	s := o.ahead()[i]
	who := s.Instructors[0]
	o.lose(drafting.Loss{Kind: drafting.NoHeight, Person: who, From: monday + 1, Until: monday + fortnight})
	hit := o.hit()
	said := false
	for _, x := range hit.Sessions {
		for _, f := range x.Findings {
			text := f.Found.In(verdict.Style{Ref: hit.Slice.Name, Day: civil.Day.String, Instant: zone.Format})
			said = said || f.Rule == "qualified" && text == hit.Slice.Name(verdict.Ref{Kind: verdict.Person, ID: string(who)})+" does not work at height until "+(monday+fortnight).String()
		}
	}
	if !said || !slices.Contains(ids(hit), string(s.ID)) {
		t.Errorf("the session at height is hit: %t; its cause is said: %t", slices.Contains(ids(hit), string(s.ID)), said)
	}
	o.accept(o.mend(0))
	for _, x := range o.between(monday+1, monday+fortnight) {
		in := slices.Contains(x.Instructors, who) || slices.Contains(x.Rescuers, who)
		if x.State == session.StoodDown || !in {
			continue
		}
		if high(x) {
			t.Errorf("%s does not work at height and stands in %s", who, x.ID)
		}
	}
	if left := o.findings(monday, monday+fortnight); len(left) > 0 {
		t.Errorf("after the repair: %q", left)
	}
}

func TestPeopleConcernedAreListedAndToldOnce(t *testing.T) {
	o := open(t)
	of := o.mend(o.lostDay())
	d := o.draft(of)
	if len(d.Concerned) == 0 {
		t.Fatal("nobody is concerned")
	}
	for _, c := range d.Concerned {
		if c.Name == "" || c.Told != nil || len(c.Before)+len(c.After) == 0 {
			t.Errorf("%+v", c)
		}
	}
	one := d.Concerned[0].Person
	o.kind(o.Told(context.Background(), o.admin, of, one), fault.Conflict)
	o.accept(of)
	for range 2 {
		if err := o.Told(context.Background(), o.admin, of, one); err != nil {
			t.Fatal(err)
		}
	}
	if len(d.Concerned) < 2 {
		t.Fatalf("%d concerned, want two or more", len(d.Concerned))
	}
	o.kind(o.Told(context.Background(), o.admin, of, d.Concerned[1].Person, "nobody"), fault.NotFound)
	told := 0
	for _, c := range o.draft(of).Concerned {
		if c.Told != nil {
			told++
			if c.Person != one || c.Told.At != eight || c.Told.By == "" {
				t.Errorf("told: %+v %+v", c.Person, c.Told)
			}
		}
	}
	if told != 1 {
		t.Errorf("%d were told, want 1", told)
	}
}

// TestARepairBreaksNothing loses random things at a random hour, mends, accepts,
// and judges the whole yard before and after.
func TestARepairBreaksNothing(t *testing.T) {
	mended := 0
	rapid.Check(t, func(rt *rapid.T) {
		o := open(t)
		defer o.close()
		o.now.Store(int64(zone.At(monday+civil.Day(rapid.IntRange(0, 3).Draw(rt, "day")), civil.Minutes(rapid.IntRange(8, 20).Draw(rt, "hour"))*60)))
		today := zone.DayOf(civil.Instant(o.now.Load()))
		choices, err := o.LossChoices(context.Background(), o.admin)
		if err != nil {
			rt.Fatal(err)
		}
		for range rapid.IntRange(1, 3).Draw(rt, "losses") {
			o.lose(drawLoss(rt, choices, today))
		}
		before := o.findings(monday-7, monday+60)
		of, err := o.Mend(context.Background(), o.admin, today, monday+fortnight, drafting.MostSeconds, o.key())
		if fault.Of(err) == fault.Conflict { // nothing is hit
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		o.searched(of)
		d := o.draft(of)
		mended += len(d.Changes)
		out := o.accept(of)
		after := o.findings(monday-7, monday+60)
		for _, f := range after {
			if !slices.Contains(before, f) {
				rt.Errorf("after the repair: %q", f)
			}
		}
		if len(d.Changes) > 0 && len(after) >= len(before) {
			rt.Errorf("%d findings before, %d after %+v", len(before), len(after), out)
		}
	})
	if mended == 0 {
		t.Error("nothing was mended")
	}
}

func drawLoss(rt *rapid.T, c drafting.LossChoices, today civil.Day) drafting.Loss {
	from := today + civil.Day(rapid.IntRange(0, 8).Draw(rt, "from"))
	until := from + civil.Day(rapid.IntRange(0, 4).Draw(rt, "more days"))
	station := rapid.SampledFrom(c.Stations).Draw(rt, "station").Station
	person := rapid.SampledFrom(c.Staff).Draw(rt, "person").Person
	kind := rapid.SampledFrom([]drafting.LossKind{drafting.StationShut, drafting.WeatherDays, drafting.PersonAway, drafting.NoHeight}).Draw(rt, "kind")
	l := drafting.Loss{Kind: kind, From: from, Until: until, Start: zone.At(from, 10*60), End: zone.At(until, 15*60), Reason: rig.ShutFault}
	if kind == drafting.StationShut || kind == drafting.WeatherDays {
		l.Stations = []id.Station{station}
	} else {
		l.Person = person
	}
	return l
}

// TestWhatFindsNoPlaceIsStoodDownWithItsReason loses a whole day to weather, or
// everybody on it, and mends that day alone.
func TestWhatFindsNoPlaceIsStoodDownWithItsReason(t *testing.T) {
	day := monday + 3
	for name, c := range map[string]struct {
		lose func(*office, drafting.LossChoices)
		want session.DownReason
	}{
		"weather": {func(o *office, c drafting.LossChoices) {
			l := drafting.Loss{Kind: drafting.WeatherDays, From: day, Until: day}
			for _, s := range c.Stations {
				l.Stations = append(l.Stations, s.Station)
			}
			o.lose(l)
		}, session.DownWeather},
		"a fault": {func(o *office, c drafting.LossChoices) {
			l := drafting.Loss{Kind: drafting.StationShut, Start: zone.StartOfDay(day), End: zone.StartOfDay(day + 1), Reason: rig.ShutFault}
			for _, s := range c.Stations {
				l.Stations = append(l.Stations, s.Station)
			}
			o.lose(l)
		}, session.DownRig},
		"nobody there": {func(o *office, c drafting.LossChoices) {
			for _, s := range c.Staff {
				o.lose(drafting.Loss{Kind: drafting.PersonAway, Person: s.Person, Start: zone.StartOfDay(day), End: zone.StartOfDay(day + 1)})
			}
		}, session.DownPeople},
	} {
		t.Run(name, func(t *testing.T) {
			o := open(t)
			choices, err := o.LossChoices(context.Background(), o.admin)
			if err != nil {
				t.Fatal(err)
			}
			c.lose(o, choices)
			hit := o.hit()
			of, err := o.Mend(context.Background(), o.admin, day, day, drafting.MostSeconds, o.key())
			if err != nil {
				t.Fatal(err)
			}
			o.searched(of)
			d := o.draft(of)
			out := o.accept(of)
			if out.StoodDown == 0 || out.StoodDown < len(hit.Sessions) || len(d.Unplaced) == 0 {
				t.Errorf("%+v with %d hit, %d needs left out", out, len(hit.Sessions), len(d.Unplaced))
			}
			for _, s := range o.between(day, day) {
				if s.State != session.StoodDown || s.Down != c.want && slices.Contains(ids(hit), string(s.ID)) {
					t.Errorf("%s is %s for %q, want stood down for %q", s.ID, s.State, s.Down, c.want)
				}
			}
		})
	}
}
