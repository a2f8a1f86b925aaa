package rig

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// PointState is how a point of a dossier stands on a day.
type PointState string

// The states.
const (
	PointMissing PointState = "missing" // never accepted
	PointLapsed  PointState = "lapsed"
	PointRevoked PointState = "revoked"
	PointStands  PointState = "stands"
)

// PointStanding is a point that a rig needs, with the evidence accepted last.
type PointStanding struct {
	Point    Point
	State    PointState
	Since    civil.Day // of lapsed and revoked
	Evidence Evidence  // zero while it is missing
}

// Dossier is a rig's conversion dossier on a day.
type Dossier struct{ Points []PointStanding }

// Complete reports whether every point stands.
func (d Dossier) Complete() bool { return len(d.Open()) == 0 }

// Open returns the points that do not stand, in their order.
func (d Dossier) Open() []PointStanding {
	var out []PointStanding
	for _, i := range d.Points {
		if i.State != PointStands {
			out = append(out, i)
		}
	}
	return out
}

// State is what the dossier alone says: in conversion while something was never
// accepted, withdrawn where something lapsed or was revoked since. Complete, it says
// in service, and a responsible person decides.
func (d Dossier) State() State {
	out := InService
	for _, i := range d.Points {
		switch i.State {
		case PointMissing:
			return InConversion
		case PointLapsed, PointRevoked:
			out = Withdrawn
		}
	}
	return out
}

// addEvidence keeps what was accepted, by rig, in the order of acceptance.
func (g *Register) addEvidence(r Records) {
	for _, e := range newest(r.Evidence, func(e Evidence) id.Evidence { return e.ID }) {
		if e.Stands() {
			g.evidence[e.Rig] = append(g.evidence[e.Rig], e)
		}
	}
	for _, list := range g.evidence {
		slices.SortStableFunc(list, func(a, b Evidence) int { return cmp.Compare(a.Accepted.At, b.Accepted.At) })
	}
}

// Dossier returns the dossier of a rig on a local day: of each point that its kind
// needs, the evidence accepted last by the end of that day. An older one never comes
// back in the place of one that lapsed or was revoked.
func (g *Register) Dossier(r id.Rig, d civil.Day) Dossier {
	rig, _ := g.RigOn(r, d)
	var out Dossier
	for _, point := range RequiredOf(rig.Kind, g.atHeight(r, d)) {
		out.Points = append(out.Points, g.point(r, point, d))
	}
	return out
}

// atHeight reports whether people work at height on a rig on a day.
func (g *Register) atHeight(r id.Rig, d civil.Day) bool {
	for _, list := range g.stations {
		if s, ok := standing(list, d); ok && s.Rig == r && s.Height && (s.Retired == 0 || d < s.Retired) {
			return true
		}
	}
	return false
}

func (g *Register) point(r id.Rig, point Point, d civil.Day) PointStanding {
	out := PointStanding{Point: point, State: PointMissing}
	for _, e := range slices.Backward(g.evidence[r]) {
		if e.Point != point || g.zone.DayOf(e.Accepted.At) > d {
			continue
		}
		out.Evidence, out.State = e, PointStands
		switch {
		case e.Until == 0: // shows nothing, and keeps the older one away
			out.State = PointMissing
		case e.Revoked != nil && g.zone.DayOf(e.Revoked.At) <= d:
			out.State, out.Since = PointRevoked, g.zone.DayOf(e.Revoked.At)
		case e.Until < d:
			out.State, out.Since = PointLapsed, e.Until+1
		}
		return out
	}
	return out
}

// dossier judges a rig's dossier: one cause for all that was never accepted, one for
// each point that lapsed or was revoked.
func (g *Register) dossier(r id.Rig, d civil.Day) []Cause {
	var causes []Cause
	var missing []string
	for _, i := range g.Dossier(r, d).Open() {
		switch i.State {
		case PointMissing:
			missing = append(missing, i.Point.Name())
		case PointLapsed:
			causes = append(causes, Cause{Kind: EvidenceLapsed, Subject: rigRef(r), Points: i.Point.Name(), Since: i.Since})
		case PointRevoked:
			causes = append(causes, Cause{Kind: EvidenceRevoked, Subject: rigRef(r), Points: i.Point.Name(), Since: i.Since})
		}
	}
	if len(missing) > 0 {
		causes = append([]Cause{{Kind: EvidenceMissing, Subject: rigRef(r), Points: named(missing)}}, causes...)
	}
	return causes
}

// pointsNamed is how many missing points a refusal names; the dossier's page has all.
const pointsNamed = 3

func named(points []string) string {
	switch n := len(points); {
	case n == 1:
		return points[0]
	case n <= pointsNamed:
		return strings.Join(points[:n-1], ", ") + " and " + points[n-1]
	default:
		return strings.Join(points[:pointsNamed], ", ") + " and " + strconv.Itoa(n-pointsNamed) + " more"
	}
}

// evidenceDays adds the days on which what a rig's dossier says may change.
func (g *Register) evidenceDays(d *days, r id.Rig) {
	for _, e := range g.evidence[r] {
		d.add(g.zone.DayOf(e.Accepted.At))
		if e.Until != 0 {
			d.add(e.Until + 1)
		}
		if e.Revoked != nil {
			d.add(g.zone.DayOf(e.Revoked.At))
		}
	}
	for _, list := range g.stations { // what stands on it says what it needs
		for _, s := range list {
			if s.Value.Rig == r {
				d.add(s.From, s.Until, s.Value.Retired)
			}
		}
	}
}
