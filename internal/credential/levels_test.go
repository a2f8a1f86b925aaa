package credential

import (
	"testing"

	"rungbook/internal/civil"
)

func TestAnUpgradeNeedsMonthsAndHours(t *testing.T) {
	tm := terms(t, book(), rope2)
	c := held(rope2, "2026-03-10", "2029-03-10")
	const hour = 60
	cases := []struct {
		name   string
		logged civil.Minutes
		day    string
		want   bool
	}{
		// Rope access scheme, as quoted by providers (facts L1, L2, L3)
		{"1,000 hours a day too early", 1000 * hour, "2027-03-09", false},
		{"1,000 hours on the day", 1000 * hour, "2027-03-10", true},
		{"a minute short, however late", 1000*hour - 1, "2029-03-09", false},
		{"999.5 hours never", 999*hour + 30, "2028-03-10", false},
		{"on the ticket's last day", 1000 * hour, "2029-03-10", true},
		{"the day after it ended", 1000 * hour, "2029-03-11", false},
	}
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			if s, ok := Upgrade(c, tm, day("2026-03-10"), k.logged, day(k.day)); ok != k.want {
				t.Errorf("got %t (%+v), want %t", ok, s, k.want)
			}
		})
	}
	if _, ok := Upgrade(c, tm, 0, 1000*hour, day("2028-03-10")); ok {
		t.Error("since when the level is held is not stated: got an upgrade")
	}
	if _, ok := Upgrade(held("validity.rope-level-3", "2026-03-10", "2029-03-10"), terms(t, book(), "validity.rope-level-3"), day("2026-03-10"), 9000*hour, day("2028-03-10")); ok {
		t.Error("got an upgrade from the highest level")
	}
}

func TestAHolderWithoutPracticeNeedsARefresher(t *testing.T) {
	tm := terms(t, book(), rope2)
	c := held(rope2, "2026-01-01", "2029-01-01")
	// facts L6: last done 24 May 2026, due from 25 Nov 2026
	for d, want := range map[string]bool{"2026-11-24": false, "2026-11-25": true} {
		if got := Idle(c, tm, day("2026-05-24"), day(d)); got != want {
			t.Errorf("%s: got %t, want %t", d, got, want)
		}
	}
	if !Idle(c, tm, 0, day("2026-07-02")) || Idle(c, tm, 0, day("2026-07-01")) {
		t.Error("never done: want it counted from the first day")
	}
	if Idle(c, terms(t, book(), height), day("2020-01-01"), day("2026-11-25")) {
		t.Error("terms without such a rule: got a refresher due")
	}
}

func TestAFailedReassessmentVoidsTheTicketWhereTheTermsSaySo(t *testing.T) {
	c := held(rope2, "2025-06-01", "2028-06-01")
	// facts L7: fails on 3 Dec 2026, void though in date
	if got := Failed(c, terms(t, book(), rope2)); got.State != Void || got.On(day("2026-12-03")) {
		t.Errorf("got %s, want void", got.State)
	}
	if got := Failed(c, terms(t, book(), height)); got.State != Valid {
		t.Errorf("got %s, want it to stand", got.State)
	}
}
