package rig

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

func blow(s string, gust int64) Blow { return Blow{From: at(s), Until: at(s), Gust: gust} }

func afterStorm(n int, s string, passed bool) Inspection {
	i := Inspection{ID: id.Inspection(fmt.Sprint("storm", n)), Subject: "tower", Line: StormLine, Passed: passed, By: "p"}
	if strings.Contains(s, " ") {
		i.At, i.Done = at(s), dublin().DayOf(at(s))
	} else {
		i.Done = day(s)
	}
	return i
}

func TestARigOutdoorsWaitsForAnInspectionDoneAfterTheStorm(t *testing.T) {
	const waits = "tower waits for its inspection after the storm of "
	for name, c := range map[string]struct {
		blows       []Blow
		inspections []Inspection
		change      func(*Records)
		at          string
		want        string
	}{
		"below the line":                {[]Blow{blow("2027-03-01 03:00", 169)}, nil, nil, "2027-03-01 09:00", ""},
		"at the line":                   {[]Blow{blow("2027-03-01 03:00", 170)}, nil, nil, "2027-03-01 09:00", waits + "2027-03-01 03:00 (up to 17.0 m/s)"},
		"the minute before it blew":     {[]Blow{blow("2027-03-01 03:00", 170)}, nil, nil, "2027-03-01 02:59", ""},
		"the minute it blew":            {[]Blow{blow("2027-03-01 03:00", 170)}, nil, nil, "2027-03-01 03:00", waits + "2027-03-01 03:00 (up to 17.0 m/s)"},
		"months later":                  {[]Blow{blow("2027-03-01 03:00", 170)}, nil, nil, "2027-05-30 09:00", waits + "2027-03-01 03:00 (up to 17.0 m/s)"},
		"told, its gust not known":      {[]Blow{{From: at("2027-03-01 01:00"), Until: at("2027-03-01 05:00"), Told: true}}, nil, nil, "2027-03-01 02:00", waits + "2027-03-01 01:00"},
		"told, its gust below the line": {[]Blow{{From: at("2027-03-01 01:00"), Until: at("2027-03-01 05:00"), Told: true, Gust: 120}}, nil, nil, "2027-03-01 09:00", waits + "2027-03-01 01:00 (up to 12.0 m/s)"},
		"inspected since":               {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01 08:00", true)}, nil, "2027-03-01 08:00", ""},
		"the minute before":             {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01 08:00", true)}, nil, "2027-03-01 07:59", waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"inspected as it blew":          {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01 03:00", true)}, nil, "2027-03-01 09:00", waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"inspected before it was over": {[]Blow{{From: at("2027-03-01 01:00"), Until: at("2027-03-01 05:00"), Told: true}}, []Inspection{afterStorm(1, "2027-03-01 04:00", true)}, nil,
			"2027-03-01 09:00", waits + "2027-03-01 01:00"},
		"another after the inspection": {[]Blow{blow("2027-03-01 03:00", 200), blow("2027-03-01 10:00", 180)}, []Inspection{afterStorm(1, "2027-03-01 08:00", true)}, nil,
			"2027-03-01 11:00", waits + "2027-03-01 10:00 (up to 18.0 m/s)"},
		"several, one inspection":          {[]Blow{blow("2027-03-01 03:00", 180), blow("2027-03-01 04:00", 230)}, nil, nil, "2027-03-01 11:00", waits + "2027-03-01 03:00 (up to 23.0 m/s)"},
		"no time stated: not on its day":   {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01", true)}, nil, "2027-03-01 23:00", waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"no time stated: from the next on": {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01", true)}, nil, "2027-03-02 00:00", ""},
		"it failed": {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01 08:00", false)}, nil, "2027-03-02 09:00",
			"inspection of tower failed on 2027-03-01 (after a storm); " + waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"it failed, mended, passed": {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{afterStorm(1, "2027-03-01 08:00", false), afterStorm(2, "2027-03-02 08:00", true)}, nil, "2027-03-02 09:00", ""},
		"another inspection is none of a storm": {[]Blow{blow("2027-03-01 03:00", 200)}, []Inspection{{ID: "s", Subject: "tower", Line: structure, Done: day("2027-03-02"), Passed: true}}, nil,
			"2027-03-03 09:00", waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"a room": {[]Blow{blow("2027-03-01 03:00", 200)}, nil, func(r *Records) {
			r.Rigs[0].Value.Kind, r.Stations[0].Value.Height = Classroom, false
		}, "2027-03-01 09:00", ""},
		"a hall with a station at height": {[]Blow{blow("2027-03-01 03:00", 200)}, nil, func(r *Records) { r.Rigs[0].Value.Kind = Workshop }, "2027-03-01 09:00", waits + "2027-03-01 03:00 (up to 20.0 m/s)"},
		"a stricter line":                 {[]Blow{blow("2027-03-01 03:00", 140)}, nil, func(r *Records) { stormLine(r, 140) }, "2027-03-01 09:00", waits + "2027-03-01 03:00 (up to 14.0 m/s)"},
		"a rule book without the line":    {[]Blow{blow("2027-03-01 03:00", 170)}, nil, func(r *Records) { stormLine(r, 0) }, "2027-03-01 09:00", waits + "2027-03-01 03:00 (up to 17.0 m/s)"},
	} {
		t.Run(name, func(t *testing.T) {
			r := tower()
			r.Blows, r.Inspections = c.blows, append(r.Inspections, c.inspections...)
			if c.change != nil {
				c.change(&r)
			}
			g, hold := NewRegister(r), civil.Period{Start: at(c.at), End: at(c.at) + 1}
			if got := said(g.StationAt("deck", hold)); inOrder(got) != inOrder(c.want) {
				t.Errorf("%q\nwant %q", got, c.want)
			}
			if got := said(g.RigAt("tower", at(c.at))); inOrder(got) != inOrder(c.want) {
				t.Errorf("the rig: %q\nwant %q", got, c.want)
			}
		})
	}
}

