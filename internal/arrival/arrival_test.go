package arrival_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/arrival"
	"rungbook/internal/civil"
)

func whole() arrival.Arrival {
	s := &arrival.Signed{By: "p", At: 100}
	return arrival.Arrival{Trainee: "t", State: arrival.Came, At: 100, Identity: s, Fitness: s, FitnessAt: 90, Induction: s}
}

func TestWhatASessionAsksOfAnArrival(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*arrival.Arrival)
		want   []arrival.Lack
	}{
		{"all is there", func(*arrival.Arrival) {}, nil},
		{"nothing is on record", func(a *arrival.Arrival) { *a = arrival.Arrival{} }, []arrival.Lack{arrival.LacksArrival}},
		{"they did not come", func(a *arrival.Arrival) { a.State = arrival.DidNotCome }, []arrival.Lack{arrival.LacksArrival}},
		{"no identity", func(a *arrival.Arrival) { a.Identity = nil }, []arrival.Lack{arrival.LacksIdentity}},
		{"no statement", func(a *arrival.Arrival) { a.Fitness = nil }, []arrival.Lack{arrival.LacksFitness}},
		{"no induction", func(a *arrival.Arrival) { a.Induction = nil }, []arrival.Lack{arrival.LacksInduction}},
		{"a statement signed at the start", func(a *arrival.Arrival) { a.FitnessAt = 120 }, nil},
		{"a statement signed after the start", func(a *arrival.Arrival) { a.FitnessAt = 121 }, []arrival.Lack{arrival.LacksFitness}},
		{"they came at the start", func(a *arrival.Arrival) { a.At = 120 }, nil},
		{"they came after it", func(a *arrival.Arrival) { a.At = 121 }, []arrival.Lack{arrival.LacksArrival}},
	} {
		a := whole()
		c.change(&a)
		if got := a.Lacks(120, 0); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestAtEachPartOfACourseIdentityIsSeenAndAStatementSigned(t *testing.T) {
	for _, c := range []struct {
		name               string
		seen, signed, part civil.Instant
		want               []arrival.Lack
	}{
		{"in the first part", 100, 90, 0, nil},
		{"as the part began", 100, 100, 100, nil},
		{"identity a minute before", 99, 100, 100, []arrival.Lack{arrival.LacksAnew}},
		{"the statement a minute before", 100, 99, 100, []arrival.Lack{arrival.LacksSignedNew}},
		{"both of the part before", 50, 40, 100, []arrival.Lack{arrival.LacksAnew, arrival.LacksSignedNew}},
	} {
		a := whole()
		a.Identity, a.Fitness, a.FitnessAt = &arrival.Signed{By: "p", At: c.seen}, &arrival.Signed{By: "p", At: 100}, c.signed
		if got := a.Lacks(120, c.part); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestATickKeepsWhoSawItFirst(t *testing.T) {
	a := whole().Tick([]arrival.Paper{arrival.Identity, arrival.Language}, arrival.Signed{By: "q", At: 200})
	if a.Identity.By != "p" || a.Language.By != "q" || a.Induction != nil || a.Fitness != nil || a.FitnessAt != 0 {
		t.Errorf("%+v", a)
	}
}

func TestAnArrivalThatContradictsItselfIsRefused(t *testing.T) {
	for name, change := range map[string]func(*arrival.Arrival){
		"no state":                         func(a *arrival.Arrival) { a.State = "" },
		"came at no time":                  func(a *arrival.Arrival) { a.At = 0 },
		"did not come and was seen":        func(a *arrival.Arrival) { a.State = arrival.DidNotCome },
		"replaced by nobody":               func(a *arrival.Arrival) { *a = arrival.Arrival{State: arrival.Replaced} },
		"a statement without a time":       func(a *arrival.Arrival) { a.FitnessAt = 0 },
		"a statement signed after it":      func(a *arrival.Arrival) { a.FitnessAt = 101 },
		"a time and no statement":          func(a *arrival.Arrival) { a.Fitness = nil },
		"another in place of one who came": func(a *arrival.Arrival) { a.By = "u" },
	} {
		a := whole()
		if err := a.Check(); err != nil {
			t.Fatal(err)
		}
		if change(&a); a.Check() == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

// TestWhoIsHereIsWhoWasSeenLast compares the list with a count of each body by
// itself.
func TestWhoIsHereIsWhoWasSeenLast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOf(rapid.Custom(func(t *rapid.T) arrival.Sighting {
			return arrival.Sighting{Who: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "who"), At: civil.Instant(rapid.IntRange(1, 5).Draw(t, "at")),
				How: rapid.SampledFrom([]arrival.How{arrival.Arrived, arrival.InSession, arrival.SignedIn, arrival.LeftOne, arrival.SignedOut}).Draw(t, "how")}
		})).Draw(t, "seen")
		here := map[string]bool{}
		for i, s := range arrival.Here(all) {
			if here[s.Who] {
				t.Fatalf("%s stands twice", s.Who)
			}
			here[s.Who] = true
			if list := arrival.Here(all); i > 0 && list[i-1].At < s.At {
				t.Fatal("not the last seen first")
			}
		}
		for _, who := range []string{"a", "b", "c"} {
			open, seen, out := false, civil.Instant(-1), civil.Instant(-1)
			for _, s := range all {
				switch {
				case s.Who != who:
				case s.How == arrival.SignedOut:
					out = max(out, s.At)
				default:
					open, seen = open || s.How == arrival.InSession, max(seen, s.At)
				}
			}
			if want := open || seen > out; here[who] != want {
				t.Fatalf("%s is on the list: %v, want %v", who, here[who], want)
			}
		}
	})
}
