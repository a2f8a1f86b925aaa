package demo

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// The rig that is still in conversion: the tower's lowest section, cut off and set on
// the ground. It lies apart from the tables of rigs and stations, so that nothing is
// placed there and nothing that is drawn at random changes with it.
var (
	converting = rigRow{key: "base", name: "Base section", kind: rig.TowerPlatform, peopleMax: 8,
		drawing: rig.Drawing{X: 806, Width: 44, Height: 72}}
	convertingStation = stationRow{key: "base-ladder", rig: "base", name: "Training ladder", places: 4,
		height: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.ladder"},
		place:       rig.Place{X: 14, Y: 6, Width: 16, Height: 56, Label: "right"}}
)

// stillOpen is what nobody has accepted of its dossier; of the last one a paper waits.
var stillOpen = []rig.Point{rig.PointRescuePlan, rig.PointRescueDrill, rig.PointCautions}

// inConversion is for how many days it has been converted.
const inConversion = 96

// reserveConversion draws its ids apart, so that all others stay as they are.
func (b *builder) reserveConversion() *id.Maker {
	own := id.NewMaker(rand.NewChaCha8(sha256.Sum256(fmt.Appendf(nil, "conversion %d %s", b.Seed, b.Today))))
	b.given["rig "+converting.key], b.given["station "+convertingStation.key] = own.New(), own.New()
	b.given["kit "+outOfDate.key] = own.New()
	return own
}

// layConversion writes the rig with its station, inspected, and all of its dossier
// but what is still open.
func (b *builder) layConversion(own *id.Maker) {
	day, by := b.opened(), b.person(administrator)
	r := rig.Rig{ID: idOf[id.Rig](b, "rig", converting.key), Name: text(converting.name), Kind: converting.kind, State: rig.InConversion,
		PeopleMax: converting.peopleMax, Drawing: converting.drawing, Order: len(rigs) + 1}
	b.write(groundwork, day, by, "taken-on", r)
	b.write(groundwork, day, by, "recorded", b.station(convertingStation, len(stations)+1))
	from := b.workday(b.Today - inConversion)
	b.write(upkeep, from, b.person("tierney"), "inspected", rig.Inspection{ID: id.Inspection(own.New()), Subject: idOf[string](b, "station", convertingStation.key),
		Line: convertingStation.inspections[0], Done: from, Passed: true, By: b.person("tierney")})
	for n, point := range rig.RequiredOf(converting.kind, true) {
		e := b.shows(id.Evidence(own.New()), converting, len(rigs), point, b.workday(from+civil.Day(4*n)))
		switch {
		case !slices.Contains(stillOpen, point):
			b.accepted(e)
		case point == stillOpen[len(stillOpen)-1]:
			b.putIn(e)
		}
	}
}

// outOfDate is a kit whose last day has passed; no session takes it.
var outOfDate = struct {
	namedRow
	line string
	ago  civil.Day
}{namedRow{"kit-evacuation", "Evacuation device, nacelle roof"}, "inspection.rescue-kit", 6}

// layOutOfDate writes it: nobody has brought it to its examination.
func (b *builder) layOutOfDate(own *id.Maker) {
	last := b.Today - outOfDate.ago
	done := last.AddMonths(-b.interval(outOfDate.line))
	k := rig.Kit{ID: idOf[id.Kit](b, "kit", outOfDate.key), Name: text(outOfDate.name), Count: 1, Inspections: []string{outOfDate.line}, LastValid: last, Rated: 140}
	from := b.workdayBefore(done)
	b.write(groundwork, from, b.person(administrator), "taken-on", k)
	b.write(upkeep, from, b.person("tierney"), "inspected", rig.Inspection{ID: id.Inspection(own.New()), Subject: string(k.ID), Line: outOfDate.line, Done: from, Passed: true, By: b.person("tierney")})
}
