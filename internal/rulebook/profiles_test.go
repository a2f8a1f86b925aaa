package rulebook

import (
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// everything is a version that selects every shipped profile.
func everything() Version {
	v := Version{ID: "book1", From: day("2025-01-01")}
	for _, p := range Profiles() {
		v.Profiles = append(v.Profiles, p.ID)
		v.Lines = append(v.Lines, p.Lines...)
	}
	return v
}

func with(profiles ...id.Profile) Version {
	v := Version{ID: "book1", From: day("2025-01-01"), Profiles: profiles}
	for _, p := range profiles {
		v.Lines = append(v.Lines, Examples(p)...)
	}
	return v
}

func day(s string) civil.Day {
	d, err := civil.ParseDay(s)
	if err != nil {
		panic("a test names a day that the calendar lacks: " + err.Error())
	}
	return d
}

func TestEveryShippedProfileMayBeSelectedAsItIs(t *testing.T) {
	if err := CheckNew(everything(), nil, day("2026-01-01")); err != nil {
		t.Fatalf("got %v %v, want no error", err, formFields(err))
	}
	for _, p := range Profiles() {
		if err := CheckNew(with(p.ID), nil, day("2026-01-01")); err != nil {
			t.Errorf("%s alone: got %v, want no error", p.ID, formFields(err))
		}
	}
}

func TestEveryShippedLineReadsAsAPlainSentence(t *testing.T) {
	for _, l := range everything().Lines {
		if l.Label() == "" || l.ValueText() == "" {
			t.Errorf("%s reads %q, %q", l.ID, l.Label(), l.ValueText())
		}
		if m := meaningOf[l.Quantity]; m.Unit == Choice && !strings.ContainsAny(l.ValueText(), "aeiou") {
			t.Errorf("%s: the choice reads %q, want its words", l.ID, l.ValueText())
		}
	}
}

// The figures of facts' profile matrix, one by one, as published.
func TestPoliciesHoldThePublishedFigures(t *testing.T) {
	cases := []struct {
		name     string
		profile  id.Profile
		quantity Quantity
		want     int64
	}{
		{"Directive 2003/88/EC art 3: 11 h", EUAdult, DailyRest, 660},
		{"C-477/21 answers 1-3: 24 + 11 h", EUAdult, WeeklyRest, 2100},
		{"Directive 2003/88/EC art 5: in seven days", EUAdult, WeeklyRestDays, 7},
		{"Directive 2003/88/EC art 4: more than 6 h", EUAdult, Stretch, 360},
		{"Directive 2003/88/EC art 3: 24 - 11 h, implied", EUAdult, DaySpan, 780},
		{"Directive 94/33/EC art 8 (from memory): 8 h", EUYoung, DayMinutes, 480},
		{"Directive 94/33/EC art 8 (from memory): 40 h", EUYoung, WeekMinutes, 2400},
		{"Directive 94/33/EC art 10 (from memory): 12 h", EUYoung, DailyRest, 720},
		{"Directive 94/33/EC art 10 (from memory): two days", EUYoung, WeeklyRest, 2880},
		{"Directive 94/33/EC art 12 (from memory): 4.5 h", EUYoung, Stretch, 270},
		{"WTR reg 10(1): 11 h", UKAdultA, DailyRest, 660},
		{"WTR reg 11(1) and 11(7): 24 + 11 h", UKAdultA, WeeklyRest, 2100},
		{"WTR reg 11(2)(b): in fourteen days", UKAdultB, WeeklyRestDays, 14},
		{"WTR reg 11(2)(b) and 11(7): 48 + 11 h", UKAdultB, WeeklyRest, 3540},
		{"WTR reg 11(2)(a): two rests", UKAdultC, WeeklyRestCount, 2},
		{"WTR reg 12: 20 min", UKAdultC, Break, 20},
		{"WTR reg 10(2): 12 h", UKYoung, DailyRest, 720},
		{"WTR reg 5A: 8 h", UKYoung, DayMinutes, 480},
		{"WTR reg 5A: 40 h", UKYoung, WeekMinutes, 2400},
		{"WTR reg 12(4): 30 min", UKYoung, Break, 30},
		{"BCEA s 15(1)(a): 12 h", ZAAdult, DailyRest, 720},
		{"BCEA s 15(1)(b): 36 h", ZAAdult, WeeklyRest, 2160},
		{"BCEA ss 9, 10: 45 + 10 h", ZAAdult, WeekMinutes, 3300},
		{"BCEA s 14: 5 h", ZAAdult, Stretch, 300},
		{"BCEA s 14: 60 min", ZAAdult, Break, 60},
		{"Requirements V15 cl 9.3.5: 8 h contact", TrainingStandard, DayMinutes, 480},
		{"Requirements V15 cl 9.3.4: 10 h day", TrainingStandard, DaySpan, 600},
		{"Site, common practice: 12 h", Site, DailyRest, 720},
		{"Site, common practice: 36 h", Site, WeeklyRest, 2160},
		{"Site, common practice: 4 h at height", Site, HeightDay, 240},
		{"Site, common practice: six days", Site, RunDays, 6},
	}
	book := everything()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p, ok := book.Policy(c.profile)
			if !ok {
				t.Fatalf("no policy for %s", c.profile)
			}
			if got := p.get(c.quantity); got != c.want {
				t.Errorf("got %s %d, want %d", c.quantity, got, c.want)
			}
			if line := p.Line(c.quantity); line == nil || line.Profile != c.profile || line.Value != c.want {
				t.Errorf("got line %+v, want the one that set it", line)
			}
		})
	}
}

