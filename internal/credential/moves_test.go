package credential

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

func TestWhatMayBecomeOfACertificate(t *testing.T) {
	type to = map[Move]State
	want := map[State]to{
		Valid:     {ToCorrect: Valid, ToSuspend: Suspended, ToWithdraw: Withdrawn, ToVoid: Void},
		Suspended: {ToCorrect: Suspended, ToStand: Valid, ToWithdraw: Withdrawn, ToVoid: Void},
		Withdrawn: {ToCorrect: Withdrawn, ToVoid: Void},
		Replaced:  {ToCorrect: Replaced, ToVoid: Void},
		Void:      {},
		"":        {},
	}
	for from, moves := range want {
		for _, m := range []Move{ToCorrect, ToSuspend, ToStand, ToWithdraw, ToVoid} {
			got, err := Next(from, m)
			state, allowed := moves[m]
			if allowed && (err != nil || got != state) {
				t.Errorf("%q %s: %q, %v; want %q", from, m, got, err, state)
			}
			if !allowed && (fault.Of(err) != fault.Conflict || got != from) {
				t.Errorf("%q %s: %q, %v; want a conflict", from, m, got, err)
			}
			if slices.Contains(Moves(from), m) != allowed {
				t.Errorf("%q: %s is offered %t, want %t", from, m, !allowed, allowed)
			}
		}
	}
	if _, err := Next(Valid, "burnt"); err == nil || fault.Of(err) == fault.Conflict {
		t.Errorf("an unknown move: %v, want an internal error", err)
	}
}

func TestOnlyAValidCertificateThatWasNeverTakenAwayCountsAgain(t *testing.T) {
	for _, s := range []State{Withdrawn, Void, Replaced} {
		for _, m := range Moves(s) {
			if next, _ := Next(s, m); next == Valid {
				t.Errorf("%s is made valid by %s", s, m)
			}
		}
	}
}

func TestDaysOfAPaperAreJudged(t *testing.T) {
	today := day("2027-03-02")
	good := Days{day("2026-03-01"), day("2026-03-01"), day("2027-03-01")}
	for name, c := range map[string]struct {
		change func(*Days)
		field  string
	}{
		"as printed":              {func(*Days) {}, ""},
		"one day":                 {func(d *Days) { d.Until = d.From }, ""},
		"ends the day before":     {func(d *Days) { d.Until = d.From - 1 }, "until"},
		"completed today":         {func(d *Days) { d.Completed = today }, ""},
		"completed tomorrow":      {func(d *Days) { d.Completed = today + 1 }, "completed"},
		"completion not stated":   {func(d *Days) { d.Completed = 0 }, "completed"},
		"first day not stated":    {func(d *Days) { d.From = 0 }, "from"},
		"last day not stated":     {func(d *Days) { d.Until = 0 }, "until"},
		"begins on a day to come": {func(d *Days) { d.From = today + 5; d.Until = today + 9 }, ""},
	} {
		d := good
		c.change(&d)
		bad := d.Check(today)
		if (c.field == "" && len(bad) > 0) || (c.field != "" && bad[c.field] == "") {
			t.Errorf("%s: %v, want a message about %q", name, bad, c.field)
		}
	}
}

func TestACorrectedLastDayIsAsPrinted(t *testing.T) {
	c := Certificate{Completed: 10, From: 10, Until: 740, CountsFrom: 10, Months: 24}
	same := c.WithDays(Days{11, 11, 740})
	if same.Months != 24 || same.Completed != 11 || same.From != 11 {
		t.Errorf("with the same last day: %+v, want the months kept", same)
	}
	if other := c.WithDays(Days{10, 10, 400}); other.Months != 0 || other.CountsFrom != 0 || other.Until != civil.Day(400) {
		t.Errorf("with another last day: %+v, want no months", other)
	}
}
