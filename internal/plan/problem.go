package plan

import "rungbook/internal/civil"

// Problem is one planning task, from now on. All lists keep the order of the
// file, so that an index is also the index of a JSON pointer; rest policies,
// which the file keeps by name, are sorted by name.
type Problem struct {
	Zone         civil.Zone    `json:"zone"`
	Grid         civil.Minutes `json:"grid_minutes,omitzero"` // sessions start on multiples of it since local 00:00; 0 counts as 1
	From         civil.Day     `json:"from"`                  // first day of the horizon
	Days         int           `json:"days"`                  // length of the horizon in local days
	Open         []Window      `json:"open"`
	ClosedDays   []civil.Day   `json:"closed_days,omitzero"`
	Daylight     []Daylight    `json:"daylight,omitzero"`
	RestPolicies []RestPolicy  `json:"rest_policies,omitzero"`
	Rigs         []Rig         `json:"rigs,omitzero"`
	Stations     []Station     `json:"stations,omitzero"`
	Circuits     []Circuit     `json:"circuits,omitzero"`
	Kits         []Kit         `json:"kits,omitzero"`
	Exercises    []Exercise    `json:"exercises,omitzero"`
	Courses      []Course      `json:"courses,omitzero"`
	People       []Person      `json:"people,omitzero"`
	Trainees     []Trainee     `json:"trainees,omitzero"`
	Intakes      []Intake      `json:"intakes,omitzero"`
	Fixed        []Session     `json:"fixed,omitzero"` // must appear in every plan, unchanged
	Weights      Weights       `json:"weights"`
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
	Name            string        `json:"-"`
	DailyRest       civil.Minutes `json:"daily_rest_minutes,omitzero"`  // least rest from one day with times to the next
	WeeklyRest      civil.Minutes `json:"weekly_rest_minutes,omitzero"` // least length of each weekly rest
	WeeklyRestDays  int           `json:"weekly_rest_days,omitzero"`    // local days in a block; 0 counts as 7
	WeeklyRestCount int           `json:"weekly_rest_count,omitzero"`   // separate rests in a block; 0 counts as 1
	RunDays         int           `json:"run_days,omitzero"`            // most consecutive days with any time
	DayMinutes      civil.Minutes `json:"day_minutes,omitzero"`         // most minutes in a local day
	DaySpan         civil.Minutes `json:"day_span_minutes,omitzero"`    // most from first start to last end in a local day
	WeekMinutes     civil.Minutes `json:"week_minutes,omitzero"`        // most minutes in an ISO week
	HeightDay       civil.Minutes `json:"height_day_minutes,omitzero"`  // most minutes on height stations in a local day
	Stretch         civil.Minutes `json:"stretch_minutes,omitzero"`     // longest chain without a break
	Break           civil.Minutes `json:"break_minutes,omitzero"`       // what counts as a break
}

// Rig is a piece of hardware that bears a limited number of people.
type Rig struct {
	ID        string `json:"id"`
	PeopleMax int    `json:"people_max,omitzero"` // head count at any instant; 0 = no limit
}

// Station is a place on a rig where one group works at a time.
type Station struct {
	ID            string         `json:"id"`
	Rig           string         `json:"rig"`
	Places        int            `json:"places"`          // most trainees
	Zones         []string       `json:"zones,omitzero"`  // ground shared with other stations
	Height        bool           `json:"height,omitzero"` // minutes here count as height minutes
	NeedsDaylight bool           `json:"needs_daylight,omitzero"`
	Turnaround    civil.Minutes  `json:"turnaround_minutes,omitzero"` // from one hold's end to the next hold's start
	Shut          []civil.Period `json:"shut,omitzero"`
	StaffMin      int            `json:"staff_min,omitzero"`    // instructors and standby rescuers together, at least
	FirstAiders   int            `json:"first_aiders,omitzero"` // of those with valid first aid, at least
	Rescue        *Rescue        `json:"rescue,omitzero"`       // nil = no rescue cover asked
}

// Rescue is the rescue cover that a station asks for.
type Rescue struct {
	Rescuers            int    `json:"rescuers"`                       // standby rescuers and counted instructors, at least
	StandbyMin          int    `json:"standby_min,omitzero"`           // standby rescuers, at least
	OwnInstructorsCount bool   `json:"own_instructors_count,omitzero"` // instructors who are rescuers may count
	Kit                 string `json:"kit,omitzero"`
}

// Circuit is an energy supply; changing its state takes time.
type Circuit struct {
	ID         string        `json:"id"`
	Changeover civil.Minutes `json:"changeover_minutes,omitzero"`
}

// Kit is equipment of which a number exist, less those shut for a while.
type Kit struct {
	ID    string    `json:"id"`
	Count int       `json:"count"`
	Shut  []KitShut `json:"shut,omitzero"`
}

// KitShut takes Count pieces of a kit out of use for a period.
type KitShut struct {
	From  civil.Instant `json:"from"`
	To    civil.Instant `json:"to"`
	Count int           `json:"count"`
}

