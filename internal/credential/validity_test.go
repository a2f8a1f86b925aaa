package credential

import (
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

func day(s string) civil.Day {
	d, err := civil.ParseDay(s)
	if err != nil {
		panic("a test names a day that the calendar lacks: " + err.Error())
	}
	return d
}

// book selects the shipped profiles that state validities.
func book() rulebook.Version {
	v := rulebook.Version{ID: "book1", From: day("2010-01-01"),
		Profiles: []id.Profile{rulebook.TrainingStandard, rulebook.RopeAccess, rulebook.FirstAidGB, rulebook.CPRCard, rulebook.Site}}
	for _, p := range v.Profiles {
		v.Lines = append(v.Lines, rulebook.Examples(p)...)
	}
	return v
}

func books() []rulebook.Version { return []rulebook.Version{book()} }

// changed is the book with one line's value replaced.
func changed(line string, value int64) rulebook.Version {
	v := book()
	for i := range v.Lines {
		if v.Lines[i].ID == line {
			v.Lines[i].Value = value
		}
	}
	return v
}

func terms(t *testing.T, v rulebook.Version, line string) rulebook.Terms {
	t.Helper()
	out, ok := v.Terms(line)
	if !ok {
		t.Fatalf("the book has no terms for %s", line)
	}
	return out
}

const (
	height = "validity.height"            // 24 months, window 2, same day
	rope1  = "validity.rope-level-1"      // 36 months, window 6
	rope2  = "validity.rope-level-2"      // with lapse steps 6 and 24 months
	faw    = "validity.first-aid-at-work" // 36 months, day before, no window
	cpr    = "validity.resuscitation"     // 24 months, month end
)

func TestTheLastValidDayFollowsTheConvention(t *testing.T) {
	cases := []struct {
		name   string
		from   string
		months int
		by     rulebook.ValidUntil
		want   string
	}{
		{"31 Aug + 6 months (facts C3)", "2026-08-31", 6, rulebook.SameDay, "2027-02-28"},
		{"31 Aug + 6 months into a leap year (facts C3)", "2027-08-31", 6, rulebook.SameDay, "2028-02-29"},
		{"29 Feb + 36 months (facts C3)", "2024-02-29", 36, rulebook.SameDay, "2027-02-28"},
		{"29 Feb + 48 months", "2024-02-29", 48, rulebook.SameDay, "2028-02-29"},
		{"rope ticket, 36 months (TACS 4.10; facts L3)", "2026-03-10", 36, rulebook.SameDay, "2029-03-10"},
		{"28 Feb + 1 month is no month end", "2027-02-28", 1, rulebook.SameDay, "2027-03-28"},
		{"day before (HSE L74 para 74; facts K1)", "2023-11-27", 36, rulebook.DayBefore, "2026-11-26"},
		{"day before from the first of a month", "2023-03-01", 12, rulebook.DayBefore, "2024-02-29"},
		{"month end (facts K4)", "2025-05-12", 24, rulebook.MonthEnd, "2027-05-31"},
		{"month end in February", "2026-01-31", 1, rulebook.MonthEnd, "2026-02-28"},
		{"month end in a leap February", "2027-02-01", 12, rulebook.MonthEnd, "2028-02-29"},
		{"as printed says nothing", "2026-01-31", 1, rulebook.AsPrinted, ""},
		{"an unknown convention says nothing", "2026-01-31", 1, 9, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, ok := LastValidDay(day(c.from), c.months, c.by)
			if got.String() != c.want || ok != (c.want != "") {
				t.Errorf("got %s (%t), want %s", got, ok, c.want)
			}
		})
	}
}

func TestACertificateIsIssuedByTheRuleBookOfItsCompletionDay(t *testing.T) {
	next := changed(height, 12)
	next.ID, next.From = "book2", day("2027-01-01")
	both := []rulebook.Version{book(), next}
	cases := []struct {
		name, validity, completed, printed string
		want                               string // last valid day, "" = refused
		book                               id.RuleBook
	}{
		{"the day before the change", height, "2026-12-31", "", "2028-12-31", "book1"},
		{"the day of the change", height, "2027-01-01", "", "2028-01-01", "book2"},
		{"a printed date wins", height, "2027-01-01", "2027-06-30", "2027-06-30", "book2"},
		{"a printed date needs no terms", "validity.elsewhere", "2027-01-01", "2027-06-30", "2027-06-30", "book2"},
		{"a printed date on the completion day", height, "2027-01-01", "2027-01-01", "2027-01-01", "book2"},
		{"a printed date before it", height, "2027-01-01", "2026-12-31", "", ""},
		{"terms that only a printed date fills", "validity.medical", "2027-01-01", "", "", ""},
		{"a validity the book lacks", "validity.elsewhere", "2027-01-01", "", "", ""},
		{"a window is no validity", height + ".window", "2027-01-01", "", "", ""},
		{"before the first rule book", height, "2009-12-31", "", "", ""},
		{"no completion day", height, "", "", "", ""},
		{"a programme without end", "", "2027-01-01", "", "none", "book2"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var completed, printed civil.Day
			if c.completed != "" {
				completed = day(c.completed)
			}
			if c.printed != "" {
				printed = day(c.printed)
			}
			d, err := Issue(both, c.validity, completed, printed)
			switch {
			case c.want == "":
				if fault.Of(err) != fault.Invalid {
					t.Errorf("got %+v, %v; want it refused", d, err)
				}
			case err != nil:
				t.Errorf("got %v, want it issued", err)
			case c.want == "none" && d.Until != 0, c.want != "none" && d.Until.String() != c.want, d.Book != c.book, d.From != completed:
				t.Errorf("got %+v, want until %s by %s", d, c.want, c.book)
			}
		})
	}
}

