package session

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// State of a session.
type State string

// The states, in the order of a session's life.
const (
	Pencilled State = "pencilled"
	Booked    State = "booked"
	UnderWay  State = "under-way"
	SignedOff State = "signed-off"
	CutShort  State = "cut-short"
	StoodDown State = "stood-down"
)

// Holds reports whether a session in this state keeps its place: station,
// people and kit. A session that was signed off did take place and counts.
func (s State) Holds() bool { return s != StoodDown }

// ToRun reports whether a session in this state is still to be started.
func (s State) ToRun() bool { return s == Pencilled || s == Booked }

// Signed reports whether a session in this state took place and was signed.
func (s State) Signed() bool { return s == SignedOff || s == CutShort }

// Begun reports whether a session in this state is under way or was signed.
func (s State) Begun() bool { return s == UnderWay || s.Signed() }

// DownReason is why a session was stood down; a closed list.
type DownReason string

// The reasons. A person's absence is "people not available", never its cause.
const (
	DownWeather DownReason = "weather"
	DownRig     DownReason = "rig"
	DownPeople  DownReason = "people-not-available"
	DownOther   DownReason = "other"
)

// Session is one exercise, one station, one time and its people.
type Session struct {
	ID          id.Session    `json:"id"`
	State       State         `json:"state"`
	Exercise    id.Exercise   `json:"exercise"`
	Station     id.Station    `json:"station"`
	Start       civil.Instant `json:"start"`
	End         civil.Instant `json:"end"`
	Trainees    []id.Trainee  `json:"trainees"`    // sorted
	Instructors []id.Person   `json:"instructors"` // sorted
	Rescuers    []id.Person   `json:"rescuers"`    // standby, beyond the instructors; sorted
	Others      []id.Person   `json:"others,omitempty"`
	Parts       []OtherAs     `json:"parts,omitempty"`    // of the others; sorted by person
	Trial       bool          `json:"trial,omitempty"`    // credits nothing
	TrialOf     Trial         `json:"trial_of,omitempty"` // what a trial is for
	Down        DownReason    `json:"down,omitempty"`
	Note        id.Commitment `json:"note,omitempty"`
	Run         *Run          `json:"run,omitempty"` // since it is under way; never changed in place
}

// Part is what a person does in a session.
type Part string

// The parts.
const (
	AsTrainee    Part = "trainee"
	AsInstructor Part = "instructor"
	AsRescuer    Part = "rescuer"
	AsOther      Part = "other"
)

// Parts lists the parts.
func Parts() []Part { return []Part{AsTrainee, AsInstructor, AsRescuer, AsOther} }

// Mark is how a person attended.
type Mark string

// The marks.
const (
	Present    Mark = "present"
	Late       Mark = "late"
	Left       Mark = "left"
	DidNotCome Mark = "did-not-come"
)

// Marks lists the marks.
func Marks() []Mark { return []Mark{Present, Late, Left, DidNotCome} }

// Presence is one span in which a person was present in one part. Who is a
// trainee id for trainees and a person id for everybody else. A person who did
// not come has Start = End = 0; one who is there still has End = 0 (see Open).
type Presence struct {
	Who   string        `json:"who"`
	Part  Part          `json:"part"`
	Mark  Mark          `json:"mark"`
	Start civil.Instant `json:"start,omitempty"`
	End   civil.Instant `json:"end,omitempty"`
}

// Attendance is the list of presences of one session: as called so far while it
// runs, as signed afterwards.
type Attendance struct {
	Session   id.Session `json:"session"`
	Presences []Presence `json:"presences"`
	// Corrections are those since it was signed, the oldest first.
	Corrections []Correction `json:"corrections,omitempty"`
}

// Verdict on an outcome.
type Assessed string

// The results of an outcome.
const (
	Competent       Assessed = "competent"
	NotYetCompetent Assessed = "not-yet-competent"
	NotAssessed     Assessed = "not-assessed"
)

// Result is what one trainee showed of one outcome.
type Result struct {
	Trainee id.Trainee `json:"trainee"`
	Outcome id.Outcome `json:"outcome"`
	Result  Assessed   `json:"result"`
	How     How        `json:"how,omitempty"`   // "" where it was not said
	Score   int        `json:"score,omitempty"` // of a written test, in percent
}

// How says by what a result was found.
type How string

// The ways.
const (
	Watched How = "watched"
	Asked   How = "asked"
	Written How = "written"
)

// Note is what stands beside one trainee's results.
type Note struct {
	Trainee id.Trainee    `json:"trainee"`
	Remark  id.Commitment `json:"remark,omitempty"`
	// Signed is when the trainee countersigned them as they stand; 0 = not.
	Signed civil.Instant `json:"signed,omitempty"`
	// Drawn is the signature that they drew, a Drawing's text; "" where they
	// countersigned by their own code.
	Drawn id.Commitment `json:"drawn,omitempty"`
}

// Results are those of one session: as noted so far while it waits for its
// signature, as signed by an instructor afterwards.
type Results struct {
	Session id.Session `json:"session"`
	By      id.Person  `json:"by"`
	Results []Result   `json:"results"`
	Notes   []Note     `json:"notes,omitempty"`
	// Corrections are those since they were signed, the oldest first.
	Corrections []Correction `json:"corrections,omitempty"`
}

// Acceptance records that a caution on a session was accepted.
type Acceptance struct {
	ID      id.Acceptance `json:"id"`
	Session id.Session    `json:"session"`
	Rule    string        `json:"rule"`    // caution's name
	Subject string        `json:"subject"` // Finding.Subject of the caution
	Field   verdict.Field `json:"field"`
	By      id.Person     `json:"by"`
	Reason  id.Commitment `json:"reason"`
	Own     bool          `json:"own"` // accepted by the booker; listed for the auditor
}

// PartOf returns the part one of the staff takes in a session; AsOther for all
// who neither teach nor stand by.
func (s Session) PartOf(p id.Person) Part {
	switch {
	case slices.Contains(s.Instructors, p):
		return AsInstructor
	case slices.Contains(s.Rescuers, p):
		return AsRescuer
	}
	return AsOther
}