func TestLinesThatNothingJudgesAreMarkedSo(t *testing.T) {
	unchecked := map[string]bool{}
	for _, l := range everything().Lines {
		if !l.Checked() {
			unchecked[l.ID] = true
		}
	}
	for _, want := range []string{"eu-adult.week-average", "uk-adult-a.week-average", "uk-adult-a.week-average-weeks", "eu-adult.night-minutes",
		"uk-young.night-barred", "za-adult.weekly-rest-sunday", "za-adult.day-ordinary-5"} {
		if !unchecked[want] {
			t.Errorf("%s counts as checked, want not checked by Rungbook", want)
		}
	}
	for _, judged := range []string{"eu-adult.daily-rest", "training-standard.ratio-theory", "inspection.ladder", "validity.height.window", "site.wind-stop", "site.reading-age", "training-standard.theory-recheck"} {
		if unchecked[judged] {
			t.Errorf("%s counts as not checked, want checked", judged)
		}
	}
}

func TestRatioIsTheSmallestOfTheSelectedProfiles(t *testing.T) {
	cases := []struct {
		name    string
		book    Version
		setting string
		want    int
		line    string
	}{
		{"theory 1:12, Basic Safety V20 table 13.3.1", with(TrainingStandard), "theory", 12, "training-standard.ratio-theory"},
		{"practice at a centre 1:6, Basic Safety V20 table 13.3.1", with(TrainingStandard), "practical", 6, "training-standard.ratio-practical"},
		{"practice on site 1:4, Basic Safety V20 table 13.3.1", with(TrainingStandard), "practical-on-site", 4, "training-standard.ratio-practical-on-site"},
		{"rescue practice 1:4, Advanced Rescue V6 table 11.3.1", with(TrainingStandard), "rescue-practical", 4, "training-standard.ratio-rescue-practical"},
		{"the site's 1:4 binds where it is smaller", with(TrainingStandard, Site), "practical", 4, "site.ratio-practical"},
		{"and does so in whatever order they were selected", with(Site, TrainingStandard), "practical", 4, "site.ratio-practical"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			limit, line, ok := c.book.Ratio(c.setting)
			if !ok || limit != c.want || line.ID != c.line {
				t.Errorf("got %d from %q (%t), want %d from %q", limit, line.ID, ok, c.want, c.line)
			}
		})
	}
	for name, book := range map[string]Version{"theory": with(EUAdult), "no-such-setting": everything(), "lifting-practical": everything()} {
		if limit, _, ok := book.Ratio(name); ok {
			t.Errorf("%s: got a ratio of %d, want none stated", name, limit)
		}
	}
}

func TestALineOfAProfileNotSelectedDoesNotCount(t *testing.T) {
	v := everything()
	v.Profiles = []id.Profile{EUAdult}
	if _, ok := v.Policy(Site); ok {
		t.Error("got a policy of a profile that is not selected")
	}
	if _, ok := v.Line("inspection.ladder"); ok {
		t.Error("got an interval of a profile that is not selected")
	}
	if _, _, ok := v.Ratio("practical"); ok {
		t.Error("got a ratio of a profile that is not selected")
	}
	if _, ok := v.Terms("validity.height"); ok {
		t.Error("got terms of a profile that is not selected")
	}
	if got := v.Fields(); len(got) != 1 || got[0] != verdict.Planning {
		t.Errorf("got fields %v, want planning alone", got)
	}
}

func TestAProfileWithoutRestLimitsIsNoRestPolicy(t *testing.T) {
	if _, ok := everything().Policy(Upkeep); ok {
		t.Error("got a rest policy from inspection intervals, want not stated")
	}
}

func TestChangingAnExampleChangesNoOther(t *testing.T) {
	lines := Examples(Site)
	lines[0].Value = 1
	Profiles()[0].Lines[0].Value = 1
	if Examples(Site)[0].Value == 1 || Profiles()[0].Lines[0].Value == 1 {
		t.Error("a caller's change reached the shipped profiles")
	}
}
