package rulebook

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/fault"
	"rungbook/internal/verdict"
)

func formFields(err error) fault.Fields {
	var form *fault.Form
	if errors.As(err, &form) {
		return form.Fields
	}
	return nil
}

func TestTheVersionInForceIsTheLatestBegun(t *testing.T) {
	versions := []Version{{ID: "c", From: day("2027-01-01")}, {ID: "a", From: day("2025-01-01")}, {ID: "b", From: day("2026-06-01")}}
	cases := []struct{ day, want string }{
		{"2024-12-31", ""}, {"2025-01-01", "a"}, {"2026-05-31", "a"}, {"2026-06-01", "b"}, {"2026-12-31", "b"}, {"2027-01-01", "c"}, {"2030-01-01", "c"},
	}
	for _, c := range cases {
		v, ok := InForce(versions, day(c.day))
		if string(v.ID) != c.want || ok != (c.want != "") {
			t.Errorf("on %s: got %q (%t), want %q", c.day, v.ID, ok, c.want)
		}
	}
}

func TestStandingListsEachVersionThatAHorizonMeets(t *testing.T) {
	versions := []Version{{ID: "c", From: day("2027-01-01")}, {ID: "a", From: day("2025-01-01")}, {ID: "b", From: day("2026-06-01")}}
	cases := []struct {
		from, until, want string
		covered           bool
	}{
		{"2026-06-01", "2026-12-31", "b", true},
		{"2026-05-31", "2026-06-01", "ab", true},
		{"2026-12-01", "2027-01-01", "bc", true},
		{"2024-01-01", "2025-01-01", "a", false},
		{"2024-01-01", "2024-12-31", "", false},
	}
	for _, c := range cases {
		standing, covered := Standing(versions, day(c.from), day(c.until))
		got := ""
		for _, v := range standing {
			got += string(v.ID)
		}
		if got != c.want || covered != c.covered {
			t.Errorf("%s to %s: got %q (%t), want %q (%t)", c.from, c.until, got, covered, c.want, c.covered)
		}
	}
}

func TestAVersionIsConfirmedFieldByField(t *testing.T) {
	v := with(EUAdult, TrainingStandard) // planning, curriculum and height-rescue have lines
	on := day("2026-03-10")
	want := []verdict.Field{verdict.HeightRescue, verdict.Curriculum, verdict.Planning}
	if got := v.Confirmed(nil, on); !slices.Equal(got, want) {
		t.Fatalf("without confirmations: got %v missing, want %v", got, want)
	}
	v.Confirmations = []Confirmation{
		{verdict.HeightRescue, "p1", on},
		{verdict.Curriculum, "p2", on + 1},
		{verdict.Planning, "", on},
	}
	if got, want := v.Confirmed(nil, on), []verdict.Field{verdict.Curriculum, verdict.Planning}; !slices.Equal(got, want) {
		t.Errorf("a confirmation of tomorrow or by nobody: got %v missing, want %v", got, want)
	}
	if got, want := v.Confirmed(nil, on+1), []verdict.Field{verdict.Planning}; !slices.Equal(got, want) {
		t.Errorf("the next day: got %v missing, want %v", got, want)
	}
	if got := v.Confirmed([]verdict.Field{verdict.HeightRescue, verdict.Lifting}, on); len(got) != 0 {
		t.Errorf("a field without lines needs no confirmation: got %v missing", got)
	}
	if got := (Version{}).Confirmed(nil, on); len(got) != 5 {
		t.Errorf("an empty rule book: got %v missing, want all five fields", got)
	}
}

func TestStrictestFollowsTheSenseOfTheQuantity(t *testing.T) {
	v := with(TrainingStandard, Site, EUAdult)
	for q, want := range map[Quantity]string{
		DailyRest:          "site.daily-rest",                        // at least: 12 h over 11 h
		DaySpan:            "training-standard.day-span",             // at most: 10 h over 13 h, first of equals
		InstructorFirstAid: "training-standard.instructor-first-aid", // a yes binds
		RescuersMin:        "site.rescuers",
	} {
		if l, ok := v.Strictest(q); !ok || l.ID != want {
			t.Errorf("%s: got %q (%t), want %q", q, l.ID, ok, want)
		}
	}
	if _, ok := v.Strictest(WindStop); !ok {
		t.Error("got no wind limit, want the site's")
	}
	if _, ok := with(EUAdult).Strictest(RescuersMin); ok {
		t.Error("got a number of rescuers from a profile that states none")
	}
}