// held is a certificate with a printed last valid day, as taken over.
func held(validity, from, until string) Certificate {
	return Certificate{ID: "c", Person: "p", Kind: ForProgramme, Validity: validity, Completed: day(from), From: day(from), Until: day(until), State: Valid}
}

func TestARefresherCountsByItsDay(t *testing.T) {
	cases := []struct {
		name      string
		old       Certificate
		completed string
		counts    Counting
		until     string
		need      rulebook.Need
	}{
		// Requirements for Training V15 cl 6.2.6-6.2.9, Basic Safety V20 cl 5.5 (facts W4)
		{"exactly two months before keeps the date", held(height, "2025-05-31", "2027-05-31"), "2027-03-31", KeepsDate, "2029-05-31", ""},
		{"a day earlier counts from its own day", held(height, "2025-05-31", "2027-05-31"), "2027-03-30", OwnDate, "2029-03-30", ""},
		{"the day before the last keeps the date", held(height, "2025-05-31", "2027-05-31"), "2027-05-30", KeepsDate, "2029-05-31", ""},
		{"the last valid day itself is refused by default", held(height, "2025-05-31", "2027-05-31"), "2027-05-31", NotCounted, "", rulebook.NeedFull},
		{"a day late needs the full programme", held(height, "2025-05-31", "2027-05-31"), "2027-06-01", NotCounted, "", rulebook.NeedFull},
		{"two months are not 60 days (facts W5, section 4)", held(height, "2025-05-31", "2027-05-31"), "2027-04-01", KeepsDate, "2029-05-31", ""},
		{"a window clamped to the end of February", held(height, "2025-04-30", "2027-04-30"), "2027-02-28", KeepsDate, "2029-04-30", ""},
		{"a day before that", held(height, "2025-04-30", "2027-04-30"), "2027-02-27", OwnDate, "2029-02-27", ""},
		// Rope access scheme, as quoted by members (facts L4)
		{"six months before keeps the date", held(rope1, "2024-06-30", "2027-06-30"), "2026-12-30", KeepsDate, "2030-06-30", ""},
		{"a day earlier counts from its own day (rope)", held(rope1, "2024-06-30", "2027-06-30"), "2026-12-29", OwnDate, "2029-12-29", ""},
		// Lapse steps (facts L5)
		{"level 1, a day late: full course", held(rope1, "2023-01-01", "2026-01-01"), "2026-01-02", NotCounted, "", rulebook.NeedFull},
		{"level 2, six months late: ordinary re-assessment", held(rope2, "2023-01-01", "2026-01-01"), "2026-07-01", OwnDate, "2029-07-01", ""},
		{"level 2, a day more: appraisal day first", held(rope2, "2023-01-01", "2026-01-01"), "2026-07-02", NotCounted, "", rulebook.NeedAppraisal},
		{"level 2, 24 months late: still the appraisal day", held(rope2, "2023-01-01", "2026-01-01"), "2028-01-01", NotCounted, "", rulebook.NeedAppraisal},
		{"level 2, a day more: again from level 1", held(rope2, "2023-01-01", "2026-01-01"), "2028-01-02", NotCounted, "", rulebook.NeedRestart},
		// First aid at work: no window, no carry-over (facts K1)
		{"fourteen days early: own date, no carry-over", held(faw, "2023-11-27", "2026-11-26"), "2026-11-12", OwnDate, "2029-11-11", ""},
		{"a month late: requalification course", held(faw, "2023-11-27", "2026-11-26"), "2026-12-26", OwnDate, "2029-12-25", ""},
		{"a day more: the full course", held(faw, "2023-11-27", "2026-11-26"), "2026-12-27", NotCounted, "", rulebook.NeedFull},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Renew(books(), c.old, day(c.completed), 0)
			if err != nil {
				t.Fatal(err)
			}
			if r.Counts != c.counts || r.Dates.Until.String() != c.until || r.Need != c.need {
				t.Errorf("got %s until %q, need %q; want %s until %q, need %q", r.Counts, r.Dates.Until, r.Need, c.counts, c.until, c.need)
			}
			if r.Counts != NotCounted && r.Dates.From != day(c.completed) {
				t.Errorf("got first day %s, want the completion day", r.Dates.From)
			}
		})
	}
}

