package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
)

// shownRow says who showed a point of a dossier, by which authority, and what the
// point's form asks for. The people and firms are invented.
type shownRow struct {
	point         rig.Point
	by, authority string
	answers       []string
	months        int // valid from today on, so that no rig lapses in the demo's time
}

var shownRows = []shownRow{
	{rig.PointSurvey, "Nessa Kilcoyne, Moyhill Survey", "chartered surveyor", []string{"Total station and weighbridge", "18.4 t", "2 % of the mass, 5 mm of lengths"}, 60},
	{rig.PointCentre, "Nessa Kilcoyne, Moyhill Survey", "chartered surveyor", []string{"Two weighings on load cells", "40 mm along its length"}, 60},
	{rig.PointStructure, "Tiarnan Bohan, Bohan Structures", "chartered engineer", []string{"24 people, 6 kN/m2 on the decks", "No work above 12 m/s at the decks"}, 48},
	{rig.PointAnchors, "Wioletta Brzozowicz", "competent person for anchors, appointed in writing", []string{"15 kN for 3 minutes each", "All, by their numbers"}, 14},
	{rig.PointElectrical, "Phelim Gilvarry, Gilvarry Electric", "registered electrical contractor", []string{"Insulation, earth loop, residual current", "none"}, 30},
	{rig.PointPressure, "Hedda Sandvik, Norrvik Pressure", "inspection body for pressure equipment", []string{"286 bar, held 30 minutes", "200 bar"}, 20},
	{rig.PointIsolation, "Ilango Muthukaruppan", "responsible for energy", []string{"6, each with its own lock point"}, 24},
	{rig.PointEmergencyStop, "Ilango Muthukaruppan", "responsible for energy", []string{"Each one, from its place"}, 13},
	{rig.PointAccess, "Ferdia Lohan, Lohan Safety", "safety adviser of the centre", []string{"Ladders, gates, edges, light with the power off"}, 18},
	{rig.PointFire, "Ferdia Lohan, Lohan Safety", "safety adviser of the centre", []string{"Alarm, ways out, stores"}, 13},
	{rig.PointRisk, "Ferdia Lohan, Lohan Safety", "safety adviser of the centre", []string{"Training use by groups of up to six"}, 16},
	{rig.PointRescuePlan, "Cormac Devanny", "author of the rescue plans", []string{"Every place where people hang or lie"}, 18},
	{rig.PointRescueDrill, "Cormac Devanny", "lead of the drill", []string{"6", "Ferdia Lohan, who took no part"}, 14},
	{rig.PointCautions, "Cormac Devanny", "lead of the yard", []string{"At its foot and at each way on"}, 24},
}

// layDossiers writes a whole dossier for each rig, put in while it was converted and
// accepted by a responsible person before it was put in service.
func (b *builder) layDossiers() {
	// Their ids are drawn apart, so that all others stay as they are without them.
	ids := id.NewMaker(rand.NewChaCha8(sha256.Sum256(fmt.Appendf(nil, "dossiers %d %s", b.Seed, b.Today))))
	for n, row := range rigs {
		height := slices.ContainsFunc(stations, func(s stationRow) bool { return s.rig == row.key && s.height })
		for _, point := range rig.RequiredOf(row.kind, height) {
			b.accepted(b.shows(id.Evidence(ids.New()), row, n, point, b.opened()))
		}
	}
}

// shows makes the evidence of one point, done before a day and put in soon after it.
func (b *builder) shows(of id.Evidence, row rigRow, n int, point rig.Point, day civil.Day) rig.Evidence {
	from := shownRows[slices.IndexFunc(shownRows, func(r shownRow) bool { return r.point == point })]
	put := b.workday(day + 2)
	e := rig.Evidence{
		ID: of, Rig: idOf[id.Rig](b, "rig", row.key), Point: point,
		Done: b.workdayBefore(day), Until: b.Today.AddMonths(from.months) + civil.Day(n), By: text(from.by), Authority: text(from.authority),
		PutIn: rig.EvidenceWord{By: b.person(administrator), At: b.at(put, 15*clock)},
	}
	for i, asked := range point.Asks() {
		e.Facts = append(e.Facts, rig.EvidenceFact{Asked: asked, Text: text(from.answers[i])})
	}
	e.File = b.paperOf(row, n, point, from)
	return e
}

// putIn writes evidence as it was put in.
func (b *builder) putIn(e rig.Evidence) {
	b.write(upkeep, b.zone.DayOf(e.PutIn.At), e.PutIn.By, "put-in", e)
	b.records.Evidence = append(b.records.Evidence, e)
}

// accepted writes evidence that was put in, and accepted some days later by another.
func (b *builder) accepted(e rig.Evidence) {
	b.write(upkeep, b.zone.DayOf(e.PutIn.At), e.PutIn.By, "put-in", e)
	day := b.workday(b.zone.DayOf(e.PutIn.At) + 3)
	by := b.person(b.responsibleOn(verdict.HeightRescue, day))
	e.Accepted = &rig.EvidenceWord{By: by, At: b.at(day, 11*clock)}
	b.write(upkeep, day, by, "accepted", e)
	b.records.Evidence = append(b.records.Evidence, e)
}

// paperOf makes the file of a point: a drawing for diagrams, a photograph of what is
// seen on a walk, else a page.
func (b *builder) paperOf(row rigRow, n int, point rig.Point, from shownRow) rig.EvidenceFile {
	var p paper
	var err error
	switch point {
	case rig.PointIsolation:
		p, err = pngOf(n)
	case rig.PointAccess:
		p, err = jpegOf(n)
	default:
		lines := []string{"Carrowmoyle: " + row.name, point.Name(), "", from.by, from.authority, ""}
		for i, asked := range point.Asks() {
			lines = append(lines, asked+": "+from.answers[i])
		}
		p = pdf(append(lines, "", "Invented for a demonstration. It shows nothing about any real structure."))
	}
	b.note(err)
	sum := sha256.Sum256(p.bytes)
	b.papers = append(b.papers, p.bytes)
	return rig.EvidenceFile{Hash: hex.EncodeToString(sum[:]), Type: p.kind, Bytes: len(p.bytes), Name: text(row.key + "-" + string(point) + p.kind.Ending())}
}
