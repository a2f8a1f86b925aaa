package rulebook

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// ValidUntil is the convention by which a last valid day follows from a
// completion day and a number of months.
type ValidUntil int64

// The conventions, as the values of a line of the quantity Convention.
const (
	SameDay   ValidUntil = iota // the same day of the month, clamped to the month's end
	DayBefore                   // the day before that
	MonthEnd                    // the last day of that month
	AsPrinted                   // only a printed date counts
)

// Need is what brings a lapsed certificate back.
type Need string

// The needs, mildest first.
const (
	NeedRefresher Need = "refresher"
	NeedAppraisal Need = "appraisal-day" // then a refresher
	NeedFull      Need = "full-programme"
	NeedRestart   Need = "first-level" // start again at the first level
)

// Failing is what a failed assessment costs.
type Failing int64

// The costs, as the values of a line of the quantity FailureCosts.
const (
	CostsOutcome Failing = iota
	CostsExercise
	CostsProgramme
	CostsCertificate // an older certificate is void
)

// LapseStep says what is needed up to so many calendar months after the last
// valid day; UpTo 0 = without end.
type LapseStep struct {
	UpTo int
	Need Need
}

// reach is UpTo with "without end" as the greatest of all.
func (s LapseStep) reach() int {
	if s.UpTo == 0 {
		return math.MaxInt
	}
	return s.UpTo
}

// Terms are all that a rule book says of one kind of certificate.
type Terms struct {
	Line          Line // the validity line; its value is Months
	Months        int
	Until         ValidUntil
	Window        int  // calendar months before the last valid day; 0 = none
	OnLastDay     bool // a refresher on the last valid day itself counts
	Lapse         []LapseStep
	Inactivity    int // months without the work; 0 = no such rule
	UpgradeMonths int
	UpgradeTime   int64 // minutes
	Failing       Failing
	FailingLine   string // the line that states Failing; "" where none does, and it is not known
}

// Terms returns the terms of the validity line with an id, such as
// "validity.height". ok is false where there is no such line in a selected
// profile: the validity is then not stated, which stops.
func (v Version) Terms(validity string) (t Terms, ok bool) {
	if t.Line, ok = v.Line(validity); !ok || t.Line.Quantity != ValidityMonths {
		return Terms{}, false
	}
	t.Months = int(t.Line.Value)
	for _, l := range v.Lines {
		if strings.HasPrefix(l.ID, validity+".") && v.Selected(l.Profile) {
			t.add(l)
		}
	}
	slices.SortStableFunc(t.Lapse, func(a, b LapseStep) int { return cmp.Compare(a.reach(), b.reach()) })
	return t, true
}

func (t *Terms) add(l Line) {
	n := int(l.Value)
	switch l.Quantity {
	case Convention:
		t.Until = ValidUntil(l.Value)
	case RenewalWindow:
		t.Window = n
	case RefreshOnLastDay:
		t.OnLastDay = n != 0
	case LapseRefresher:
		t.Lapse = append(t.Lapse, LapseStep{n, NeedRefresher})
	case LapseAppraisal:
		t.Lapse = append(t.Lapse, LapseStep{n, NeedAppraisal})
	case LapseFull:
		t.Lapse = append(t.Lapse, LapseStep{n, NeedFull})
	case LapseRestart:
		t.Lapse = append(t.Lapse, LapseStep{n, NeedRestart})
	case InactivityMonths:
		t.Inactivity = n
	case UpgradeMonths:
		t.UpgradeMonths = n
	case UpgradeMinutes:
		t.UpgradeTime = l.Value
	case FailureCosts:
		t.Failing, t.FailingLine = Failing(l.Value), l.ID
	}
}
