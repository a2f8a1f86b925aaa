package credential

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// plain is a rule book that asks instructors for no first aid.
func plain() rulebook.Version {
	return rulebook.Version{ID: "plain", From: 1, Profiles: []id.Profile{rulebook.Site}, Lines: rulebook.Examples(rulebook.Site)}
}

func teaches(from, until string) Certificate {
	return Certificate{ID: "t", Person: "p", Kind: ToTeach, Exercise: "harness", From: day(from), Until: day(until), State: Valid}
}

func TestAnInstructorIsQualifiedOnEachDayOfTheirCertificate(t *testing.T) {
	firstAid := Certificate{ID: "f", Person: "p", Kind: FirstAid, From: day("2026-01-01"), Until: day("2026-11-27"), State: Valid}
	cases := []struct {
		name   string
		certs  []Certificate
		person id.Person
		book   rulebook.Version
		day    string
		want   bool
	}{
		{"day before the first", []Certificate{teaches("2026-03-01", "2027-03-01")}, "p", plain(), "2026-02-28", false},
		{"first day", []Certificate{teaches("2026-03-01", "2027-03-01")}, "p", plain(), "2026-03-01", true},
		{"last day", []Certificate{teaches("2026-03-01", "2027-03-01")}, "p", plain(), "2027-03-01", true},
		{"day after the last", []Certificate{teaches("2026-03-01", "2027-03-01")}, "p", plain(), "2027-03-02", false},
		{"another person", []Certificate{teaches("2026-03-01", "2027-03-01")}, "q", plain(), "2026-06-01", false},
		{"no certificate", nil, "p", plain(), "2026-06-01", false},
		// facts R11 and Requirements V15 cl 8.1.3(a): first aid ends 27 Nov, session on the 28th
		{"first aid on its last day", []Certificate{teaches("2026-03-01", "2027-03-01"), firstAid}, "p", book(), "2026-11-27", true},
		{"first aid ended the day before", []Certificate{teaches("2026-03-01", "2027-03-01"), firstAid}, "p", book(), "2026-11-28", false},
		{"first aid never held", []Certificate{teaches("2026-03-01", "2027-03-01")}, "p", book(), "2026-06-01", false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if _, ok := QualifiedOn(c.certs, c.person, "harness", day(c.day), c.book); ok != c.want {
				t.Errorf("got %t, want %t", ok, c.want)
			}
			own := slices.DeleteFunc(slices.Clone(c.certs), func(k Certificate) bool { return k.Person != c.person })
			spans := EntitlementsOf(own, c.book).Teaches
			if got := slices.ContainsFunc(spans, func(s Teaching) bool { return s.Exercise == "harness" && s.Holds(day(c.day)) }); got != c.want {
				t.Errorf("spans: got %t, want %t", got, c.want)
			}
		})
	}
}

func TestOnlyCertificatesThatStandEntitle(t *testing.T) {
	for _, state := range []State{Suspended, Withdrawn, Void, Replaced, ""} {
		c := teaches("2026-03-01", "2027-03-01")
		c.State = state
		if got := EntitlementsOf([]Certificate{c}, plain()); len(got.Teaches) != 0 {
			t.Errorf("%q: got %v, want nothing", state, got)
		}
		if _, ok := QualifiedOn([]Certificate{c}, "p", "harness", day("2026-06-01"), plain()); ok {
			t.Errorf("%q: qualifies", state)
		}
	}
	c := teaches("2026-03-01", "2027-03-01")
	c.From = 0
	if got := EntitlementsOf([]Certificate{c}, plain()); len(got.Teaches) != 0 || c.On(day("2026-06-01")) {
		t.Errorf("without a first day: got %v, want nothing", got)
	}
}

