package credential

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// LastValidDay returns the last valid day that follows from a day and a number
// of calendar months by a convention. ok is false for AsPrinted and for an
// unknown convention: then only a printed date says it.
func LastValidDay(from civil.Day, months int, by rulebook.ValidUntil) (last civil.Day, ok bool) {
	switch by {
	case rulebook.SameDay:
		return from.AddMonths(months), true
	case rulebook.DayBefore:
		return from.AddMonths(months) - 1, true
	case rulebook.MonthEnd:
		return from.AddMonths(months).MonthEnd(), true
	}
	return 0, false
}

// Dates are the dates of a certificate and what they rest on.
type Dates struct {
	From       civil.Day // first day on which it entitles: the completion day
	Until      civil.Day // last valid day; 0 = no end
	CountsFrom civil.Day // as in Certificate
	Months     int       // as in Certificate
	Validity   string    // rule-book line
	Book       id.RuleBook
}

// Put writes the dates into a certificate.
func (d Dates) Put(c Certificate) Certificate {
	c.Completed, c.From, c.Until = d.From, d.From, d.Until
	c.CountsFrom, c.Months, c.Validity = d.CountsFrom, d.Months, d.Validity
	return c
}

// Issue returns the dates of a certificate completed on a day, by the rule book
// in force on that day. validity is the rule-book line of its terms; "" says that
// it has no end. A printed last valid day wins; 0 = none is printed. The error
// is fault.Invalid where the dates can't be known.
func Issue(books []rulebook.Version, validity string, completed, printed civil.Day) (Dates, error) {
	d := Dates{From: completed, Validity: validity}
	if completed == 0 {
		return Dates{}, fault.Field("completed", "The completion day is not stated.")
	}
	book, inForce := rulebook.InForce(books, completed)
	d.Book = book.ID
	if printed != 0 {
		if printed < completed {
			return Dates{}, fault.Field("until", "The printed last valid day, %s, lies before the completion day, %s.", printed, completed)
		}
		d.Until = printed
		return d, nil
	}
	if validity == "" {
		return d, nil
	}
	terms, err := termsOf(book, inForce, validity, completed)
	if err != nil {
		return Dates{}, err
	}
	return own(d, terms)
}

// own counts the months from the completion day.
func own(d Dates, terms rulebook.Terms) (Dates, error) {
	last, ok := LastValidDay(d.From, terms.Months, terms.Until)
	if !ok {
		return Dates{}, fault.Field("until", "The last valid day is the one printed on the certificate (%s); none is stated.", d.Validity)
	}
	d.Until, d.CountsFrom, d.Months = last, d.From, terms.Months
	return d, nil
}

func termsOf(book rulebook.Version, inForce bool, validity string, on civil.Day) (rulebook.Terms, error) {
	if !inForce {
		return rulebook.Terms{}, fault.New(fault.Invalid, "No rule book was in force on %s.", on)
	}
	terms, ok := book.Terms(validity)
	if !ok {
		return rulebook.Terms{}, fault.New(fault.Invalid, "The rule book in force on %s has no validity %s.", on, validity)
	}
	return terms, nil
}

// Counting says how a refresher counts.
type Counting string

// The ways.
const (
	KeepsDate  Counting = "keeps-date"  // from the old last valid day: no time is lost
	OwnDate    Counting = "own-date"    // from its own completion day
	NotCounted Counting = "not-counted" // it renews nothing; Renewal.Need would
)

// Renewal is what a refresher does to a certificate.
type Renewal struct {
	Counts Counting
	Dates  Dates         // of the new certificate; zero if not counted
	Need   rulebook.Need // if not counted: what is needed instead
	Late   bool          // completed after the last day on which a refresher was in time
	Book   id.RuleBook   // the version that decided: in force on the completion day
}

// Renew judges a refresher completed on a day, by the rule book in force on that
// day, against the certificate that it is to renew. printed is the new last
// valid day as printed, 0 = none. The error is fault.Invalid where the dates
// can't be known or the days are in the wrong order.
func Renew(books []rulebook.Version, old Certificate, completed, printed civil.Day) (Renewal, error) {
	if completed == 0 || completed < old.From {
		return Renewal{}, fault.Field("completed", "The refresher's completion day is not stated or before the certificate's first day, %s.", old.From)
	}
	book, inForce := rulebook.InForce(books, completed)
	if old.State != Valid {
		return Renewal{Counts: NotCounted, Need: rulebook.NeedFull, Book: book.ID}, nil
	}
	if old.Until == 0 {
		d, err := Issue(books, old.Validity, completed, printed)
		return Renewal{Counts: OwnDate, Dates: d, Book: book.ID}, err
	}
	terms, err := termsOf(book, inForce, old.Validity, completed)
	if err != nil {
		return Renewal{}, err
	}
	r := Renewal{Counts: OwnDate, Book: book.ID}
	first, last := Window(old, terms)
	if r.Late = completed > last; r.Late {
		if need := NeedOn(old, terms, completed); need != rulebook.NeedRefresher {
			return Renewal{Counts: NotCounted, Need: need, Late: true, Book: book.ID}, nil
		}
	}
	d := Dates{From: completed, Validity: old.Validity, Book: book.ID}
	inWindow := terms.Window > 0 && first <= completed && completed <= last
	switch {
	case inWindow:
		r.Counts = KeepsDate
		r.Dates, err = kept(d, old, terms, printed)
	case printed != 0:
		r.Dates, err = Issue(books, old.Validity, completed, printed)
	default:
		r.Dates, err = own(d, terms)
	}
	return r, err
}

