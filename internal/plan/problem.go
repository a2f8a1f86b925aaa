package plan

import "rungbook/internal/civil"

// Problem is one planning task, from now on. All lists keep the order of the
// file, so that an index is also the index of a JSON pointer; rest policies,
// which the file keeps by name, are sorted by name.
type Problem struct {
	Zone         civil.Zone
	Grid         civil.Minutes // sessions start on multiples of it since local 00:00; 0 counts as 1
	From         civil.Day     // first day of the horizon
	Days         int           // length of the horizon in local days
	Open         []Window
	ClosedDays   []civil.Day
	Daylight     []Daylight
	RestPolicies []RestPolicy
	Rigs         []Rig
	Stations     []Station
	Circuits     []Circuit
	Kits         []Kit
	Exercises    []Exercise
	Courses      []Course
	People       []Person
	Trainees     []Trainee
	Intakes      []Intake
	Fixed        []Session // must appear in every plan, unchanged
	Weights      Weights
}

// Window is opening time [From, To) on some weekdays, local clock minutes.
type Window struct {
	Weekdays []int // 1 = Monday to 7 = Sunday
	From, To civil.Minutes
}

// Daylight is the usable light [From, To) of one local day, local clock minutes.
type Daylight struct {
	Day      civil.Day
	From, To civil.Minutes
}

// RestPolicy is one set of limits on a person's times. A limit of 0 is none.
type RestPolicy struct {
	Name            string
	DailyRest       civil.Minutes // least rest from one day with times to the next
	WeeklyRest      civil.Minutes // least length of each weekly rest
	WeeklyRestDays  int           // local days in a block; 0 counts as 7
	WeeklyRestCount int           // separate rests in a block; 0 counts as 1
	RunDays         int           // most consecutive days with any time
	DayMinutes      civil.Minutes // most minutes in a local day
	DaySpan         civil.Minutes // most from first start to last end in a local day
	WeekMinutes     civil.Minutes // most minutes in an ISO week
	HeightDay       civil.Minutes // most minutes on height stations in a local day
	Stretch         civil.Minutes // longest chain without a break
	Break           civil.Minutes // what counts as a break
}

// Rig is a piece of hardware that bears a limited number of people.
type Rig struct {
	ID        string
	PeopleMax int // head count at any instant; 0 = no limit
}

// Station is a place on a rig where one group works at a time.
type Station struct {
	ID            string
	Rig           string
	Places        int      // most trainees
	Zones         []string // ground shared with other stations
	Height        bool     // minutes here count as height minutes
	NeedsDaylight bool
	Turnaround    civil.Minutes // from one hold's end to the next hold's start
	Shut          []civil.Period
	StaffMin      int     // instructors and standby rescuers together, at least
	FirstAiders   int     // of those with valid first aid, at least
	Rescue        *Rescue // nil = no rescue cover asked
}

// Rescue is the rescue cover that a station asks for.
type Rescue struct {
	Rescuers            int  // standby rescuers and counted instructors, at least
	StandbyMin          int  // standby rescuers, at least
	OwnInstructorsCount bool // instructors who are rescuers may count
	Kit                 string
}

// Circuit is an energy supply; changing its state takes time.
type Circuit struct {
	ID         string
	Changeover civil.Minutes
}

// Kit is equipment of which a number exist, less those shut for a while.
type Kit struct {
	ID    string
	Count int
	Shut  []KitShut
}

// KitShut takes Count pieces of a kit out of use for a period.
type KitShut struct {
	civil.Period
	Count int
}

// Exercise is the unit of training that fills one session.
type Exercise struct {
	ID       string
	Minutes  civil.Minutes // length of a session, pauses included
	Setup    civil.Minutes // hold before the session
	Strike   civil.Minutes // hold after the session
	Pauses   []Pause
	Stations []string // where it can be done
	GroupMin int
	GroupMax int // 0 = no limit but the station's places
	Ratio    int // most trainees an instructor may take
	RatioAt  []RatioAt
	After    []After
	Requires []string // names that every trainee must hold
	Uses     []Use
	Energy   []Energy
}

// Pause is a break inside a session, counted from the session's start.
type Pause struct {
	After   civil.Minutes
	Minutes civil.Minutes
}

// RatioAt is the ratio on one station; it counts if smaller than the exercise's.
type RatioAt struct {
	Station string
	Ratio   int
}

// After says that Exercise must be done first: at least MinGap and, if MaxGap is
// not 0, at most MaxGap between its end and this one's start.
type After struct {
	Exercise       string
	MinGap, MaxGap civil.Minutes
}

// Use is course kit that a session takes for its hold.
type Use struct {
	Kit   string
	Count int
}

// EnergyState is the state of a circuit that an exercise needs.
type EnergyState string

// The two states.
const (
	Live EnergyState = "live"
	Dead EnergyState = "dead"
)

// Energy is a circuit that an exercise needs, and in which state.
type Energy struct {
	Circuit string
	State   EnergyState
}

// Course is a set of exercises that must fall within Days calendar days.
type Course struct {
	ID        string
	Exercises []string
	Days      int
}

// Validity is a span of local days, both ends included.
type Validity struct {
	From, Until civil.Day
}

// Holds reports whether d lies in [From, Until].
func (v Validity) Holds(d civil.Day) bool { return v.From <= d && d <= v.Until }

// Teaches says what a person may teach, and when.
type Teaches struct {
	Exercise string
	Validity
}

// Person is a member of staff.
type Person struct {
	ID        string
	Body      string // who it is over all roles; "" = ID
	Teaches   []Teaches
	Rescuer   []Validity
	FirstAid  []Validity
	Available []civil.Period // nil = always, empty = never
	Duties    []civil.Period // at work outside this plan
	Rest      []string       // names of rest policies; nil = not stated, empty = no limit
}

// Trainee is somebody who still needs exercises.
type Trainee struct {
	ID        string
	Body      string // who it is over all roles; "" = ID
	Intake    string
	Needs     []string
	Done      []Done
	Holds     []Hold
	Available []civil.Period // nil = always, empty = never
	Duties    []civil.Period
	Deadline  civil.Day // by whose end every need is done; 0 = none
	Rest      []string  // names of rest policies; nil = not stated, empty = no limit
}

// Done is a past completion that counts.
type Done struct {
	Exercise string
	At       civil.Instant
}

// Hold is something a trainee holds: a medical fitness, a certificate.
type Hold struct {
	Name string
	Validity
}

// Intake says of trainees who come together whether they stay among themselves.
// Intakes that are not listed may mix.
type Intake struct {
	ID    string
	Alone bool
}

// Weights are the prices in a plan's cost; each is 0 or more.
type Weights struct {
	Unplaced, StaffMinute, TraineeDay, IntakeDay, Moved int64
}