func TestSpansAreSortedAndJoined(t *testing.T) {
	cert := func(kind Kind, holds, from, until string) Certificate {
		c := Certificate{Person: "p", Kind: kind, Holds: holds, From: day(from), State: Valid}
		if until != "" {
			c.Until = day(until)
		}
		return c
	}
	e := EntitlementsOf([]Certificate{
		cert(ToRescue, "", "2027-01-01", "2027-12-31"),
		cert(ToRescue, "", "2026-01-01", "2026-12-31"), // follows on directly
		cert(FirstAid, "first-aid", "2026-01-01", "2026-06-30"),
		cert(FirstAid, "first-aid", "2026-07-02", ""), // a day's gap, then no end
		cert(Medical, "medical-height", "2026-01-01", "2026-12-31"),
		cert(TakenOver, "abseil", "2026-01-01", "2026-12-31"),
	}, plain())
	if want := []Span{{day("2026-01-01"), day("2027-12-31")}}; !slices.Equal(e.Rescue, want) {
		t.Errorf("rescue: got %v, want %v", e.Rescue, want)
	}
	if want := []Span{{day("2026-01-01"), day("2026-06-30")}, {day("2026-07-02"), Forever}}; !slices.Equal(e.FirstAid, want) {
		t.Errorf("first aid: got %v, want %v", e.FirstAid, want)
	}
	var names []string
	for _, h := range e.Holds {
		names = append(names, h.Name)
	}
	if want := []string{"abseil", "first-aid", "first-aid", "medical-height"}; !slices.Equal(names, want) {
		t.Errorf("holds: got %v, want %v", names, want)
	}
}

func TestTheLongestOfSeveralCertificatesIsNamed(t *testing.T) {
	a, b := teaches("2026-03-01", "2027-03-01"), teaches("2026-05-01", "2027-05-01")
	a.ID, b.ID = "a", "b"
	open := teaches("2026-05-01", "2027-05-01")
	open.ID, open.Until = "open", 0
	for _, certs := range [][]Certificate{{a, b}, {b, a}} {
		if got, _ := QualifiedOn(certs, "p", "harness", day("2026-06-01"), plain()); got.ID != "b" {
			t.Errorf("got %s, want b", got.ID)
		}
	}
	if got, _ := QualifiedOn([]Certificate{b, open, a}, "p", "harness", day("2026-06-01"), plain()); got.ID != "open" {
		t.Errorf("got %s, want the one without end", got.ID)
	}
	a.Holds, b.Holds = "x", "x"
	if got, ok := HeldOn([]Certificate{a, b}, "p", "x", day("2026-06-01")); !ok || got.ID != "b" {
		t.Errorf("got %s, want b", got.ID)
	}
	if _, ok := HeldOn([]Certificate{{Person: "p", From: 1, State: Valid}}, "p", "", day("2026-06-01")); ok {
		t.Error("holds the empty name")
	}
}

func TestSpansAgreeWithTheSingleDay(t *testing.T) {
	start := day("2026-01-01")
	rapid.Check(t, func(t *rapid.T) {
		var certs []Certificate
		for range rapid.IntRange(0, 8).Draw(t, "certificates") {
			c := Certificate{Person: "p", Exercise: rapid.SampledFrom([]id.Exercise{"x", "y"}).Draw(t, "exercise"),
				Kind:  rapid.SampledFrom([]Kind{ToTeach, ToTeach, FirstAid, ToRescue, Medical}).Draw(t, "kind"),
				Holds: rapid.SampledFrom([]string{"", "m"}).Draw(t, "holds"),
				State: rapid.SampledFrom([]State{Valid, Valid, Valid, Void}).Draw(t, "state"),
				From:  start + civil.Day(rapid.IntRange(0, 40).Draw(t, "from"))}
			if rapid.IntRange(0, 5).Draw(t, "open") > 0 {
				c.Until = c.From + civil.Day(rapid.IntRange(-1, 30).Draw(t, "until"))
			}
			certs = append(certs, c)
		}
		b := rapid.SampledFrom([]rulebook.Version{plain(), book()}).Draw(t, "book")
		e := EntitlementsOf(certs, b)
		for d := start - 1; d < start+80; d++ {
			for _, x := range []id.Exercise{"x", "y"} {
				_, want := QualifiedOn(certs, "p", x, d, b)
				n := 0
				for _, s := range e.Teaches {
					if s.Exercise == x && s.Holds(d) {
						n++
					}
				}
				if n > 1 || (n == 1) != want {
					t.Fatalf("%s on %s: %d spans, qualified %t", x, d, n, want)
				}
			}
			_, want := HeldOn(certs, "p", "m", d)
			if got := slices.ContainsFunc(e.Holds, func(h Holding) bool { return h.Holds(d) }); got != want {
				t.Fatalf("holding on %s: spans %t, day %t", d, got, want)
			}
		}
	})
}
