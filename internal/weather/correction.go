package weather

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Correction says that what stood of a reading was replaced by a later entry, and
// why. What stood before stays with the reading for good.
type Correction struct {
	By     id.Person        `json:"by"`
	At     civil.Instant    `json:"at"`
	Why    CorrectionReason `json:"why"`
	Note   id.Commitment    `json:"note,omitempty"`
	Was    Said             `json:"was"` // until then
	Agreed *Agreement       `json:"agreed,omitempty"`
}

// Agreement is the word of a second person that a correction is right.
type Agreement struct {
	By id.Person     `json:"by"`
	At civil.Instant `json:"at"`
}

// CorrectionReason is why a reading was corrected; a closed list.
type CorrectionReason string

// The reasons. The last two strike the reading out: where or when it was read is not
// corrected, as a place that was not read then would become clear by it.
const (
	Mistyped  CorrectionReason = "entered-wrongly"
	Misread   CorrectionReason = "read-wrongly"
	OfAnother CorrectionReason = "of-another-place-or-time"
	NeverRead CorrectionReason = "never-so"
)

// CorrectionReasons lists them in the order forms show them.
func CorrectionReasons() []CorrectionReason {
	return []CorrectionReason{Mistyped, Misread, OfAnother, NeverRead}
}

// Strikes reports whether a reading no longer counts for that reason.
func (w CorrectionReason) Strikes() bool { return w == OfAnother || w == NeverRead }

// Said is what a correction of a reading may replace.
type Said struct {
	From       civil.Instant `json:"from,omitempty"` // of a storm that passed, as At; of others they stay
	At         civil.Instant `json:"at"`
	Instrument Instrument    `json:"instrument,omitempty"`
	Height     *Height       `json:"height,omitempty"`
	Averaging  Averaging     `json:"averaging,omitempty"`
	Mean       *Speed        `json:"mean,omitempty"`
	Gust       *Speed        `json:"gust,omitempty"`
	Direction  string        `json:"direction,omitempty"`
	Celsius    *Celsius      `json:"celsius,omitempty"`
	Humidity   *int          `json:"humidity,omitempty"`
	Ice        Ice           `json:"ice,omitempty"`
	Thunder    bool          `json:"thunder,omitempty"`
	Lightning  *Kilometres   `json:"lightning,omitempty"`
	Storm      *Speed        `json:"storm,omitempty"`
}

// Said returns what a reading says.
func (r Reading) Said() Said {
	return Said{r.From, r.At, r.Instrument, r.Height, r.Averaging, r.Mean, r.Gust, r.Direction, r.Celsius, r.Humidity, r.Ice, r.Thunder, r.Lightning, r.Storm}
}

// saying returns the reading with other values.
func (r Reading) saying(s Said) Reading {
	r.From, r.At, r.Instrument, r.Height, r.Averaging, r.Mean, r.Gust = s.From, s.At, s.Instrument, s.Height, s.Averaging, s.Mean, s.Gust
	r.Direction, r.Celsius, r.Humidity, r.Ice, r.Thunder, r.Lightning, r.Storm = s.Direction, s.Celsius, s.Humidity, s.Ice, s.Thunder, s.Lightning, s.Storm
	return r
}

func (s Said) same(o Said) bool {
	return s.From == o.From && s.At == o.At && s.Instrument == o.Instrument && s.Averaging == o.Averaging && s.Direction == o.Direction && s.Ice == o.Ice && s.Thunder == o.Thunder &&
		same(s.Height, o.Height) && same(s.Mean, o.Mean) && same(s.Gust, o.Gust) && same(s.Celsius, o.Celsius) && same(s.Humidity, o.Humidity) &&
		same(s.Lightning, o.Lightning) && same(s.Storm, o.Storm)
}

func same[T comparable](a, b *T) bool { return a == b || a != nil && b != nil && *a == *b }

// Corrected returns the reading with other values, or struck out where the reason
// says so. Of what is no storm that passed the time stays. Errors: fault.Invalid, fault.Conflict for one struck out already.
func (r Reading) Corrected(c Correction, to Said) (Reading, error) {
	switch {
	case !slices.Contains(CorrectionReasons(), c.Why):
		return r, fault.Field("why", "Choose why it is corrected.")
	case r.Struck():
		return r, fault.New(fault.Conflict, "It is struck out already. Enter what was read as a new reading.")
	}
	if r.Kind != StormPassed {
		to.From, to.At = r.From, r.At
	}
	if c.Why.Strikes() || r.Kind == Thunder { // thunder has no values
		to = r.Said()
	}
	if !c.Why.Strikes() && to.same(r.Said()) {
		return r, fault.Field("why", "Nothing differs from what stands. Change what was wrong, or choose that it was never so.")
	}
	c.Was, c.Agreed = r.Said(), nil
	out := r.saying(to)
	out.Corrections = append(slices.Clone(r.Corrections), c)
	return out, nil
}

// Struck reports whether the reading counts no more: it was never so, or of another
// place or time.
func (r Reading) Struck() bool {
	n := len(r.Corrections)
	return n > 0 && r.Corrections[n-1].Why.Strikes()
}

// stood returns the reading as it was before each of its corrections, the oldest
// first.
func (r Reading) stood() []Reading {
	var out []Reading
	for n := range r.Corrections {
		out = append(out, r.Before(n))
	}
	return out
}

// Before returns the reading as it was before its n-th correction, from 0.
func (r Reading) Before(n int) Reading {
	was := r.saying(r.Corrections[n].Was)
	was.Corrections = nil
	return was
}

// ever returns all that the reading says and said.
func (r Reading) ever() []Reading {
	if r.Struck() {
		return r.stood()
	}
	return append(r.stood(), r)
}

// Blew returns what of a reading counts as wind that blew over the rigs: what stands,
// and what stood before a correction that no second person agreed to. One person alone
// lifts no wait of a rig for its inspection, whose session may depend on it; two may,
// as each has the right to write down the weather, and the inspection stays the other
// way.
func (r Reading) Blew() []Reading {
	var out []Reading
	for n, was := range r.stood() {
		if r.Corrections[n].Agreed == nil {
			out = append(out, was)
		}
	}
	if !r.Struck() {
		out = append(out, r)
	}
	return out
}

// Unagreed reports whether what may have been a storm counts still because no second
// person has agreed to a correction; least is the weakest wind that may be one.
func (r Reading) Unagreed(least Speed) bool {
	for n, was := range r.stood() {
		if r.Corrections[n].Agreed == nil && was.stormy(least) {
			return true
		}
	}
	return false
}

// MayAgree refuses whoever made a correction that waits for a second person.
func (r Reading) MayAgree(who id.Person) error {
	waits := false
	for _, c := range r.Corrections {
		if c.Agreed == nil && c.By == who {
			return fault.New(fault.Forbidden, "You corrected it. A second person who may write down the weather agrees to it.")
		}
		waits = waits || c.Agreed == nil
	}
	if !waits {
		return fault.New(fault.Invalid, "No correction of it waits for a second person.")
	}
	return nil
}

// AgreedTo returns the reading with the word of a second person for each correction
// that had none.
func (r Reading) AgreedTo(a Agreement) (Reading, error) {
	if err := r.MayAgree(a.By); err != nil {
		return r, err
	}
	r.Corrections = slices.Clone(r.Corrections)
	for n := range r.Corrections {
		if r.Corrections[n].Agreed == nil {
			r.Corrections[n].Agreed = &a
		}
	}
	return r, nil
}
