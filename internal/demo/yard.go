package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/rig"
)

// The yard's place and hours. Carrowmoyle is invented; the coordinates are those
// of open bog in the west of Ireland.
const (
	yardName  = "Carrowmoyle"
	yardZone  = "Europe/Dublin"
	latitude  = 54_118_000
	longitude = -9_437_000
	grid      = civil.Minutes(15)
)

const clock = civil.Minutes(60) // an hour, so that 8*clock reads as 08:00

var openingHours = []rig.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * clock, To: 17*clock + 30}}

// rigRow is a rig; lengths are decimetres. The zones of its ground stand by key.
type rigRow struct {
	key, name   string
	kind        rig.Kind
	peopleMax   int
	onRig       string
	inspections []string
	drawing     rig.Drawing
}

var rigs = []rigRow{
	{key: "tower", name: "Tower platform", kind: rig.TowerPlatform, peopleMax: 24,
		inspections: []string{"inspection.structure"},
		drawing: rig.Drawing{X: 60, Width: 42, Height: 186,
			Decks:  []rig.Deck{{Height: 46, Out: 26}, {Height: 104, Out: 26}, {Height: 186, Out: 26}},
			Ground: []rig.GroundZone{{Zone: "zone-west", From: -46, To: -1, TopFrom: -26, TopTo: -1, Height: 44}}}},
	{key: "blade", name: "Blade face", kind: rig.BladeFace, peopleMax: 12, onRig: "tower",
		inspections: []string{"inspection.structure"},
		drawing: rig.Drawing{X: 136, Width: 30, Height: 186, Base: 12, Side: "right", Off: 34,
			Ground: []rig.GroundZone{{Zone: "zone-east", From: -8, To: 52, TopFrom: 4, TopTo: 28, Height: 74}}}},
	{key: "nacelle", name: "Nacelle house", kind: rig.NacelleHouse, peopleMax: 20,
		inspections: []string{"inspection.structure", "inspection.fire-extinguisher"},
		drawing: rig.Drawing{X: 260, Width: 124, Height: 82, Base: 34, BaseWidth: 44, Side: "left",
			Ground: []rig.GroundZone{{Zone: "zone-nacelle", From: 116, To: 152, TopFrom: 124, TopTo: 138, Height: 80}}}},
	{key: "hall", name: "Teaching hall", kind: rig.Classroom, peopleMax: 36,
		inspections: []string{"inspection.fire-extinguisher"},
		drawing:     rig.Drawing{X: 450, Width: 158, Height: 42}},
	{key: "workshop", name: "Workshop", kind: rig.Workshop, peopleMax: 18,
		inspections: []string{"inspection.fire-extinguisher", "inspection.lifting"},
		drawing:     rig.Drawing{X: 650, Width: 112, Height: 56}},
}

// stationRow is a station. Every height station asks for two rescuers with at
// least one on standby, which is the site profile's figure.
type stationRow struct {
	key, rig, name string
	places         int
	zones          []string
	height         bool
	daylight       bool
	turnaround     civil.Minutes
	staffMin       int
	firstAiders    int
	rescueKit      string // "" = no rescue cover asked
	inspections    []string
	place          rig.Place
}

var stations = []stationRow{
	{key: "deck-lower", rig: "tower", name: "Lower deck", places: 6, zones: []string{"zone-west"},
		height: true, daylight: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.fall-arrest-anchor"},
		place:       rig.Place{X: -25, Y: 46, Width: 23, Height: 22, Label: "left"}},
	{key: "deck-upper", rig: "tower", name: "Upper deck", places: 6, zones: []string{"zone-west"},
		height: true, daylight: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.fall-arrest-anchor", "inspection.rope-anchor"},
		place:       rig.Place{X: -25, Y: 104, Width: 23, Height: 22, Label: "left"}},
	{key: "deck-top", rig: "tower", name: "Top deck", places: 6, zones: []string{"zone-east"},
		height: true, daylight: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.fall-arrest-anchor", "inspection.rope-anchor"},
		place:       rig.Place{X: 44, Y: 186, Width: 23, Height: 22, Label: "right"}},
	{key: "ladder", rig: "tower", name: "Inside ladder", places: 6,
		height: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.ladder", "inspection.ladder-rail"},
		place:       rig.Place{X: 13, Y: 64, Width: 16, Height: 34, Label: "left"}},

	{key: "blade-root", rig: "blade", name: "Blade foot", places: 8, daylight: true, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.electrical-visual"},
		place:       rig.Place{X: 0, Y: 0, Width: 30, Height: 24, Label: "right"}},
	{key: "blade-face", rig: "blade", name: "Blade rope face", places: 4, zones: []string{"zone-east"},
		height: true, daylight: true, turnaround: 30, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-tower",
		inspections: []string{"inspection.rope-anchor"},
		place:       rig.Place{X: 5, Y: 80, Width: 20, Height: 62, Label: "right"}},

	{key: "generator", rig: "nacelle", name: "Generator and drive", places: 4, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.lockout-procedure", "inspection.lifting-accessories"},
		place:       rig.Place{X: 8, Y: 40, Width: 28, Height: 30}},
	{key: "hydraulics", rig: "nacelle", name: "Hydraulic power", places: 4, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.accumulator-charge", "inspection.pressure-external", "inspection.lockout-procedure"},
		place:       rig.Place{X: 40, Y: 40, Width: 24, Height: 30}},
	{key: "cooling", rig: "nacelle", name: "Cooling water", places: 4, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.electrical-visual"},
		place:       rig.Place{X: 68, Y: 40, Width: 20, Height: 30}},
	{key: "control", rig: "nacelle", name: "Control cabinet", places: 4, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.electrical-test", "inspection.insulating-gloves", "inspection.lockout-procedure"},
		place:       rig.Place{X: 92, Y: 40, Width: 22, Height: 30}},
	{key: "hatch", rig: "nacelle", name: "Roof and hatch", places: 4, zones: []string{"zone-nacelle"},
		height: true, daylight: true, turnaround: 15, staffMin: 2, firstAiders: 1, rescueKit: "kit-rescue-nacelle",
		inspections: []string{"inspection.descent-anchor"},
		place:       rig.Place{X: 62, Y: 82, Width: 34, Height: 18}},

	{key: "room-1", rig: "hall", name: "Room 1", places: 16, turnaround: 15, staffMin: 1,
		place: rig.Place{X: 8, Y: 3, Width: 66, Height: 26}},
	{key: "room-2", rig: "hall", name: "Room 2", places: 16, turnaround: 15, staffMin: 1,
		place: rig.Place{X: 84, Y: 3, Width: 66, Height: 26}},

	{key: "bench", rig: "workshop", name: "Bolting bench", places: 4, turnaround: 15, staffMin: 1, firstAiders: 1,
		inspections: []string{"inspection.lifting-accessories"},
		place:       rig.Place{X: 6, Y: 3, Width: 46, Height: 28}},
	{key: "handling", rig: "workshop", name: "Handling bay", places: 8, turnaround: 15, staffMin: 1, firstAiders: 1,
		place: rig.Place{X: 60, Y: 3, Width: 46, Height: 28}},
}