func TestANewVersionIsRefusedFieldByField(t *testing.T) {
	today := day("2026-11-25")
	before := []Version{{ID: "old", From: day("2026-01-01")}, {ID: "next", From: day("2027-01-01")}}
	good := func() Version { v := with(Site); v.ID, v.From = "new", day("2027-01-02"); return v }
	edit := func(line string, change func(*Line)) func(*Version) {
		return func(v *Version) {
			i := slices.IndexFunc(v.Lines, func(l Line) bool { return l.ID == line })
			change(&v.Lines[i])
		}
	}
	cases := []struct {
		name   string
		change func(*Version)
		field  string // "" = accepted
	}{
		{"begins the day after the last one", func(v *Version) {}, ""},
		{"begins with the last one", func(v *Version) { v.From = day("2027-01-01") }, "from"},
		{"begins today", func(v *Version) { v.From = today }, "from"},
		{"has no first day", func(v *Version) { v.From = 0 }, "from"},
		{"has an id that is there", func(v *Version) { v.ID = "old" }, "id"},
		{"selects nothing", func(v *Version) { v.Profiles = nil }, "profiles"},
		{"selects a profile twice", func(v *Version) { v.Profiles = append(v.Profiles, Site) }, "profiles"},
		{"selects a profile without lines", func(v *Version) { v.Profiles = append(v.Profiles, EUAdult) }, "profiles"},
		{"confirms itself", func(v *Version) { v.Confirmations = []Confirmation{{verdict.Planning, "p", today}} }, "confirmations"},
		{"least value", edit("site.daily-rest", func(l *Line) { l.Value = 1 }), ""},
		{"below the least value", edit("site.daily-rest", func(l *Line) { l.Value = 0 }), "lines.site.daily-rest"},
		{"greatest value", edit("site.daily-rest", func(l *Line) { l.Value = 1440 }), ""},
		{"above the greatest value", edit("site.daily-rest", func(l *Line) { l.Value = 1441 }), "lines.site.daily-rest"},
		{"without a source", edit("site.daily-rest", func(l *Line) { l.Source.Document = " " }), "lines.site.daily-rest"},
		{"with a mark of its own", edit("site.daily-rest", func(l *Line) { l.Source.Mark = "sure" }), "lines.site.daily-rest"},
		{"with an unknown quantity", edit("site.daily-rest", func(l *Line) { l.Quantity = "naps" }), "lines.site.daily-rest"},
		{"with an unknown field", edit("site.daily-rest", func(l *Line) { l.Field = "weather" }), "lines.site.daily-rest"},
		{"without a profile", edit("site.daily-rest", func(l *Line) { l.Profile = "" }), "lines.site.daily-rest"},
		{"with an id in capitals", edit("site.daily-rest", func(l *Line) { l.ID = "Site.rest" }), "lines.Site.rest"},
		{"with a line twice", func(v *Version) { v.Lines = append(v.Lines, v.Lines[0]) }, "lines.site.daily-rest"},
		{"with a limit twice", func(v *Version) { l := v.Lines[0]; l.ID = "site.rest-again"; v.Lines = append(v.Lines, l) }, "lines.site.rest-again"},
		{"with a break and no stretch", edit("site.stretch", func(l *Line) { l.Quantity, l.ID = WindStop, "site.x" }), "lines.site.break"},
		{"with terms and no validity", edit("validity.rescue", func(l *Line) { l.ID = "validity.rescuer" }), "lines.validity.rescue.window"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v := good()
			c.change(&v)
			err := CheckNew(v, before, today)
			if c.field == "" {
				if err != nil {
					t.Fatalf("got %v, want it accepted", formFields(err))
				}
				return
			}
			if fault.Of(err) != fault.Invalid || formFields(err)[c.field] == "" {
				t.Errorf("got %v, want a message at %s", formFields(err), c.field)
			}
		})
	}
}

func TestTheFirstVersionMayBeginInThePast(t *testing.T) {
	if err := CheckNew(with(Site), nil, day("2027-05-05")); err != nil {
		t.Errorf("got %v, want it accepted", formFields(err))
	}
}

// aPolicy draws rest policies with weekly blocks as laws have them and as they
// have not.
func aPolicy(t *rapid.T, name string) Policy {
	p := Policy{Profile: "p", Decided: map[Quantity]Decision{}}
	for _, m := range meanings {
		if m.Quantity.Rest() && rapid.Bool().Draw(t, name+" states "+string(m.Quantity)) {
			p.set(m.Quantity, rapid.Int64Range(m.Min, min(m.Max, 40)).Draw(t, name+" "+string(m.Quantity)))
			p.Decided[m.Quantity] = Decision{Line: Line{Quantity: m.Quantity, Value: p.get(m.Quantity)}}
		}
	}
	if p.WeeklyRest == 0 {
		p.WeeklyRestDays, p.WeeklyRestCount = 0, 0
	} else {
		p.WeeklyRestDays, p.WeeklyRestCount = max(p.WeeklyRestDays, 1), max(p.WeeklyRestCount, 1)
	}
	if p.Stretch == 0 || p.Break == 0 {
		p.Stretch, p.Break = 0, 0
	}
	return p
}

