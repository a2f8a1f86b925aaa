package rig

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

func TestEachKindOfRigMustShowWhatItsKindNeeds(t *testing.T) {
	for _, c := range []struct {
		name   string
		kind   Kind
		height bool
		want   int
		has    []Point
		hasNot []Point
	}{
		{"a hall for theory", Classroom, false, 0, nil, nil},
		{"a hall with a station at height", Classroom, true, 9, []Point{PointAnchors, PointRescueDrill, PointStructure}, []Point{PointPressure}},
		{"a workshop", Workshop, false, 7, []Point{PointElectrical, PointEmergencyStop}, []Point{PointAnchors}},
		{"a tower", TowerPlatform, true, 10, []Point{PointAnchors, PointElectrical, PointSurvey}, []Point{PointCentre, PointPressure}},
		{"a tower with no station yet", TowerPlatform, false, 10, []Point{PointAnchors}, nil},
		{"a blade that is lifted", BladeFace, true, 10, []Point{PointCentre}, []Point{PointElectrical}},
		{"a nacelle house", NacelleHouse, true, len(Points()), nil, nil},
		{"a kind that is not known", "", false, len(Points()), nil, nil},
	} {
		got := RequiredOf(c.kind, c.height)
		lacks := func(i Point) bool { return !slices.Contains(got, i) }
		if len(got) != c.want || slices.ContainsFunc(c.has, lacks) || slices.ContainsFunc(c.hasNot, func(i Point) bool { return !lacks(i) }) {
			t.Errorf("%s: %d points: %v", c.name, len(got), got)
		}
	}
	for _, i := range Points() {
		if i.Name() == "" || i.Holds() == "" || len(i.Asks()) == 0 || len(i.Asks()) > 9 {
			t.Errorf("%s: no name, no words, or no facts of its own", i)
		}
	}
}

func TestADossierStandsByWhatWasAcceptedLast(t *testing.T) {
	accepted := func(id id.Evidence, when, until string) Evidence {
		return Evidence{ID: id, Rig: "tower", Point: PointAnchors, Done: day("2026-01-01"), Until: day(until),
			PutIn: EvidenceWord{By: "a", At: at("2026-01-01 08:00")}, Accepted: &EvidenceWord{By: "b", At: at(when)}}
	}
	word := func(when string) *EvidenceWord { return &EvidenceWord{By: "c", At: at(when)} }
	missing := "the dossier of tower lacks: anchor load test"
	for _, c := range []struct {
		name string
		day  string
		list []Evidence
		want string
		says State
	}{
		{"never put in", "2027-03-01", nil, missing, InConversion},
		{"the day before it is accepted", "2027-02-28", []Evidence{accepted("e1", "2027-03-01 00:00", "2027-12-31")}, missing, InConversion},
		{"the day on which it is accepted", "2027-03-01", []Evidence{accepted("e1", "2027-03-01 00:00", "2027-12-31")}, "", InService},
		{"its last day", "2027-12-31", []Evidence{accepted("e1", "2027-03-01 00:00", "2027-12-31")}, "", InService},
		{"the day after it", "2028-01-01", []Evidence{accepted("e1", "2027-03-01 00:00", "2027-12-31")}, "dossier of tower: anchor load test lapsed on 2028-01-01", Withdrawn},
		{"no last day stated", "2027-03-01", []Evidence{{ID: "e1", Rig: "tower", Point: PointAnchors, PutIn: EvidenceWord{By: "a"}, Accepted: word("2027-01-01 08:00")}}, missing, InConversion},
		{"accepted by the one who put it in", "2027-03-01", []Evidence{{ID: "e1", Rig: "tower", Point: PointAnchors, Until: day("2028-01-01"), PutIn: EvidenceWord{By: "c"}, Accepted: word("2027-01-01 08:00")}}, missing, InConversion},
		{"put in by nobody", "2027-03-01", []Evidence{{ID: "e1", Rig: "tower", Point: PointAnchors, Until: day("2028-01-01"), Accepted: word("2027-01-01 08:00")}}, missing, InConversion},
		{"the newest has lapsed and an older is good: it does not come back", "2027-06-01",
			[]Evidence{accepted("e2", "2027-02-01 08:00", "2027-05-31"), accepted("e1", "2027-01-01 08:00", "2029-01-01")}, "dossier of tower: anchor load test lapsed on 2027-06-01", Withdrawn},
		{"the older one lapsed, the newer is good", "2027-06-01",
			[]Evidence{accepted("e1", "2027-01-01 08:00", "2027-05-31"), accepted("e2", "2027-02-01 08:00", "2029-01-01")}, "", InService},
		{"the day before it is revoked", "2027-05-31", []Evidence{func() Evidence {
			e := accepted("e1", "2027-01-01 08:00", "2029-01-01")
			e.Revoked = word("2027-06-01 23:59")
			return e
		}()}, "", InService},
		{"the day on which it is revoked", "2027-06-01", []Evidence{accepted("e0", "2026-12-01 08:00", "2029-01-01"), func() Evidence {
			e := accepted("e1", "2027-01-01 08:00", "2029-01-01")
			e.Revoked = word("2027-06-01 23:59")
			return e
		}()}, "dossier of tower: anchor load test was revoked on 2027-06-01", Withdrawn},
		{"the same paper, known anew: the later knowledge counts", "2027-06-01", []Evidence{accepted("e1", "2027-01-01 08:00", "2027-02-01"), accepted("e1", "2027-01-01 08:00", "2029-01-01")}, "", InService},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.Rigs[0].Value.Kind = TowerPlatform
			r.Evidence = slices.DeleteFunc(r.Evidence, func(e Evidence) bool { return e.Point == PointAnchors })
			r.Evidence = append(r.Evidence, c.list...)
			g := NewRegister(r)
			if got := said(g.dossier("tower", day(c.day))); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
			if got := g.Dossier("tower", day(c.day)).State(); got != c.says {
				t.Errorf("it is %s, want %s", got, c.says)
			}
			ok, causes := g.InService("deck", day(c.day))
			if c.want != "" && (ok || !strings.Contains(said(causes), c.want)) {
				t.Errorf("the station may be used, or does not say why not: %s", said(causes))
			}
		})
	}
}