// Period returns [From, To).
func (k KitShut) Period() civil.Period { return civil.Period{Start: k.From, End: k.To} }

// Exercise is the unit of training that fills one session.
type Exercise struct {
	ID       string        `json:"id"`
	Minutes  civil.Minutes `json:"minutes"`                 // length of a session, pauses included
	Setup    civil.Minutes `json:"setup_minutes,omitzero"`  // hold before the session
	Strike   civil.Minutes `json:"strike_minutes,omitzero"` // hold after the session
	Pauses   []Pause       `json:"pauses,omitzero"`
	Stations []string      `json:"stations"` // where it can be done
	GroupMin int           `json:"group_min"`
	GroupMax int           `json:"group_max,omitzero"` // 0 = no limit but the station's places
	Ratio    int           `json:"ratio"`              // most trainees an instructor may take
	RatioAt  []RatioAt     `json:"ratio_at,omitzero"`
	After    []After       `json:"after,omitzero"`
	Requires []string      `json:"requires,omitzero"` // names that every trainee must hold
	Uses     []Use         `json:"uses,omitzero"`
	Energy   []Energy      `json:"energy,omitzero"`
}

// Pause is a break inside a session, counted from the session's start.
type Pause struct {
	After   civil.Minutes `json:"after_minutes"`
	Minutes civil.Minutes `json:"minutes"`
}

// RatioAt is the ratio on one station; it counts if smaller than the exercise's.
type RatioAt struct {
	Station string `json:"station"`
	Ratio   int    `json:"ratio"`
}

// After says that Exercise must be done first: at least MinGap and, if MaxGap is
// not 0, at most MaxGap between its end and this one's start.
type After struct {
	Exercise string        `json:"exercise"`
	MinGap   civil.Minutes `json:"min_gap_minutes,omitzero"`
	MaxGap   civil.Minutes `json:"max_gap_minutes,omitzero"`
}

// Use is course kit that a session takes for its hold.
type Use struct {
	Kit   string `json:"kit"`
	Count int    `json:"count"`
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
	Circuit string      `json:"circuit"`
	State   EnergyState `json:"state"`
}

// Course is a set of exercises that must fall within Days calendar days.
type Course struct {
	ID        string   `json:"id"`
	Exercises []string `json:"exercises"`
	Days      int      `json:"days"`
}

// Validity is a span of local days, both ends included.
type Validity struct {
	From  civil.Day `json:"from"`
	Until civil.Day `json:"until"`
}

// Holds reports whether d lies in [From, Until].
func (v Validity) Holds(d civil.Day) bool { return v.From <= d && d <= v.Until }

// Teaches says what a person may teach, and when.
type Teaches struct {
	Exercise string `json:"exercise"`
	Validity
}

// Person is a member of staff.
type Person struct {
	ID        string         `json:"id"`
	Body      string         `json:"person,omitzero"` // who it is over all roles; "" = ID
	Teaches   []Teaches      `json:"teaches,omitzero"`
	Rescuer   []Validity     `json:"rescuer,omitzero"`
	FirstAid  []Validity     `json:"first_aid,omitzero"`
	Available []civil.Period `json:"available,omitzero"` // nil = always, empty = never
	Duties    []civil.Period `json:"duties,omitzero"`    // at work outside this plan
	Rest      []string       `json:"rest,omitzero"`      // names of rest policies; nil = not stated, empty = no limit
}

// Trainee is somebody who still needs exercises.
type Trainee struct {
	ID        string         `json:"id"`
	Body      string         `json:"person,omitzero"` // who it is over all roles; "" = ID
	Intake    string         `json:"intake"`
	Needs     []string       `json:"needs"`
	Done      []Done         `json:"done,omitzero"`
	Holds     []Hold         `json:"holds,omitzero"`
	Available []civil.Period `json:"available,omitzero"` // nil = always, empty = never
	Duties    []civil.Period `json:"duties,omitzero"`
	Deadline  civil.Day      `json:"deadline,omitzero"` // by whose end every need is done; 0 = none
	Rest      []string       `json:"rest,omitzero"`     // names of rest policies; nil = not stated, empty = no limit
}

// Done is a past completion that counts.
type Done struct {
	Exercise string        `json:"exercise"`
	At       civil.Instant `json:"at"`
}

// Hold is something a trainee holds: a medical fitness, a certificate.
type Hold struct {
	Name string `json:"name"`
	Validity
}

// Intake says of trainees who come together whether they stay among themselves.
// Intakes that are not listed may mix.
type Intake struct {
	ID    string `json:"id"`
	Alone bool   `json:"alone,omitzero"`
}

// Weights are the prices in a plan's cost; each is 0 or more.
type Weights struct {
	Unplaced    int64 `json:"unplaced"`
	StaffMinute int64 `json:"staff_minute,omitzero"`
	TraineeDay  int64 `json:"trainee_day,omitzero"`
	IntakeDay   int64 `json:"intake_day,omitzero"`
	Moved       int64 `json:"moved,omitzero"`
}
