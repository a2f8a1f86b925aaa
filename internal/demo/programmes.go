package demo

// programmeRow is a programme; what it leads to is a certificate whose holder
// has what exercises require under the name holds.
type programmeRow struct {
	key, name string
	units     []unitRow
	validity  string // rule-book line
	holds     string
	renews    bool     // a refresher
	teaches   []string // exercises of the programme in teaching order
}

// unitRow is a unit; its outcomes are those of its exercises.
type unitRow struct {
	name      string
	exercises []string
}

var programmes = []programmeRow{
	{key: "height", name: "Work at height", validity: "validity.height", holds: workAtHeight,
		teaches: []string{"height-theory", "harness", "carrying", "ladder-line", "deck-rescue", "ladder-rescue", "height-review"},
		units: []unitRow{
			{"Knowledge", []string{"height-theory", "height-review"}},
			{"Moving safely", []string{"harness", "ladder-line", "carrying"}},
			{"Rescue", []string{"deck-rescue", "ladder-rescue"}},
		}},
	{key: "refresher", name: "Work at height, refresher", validity: "validity.height", holds: workAtHeight, renews: true,
		teaches: []string{"height-recall", "height-stations", "height-scenario"},
		units: []unitRow{
			{"Recall", []string{"height-recall", "height-stations"}},
			{"Rescue", []string{"height-scenario"}},
		}},
	{key: "blade", name: "Blade inspection", validity: "validity.blade-inspection", holds: "blade-inspection",
		teaches: []string{"blade-theory", "blade-ground", "blade-lightning", "blade-foot", "blade-tap", "blade-review"},
		units: []unitRow{
			{"Damage", []string{"blade-theory", "blade-review"}},
			{"From the ground", []string{"blade-ground", "blade-foot", "blade-lightning"}},
			{"On the rope", []string{"blade-tap"}},
		}},
	{key: "nacelle", name: "Nacelle systems", validity: "validity.hazardous-energy", holds: "hazardous-energy",
		teaches: []string{"energy-theory", "hydraulic-live", "control-live", "bolting", "cooling-check", "drive-lock", "hydraulic-dead", "control-dead", "nacelle-test"},
		units: []unitRow{
			{"Energy", []string{"energy-theory", "nacelle-test"}},
			{"Hydraulics and cooling", []string{"hydraulic-live", "hydraulic-dead", "cooling-check"}},
			{"Electrical", []string{"control-live", "control-dead"}},
			{"Drive and bolts", []string{"drive-lock", "bolting"}},
		}},
	{key: "rescue", name: "Advanced rescue", validity: "validity.advanced-rescue", holds: "advanced-rescue",
		teaches: []string{"rescue-plan", "crawl-rescue", "hatch-rescue", "raise-rescue", "rescue-review"},
		units: []unitRow{
			{"Planning a rescue", []string{"rescue-plan", "rescue-review"}},
			{"Tight spaces", []string{"crawl-rescue"}},
			{"Lowering and raising", []string{"hatch-rescue", "raise-rescue"}},
		}},
}

// outcomes in the words of Carrowmoyle.
var outcomes = []namedRow{
	{"fall-factor", "Works out the fall factor and the free height below"},
	{"kit-choice", "Chooses kit for a task and says what would rule it out"},
	{"harness-check", "Checks and fits a harness and a partner's"},
	{"anchor-choice", "Picks an anchor and refuses one that isn't rated"},
	{"ladder-climb", "Climbs with the fall-arrest runner and rests on it"},
	{"ladder-points", "Attaches to stile or marked point, never to an unmarked rung"},
	{"lift-plan", "Plans a lift by hand and asks for help in time"},
	{"lift-body", "Lifts, carries and sets down without twisting"},
	{"rescue-approach", "Approaches a casualty without becoming one"},
	{"rescue-lower", "Lowers a casualty with the rescue device"},
	{"rescue-ladder", "Frees a casualty from the ladder line"},
	{"rescue-team", "Works as a rescue pair with clear calls"},
	{"height-test", "Answers the written test on work at height"},

	{"blade-build", "Names the parts of a blade and how they carry load"},
	{"damage-class", "Tells the classes of damage apart on pictures"},
	{"distance-find", "Finds damage from the ground with glass and camera"},
	{"damage-record", "Records place, size and picture so that another finds it"},
	{"damage-grade", "Grades damage from one to five and gives reasons"},
	{"tap-sound", "Hears a delamination by tapping and marks its edge"},
	{"rope-position", "Works from the rope with both hands free"},
	{"lightning-measure", "Measures the lightning path and judges the reading"},
	{"damage-react", "Decides between run, watch, repair and stop"},
	{"blade-test", "Answers the written test on blades"},

	{"energy-sources", "Lists every energy that feeds a machine part"},
	{"permit-roles", "Knows who may lock, who may sign and when to call them"},
	{"hydraulic-read", "Reads a hydraulic diagram at the running unit"},
	{"hydraulic-pressure", "Sets and checks pressure and accumulator charge"},
	{"hydraulic-vent", "Vents a unit and proves zero pressure"},
	{"lock-own", "Hangs an own lock and keeps its key"},
	{"cooling-bleed", "Fills and bleeds the cooling circuit"},
	{"cooling-leak", "Finds a leak and judges pump and filter"},
	{"rotor-lock", "Sets the rotor lock and proves that it holds"},
	{"brake-check", "Checks brake pads, disc and calliper"},
	{"diagram-read", "Traces a signal through the diagram to its terminal"},
	{"measure-live", "Measures on live parts with the right meter and gloves"},
	{"prove-dead", "Isolates a section and proves it dead"},
	{"bolt-torque", "Tightens a flange by torque in the right order"},
	{"bolt-tension", "Tensions a bolt and marks it"},
	{"nacelle-written", "Answers the written test on nacelle systems"},

	{"emergency-plan", "Turns an emergency plan into tasks for a team"},
	{"injury-control", "Controls bleeding and shock while waiting for help"},
	{"casualty-pack", "Packs a casualty into the bag and the stretcher"},
	{"tight-space", "Moves a casualty out from under the drive"},
	{"hatch-lower", "Lowers a stretcher through the hatch with a tag line"},
	{"rescue-lead", "Leads a rescue and changes the plan when it fails"},
	{"raise-haul", "Builds a haul and raises a casualty past an edge"},
	{"scenario-review", "Says what went well and what to change after a scenario"},
}

// allExercises returns every exercise in the order of lists.
func allExercises() []exerciseRow {
	var out []exerciseRow
	for _, part := range [][]exerciseRow{heightExercises, bladeExercises, nacelleExercises, rescueExercises} {
		out = append(out, part...)
	}
	return out
}