func TestTheLastDayCountsWhereTheRuleBookSaysSo(t *testing.T) {
	yes := changed(height+".on-last-day", 1)
	old := held(height, "2025-05-31", "2027-05-31")
	r, err := Renew([]rulebook.Version{yes}, old, day("2027-05-31"), 0)
	if err != nil || r.Counts != KeepsDate || r.Dates.Until != day("2029-05-31") || r.Late {
		t.Errorf("got %+v, %v; want the date kept", r, err)
	}
	if r, _ := Renew([]rulebook.Version{yes}, old, day("2027-06-01"), 0); r.Counts != NotCounted || !r.Late {
		t.Errorf("the day after: got %+v, want not counted", r)
	}
}

func TestARefresherIsJudgedByTheRuleBookOfItsOwnDay(t *testing.T) {
	next := changed(height+".window", 3)
	next.ID, next.From = "book2", day("2027-03-15")
	both := []rulebook.Version{book(), next}
	old := held(height, "2025-05-31", "2027-05-31")
	if r, _ := Renew(both, old, day("2027-03-14"), 0); r.Counts != OwnDate || r.Book != "book1" {
		t.Errorf("under the first version: got %+v, want its own date", r)
	}
	if r, _ := Renew(both, old, day("2027-03-15"), 0); r.Counts != KeepsDate || r.Book != "book2" {
		t.Errorf("under the second: got %+v, want the date kept", r)
	}
}

func TestMonthEndsDoNotDriftOverRenewals(t *testing.T) {
	half := changed(height, 6)
	d, err := Issue([]rulebook.Version{half}, height, day("2026-08-31"), 0)
	if err != nil {
		t.Fatal(err)
	}
	c := d.Put(Certificate{ID: "c", Person: "p", State: Valid})
	// facts C3: 31 Aug, 28 Feb, and back to 31 Aug
	for _, want := range []string{"2027-02-28", "2027-08-31", "2028-02-29", "2028-08-31"} {
		if c.Until != day(want) {
			t.Fatalf("got %s, want %s", c.Until, want)
		}
		r, err := Renew([]rulebook.Version{half}, c, c.Until-1, 0)
		if err != nil || r.Counts != KeepsDate {
			t.Fatalf("got %+v, %v; want the date kept", r, err)
		}
		c = r.Dates.Put(c)
	}
}

func TestRenewingByEachConvention(t *testing.T) {
	windowed := func(line string) rulebook.Version {
		v := book()
		at := rulebook.Line{ID: line + ".window", Profile: rulebook.Site, Quantity: rulebook.RenewalWindow, Value: 2}
		lines := v.Lines[:0:0]
		for _, l := range v.Lines {
			if l.ID != at.ID {
				lines = append(lines, l)
			}
		}
		v.Lines = append(lines, at)
		return v
	}
	cases := []struct {
		name, line, completed, printed, refreshed, newPrinted, want string
	}{
		{"day before, counted on", faw, "2023-11-27", "", "2026-11-20", "", "2029-11-26"},
		{"day before, from a printed day", faw, "2023-11-27", "2026-11-30", "2026-11-20", "", "2029-11-30"},
		{"month end, counted on", cpr, "2025-05-12", "", "2027-05-01", "", "2029-05-31"},
		{"month end, from a printed day", cpr, "2025-05-12", "2027-02-28", "2027-02-10", "", "2029-02-28"},
		{"the new one's date is printed", faw, "2023-11-27", "", "2026-11-20", "2029-12-31", "2029-12-31"},
		{"the new one's date is printed before the old", faw, "2023-11-27", "", "2026-11-20", "2026-11-26", ""},
		{"terms that only a printed date fills", "validity.medical", "2025-05-12", "2027-05-12", "2027-05-01", "", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			bs := []rulebook.Version{windowed(c.line)}
			parse := func(s string) civil.Day {
				if s == "" {
					return 0
				}
				return day(s)
			}
			d, err := Issue(bs, c.line, day(c.completed), parse(c.printed))
			if err != nil {
				t.Fatal(err)
			}
			r, err := Renew(bs, d.Put(Certificate{State: Valid}), day(c.refreshed), parse(c.newPrinted))
			if (err != nil) != (c.want == "") || r.Dates.Until.String() != c.want {
				t.Errorf("got %s, %v; want %q", r.Dates.Until, err, c.want)
			}
		})
	}
}

