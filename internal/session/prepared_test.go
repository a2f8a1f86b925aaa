package session

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

func TestACheckIsWholeOnlyWhenEveryItemOfTheListWasLookedAt(t *testing.T) {
	check := &PreUse{Things: []Checked{{Of: "deck", Items: []CheckedItem{{"a", true}, {"b", false}}}, {Of: "kit", Items: []CheckedItem{{"c", true}}}}}
	for name, c := range map[string]struct {
		check  *PreUse
		asked  []ToCheck
		lacks  int
		failed int
	}{
		"whole, one item failed":      {check, []ToCheck{{"deck", []id.Commitment{"a", "b"}}, {"kit", []id.Commitment{"c"}}}, 0, 1},
		"an item was added":           {check, []ToCheck{{"deck", []id.Commitment{"a", "b", "d"}}}, 1, 1},
		"an item was of another kit":  {check, []ToCheck{{"kit", []id.Commitment{"a"}}}, 1, 1},
		"a kit was added":             {check, []ToCheck{{"rope", []id.Commitment{"c"}}}, 1, 1},
		"the list has nothing in it":  {check, []ToCheck{{"kit", nil}}, 1, 1},
		"nobody looked at anything":   {nil, []ToCheck{{"deck", []id.Commitment{"a"}}, {"kit", []id.Commitment{"c"}}}, 2, 0},
		"a list that became shorter":  {check, []ToCheck{{"deck", []id.Commitment{"a"}}}, 0, 1},
		"the check of something else": {&PreUse{}, []ToCheck{{"deck", []id.Commitment{"a"}}}, 1, 0},
	} {
		if lacks, failed := c.check.Lacks(c.asked), c.check.Failed(); len(lacks) != c.lacks || len(failed) != c.failed {
			t.Errorf("%s: lacks %v, failed %v", name, lacks, failed)
		}
	}
}

func TestTheoryIsAskedAgainWhenItLiesFurtherBackThanTheRuleBookSays(t *testing.T) {
	zone, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	day := civil.DayOf(2027, 3, 2)
	done := func(d civil.Day, from, to civil.Minutes, state State) Session {
		return Session{State: state, Start: zone.At(d, from), End: zone.At(d, to)}
	}
	const within = 24 * 60
	for name, c := range map[string]struct {
		earlier []Session
		begins  civil.Minutes
		want    bool
	}{
		"nothing before":                         {nil, 540, false},
		"the day before, exactly 24 hours":       {[]Session{done(day-1, 540, 720, SignedOff)}, 720, false},
		"the day before, one minute more":        {[]Session{done(day-1, 540, 720, SignedOff)}, 721, true},
		"two days before":                        {[]Session{done(day-2, 540, 720, CutShort)}, 540, true},
		"only booked":                            {[]Session{done(day-2, 540, 720, Booked)}, 540, false},
		"stood down":                             {[]Session{done(day-2, 540, 720, StoodDown)}, 540, false},
		"earlier the same day":                   {[]Session{done(day, 0, 60, SignedOff)}, 1430, false},
		"under way for days, not signed":         {[]Session{done(day-2, 540, 720, UnderWay)}, 540, true},
		"one of two lies too far back":           {[]Session{done(day-1, 900, 1000, SignedOff), done(day-3, 540, 720, SignedOff)}, 540, true},
		"all within the time, on an earlier day": {[]Session{done(day-1, 900, 1000, SignedOff)}, 540, false},
	} {
		if got := NeedsRecheck(c.earlier, day, zone, zone.At(day, c.begins), within); got != c.want {
			t.Errorf("%s: %t, want %t", name, got, c.want)
		}
	}
}

func TestCautionsAreReadByOnePersonAsTheyWere(t *testing.T) {
	a := verdict.Finding{Rule: "day-run", Excess: 2}
	read := &Shown{Done: Done{By: "ann"}, Cautions: []string{SubjectOf(a)}}
	worse := a
	worse.Excess = 3
	for name, c := range map[string]struct {
		shown    *Shown
		cautions []verdict.Finding
		who      id.Person
		want     int
	}{
		"by her":              {read, []verdict.Finding{a}, "ann", 0},
		"by another":          {read, []verdict.Finding{a}, "ben", 1},
		"by anybody":          {read, []verdict.Finding{a}, "", 0},
		"it has become worse": {read, []verdict.Finding{worse}, "ann", 1},
		"nobody read":         {nil, []verdict.Finding{a}, "", 1},
		"none to read":        {nil, nil, "ann", 0},
	} {
		if got := c.shown.Unread(c.cautions, c.who); len(got) != c.want {
			t.Errorf("%s: %d unread, want %d", name, len(got), c.want)
		}
	}
}
