package rig

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// State of a rig.
type State string

// The states a rig can be in. Only in service and restricted allow sessions;
// restricted allows those on stations that are not shut.
const (
	InConversion State = "in-conversion"
	InService    State = "in-service"
	Restricted   State = "restricted"
	Withdrawn    State = "withdrawn"
)

// Kind of a rig: what it was made into, and how it is drawn.
type Kind string

// The kinds of rig.
const (
	TowerPlatform Kind = "tower-platform"
	BladeFace     Kind = "blade-face"
	NacelleHouse  Kind = "nacelle-house"
	Classroom     Kind = "classroom"
	Workshop      Kind = "workshop"
)

// Rig is a piece of converted hardware.
type Rig struct {
	ID          id.Rig        `json:"id"`
	Name        id.Commitment `json:"name"`
	Kind        Kind          `json:"kind"`
	State       State         `json:"state"`
	PeopleMax   int           `json:"people_max"`            // head-count limit on the whole rig; 0 = not stated, which stops
	Inspections []string      `json:"inspections,omitempty"` // rule-book line ids, such as "inspection.structure"
	Drawing     Drawing       `json:"drawing"`
	Order       int           `json:"order"` // place in lists
}

// Drawing is a rig's own dimensions for the yard elevation, in decimetres from
// the yard's datum (left end, ground level).
type Drawing struct {
	X         int          `json:"x"`                    // left edge
	Width     int          `json:"width"`                // of tower, blade, hall or nacelle house
	Height    int          `json:"height"`               // to the top
	Base      int          `json:"base,omitempty"`       // height at which a nacelle house or blade begins
	BaseWidth int          `json:"base_width,omitempty"` // of the short tower under a nacelle house
	OnRig     id.Rig       `json:"on_rig,omitempty"`     // rig it hangs on
	Side      string       `json:"side,omitempty"`       // "left" or "right": of OnRig, or where a nacelle's nose points
	Off       int          `json:"off,omitempty"`        // from OnRig's shell to it
	Decks     []Deck       `json:"decks,omitempty"`      // of a tower
	Ground    []GroundZone `json:"ground,omitempty"`     // zones drawn with it
}

// Deck is a platform around a tower.
type Deck struct {
	Height int `json:"height"` // of the walking surface
	Out    int `json:"out"`    // how far it stands out on both sides
}

// GroundZone is a zone as it is drawn: closed ground From … To under the line
// TopFrom … TopTo at Height.
type GroundZone struct {
	Zone    id.Zone `json:"zone"`
	From    int     `json:"from"`
	To      int     `json:"to"`
	TopFrom int     `json:"top_from"`
	TopTo   int     `json:"top_to"`
	Height  int     `json:"height"`
}

// Place is a station's rectangle in its rig's drawing, in decimetres relative
// to the rig's left edge and ground level.
type Place struct {
	X      int    `json:"x"`
	Y      int    `json:"y"` // deck height
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Label  string `json:"label,omitempty"` // side of its label on a tower or blade: "left" or "right"
}

// Station is a place on a rig where one group works at a time.
type Station struct {
	ID            id.Station    `json:"id"`
	Rig           id.Rig        `json:"rig"`
	Name          id.Commitment `json:"name"`
	Places        int           `json:"places"`
	Zones         []id.Zone     `json:"zones,omitempty"`
	Height        bool          `json:"height"` // work at height
	NeedsDaylight bool          `json:"needs_daylight"`
	Turnaround    civil.Minutes `json:"turnaround_minutes"`
	StaffMin      int           `json:"staff_min"`
	FirstAiders   *int          `json:"first_aiders"`     // nil = not stated, which stops
	Rescue        *Rescue       `json:"rescue,omitempty"` // nil on a height station = not stated, which stops
	Inspections   []string      `json:"inspections,omitempty"`
	Place         Place         `json:"place"`
	Retired       civil.Day     `json:"retired,omitempty"` // first day without it
	Order         int           `json:"order"`
}

// Rescue is the cover a station asks for. Plan "" with Rescuers > 0 means that
// the plan in force is looked up by station.
type Rescue struct {
	Rescuers            int    `json:"rescuers"`
	StandbyMin          int    `json:"standby_min"`
	OwnInstructorsCount bool   `json:"own_instructors_count"`
	Kit                 id.Kit `json:"kit,omitempty"`
}

