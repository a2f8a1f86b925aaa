package civil

import (
	"fmt"
	"strconv"
	"time"
	_ "time/tzdata" // zones come only from data embedded in the binary
)

// Zone is an IANA time zone. The zero value is not usable; call LoadZone.
type Zone struct {
	loc *time.Location
}

// LoadZone returns the named IANA zone ("Europe/Dublin"). "Local" and "" are
// refused: a record must not depend on the machine it is read on.
func LoadZone(name string) (Zone, error) {
	if name == "" || name == "Local" {
		return Zone{}, fmt.Errorf("%q is not an IANA time zone such as Europe/Dublin", name)
	}
	loc, err := time.LoadLocation(name)
	if err != nil {
		return Zone{}, fmt.Errorf("%q is not an IANA time zone such as Europe/Dublin", name)
	}
	return Zone{loc}, nil
}

// Name returns the IANA name.
func (z Zone) Name() string { return z.loc.String() }

// Location returns the zone for the few libraries that want one.
func (z Zone) Location() *time.Location { return z.loc }

// Offset returns the zone's offset from UTC at t. Zones with offsets of odd
// seconds (before about 1930) are rounded down to the minute.
func (z Zone) Offset(t Instant) Minutes {
	_, seconds := time.Unix(int64(t)*60, 0).In(z.loc).Zone()
	return Minutes(floorDiv(int64(seconds), 60))
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

const minutesPerDay = 24 * 60

// DayOf returns the local day of an instant.
func (z Zone) DayOf(t Instant) Day {
	return Day(floorDiv(int64(t)+int64(z.Offset(t)), minutesPerDay)) + unixDay
}

// Clock returns what the local clock shows at t, in minutes since 00:00, [0, 1440).
func (z Zone) Clock(t Instant) Minutes {
	local := int64(t) + int64(z.Offset(t))
	return Minutes(local - floorDiv(local, minutesPerDay)*minutesPerDay)
}

// StartOfDay returns the first instant whose local date is d. Where the clock
// jumps over midnight that is not 00:00; where the zone skipped d entirely it
// is the start of the next day that exists.
func (z Zone) StartOfDay(d Day) Instant { return z.At(d, 0) }

// DayPeriod returns [start of d, start of the next day).
func (z Zone) DayPeriod(d Day) Period { return Period{z.StartOfDay(d), z.StartOfDay(d + 1)} }

// At returns the first instant of local day d at which the clock shows clock or
// later. clock is in minutes since 00:00, [0, 1440]; 1440 is the start of the
// next day. A time the clock skips becomes the moment of the jump; a time shown
// twice is its first showing.
func (z Zone) At(d Day, clock Minutes) Instant {
	if clock >= minutesPerDay {
		d, clock = d+1, 0
	}
	want := int64(d-unixDay)*minutesPerDay + int64(clock)
	end := int64(d-unixDay+1) * minutesPerDay
	// Walk the stretches of constant offset around that day and take the first
	// moment whose local time falls in [want, end of d).
	at := time.Unix((want-26*60)*60, 0).In(z.loc)
	for range 8 {
		from, until := stretch(at)
		_, seconds := at.Zone()
		offset := floorDiv(int64(seconds), 60)
		t := want - offset
		if !from.IsZero() && t < from.Unix()/60 {
			t = from.Unix() / 60
		}
		if (until.IsZero() || t < until.Unix()/60) && t+offset < end {
			return Instant(t)
		}
		if until.IsZero() || until.Unix()/60 > end+26*60 {
			break
		}
		at = until
	}
	return z.At(d+1, 0)
}

// stretch returns the bounds of the span of constant offset around at. It joins
// what time.Time.ZoneBounds cuts short: where the zone goes on by rule (after
// 2037) that ends a span on the last day of a leap year and begins another.
func stretch(at time.Time) (from, until time.Time) {
	from, until = at.ZoneBounds()
	_, offset := at.Zone()
	for range 4 {
		if until.IsZero() {
			break
		}
		next := until
		if !next.After(at) {
			next = at.Add(24 * time.Hour)
		}
		if _, o := next.Zone(); o != offset {
			break
		}
		_, until = next.ZoneBounds()
	}
	return from, until
}

// Format returns the instant as local time with its offset,
// "2027-03-01T08:00:00+00:00" (RFC 3339).
func (z Zone) Format(t Instant) string {
	return time.Unix(int64(t)*60, 0).In(z.loc).Format("2006-01-02T15:04:05-07:00")
}

// Parse reads what Format writes. It returns an error for a form with seconds
// or fractions and for an offset that is not the zone's at that moment.
func (z Zone) Parse(s string) (Instant, error) {
	const form = "2006-01-02T15:04:05-07:00"
	t, err := time.Parse(form, s)
	if err != nil || len(s) != len(form) {
		return 0, fmt.Errorf("%q is not a local time with offset of the form 2027-03-01T08:00:00+00:00", s)
	}
	if t.Second() != 0 {
		return 0, fmt.Errorf("%q has seconds; times are whole minutes", s)
	}
	v := Instant(floorDiv(t.Unix(), 60))
	if got := z.Format(v); got != s {
		return 0, fmt.Errorf("%q: in %s the clock then shows %s", s, z.Name(), got)
	}
	return v, nil
}

// ClockString returns minutes since 00:00 as "08:00"; 1440 is "24:00".
func ClockString(m Minutes) string { return fmt.Sprintf("%02d:%02d", m/60, m%60) }

// ParseClock reads "08:00" to "24:00" as minutes since 00:00.
func ParseClock(s string) (Minutes, error) {
	if len(s) == 5 && s[2] == ':' {
		h, err1 := strconv.Atoi(s[:2])
		m, err2 := strconv.Atoi(s[3:])
		if err1 == nil && err2 == nil && s[0] != '-' && s[0] != '+' && s[3] != '-' && s[3] != '+' &&
			m < 60 && (h < 24 || (h == 24 && m == 0)) {
			return Minutes(h*60 + m), nil
		}
	}
	return 0, fmt.Errorf("%q is not a time of the form 08:00 (00:00 to 24:00)", s)
}

// Stamp returns the instant as local time, offset and zone in one text,
// "2027-03-01T08:00:00+00:00[Europe/Dublin]" (RFC 9557), the form entries keep.
func (z Zone) Stamp(t Instant) string { return z.Format(t) + "[" + z.Name() + "]" }