// inOrder sorts what is said, its moments told shortly.
func inOrder(s string) string {
	s = strings.NewReplacer("T", " ", ":00+00:00", "").Replace(s)
	return strings.Join(slices.Sorted(strings.SplitSeq(s, "; ")), "; ")
}

// stormLine sets the line of a storm, 0 = none.
func stormLine(r *Records, value int64) {
	book := &r.Books[0]
	book.Lines = slices.Clone(book.Lines)
	i := slices.IndexFunc(book.Lines, func(l rulebook.Line) bool { return l.Quantity == rulebook.StormGust })
	if book.Lines[i].Value = value; value == 0 {
		book.Lines = slices.Delete(book.Lines, i, i+1)
	}
}

// TestNoRigIsClearWithAStormAfterItsLastPassedInspection draws storms and inspections
// and asks every minute that matters, by the plain words of the rule.
func TestNoRigIsClearWithAStormAfterItsLastPassedInspection(t *testing.T) {
	start := at("2027-03-01 00:00")
	rapid.Check(t, func(t *rapid.T) {
		minute := func(name string) civil.Instant {
			return start.Add(civil.Minutes(rapid.IntRange(0, 6000).Draw(t, name)))
		}
		r := tower()
		for range rapid.IntRange(0, 6).Draw(t, "storms") {
			b := Blow{From: minute("from"), Gust: int64(rapid.IntRange(150, 190).Draw(t, "gust"))}
			if b.Until = b.From; rapid.Bool().Draw(t, "told") {
				b.Told, b.Until = true, b.From.Add(civil.Minutes(rapid.IntRange(1, 900).Draw(t, "lasts")))
			}
			r.Blows = append(r.Blows, b)
		}
		for n := range rapid.IntRange(0, 6).Draw(t, "inspections") {
			i := Inspection{ID: id.Inspection(fmt.Sprint("x", n)), Subject: "tower", Line: rapid.SampledFrom([]string{StormLine, StormLine, structure}).Draw(t, "line"), At: minute("at"), Passed: rapid.IntRange(0, 3).Draw(t, "passed") > 0}
			i.Done = dublin().DayOf(i.At)
			r.Inspections = append(r.Inspections, i)
		}
		g := NewRegister(r)
		for range 20 {
			now := minute("now")
			waits := slices.ContainsFunc(r.Blows, func(b Blow) bool {
				return (b.Told || b.Gust >= 170) && b.From <= now && !slices.ContainsFunc(r.Inspections, func(i Inspection) bool {
					return i.Line == StormLine && i.Passed && b.Until < i.At && i.At <= now
				})
			})
			if got := len(g.StormsIn("deck", civil.Period{Start: now, End: now + 1})) > 0; got != waits {
				t.Fatalf("at minute %d it waits: %t, want %t", now.Sub(start), got, waits)
			}
			closed := slices.ContainsFunc(g.Closed("deck", day("2027-02-27"), day("2027-03-20")), func(c Closed) bool {
				return c.Start <= now && now < c.End && c.Causes[0].Kind == AfterStorm
			})
			if closed != waits {
				t.Fatalf("at minute %d a plan finds it closed: %t, want %t", now.Sub(start), closed, waits)
			}
			if waits && len(g.StationAt("deck", civil.Period{Start: now, End: now + 1})) == 0 {
				t.Fatal("it is clear")
			}
		}
	})
}
