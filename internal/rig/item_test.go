package rig

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

const atLength = 2 // pieces of the harness kit of these tests

// harnessed is the tower's yard with a kit of two harnesses, each an item.
func harnessed() Records {
	r := tower()
	r.Kits = append(r.Kits, Always(Kit{ID: "harnesses", Count: atLength, LastValid: day("2040-12-31")})...)
	r.Items = Always(
		Item{ID: "h1", Kit: "harnesses", Piece: 1, Sort: HarnessItem, Serial: "1", FirstUse: day("2020-03-01")},
		Item{ID: "h2", Kit: "harnesses", Piece: 2, Sort: HarnessItem, Serial: "2", FirstUse: day("2026-03-01")})
	return r
}

// A lifetime of 10 years from first use is common practice, no source; the maker's own
// day counts where it is earlier. Through its last day: C4 of the facts. Inspection of
// textile kit within 6 months: HSE INDG367, facts I2.
func TestAnItemIsOutOfUseFromEachCauseAndTheKitCountsOneLess(t *testing.T) {
	first := func(r *Records) *Item { return &r.Items[0].Value }
	inspected := func(r *Records, passed ...bool) {
		first(r).Inspections = []string{textileLine}
		for n, ok := range passed {
			r.Inspections = append(r.Inspections, Inspection{ID: id.Inspection(fmt.Sprint("n", n)), Subject: "h1", Line: textileLine, Done: day("2027-01-01") + civil.Day(n), Passed: ok})
		}
	}
	for _, c := range []struct {
		name, day string
		change    func(*Records)
		want      string
	}{
		{"last day of ten years", "2030-03-01", nil, ""},
		{"the day after it", "2030-03-02", nil, "h1 is past its last day since 2030-03-02"},
		{"the maker's last day", "2027-05-31", func(r *Records) { first(r).MakerLast = day("2027-05-31") }, ""},
		{"the day after the maker's", "2027-06-01", func(r *Records) { first(r).MakerLast = day("2027-05-31") }, "h1 is past its last day since 2027-06-01"},
		{"a maker's day that is later counts not", "2030-03-02", func(r *Records) { first(r).MakerLast = day("2033-01-01") }, "h1 is past its last day since 2030-03-02"},
		{"no first use", "2027-02-01", func(r *Records) { first(r).FirstUse = 0 }, "h1: the day of first use is not stated"},
		{"no lifetime in the rule book", "2027-02-01", func(r *Records) {
			r.Books[0].Lines = slices.DeleteFunc(slices.Clone(r.Books[0].Lines), func(l rulebook.Line) bool { return l.Quantity == rulebook.TextileLife })
			r.Items = r.Items[:1]
			r.Kits[len(r.Kits)-1].Value.Count = 1
		}, "h1: the lifetime of textile kit in the rule book is not stated"},
		{"what is no textile has no lifetime of its own", "2050-01-01", func(r *Records) {
			for i := range r.Items {
				r.Items[i].Value.Sort, r.Items[i].Value.FirstUse = DeviceItem, 0
			}
		}, ""},
		{"inspected, on its last day", "2027-07-01", func(r *Records) { inspected(r, true) }, ""},
		{"inspected, a day too late", "2027-07-02", func(r *Records) { inspected(r, true) }, "inspection of h1 overdue since 2027-07-02 (harness)"},
		{"never inspected", "2027-02-01", func(r *Records) { inspected(r) }, "no inspection of h1 is recorded (harness)"},
		{"an inspection that failed", "2027-02-01", func(r *Records) { inspected(r, true, false) }, "inspection of h1 failed on 2027-01-02 (harness)"},
		{"and passed again", "2027-02-01", func(r *Records) { inspected(r, true, false, true) }, ""},
		{"one that failed by a line it needs no more", "2027-02-01", func(r *Records) { inspected(r, false); first(r).Inspections = nil }, "inspection of h1 failed on 2027-01-01 (harness)"},
		{"the day before it is out", "2027-01-31", func(r *Records) { first(r).Out, first(r).Why = day("2027-02-01"), "w" }, ""},
		{"out of use", "2027-02-01", func(r *Records) { first(r).Out, first(r).Why = day("2027-02-01"), "w" }, "h1 is retired since 2027-02-01"},
		{"out of use and replaced", "2027-02-01", func(r *Records) {
			first(r).Out, first(r).Why = day("2027-02-01"), "w"
			r.Items = append(r.Items, Always(Item{ID: "h3", Kit: "harnesses", Piece: 1, Sort: HarnessItem, Serial: "3", FirstUse: day("2027-01-01"), Replaces: "h1"})...)
		}, ""},
		{"replaced by one of another piece", "2027-02-01", func(r *Records) {
			first(r).Out, first(r).Why = day("2027-02-01"), "w"
			r.Items = append(r.Items, Always(Item{ID: "h3", Kit: "harnesses", Piece: 2, Sort: HarnessItem, Serial: "3", FirstUse: day("2027-01-01"), Replaces: "h1"})...)
		}, "h1 is retired since 2027-02-01"},
		{"a piece without an item", "2027-02-01", func(r *Records) { first(r).Piece = 0 }, "no item is on record for piece 1 of harnesses"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := harnessed()
			if c.change != nil {
				c.change(&r)
			}
			g := NewRegister(r)
			p := g.PiecesOn("harnesses", day(c.day))
			if got := said(p.Causes); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
			kit, _ := g.KitOn("harnesses", day(c.day))
			if want := kit.Count; c.want != "" && p.Usable != want-1 || c.want == "" && p.Usable != want {
				t.Errorf("%d of %d may be used", p.Usable, want)
			}
		})
	}
}