// TestSpansOfADossierAreAskedDayByDay compares the spans with the answer of each day.
func TestSpansOfADossierAreAskedDayByDay(t *testing.T) {
	first := day("2027-03-01")
	rapid.Check(t, func(t *rapid.T) {
		r := tower()
		r.Inspections, r.Rigs[0].Value.Inspections, r.Stations[0].Value.Inspections = nil, nil, nil
		when := rapid.IntRange(-20, 60)
		r.Evidence = slices.DeleteFunc(r.Evidence, func(e Evidence) bool { return e.Point == PointAnchors || e.Point == PointFire })
		for i := range rapid.IntRange(0, 6).Draw(t, "papers") {
			moment := func(name string) civil.Instant {
				return dublin().At(first+civil.Day(when.Draw(t, name)), civil.Minutes(rapid.IntRange(0, 1439).Draw(t, "clock")))
			}
			e := Evidence{ID: id.Evidence(string(rune('a' + i))), Rig: "tower", Point: rapid.SampledFrom([]Point{PointAnchors, PointFire}).Draw(t, "point"),
				Until: first + civil.Day(when.Draw(t, "until")), PutIn: EvidenceWord{By: "a"}, Accepted: &EvidenceWord{By: rapid.SampledFrom([]id.Person{"a", "b", "b", "b"}).Draw(t, "by"), At: moment("accepted")}}
			if rapid.Bool().Draw(t, "revoked") {
				e.Revoked = &EvidenceWord{By: "c", At: moment("revoked")}
			}
			r.Evidence = append(r.Evidence, e)
		}
		g := NewRegister(r)
		spans := g.NotUsable("deck", first, first+60)
		for d := first; d < first+60; d++ {
			ok, _ := g.InService("deck", d)
			i := slices.IndexFunc(spans, func(s DaySpan) bool { return s.From <= d && d < s.Until })
			if ok != (i < 0) {
				t.Fatalf("%s: may be used %t, and the spans say %t", d, ok, i < 0)
			}
			for _, stands := range g.Dossier("tower", d).Points {
				if e := stands.Evidence; stands.State == PointStands && (e.Accepted == nil || e.Accepted.By == e.PutIn.By || e.Until < d || dublin().DayOf(e.Accepted.At) > d) && e.ID != "" {
					t.Fatalf("%s: %s stands by %+v", d, stands.Point, e)
				}
			}
		}
	})
}
