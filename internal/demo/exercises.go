package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
)

// exerciseRow is an exercise. minutes includes the pauses.
type exerciseRow struct {
	key, name          string
	family             string // what an instructor is qualified for as one
	setting            curriculum.Setting
	minutes            civil.Minutes
	setup, strike      civil.Minutes
	pauses             []curriculum.Pause
	stations           []string
	later              []string // stations that are not in service yet: nothing is placed there
	groupMin, groupMax int
	ratio              int
	ratioAt            map[string]int
	after              []afterRow
	requires           []string
	uses               []string // one set of each kit
	energy             []energyRow
	outcomes           []string
}

type afterRow struct {
	exercise string
	minGap   civil.Minutes
	maxGap   civil.Minutes
}

// What a trainee must hold, by the names that exercises require.
const (
	fitForHeight = "medical-height"
	workAtHeight = "work-at-height"
	firstAid     = "first-aid"
)

func pause(after, minutes civil.Minutes) []curriculum.Pause {
	return []curriculum.Pause{{After: after, Minutes: minutes}}
}

func after(exercises ...string) []afterRow {
	out := make([]afterRow, len(exercises))
	for i, e := range exercises {
		out[i].exercise = e
	}
	return out
}

const night = 12 * clock // a night between two exercises

var (
	rooms      = []string{"room-1", "room-2"}
	wantHeight = []string{fitForHeight, workAtHeight}
	wantRescue = []string{fitForHeight, workAtHeight, firstAid}
)

