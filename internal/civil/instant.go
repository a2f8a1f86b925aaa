package civil

import "fmt"

// Instant is a moment in whole minutes since 1970-01-01T00:00Z. The zero value
// is "no instant". Its local form depends on a Zone.
type Instant int64

// Minutes is an elapsed length of time. Lengths are always differences of
// Instants and so already right across clock changes.
type Minutes int64

// Sub returns the elapsed minutes from u to t.
func (t Instant) Sub(u Instant) Minutes { return Minutes(t - u) }

// Add returns t moved by m.
func (t Instant) Add(m Minutes) Instant { return t + Instant(m) }

// String returns a length as people write it: "3 h 30", "45 min", "11 h".
func (m Minutes) String() string {
	sign := ""
	if m < 0 {
		sign, m = "−", -m
	}
	switch h, r := m/60, m%60; {
	case h == 0:
		return fmt.Sprintf("%s%d min", sign, r)
	case r == 0:
		return fmt.Sprintf("%s%d h", sign, h)
	default:
		return fmt.Sprintf("%s%d h %02d", sign, h, r)
	}
}

// Period is the half-open span [Start, End).
type Period struct {
	Start, End Instant
}

// Length returns the elapsed minutes of p.
func (p Period) Length() Minutes { return p.End.Sub(p.Start) }

// Overlaps reports whether p and q share a minute; periods that touch do not.
func (p Period) Overlaps(q Period) bool { return p.Start < q.End && q.Start < p.End }

// Covers reports whether q lies wholly inside p.
func (p Period) Covers(q Period) bool { return p.Start <= q.Start && q.End <= p.End }

// Holds reports whether t lies in [Start, End).
func (p Period) Holds(t Instant) bool { return p.Start <= t && t < p.End }
