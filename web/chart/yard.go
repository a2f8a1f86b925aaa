package chart

// Yard is a training yard seen from the side. All lengths are whole
// decimetres, as a tape measure gives them.
type Yard struct {
	Name string
	Rigs []Rig // from left to right
}

// Kind says what a rig was made of and so how it is drawn.
type Kind string

// The kinds of rigs.
const (
	Tower     Kind = "tower-platform"
	Blade     Kind = "blade-face"
	Nacelle   Kind = "nacelle-house"
	Classroom Kind = "classroom"
	Workshop  Kind = "workshop"
)

// Side is a side of the drawing.
type Side string

// The two sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Rig is one rig with its own measures. Its frame has its origin at the left
// end of its body on the ground; x runs right, y up.
type Rig struct {
	ID, Name, Href string
	State          string // "" in service; else a word, drawn with a dashed outline
	Kind           Kind
	Width, Height  int // of a tower's foot and shell; a blade's chord and length; a house; a hall to its eaves

	Decks []Deck // of a tower

	HangsOn string // of a blade: the ID of the tower it hangs on
	Side    Side   // of a blade: the side it hangs on; of a nacelle: where its nose points
	Off     int    // of a blade: from shell to blade
	Lift    int    // of a blade: from ground to tip

	BaseWidth, BaseHeight int // of a nacelle: the short tower under the house

	Zones    []Zone
	Stations []Station
}

// Deck is a platform around a tower.
type Deck struct {
	Height int // of the walking surface over ground
	Out    int // how far it stands out on both sides
}

// Zone is ground that is closed while somebody works above it: the figure
// between a line up at Height (TopFrom to TopTo) and the ground (From to To).
type Zone struct {
	Name           string
	From, To       int
	TopFrom, TopTo int
	Height         int
	InUse          bool
}

// Station is a place on a rig.
type Station struct {
	ID, Mark string // Mark is its number, the same in the drawing and in the list
	Name     string
	Lines    []string // what a passer-by wants, a phrase each: "Harness basics", "6/6 to 10:45"; "shut: anchor test"
	Say      string   // what Lines leave out, for those who hear the drawing: "in use, 6 of 6 places"
	Href     string
	State    State
	Live     bool // its energy circuit is switched on: hatched

	X, Y, Width, Height int  // its place in the rig's frame
	Side                Side // where its label stands on a tower or blade
}

// State is what a station is now.
type State string

// The states of a station. Waits is a session whose time has come and that may
// not start yet.
const (
	Free  State = "free"
	InUse State = "in-use"
	Waits State = "waits"
	Shut  State = "shut"
	Stops State = "stops"
)
