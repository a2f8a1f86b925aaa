package founding

import (
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/rulebook"
)

// Ground is where an example exercise is done; the centre says which of its
// stations that is.
type Ground string

// The kinds of ground, in the order forms ask.
const (
	InRoom    Ground = "room"
	AtHeight  Ground = "height"
	AtBlade   Ground = "blade"
	AtNacelle Ground = "nacelle"
)

// Grounds lists them.
func Grounds() []Ground { return []Ground{InRoom, AtHeight, AtBlade, AtNacelle} }

// Example is a programme to begin with: an example to edit, never complete and
// never approved. Its words are our own; its figures say where they stand.
type Example struct {
	Key, Name string
	Validity  string          // rule-book line
	Hours     civil.Minutes   // contact time, 0 where none was found
	Source    rulebook.Source // of Hours
	Exercises []ExampleExercise
}

// ExampleExercise is one exercise of an example. Length is of Minutes less the
// pause, which is ours.
type ExampleExercise struct {
	Key, Name, Unit string
	Setting         curriculum.Setting
	Ground          Ground
	Minutes         civil.Minutes // contact time
	Length          rulebook.Source
	Ratio           int
	Share           rulebook.Source // of Ratio
	After           []string        // keys within the example
	Requires        []string
	Outcomes        []string
}

// ours marks a figure for which no source was seen.
var ours = rulebook.Source{Document: "Proposed by Rungbook", Clause: "set your own", Mark: rulebook.CommonPractice}

// fit is what exercises at height require of a trainee.
const fit = "medical-height"

// The two rescue exercises make 355 min together, the length of the standard's
// rescue lesson; with the others they make 14 h 15, which V19 comes to.
func heightExample() Example {
	heightRatio := rulebook.HeightRatio()
	rescue := rulebook.HeightLesson("lesson 16: 355 min for both rescue exercises")
	return Example{Key: "height", Name: "Work at height", Validity: "validity.height", Hours: 13*60 + 25, Source: rulebook.HeightTotal(), Exercises: []ExampleExercise{
		{Key: "theory", Name: "Height theory", Unit: "Knowledge", Setting: curriculum.Theory, Ground: InRoom, Minutes: 180, Length: ours, Ratio: 12, Share: heightRatio,
			Outcomes: []string{"Works out the free height under a fall", "Chooses kit for a task and refuses what is damaged"}},
		{Key: "harness", Name: "Harness and anchors", Unit: "Moving safely", Setting: curriculum.Practical, Ground: AtHeight, Minutes: 120, Length: ours, Ratio: 6, Share: heightRatio,
			After: []string{"theory"}, Requires: []string{fit}, Outcomes: []string{"Fits a harness and checks a partner’s", "Picks an anchor that is rated"}},
		{Key: "ladder", Name: "Ladder and fall-arrest line", Unit: "Moving safely", Setting: curriculum.Practical, Ground: AtHeight, Minutes: 140, Length: ours, Ratio: 6, Share: heightRatio,
			After: []string{"harness"}, Requires: []string{fit}, Outcomes: []string{"Climbs with the runner and rests on it", "Attaches to a marked point, never to an unmarked rung"}},
		{Key: "deck", Name: "Rescue from a deck", Unit: "Rescue", Setting: curriculum.Practical, Ground: AtHeight, Minutes: 180, Length: rescue, Ratio: 6, Share: heightRatio,
			After: []string{"ladder"}, Requires: []string{fit}, Outcomes: []string{"Reaches a casualty without becoming one", "Lowers a casualty with the rescue device"}},
		{Key: "on-ladder", Name: "Rescue on the ladder", Unit: "Rescue", Setting: curriculum.Practical, Ground: AtHeight, Minutes: 175, Length: rescue, Ratio: 6, Share: heightRatio,
			After: []string{"ladder"}, Requires: []string{fit}, Outcomes: []string{"Frees a casualty from the fall-arrest line", "Works as a pair with clear calls"}},
		{Key: "review", Name: "Height review", Unit: "Knowledge", Setting: curriculum.Theory, Ground: InRoom, Minutes: 60, Length: ours, Ratio: 12, Share: heightRatio,
			After: []string{"deck", "on-ladder"}, Outcomes: []string{"Answers the written test on work at height"}},
	}}
}