// holds reports whether whoever keeps to s keeps to p in one quantity.
func holds(s, p Policy, q Quantity) bool {
	limit, got := p.get(q), s.get(q)
	if limit == 0 {
		return true
	}
	if q == WeeklyRestDays {
		return got > 0 && limit%got == 0
	}
	if meaningOf[q].Sense == AtMost {
		return 0 < got && got <= limit
	}
	return got >= limit
}

func TestStricterHoldsWhateverEitherHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := aPolicy(t, "a"), aPolicy(t, "b")
		s := Stricter(a, b)
		for _, m := range meanings {
			q := m.Quantity
			if !q.Rest() {
				continue
			}
			if !holds(s, a, q) || !holds(s, b, q) {
				t.Fatalf("%s: got %d from %d and %d", q, s.get(q), a.get(q), b.get(q))
			}
			if q != WeeklyRestDays && s.get(q) != a.get(q) && s.get(q) != b.get(q) {
				t.Fatalf("%s: got %d, which is neither %d nor %d", q, s.get(q), a.get(q), b.get(q))
			}
		}
	})
}

func TestStricterNamesTheVersionThatDecided(t *testing.T) {
	a, _ := with(EUAdult).Policy(EUAdult)
	next := with(EUAdult)
	next.ID = "book2"
	for i, l := range next.Lines {
		switch l.Quantity {
		case DailyRest:
			next.Lines[i].Value = 12 * h
		case DaySpan:
			next.Lines[i].Value = 14 * h
		}
	}
	b, _ := next.Policy(EUAdult)
	s := Stricter(a, b)
	if s.DailyRest != 12*h || s.Decided[DailyRest].Version != "book2" {
		t.Errorf("daily rest: got %s from %s, want 12 h from book2", s.DailyRest, s.Decided[DailyRest].Version)
	}
	if s.DaySpan != 13*h || s.Decided[DaySpan].Version != "book1" {
		t.Errorf("day span: got %s from %s, want 13 h from book1", s.DaySpan, s.Decided[DaySpan].Version)
	}
	if got, want := Changed(a, b), []Quantity{DailyRest, DaySpan}; !slices.Equal(got, want) {
		t.Errorf("got %v changed, want %v", got, want)
	}
}

func TestWeeklyRestsOfSevenAndFourteenDaysJoinToSeven(t *testing.T) {
	a, _ := with(UKAdultB).Policy(UKAdultB)
	b, _ := with(UKAdultA).Policy(UKAdultA)
	s := Stricter(a, b)
	if s.WeeklyRest != 59*h || s.WeeklyRestDays != 7 || s.WeeklyRestCount != 1 {
		t.Errorf("got %s in %d days, %d times; want 59 h in 7 days, once", s.WeeklyRest, s.WeeklyRestDays, s.WeeklyRestCount)
	}
}

func TestTermsGatherTheLinesOfOneCertificate(t *testing.T) {
	terms, ok := everything().Terms("validity.rope-level-2")
	if !ok {
		t.Fatal("got no terms")
	}
	want := []LapseStep{{6, NeedRefresher}, {24, NeedAppraisal}, {0, NeedRestart}}
	if terms.Months != 36 || terms.Window != 6 || terms.Until != SameDay || terms.OnLastDay || terms.Inactivity != 6 ||
		terms.UpgradeMonths != 12 || terms.UpgradeTime != 60_000 || terms.Failing != CostsCertificate || !slices.Equal(terms.Lapse, want) {
		t.Errorf("got %+v", terms)
	}
	if _, ok := everything().Terms("validity.rope-level-2.window"); ok {
		t.Error("got terms for a line that is no validity")
	}
	if _, ok := everything().Terms("validity.no-such"); ok {
		t.Error("got terms for a line that is not there")
	}
}

func TestALineOfSeveralIsToldApartByItsID(t *testing.T) {
	l, _ := everything().Line("inspection.fall-arrest-anchor")
	if got := l.Label() + ", " + l.ValueText(); !strings.HasSuffix(got, "fall arrest anchor, 12 months") {
		t.Errorf("got %q", got)
	}
}