func TestARefresherOfWhatIsNotValidRenewsNothing(t *testing.T) {
	for _, state := range []State{Suspended, Withdrawn, Void, Replaced} {
		old := held(height, "2025-05-31", "2027-05-31")
		old.State = state
		if r, err := Renew(books(), old, day("2027-04-30"), 0); err != nil || r.Counts != NotCounted || r.Need != rulebook.NeedFull {
			t.Errorf("%s: got %+v, %v; want it not counted", state, r, err)
		}
	}
	old := held(height, "2025-05-31", "2027-05-31")
	for name, completed := range map[string]civil.Day{"not stated": 0, "before the certificate": day("2025-05-30")} {
		if _, err := Renew(books(), old, completed, 0); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: got %v, want it refused", name, err)
		}
	}
	if _, err := Renew(nil, old, day("2027-04-30"), 0); fault.Of(err) != fault.Invalid {
		t.Errorf("without a rule book: got %v, want it refused", err)
	}
	old.Validity = ""
	if _, err := Renew(books(), old, day("2027-04-30"), 0); fault.Of(err) != fault.Invalid {
		t.Errorf("without terms: got %v, want it refused", err)
	}
}

func TestTheLifeOfACertificate(t *testing.T) {
	tm := terms(t, book(), rope2)
	c := held(rope2, "2023-01-01", "2026-01-01")
	cases := []struct {
		day   string
		phase Phase
		need  rulebook.Need
	}{
		{"2022-12-31", NotYet, ""}, {"2023-01-01", Current, ""}, {"2025-06-30", Current, ""}, {"2025-07-01", InWindow, ""},
		{"2025-12-31", InWindow, ""}, {"2026-01-01", LastDay, rulebook.NeedRefresher}, {"2026-01-02", Lapsed, rulebook.NeedRefresher},
		{"2026-07-01", Lapsed, rulebook.NeedRefresher}, {"2026-07-02", Lapsed, rulebook.NeedAppraisal},
		{"2028-01-01", Lapsed, rulebook.NeedAppraisal}, {"2028-01-02", Lapsed, rulebook.NeedRestart},
	}
	for _, k := range cases {
		if phase, need := PhaseOn(c, tm, day(k.day)); phase != k.phase || need != k.need {
			t.Errorf("%s: got %s %q, want %s %q", k.day, phase, need, k.phase, k.need)
		}
	}
	c.State = Suspended
	if phase, _ := PhaseOn(c, tm, day("2025-01-01")); phase != Ended {
		t.Errorf("suspended: got %s, want ended", phase)
	}
	open := Certificate{State: Valid, From: day("2023-01-01")}
	if phase, _ := PhaseOn(open, tm, day("2099-01-01")); phase != Current {
		t.Errorf("without end: got %s, want current", phase)
	}
}

func TestARenewalNeverLosesTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.SampledFrom([]string{height, rope1, rope2, faw, cpr}).Draw(t, "terms")
		completed := day("2024-01-01") + civil.Day(rapid.IntRange(0, 1500).Draw(t, "completed"))
		d, err := Issue(books(), line, completed, 0)
		if err != nil {
			t.Fatal(err)
		}
		c := d.Put(Certificate{State: Valid})
		tm, _ := book().Terms(line)
		for range 3 {
			at := c.From + civil.Day(rapid.IntRange(0, int(c.Until-c.From)+900).Draw(t, "refreshed"))
			r, err := Renew(books(), c, at, 0)
			if err != nil {
				t.Fatal(err)
			}
			phase, need := PhaseOn(c, tm, at)
			switch r.Counts {
			case NotCounted:
				if need == "" || need != r.Need {
					t.Fatalf("on %s: not counted, needs %q, but the phase is %s and needs %q", at, r.Need, phase, need)
				}
				return
			case KeepsDate:
				if phase != InWindow || r.Dates.Until < c.Until.AddMonths(tm.Months) {
					t.Fatalf("on %s (%s): kept, but %s is less than %s + %d months", at, phase, r.Dates.Until, c.Until, tm.Months)
				}
			case OwnDate:
				if phase == InWindow {
					t.Fatalf("on %s, inside the window: counted from its own day", at)
				}
			}
			if r.Dates.Until <= at {
				t.Fatalf("on %s: ends on %s", at, r.Dates.Until)
			}
			c = r.Dates.Put(c)
		}
	})
}