// Zone is ground shared by stations so that only one may be used at a time.
type Zone struct {
	ID      id.Zone       `json:"id"`
	Name    id.Commitment `json:"name"`
	Retired civil.Day     `json:"retired,omitempty"` // first day without it
}

// Circuit is an energy supply that an exercise needs live or dead.
type Circuit struct {
	ID         id.Circuit    `json:"id"`
	Name       id.Commitment `json:"name"`
	Changeover civil.Minutes `json:"changeover_minutes"`
	Retired    civil.Day     `json:"retired,omitempty"` // first day without it
}

// Kit is a set of equipment of which Count exist. LastValid is the last day it
// may be used before its next examination; 0 = not stated, which stops.
type Kit struct {
	ID        id.Kit        `json:"id"`
	Name      id.Commitment `json:"name"`
	Count     int           `json:"count"`
	LastValid civil.Day     `json:"last_valid"`
	// Inspections are rule-book line ids; the kit is out of service from the
	// earliest of LastValid and what they ask for.
	Inspections []string  `json:"inspections,omitempty"`
	Retired     civil.Day `json:"retired,omitempty"` // first day without it
	// Rated is the greatest mass of a user with all they wear, in kilograms, by its
	// marking; 0 = none stated, as of entries older than the question.
	Rated int `json:"rated_kg,omitempty"`
}

// ShutReason is why a station is shut; a closed list.
type ShutReason string

// The reasons.
const (
	ShutWeather     ShutReason = "weather"
	ShutInspection  ShutReason = "inspection"
	ShutAnchorTest  ShutReason = "anchor-test"
	ShutFault       ShutReason = "fault"
	ShutMaintenance ShutReason = "maintenance"
	ShutIncident    ShutReason = "incident"
	ShutOther       ShutReason = "other"
)

// Shut closes a station from Start to End; End 0 = until somebody opens it.
type Shut struct {
	ID      id.Shut       `json:"id"`
	Station id.Station    `json:"station"`
	Start   civil.Instant `json:"start"`
	End     civil.Instant `json:"end,omitempty"`
	Reason  ShutReason    `json:"reason"`
	Note    id.Commitment `json:"note,omitempty"`
}

// Inspection is one check done on a rig, station or kit. Line is the rule-book
// line that asks for it and gives its interval.
type Inspection struct {
	ID      id.Inspection `json:"id"`
	Subject string        `json:"subject"` // rig, station or kit id
	Line    string        `json:"line"`
	Done    civil.Day     `json:"done"`
	At      civil.Instant `json:"at,omitempty"` // when it ended; orders two of one day, 0 = not recorded
	Passed  bool          `json:"passed"`
	By      id.Person     `json:"by"`
	Note    id.Commitment `json:"note,omitempty"`
}

// RescuePlan is one version of the plan that covers stations.
type RescuePlan struct {
	ID         id.RescuePlan `json:"id"` // the same over all versions
	Version    int           `json:"version"`
	Name       id.Commitment `json:"name"`
	Text       id.Commitment `json:"text"`
	Stations   []id.Station  `json:"stations"`
	Author     id.Person     `json:"author"`
	ApprovedBy id.Person     `json:"approved_by"` // never the author
	InForce    civil.Day     `json:"in_force"`
	ReviewBy   civil.Day     `json:"review_by"`           // last day before it stops to be in force
	Withdrawn  civil.Day     `json:"withdrawn,omitempty"` // first day without it
	Target     civil.Minutes `json:"target_minutes"`      // time to reach a casualty
	// TakenOver is who typed a plan that its author wrote on paper, and says they
	// hold it. "" where the entry is older than the question.
	TakenOver id.Person `json:"taken_over_by,omitempty"`
	// Procedure is how the rescue goes, step by step. nil where the version is older
	// than the question, or was taken over from paper: no steps are recorded.
	Procedure *Procedure `json:"procedure,omitempty"`
}

// Drill is one rescue drilled under a plan.
type Drill struct {
	ID       id.Drill      `json:"id"`
	Plan     id.RescuePlan `json:"plan"`
	Version  int           `json:"version"`
	Day      civil.Day     `json:"day"`
	At       civil.Instant `json:"at,omitempty"` // when it was recorded on its day; orders two of one day, 0 = not known
	Minutes  civil.Minutes `json:"minutes"`      // to a safe place
	Accepted bool          `json:"accepted"`
	// People took part, and Found is what they found. Entries older than the questions
	// have none.
	People []id.Person   `json:"people,omitempty"`
	Found  id.Commitment `json:"found,omitempty"`
}
