package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Point is one thing that a conversion dossier asks for; a closed list.
type Point string

// The points, in the order in which one rests on the other.
const (
	PointSurvey        Point = "survey"
	PointCentre        Point = "centre-of-gravity"
	PointStructure     Point = "structure"
	PointAnchors       Point = "anchor-test"
	PointElectrical    Point = "electrical-test"
	PointPressure      Point = "pressure-test"
	PointIsolation     Point = "isolation-diagram"
	PointEmergencyStop Point = "emergency-stops"
	PointAccess        Point = "access-and-lighting"
	PointFire          Point = "fire"
	PointRisk          Point = "risk-assessment"
	PointRescuePlan    Point = "rescue-plan"
	PointRescueDrill   Point = "rescue-drill"
	PointCautions      Point = "cautions"
)

// pointRow says what a point is, why it is asked, and which facts its form asks for.
// The list is common practice where hardware is converted for another use, no source.
type pointRow struct {
	point Point
	name  string
	holds string // what the file holds
	asks  []string
}

var pointRows = []pointRow{
	{PointSurvey, "survey of dimensions and mass", "What was measured, piece by piece, and how sure it is.", []string{"Method", "Mass", "Uncertainty"}},
	{PointCentre, "centre of gravity", "Where it lies of each piece that is lifted or hung, and how it was found.", []string{"Method", "Uncertainty"}},
	{PointStructure, "structural sign-off", "The calculation or report of whoever answers for the structure in its new use.", []string{"Loads allowed", "Limits and conditions"}},
	{PointAnchors, "anchor load test", "Each anchor with its load, how long it was held, and what was seen.", []string{"Test load", "Anchors tested"}},
	{PointElectrical, "electrical test", "The report of the fixed installation and of what is plugged in.", []string{"Tests done", "Findings left open"}},
	{PointPressure, "pressure test", "Vessels, accumulators, hoses: test pressure, working pressure, relief.", []string{"Test pressure", "Working pressure"}},
	{PointIsolation, "energy-isolation diagram", "Every supply with its point of isolation, how stored energy is released, how dead is proved.", []string{"Points of isolation"}},
	{PointEmergencyStop, "emergency stops", "Where each one is, what it stops, and that it was tried.", []string{"Stops tried"}},
	{PointAccess, "access and lighting", "Ways in and out, edges, gates, light with the power gone.", []string{"What was looked at"}},
	{PointFire, "fire", "Alarm, extinguishers, ways out, what burns.", []string{"What was looked at"}},
	{PointRisk, "risk assessment", "What can go wrong in its new use, and what is done about it.", []string{"Covers"}},
	{PointRescuePlan, "rescue plan", "The plan as it is approved, for every place people can hang or lie.", []string{"Places it covers"}},
	{PointRescueDrill, "witnessed rescue drill", "A drill from the worst place, watched by somebody who took no part.", []string{"Minutes to a safe place", "Witness"}},
	{PointCautions, "cautions", "What everybody is told before they use it, as it hangs at the rig.", []string{"Where they hang"}},
}

// Points lists every point in its order.
func Points() []Point {
	out := make([]Point, len(pointRows))
	for i, r := range pointRows {
		out[i] = r.point
	}
	return out
}

func (i Point) row() pointRow {
	if at := slices.IndexFunc(pointRows, func(r pointRow) bool { return r.point == i }); at >= 0 {
		return pointRows[at]
	}
	return pointRow{point: i, name: string(i)}
}

// Name is the point as it stands in a sentence: "anchor load test".
func (i Point) Name() string { return i.row().name }

// Holds says what its evidence holds.
func (i Point) Holds() string { return i.row().holds }

// Asks lists the facts its form asks for beside who, when and until.
func (i Point) Asks() []string { return i.row().asks }

// RequiredOf returns the points that a kind of rig needs before it may be in service;
// height says that people work at height on it. A hall in which theory is taught is
// no converted hardware and needs none, unless people work at height there. A kind
// that is not known needs all.
func RequiredOf(kind Kind, height bool) []Point {
	common := []Point{PointSurvey, PointStructure, PointAccess, PointFire, PointRisk, PointCautions}
	energy := []Point{PointElectrical, PointIsolation, PointEmergencyStop}
	up := []Point{PointAnchors, PointRescuePlan, PointRescueDrill}
	var want []Point
	switch kind {
	case Classroom:
	case Workshop:
		want = slices.Concat(energy, []Point{PointAccess, PointFire, PointRisk, PointCautions})
	case TowerPlatform:
		want = slices.Concat(common, up, []Point{PointElectrical})
	case BladeFace:
		want = slices.Concat(common, up, []Point{PointCentre})
	default: // a nacelle house has everything in it
		return Points()
	}
	if height {
		want = slices.Concat(want, common, up)
	}
	return slices.DeleteFunc(Points(), func(i Point) bool { return !slices.Contains(want, i) })
}

// Evidence is one paper of a rig's dossier: what shows a point, who did it when, and
// whether somebody else accepted it.
type Evidence struct {
	ID        id.Evidence    `json:"id"`
	Rig       id.Rig         `json:"rig"`
	Point     Point          `json:"point"`
	Done      civil.Day      `json:"done"`
	Until     civil.Day      `json:"until"`     // last valid day; 0 = not stated, which shows nothing
	By        id.Commitment  `json:"by"`        // who did it: often nobody of the centre
	Authority id.Commitment  `json:"authority"` // by which authority they did
	Facts     []EvidenceFact `json:"facts,omitempty"`
	File      EvidenceFile   `json:"file"`
	PutIn     EvidenceWord   `json:"put_in"`
	Accepted  *EvidenceWord  `json:"accepted,omitempty"`
	Refused   *EvidenceWord  `json:"refused,omitempty"` // never accepted
	Revoked   *EvidenceWord  `json:"revoked,omitempty"` // accepted, and no longer
}

// EvidenceFact answers one of what its point asks.
type EvidenceFact struct {
	Asked string        `json:"asked"` // as in Point.Asks
	Text  id.Commitment `json:"text"`
}

// EvidenceFile is the file of it, which lies beside the database under its hash.
type EvidenceFile struct {
	Hash  string        `json:"hash"` // hex SHA-256 of its bytes
	Type  FileType      `json:"type"`
	Bytes int           `json:"bytes"`
	Name  id.Commitment `json:"name"` // as it was sent; never a path
}

// EvidenceWord is what somebody said of it, and when.
type EvidenceWord struct {
	By  id.Person     `json:"by"`
	At  civil.Instant `json:"at"`
	Why id.Commitment `json:"why,omitempty"`
}

// Stands reports whether somebody other than the one who put it in accepted it.
// What nobody else accepted counts nowhere.
func (e Evidence) Stands() bool {
	return e.Accepted != nil && e.Refused == nil && e.Accepted.By != "" && e.PutIn.By != "" && e.Accepted.By != e.PutIn.By
}

// Waits reports whether nobody has decided on it yet.
func (e Evidence) Waits() bool { return e.Accepted == nil && e.Refused == nil }