type namedRow struct{ key, name string }

// The east drop zone lies under the top deck and the blade's rope face, the west
// one under the two lower decks: of each pair one is used at a time.
var zones = []namedRow{
	{"zone-west", "West drop zone"},
	{"zone-east", "East drop zone"},
	{"zone-nacelle", "Nacelle drop zone"},
}

var circuits = []struct {
	namedRow
	changeover civil.Minutes
}{
	{namedRow{"hydraulic-power", "Hydraulic power"}, 30},
	{namedRow{"switchboard", "Switchboard section 2"}, 45},
}

// kits; line is the rule-book line that asks for their examination.
var kits = []struct {
	namedRow
	count int
	line  string
}{
	{namedRow{"kit-rescue-tower", "Rescue kit, tower"}, 2, "inspection.rescue-kit"},
	{namedRow{"kit-rescue-nacelle", "Rescue kit, nacelle"}, 1, "inspection.rescue-kit"},
	{namedRow{"kit-harness", "Harness set of six"}, 4, "inspection.harness-arduous"},
	{namedRow{"kit-stretcher", "Stretcher and casualty bag"}, 2, "inspection.rescue-kit"},
	{namedRow{"kit-tap", "Tap hammers and scale bars"}, 2, "inspection.insulated-tools"},
	{namedRow{"kit-meter", "Meters and insulated tools"}, 2, "inspection.insulated-tools"},
	{namedRow{"kit-lock", "Locks, tags and boards"}, 2, "inspection.lockout-procedure"},
	{namedRow{"kit-torque", "Torque and tension set"}, 1, "inspection.lifting"},
}

// rescuePlans are renewed yearly; reviewIn is how many days from today the
// standing version may still be in force.
var rescuePlans = []struct {
	namedRow
	text     string
	stations []string
	author   string
	target   civil.Minutes
	reviewIn int
}{
	{namedRow{"plan-tower", "Rescue from the tower"},
		"Raise the alarm on channel 4 and call 112. The lead takes the deck, the second rescuer the anchor. Lower the casualty with the device on the nearest rated anchor to the west apron; from the inside ladder, raise to the next landing first. Muster at the gate lamp. Ambulance by the north track.",
		[]string{"deck-lower", "deck-upper", "deck-top", "ladder"}, "devanny", 6, 210},
	{namedRow{"plan-blade", "Rescue from the blade face"},
		"Raise the alarm on channel 4 and call 112. The lead descends on the rescue line beside the casualty, takes the weight over and lowers both to the east apron. The second rescuer keeps the top. Muster at the gate lamp. Ambulance by the north track.",
		[]string{"blade-face"}, "vilarinho", 7, 9},
	{namedRow{"plan-nacelle", "Evacuation of the nacelle house"},
		"Raise the alarm on channel 4 and call 112. Make the switchboard dead before anyone reaches in. Package the casualty, bring them to the hatch and lower them to the apron behind the short tower. Muster at the workshop door. Ambulance by the south gate.",
		[]string{"hatch", "generator", "hydraulics", "cooling", "control"}, "brzozowicz", 8, 120},
}

// Zone returns the demo yard's time zone.
func Zone() civil.Zone {
	z, err := civil.LoadZone(yardZone)
	if err != nil {
		panic("demo: the zone data built into the program lacks " + yardZone)
	}
	return z
}