func bladeExample() Example {
	inspection := rulebook.BladeLesson("lesson 21: 230 min for the whole inspection")
	return Example{Key: "blade", Name: "Blade inspection", Validity: "validity.blade-inspection", Exercises: []ExampleExercise{
		{Key: "theory", Name: "How a blade is built and fails", Unit: "Knowledge", Setting: curriculum.Theory, Ground: InRoom, Minutes: 120, Length: ours, Ratio: 12, Share: ours,
			Outcomes: []string{"Names the parts of a blade and how they carry load", "Tells kinds of damage apart on pictures"}},
		{Key: "afar", Name: "Inspection from the ground", Unit: "Inspection", Setting: curriculum.Practical, Ground: AtBlade, Minutes: 115, Length: inspection, Ratio: 6, Share: ours,
			After: []string{"theory"}, Outcomes: []string{"Finds damage from the ground with glass and camera", "Records a place so that another finds it"}},
		{Key: "close", Name: "Inspection close up", Unit: "Inspection", Setting: curriculum.Practical, Ground: AtBlade, Minutes: 115, Length: inspection, Ratio: 6, Share: ours,
			After: []string{"afar"}, Outcomes: []string{"Hears a delamination by tapping", "Grades damage and decides what follows"}},
		{Key: "lightning", Name: "Lightning path", Unit: "Inspection", Setting: curriculum.Practical, Ground: AtBlade, Minutes: 50, Length: rulebook.BladeLesson("lesson on lightning protection: 50 min"), Ratio: 6, Share: ours,
			After: []string{"theory"}, Outcomes: []string{"Measures the lightning path and judges the reading"}},
	}}
}

func nacelleExample() Example {
	eight := rulebook.EnergyLesson("V0, draft", "practical 1 to 8")
	return Example{Key: "nacelle", Name: "Hazardous energy in the nacelle", Validity: "validity.hazardous-energy", Exercises: []ExampleExercise{
		{Key: "theory", Name: "Energy theory", Unit: "Knowledge", Setting: curriculum.Theory, Ground: InRoom, Minutes: 240, Length: rulebook.EnergyLesson("V3, 4 Dec 2023", "basic safety: 4 h"), Ratio: 12, Share: rulebook.EnergyLesson("V3, 4 Dec 2023", "basic safety: 1 to 12"),
			Outcomes: []string{"Lists every energy that feeds a machine part", "Knows who may lock and who may sign"}},
		{Key: "hydraulic", Name: "Hydraulics made safe", Unit: "Isolation", Setting: curriculum.Practical, Ground: AtNacelle, Minutes: 180, Length: ours, Ratio: 8, Share: eight,
			After: []string{"theory"}, Outcomes: []string{"Vents a hydraulic unit and proves zero pressure", "Hangs an own lock and keeps its key"}},
		{Key: "electrical", Name: "Control section made dead", Unit: "Isolation", Setting: curriculum.Practical, Ground: AtNacelle, Minutes: 210, Length: ours, Ratio: 8, Share: eight,
			After: []string{"theory"}, Outcomes: []string{"Isolates a switchboard section and proves it dead", "Hangs an own lock and keeps its key"}},
		{Key: "drive", Name: "Rotor lock and brake", Unit: "Isolation", Setting: curriculum.Practical, Ground: AtNacelle, Minutes: 150, Length: ours, Ratio: 8, Share: eight,
			After: []string{"theory"}, Outcomes: []string{"Sets the rotor lock and proves that it holds"}},
	}}
}

// Examples returns the programmes to begin with.
func Examples() []Example { return []Example{heightExample(), bladeExample(), nacelleExample()} }