func TestAKitWithoutItemsKeepsItsPlainCount(t *testing.T) {
	r := harnessed()
	r.Items = nil
	if p := NewRegister(r).PiecesOn("harnesses", day("2027-02-01")); p.Listed || p.Usable != atLength || len(p.Causes) > 0 {
		t.Errorf("%+v", p)
	}
	if out := NewRegister(r).KitOut("harnesses", day("2027-02-01"), day("2027-03-01")); len(out) > 0 {
		t.Errorf("out of use: %+v", out)
	}
}

func TestAKitOfWhichNoPieceMayBeUsedShutsTheStationWhoseRescueKitItIs(t *testing.T) {
	r := harnessed()
	r.Stations[0].Value.Rescue.Kit = "harnesses"
	r.Items[0].Value.MakerLast, r.Items[1].Value.MakerLast = day("2027-02-10"), day("2027-02-20")
	g := NewRegister(r)
	if causes := g.Station("deck", day("2027-02-20")); len(causes) > 0 {
		t.Errorf("with one piece left: %q", said(causes))
	}
	want := "no piece of harnesses may be used; h1 is past its last day since 2027-02-11; h2 is past its last day since 2027-02-21"
	if got := said(g.Station("deck", day("2027-02-21"))); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	var got []string
	for _, o := range g.KitOut("harnesses", day("2027-02-01"), day("2027-03-01")) {
		got = append(got, fmt.Sprint(g.zone.DayOf(o.Start), " ", o.Usable))
	}
	if want := []string{"2027-02-11 1", "2027-02-21 0"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

func TestAQuarantineHoldsFromItsMinuteUntilItIsLifted(t *testing.T) {
	nine, ten := at("2027-02-01 09:00"), at("2027-02-01 10:00")
	minute := func(t civil.Instant) civil.Period { return civil.Period{Start: t, End: t + 1} }
	for _, subject := range []string{"deck", "tower", "kit"} {
		r := tower()
		r.Quarantines = []Quarantine{{ID: "q", Subject: subject, Start: nine, Lift: &Lift{At: ten}}}
		g := NewRegister(r)
		for _, c := range []struct {
			at    civil.Instant
			holds bool
		}{{nine - 1, false}, {nine, true}, {ten - 1, true}, {ten, false}} {
			if got := len(g.StationAt("deck", minute(c.at))) > 0; got != c.holds {
				t.Errorf("%s in quarantine, at %s: stopped %v, want %v", subject, dublin().Format(c.at), got, c.holds)
			}
		}
		closed := g.Closed("deck", day("2027-02-01"), day("2027-02-03"))
		if len(closed) != 1 || closed[0].Period != (civil.Period{Start: nine, End: ten}) {
			t.Errorf("%s in quarantine: closed %+v", subject, closed)
		}
		r.Quarantines[0].Lift = nil
		closed = NewRegister(r).Closed("deck", day("2027-02-01"), day("2027-02-03"))
		if len(closed) != 1 || closed[0].End != dublin().StartOfDay(day("2027-02-03")) {
			t.Errorf("%s in quarantine and not lifted: closed %+v", subject, closed)
		}
	}
}

func TestAQuarantineIsLiftedOnAnInspectionThatPassedSinceAndNoOther(t *testing.T) {
	nine := at("2027-02-01 09:00")
	sound := Inspection{ID: "i", Subject: "kit", Done: day("2027-02-01"), At: nine, Passed: true}
	for _, c := range []struct {
		name   string
		change func(*Inspection, *Lift)
		lifted bool
	}{
		{"of the same minute", func(*Inspection, *Lift) {}, true},
		{"of a minute before", func(i *Inspection, _ *Lift) { i.At-- }, false},
		{"of that day without a time", func(i *Inspection, _ *Lift) { i.At = 0 }, false},
		{"of the next day without a time", func(i *Inspection, _ *Lift) { i.At, i.Done = 0, i.Done+1 }, true},
		{"of the day before", func(i *Inspection, _ *Lift) { i.At, i.Done = 0, i.Done-1 }, false},
		{"that failed", func(i *Inspection, _ *Lift) { i.Passed = false }, false},
		{"of something else", func(i *Inspection, _ *Lift) { i.Subject = "tower" }, false},
		{"that is not there", func(i *Inspection, _ *Lift) { *i = Inspection{} }, false},
		{"without a reason", func(_ *Inspection, l *Lift) { l.Why = "" }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			i, l := sound, Lift{By: "p", At: nine + 60, Why: "w"}
			c.change(&i, &l)
			q, err := Quarantine{ID: "q", Subject: "kit", Start: nine}.Lifted(l, i, dublin())
			if (err == nil) != c.lifted || (q.Lift != nil) != c.lifted {
				t.Errorf("lifted %v, error %v; want lifted %v", q.Lift, err, c.lifted)
			}
			if _, err := q.Lifted(l, i, dublin()); c.lifted && err == nil {
				t.Error("lifted twice")
			}
		})
	}
}

// TestTheUsableCountIsWhatAPlainCountOfFitPiecesSays compares the periods with a slow
// twin that goes through every hour and every piece.
func TestTheUsableCountIsWhatAPlainCountOfFitPiecesSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := aYard(t)
		r.Kits = append(r.Kits, Always(Kit{ID: "harnesses", Count: rapid.IntRange(1, 3).Draw(t, "count"), LastValid: day("2040-12-31")})...)
		from, until := day("2027-03-01"), day("2027-03-12")
		near := func(label string) civil.Day { return from + civil.Day(rapid.IntRange(-3, 14).Draw(t, label)) }
		for n := range rapid.IntRange(0, 5).Draw(t, "items") {
			i := Item{ID: id.Item(fmt.Sprint("h", n)), Kit: "harnesses", Piece: rapid.IntRange(0, 3).Draw(t, "piece"), Sort: rapid.SampledFrom(Sorts()).Draw(t, "sort"), Serial: "s",
				FirstUse: day("2020-01-01"), MakerLast: near("maker")}
			if rapid.IntRange(0, 3).Draw(t, "out") == 0 {
				i.Out, i.Why = near("out day"), "w"
			}
			if n > 0 && rapid.Bool().Draw(t, "replaces") {
				i.Replaces = id.Item(fmt.Sprint("h", n-1))
			}
			if rapid.Bool().Draw(t, "asks") {
				i.Inspections = []string{weekly}
			}
			r.Items = append(r.Items, Always(i)...)
			for m := range rapid.IntRange(0, 2).Draw(t, "inspections") {
				r.Inspections = append(r.Inspections, Inspection{ID: id.Inspection(fmt.Sprint(i.ID, m)), Subject: string(i.ID), Line: weekly, Done: near("done"), Passed: rapid.IntRange(0, 3).Draw(t, "passed") > 0})
			}
		}
		for n := range rapid.IntRange(0, 2).Draw(t, "quarantines") {
			q := Quarantine{ID: id.Quarantine(fmt.Sprint("q", n)), Subject: rapid.SampledFrom([]string{"harnesses", "h0", "h1"}).Draw(t, "of"), Start: dublin().StartOfDay(near("start")).Add(600)}
			if rapid.Bool().Draw(t, "lifted") {
				q.Lift = &Lift{At: q.Start.Add(civil.Minutes(rapid.IntRange(0, 5000).Draw(t, "after")))}
			}
			r.Quarantines = append(r.Quarantines, q)
		}
		g := NewRegister(r)
		kit, _ := g.KitOn("harnesses", from)
		outs := g.KitOut("harnesses", from, until)
		for moment := dublin().StartOfDay(from); moment < dublin().StartOfDay(until); moment = moment.Add(60) {
			got := kit.Count
			for _, o := range outs {
				if o.Holds(moment) {
					got = o.Usable
				}
			}
			if want := plainCount(g, r, moment, kit); got != want {
				t.Fatalf("at %s: %d may be used, a plain count says %d", dublin().Format(moment), got, want)
			}
		}
	})
}

func plainCount(g *Register, r Records, at civil.Instant, kit Kit) int {
	d, held := dublin().DayOf(at), false
	in := func(of string) bool {
		for _, q := range r.Quarantines {
			if q.Subject == of && q.Start <= at && (q.Lift == nil || at < q.Lift.At) {
				return true
			}
		}
		return false
	}
	if in(string(kit.ID)) || len(g.clocks(verdict.Ref{}, string(kit.ID), nil, d, book())) > 0 {
		return 0
	}
	n := 0
	for piece := 1; piece <= kit.Count; piece++ {
		fit, any := true, false
		for _, s := range r.Items {
			i := s.Value
			held = true
			if i.Piece != piece {
				continue
			}
			replaced := i.Out != 0 && i.Out <= d && slices.ContainsFunc(r.Items, func(x Standing[Item]) bool { return x.Value.Replaces == i.ID && x.Value.Piece == piece })
			if replaced {
				continue
			}
			any = true
			fit = fit && len(g.Item(i.ID, d)) == 0 && !in(string(i.ID))
		}
		if fit && any {
			n++
		}
	}
	if !held {
		return kit.Count
	}
	return n
}