// The two rescue exercises make 355 min together, the length of the rescue
// lesson in the Basic Safety Training Standard, V19, 2 May 2025, lesson 16.
var heightExercises = []exerciseRow{
	{key: "height-theory", name: "Height theory", family: "theory", setting: curriculum.Theory,
		minutes: 195, pauses: pause(90, 15), stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		outcomes: []string{"fall-factor", "kit-choice"}},
	{key: "harness", name: "Harness and anchor", family: "tower", setting: curriculum.Practical,
		minutes: 165, setup: 15, strike: 15, stations: []string{"deck-lower", "deck-upper"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("height-theory"), requires: []string{fitForHeight}, uses: []string{"kit-harness"},
		outcomes: []string{"harness-check", "anchor-choice"}},
	{key: "ladder-line", name: "Ladder and line", family: "tower", setting: curriculum.Practical,
		minutes: 150, setup: 15, strike: 15, stations: []string{"ladder"}, later: []string{convertingStation.key}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("harness"), requires: []string{fitForHeight}, uses: []string{"kit-harness"},
		outcomes: []string{"ladder-climb", "ladder-points"}},
	{key: "carrying", name: "Lifting by hand", family: "workshop", setting: curriculum.Practical,
		minutes: 150, setup: 15, strike: 15, stations: []string{"handling", "bench"}, groupMin: 1, groupMax: 6, ratio: 6,
		outcomes: []string{"lift-plan", "lift-body"}},
	{key: "deck-rescue", name: "Deck rescue", family: "tower", setting: curriculum.Practical,
		minutes: 180, setup: 15, strike: 15, stations: []string{"deck-upper", "deck-top"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("ladder-line"), requires: []string{fitForHeight}, uses: []string{"kit-harness"},
		outcomes: []string{"rescue-approach", "rescue-lower", "rope-position"}},
	{key: "ladder-rescue", name: "Ladder rescue", family: "tower", setting: curriculum.Practical,
		minutes: 175, setup: 15, strike: 15, stations: []string{"ladder"}, groupMin: 1, groupMax: 6, ratio: 6,
		after:    []afterRow{{exercise: "ladder-line", minGap: night}},
		requires: []string{fitForHeight}, uses: []string{"kit-harness"},
		outcomes: []string{"rescue-ladder", "rescue-team"}},
	{key: "height-review", name: "Height test", family: "theory", setting: curriculum.Theory,
		minutes: 60, stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		after:    []afterRow{{exercise: "deck-rescue", maxGap: 14 * 24 * clock}, {exercise: "ladder-rescue"}},
		outcomes: []string{"height-test"}},

	{key: "height-recall", name: "Refresher recall", family: "theory", setting: curriculum.Theory,
		minutes: 75, stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		requires: []string{workAtHeight}, outcomes: []string{"fall-factor", "height-test"}},
	{key: "height-stations", name: "Refresher skills", family: "tower", setting: curriculum.Practical,
		minutes: 165, setup: 15, strike: 15, stations: []string{"deck-lower", "deck-upper"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("height-recall"), requires: wantHeight, uses: []string{"kit-harness"},
		outcomes: []string{"harness-check", "anchor-choice"}},
	{key: "height-scenario", name: "Refresher rescue", family: "tower", setting: curriculum.Practical,
		minutes: 165, setup: 15, strike: 15, stations: []string{"deck-top", "deck-upper", "ladder"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("height-stations"), requires: wantHeight, uses: []string{"kit-harness"},
		outcomes: []string{"rescue-approach", "rescue-lower", "rescue-team"}},
}

// Ground and foot together make 230 min, the blade inspection lesson of the
// Blade Repair Training Standard, V5, 2 May 2025, lesson 21; the lightning path
// takes 50 min there.
var bladeExercises = []exerciseRow{
	{key: "blade-theory", name: "Blade theory", family: "theory", setting: curriculum.Theory,
		minutes: 180, pauses: pause(90, 15), stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		outcomes: []string{"blade-build", "damage-class"}},
	{key: "blade-ground", name: "Blade from afar", family: "blade", setting: curriculum.Practical,
		minutes: 115, setup: 15, stations: []string{"blade-root"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("blade-theory"), outcomes: []string{"distance-find", "damage-record"}},
	{key: "blade-foot", name: "Damage grading", family: "blade", setting: curriculum.Practical,
		minutes: 115, setup: 15, strike: 15, stations: []string{"blade-root"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("blade-ground"), uses: []string{"kit-tap"},
		outcomes: []string{"damage-grade", "damage-record"}},
	{key: "blade-tap", name: "Tap test on rope", family: "blade-rope", setting: curriculum.Practical,
		minutes: 150, setup: 30, strike: 15, stations: []string{"blade-face"}, groupMin: 1, groupMax: 4, ratio: 4,
		after: after("blade-foot"), requires: wantHeight, uses: []string{"kit-tap", "kit-harness"},
		outcomes: []string{"tap-sound", "rope-position", "damage-grade", "damage-record"}},
	{key: "blade-lightning", name: "Lightning path", family: "blade", setting: curriculum.Practical,
		minutes: 50, setup: 15, stations: []string{"blade-root"}, groupMin: 1, groupMax: 6, ratio: 6,
		after: after("blade-theory"), uses: []string{"kit-meter"},
		outcomes: []string{"lightning-measure"}},
	{key: "blade-review", name: "Blade test", family: "theory", setting: curriculum.Theory,
		minutes: 60, stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		after: after("blade-foot", "blade-lightning"), outcomes: []string{"damage-react", "blade-test"}},
}

type energyRow struct{ circuit, state string }

func live(circuit string) []energyRow { return []energyRow{{circuit, "live"}} }
func dead(circuit string) []energyRow { return []energyRow{{circuit, "dead"}} }

// The theory's 4 h are those of the Control of Hazardous Energies Standard, V3,
// 4 Dec 2023, cl 10.2.
var nacelleExercises = []exerciseRow{
	{key: "energy-theory", name: "Energy theory", family: "theory", setting: curriculum.Theory,
		minutes: 255, pauses: pause(120, 15), stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		outcomes: []string{"energy-sources", "permit-roles"}},
	{key: "hydraulic-live", name: "Hydraulics live", family: "hydraulic", setting: curriculum.Practical,
		minutes: 210, setup: 15, strike: 15, pauses: pause(105, 15), stations: []string{"hydraulics"}, groupMin: 1, groupMax: 4, ratio: 6,
		after: after("energy-theory"), energy: live("hydraulic-power"),
		outcomes: []string{"hydraulic-read", "hydraulic-pressure", "diagram-read", "cooling-leak"}},
	{key: "hydraulic-dead", name: "Hydraulics isolated", family: "hydraulic", setting: curriculum.Practical,
		minutes: 195, setup: 15, strike: 15, pauses: pause(90, 15), stations: []string{"hydraulics"}, groupMin: 1, groupMax: 4, ratio: 6,
		after: after("hydraulic-live"), uses: []string{"kit-lock"}, energy: dead("hydraulic-power"),
		outcomes: []string{"hydraulic-vent", "lock-own"}},
	{key: "cooling-check", name: "Cooling circuit", family: "cooling", setting: curriculum.Practical,
		minutes: 150, setup: 15, strike: 15, stations: []string{"cooling"}, groupMin: 1, groupMax: 4, ratio: 6,
		after: after("energy-theory"), energy: live("switchboard"),
		outcomes: []string{"cooling-bleed", "cooling-leak", "measure-live"}},
	{key: "drive-lock", name: "Drive and brake", family: "drive", setting: curriculum.Practical,
		minutes: 165, setup: 15, strike: 15, stations: []string{"generator"}, groupMin: 1, groupMax: 4, ratio: 6,
		after: after("energy-theory"), uses: []string{"kit-lock"}, energy: dead("switchboard"),
		outcomes: []string{"rotor-lock", "brake-check", "lock-own", "prove-dead", "bolt-torque"}},
	{key: "control-live", name: "Control live", family: "electric", setting: curriculum.Practical,
		minutes: 195, setup: 15, strike: 15, pauses: pause(90, 15), stations: []string{"control"}, groupMin: 1, groupMax: 4, ratio: 6,
		after: after("energy-theory"), uses: []string{"kit-meter"}, energy: live("switchboard"),
		outcomes: []string{"diagram-read", "measure-live"}},
	{key: "control-dead", name: "Control isolated", family: "electric", setting: curriculum.Practical,
		minutes: 210, setup: 15, strike: 15, pauses: pause(105, 15), stations: []string{"control"}, groupMin: 1, groupMax: 4, ratio: 6,
		ratioAt: map[string]int{"control": 4}, after: after("control-live"), uses: []string{"kit-lock", "kit-meter"}, energy: dead("switchboard"),
		outcomes: []string{"prove-dead", "lock-own"}},
	{key: "bolting", name: "Torque and tension", family: "workshop", setting: curriculum.Practical,
		minutes: 180, setup: 15, strike: 15, stations: []string{"bench"}, groupMin: 1, groupMax: 4, ratio: 6,
		uses: []string{"kit-torque"}, outcomes: []string{"bolt-torque", "bolt-tension"}},
	{key: "nacelle-test", name: "Nacelle test", family: "theory", setting: curriculum.Theory,
		minutes: 60, stations: rooms, groupMin: 1, groupMax: 16, ratio: 12,
		after: after("hydraulic-dead", "control-dead", "cooling-check", "drive-lock"), outcomes: []string{"nacelle-written"}},
}

// The first lesson's 100 min and the order are those of the Advanced Rescue
// Training Standard, V6, 10 Mar 2026, tables 9.3.1 and 11.3.1.
var rescueExercises = []exerciseRow{
	{key: "rescue-plan", name: "Rescue theory", family: "theory", setting: curriculum.Theory,
		minutes: 100, stations: rooms, groupMin: 1, groupMax: 12, ratio: 12, requires: wantRescue,
		outcomes: []string{"emergency-plan", "injury-control"}},
	{key: "crawl-rescue", name: "Crawl rescue", family: "rescue", setting: curriculum.RescuePractical,
		minutes: 210, setup: 15, strike: 15, pauses: pause(105, 15), stations: []string{"generator"}, groupMin: 1, groupMax: 4, ratio: 4,
		after: after("rescue-plan"), requires: wantRescue, uses: []string{"kit-stretcher"}, energy: dead("switchboard"),
		outcomes: []string{"casualty-pack", "tight-space"}},
	{key: "hatch-rescue", name: "Hatch rescue", family: "rescue", setting: curriculum.RescuePractical,
		minutes: 180, setup: 15, strike: 15, stations: []string{"hatch"}, groupMin: 1, groupMax: 4, ratio: 4,
		after:    []afterRow{{exercise: "rescue-plan", maxGap: 14 * 24 * clock}},
		requires: wantRescue, uses: []string{"kit-stretcher", "kit-harness"},
		outcomes: []string{"hatch-lower", "rescue-lead", "casualty-pack"}},
	{key: "raise-rescue", name: "Raising a casualty", family: "rescue", setting: curriculum.RescuePractical,
		minutes: 180, setup: 15, strike: 15, stations: []string{"ladder", "deck-top"}, groupMin: 1, groupMax: 4, ratio: 4,
		after: after("hatch-rescue"), requires: wantRescue, uses: []string{"kit-stretcher", "kit-harness"},
		outcomes: []string{"raise-haul", "rescue-lead", "casualty-pack"}},
	{key: "rescue-review", name: "Rescue review", family: "theory", setting: curriculum.Theory,
		minutes: 60, stations: rooms, groupMin: 1, groupMax: 12, ratio: 12,
		after: after("crawl-rescue", "raise-rescue"), outcomes: []string{"scenario-review"}},
}