// kept counts the months on from where the old certificate ends.
func kept(d Dates, old Certificate, terms rulebook.Terms, printed civil.Day) (Dates, error) {
	if printed != 0 {
		if printed <= old.Until {
			return Dates{}, fault.Field("until", "The printed last valid day, %s, is not after the old one, %s.", printed, old.Until)
		}
		d.Until = printed
		return d, nil
	}
	if old.CountsFrom != 0 {
		last, ok := LastValidDay(old.CountsFrom, old.Months+terms.Months, terms.Until)
		if !ok {
			return own(d, terms) // says that a printed date is missing
		}
		d.Until, d.CountsFrom, d.Months = last, old.CountsFrom, old.Months+terms.Months
		return d, nil
	}
	// The old date was printed: its day is already the last valid one.
	switch terms.Until {
	case rulebook.SameDay:
		d.Until, d.CountsFrom, d.Months = old.Until.AddMonths(terms.Months), old.Until, terms.Months
	case rulebook.DayBefore:
		d.Until = old.Until.AddMonths(terms.Months)
	case rulebook.MonthEnd:
		d.Until = old.Until.AddMonths(terms.Months).MonthEnd()
	default:
		return own(d, terms)
	}
	return d, nil
}

// Window returns the first and the last day on which a completed refresher is in
// time and keeps the date. Without a window in the terms both ends are the last
// day on which a refresher is in time. Precondition: c.Until ≠ 0.
func Window(c Certificate, terms rulebook.Terms) (first, last civil.Day) {
	last = c.Until - 1
	if terms.OnLastDay {
		last = c.Until
	}
	if terms.Window == 0 {
		return last, last
	}
	return c.Until.AddMonths(-terms.Window), last
}

// NeedOn returns what brings a certificate back on a day on which a refresher is
// no longer in time. Beyond the last step that is stated it is the full
// programme. Precondition: c.Until ≠ 0.
func NeedOn(c Certificate, terms rulebook.Terms, d civil.Day) rulebook.Need {
	for _, step := range terms.Lapse {
		if step.UpTo == 0 || d <= c.Until.AddMonths(step.UpTo) {
			return step.Need
		}
	}
	return rulebook.NeedFull
}

// Phase is where a certificate stands in its life on a day.
type Phase string

// The phases.
const (
	NotYet   Phase = "not-yet"   // its first day lies ahead, or is not stated
	Current  Phase = "current"   // valid; a refresher now would count from its own day
	InWindow Phase = "in-window" // valid; a refresher now keeps the date
	LastDay  Phase = "last-day"  // valid for the last day; too late for a refresher in time
	Lapsed   Phase = "lapsed"
	Ended    Phase = "ended" // suspended, withdrawn, void or replaced
)

// PhaseOn returns the phase of a certificate on a day, and what would bring a
// lapsed one back.
func PhaseOn(c Certificate, terms rulebook.Terms, d civil.Day) (Phase, rulebook.Need) {
	switch {
	case c.State != Valid:
		return Ended, ""
	case c.From == 0 || d < c.From:
		return NotYet, ""
	case c.Until == 0:
		return Current, ""
	case d > c.Until:
		return Lapsed, NeedOn(c, terms, d)
	}
	first, last := Window(c, terms)
	switch {
	case d > last:
		return LastDay, NeedOn(c, terms, d)
	case terms.Window > 0 && d >= first:
		return InWindow, ""
	}
	return Current, ""
}

// Idle reports whether a refresher is due on a day because the work was last
// done too long ago, though the certificate may be valid. A last day of 0, never
// done, counts from the certificate's first day.
func Idle(c Certificate, terms rulebook.Terms, lastDone, d civil.Day) bool {
	if terms.Inactivity == 0 {
		return false
	}
	return d > max(lastDone, c.From).AddMonths(terms.Inactivity)
}

// Shortfall is what is missing before a person may go up a level.
type Shortfall struct {
	NotValid bool          // the certificate is not valid on the day
	From     civil.Day     // first day by its months, if that lies ahead
	Missing  civil.Minutes // logged time still missing
}

// Upgrade judges whether the holder of a certificate may be assessed for the
// next level on a day, with the time logged at this level. Months and time must
// both be reached. levelSince is the day on which this level was first earned.
func Upgrade(c Certificate, terms rulebook.Terms, levelSince civil.Day, logged civil.Minutes, d civil.Day) (Shortfall, bool) {
	var s Shortfall
	s.NotValid = !c.On(d)
	if from := levelSince.AddMonths(terms.UpgradeMonths); levelSince == 0 || d < from {
		s.From = from
	}
	s.Missing = max(0, civil.Minutes(terms.UpgradeTime)-logged)
	stated := terms.UpgradeMonths > 0 && levelSince != 0
	return s, stated && s == Shortfall{}
}

// Cost is what a failed assessment costs, and the line that says so. Where no line
// does, Line is "" and the cost is not known.
type Cost struct {
	Failing rulebook.Failing
	Line    string
}

// CostOf returns what a failure in a programme costs that leads to certificates of a
// validity, by the rule book in force on the day of the assessment.
func CostOf(books []rulebook.Version, validity string, d civil.Day) Cost {
	book, ok := rulebook.InForce(books, d)
	terms, stated := book.Terms(validity)
	if !ok || !stated || terms.FailingLine == "" {
		return Cost{}
	}
	return Cost{terms.Failing, terms.FailingLine}
}

// Failed returns the certificate after its holder failed a re-assessment: void
// where the terms say that a failure costs the older certificate.
func Failed(c Certificate, terms rulebook.Terms) Certificate {
	if terms.Failing == rulebook.CostsCertificate {
		c.State = Void
	}
	return c
}
