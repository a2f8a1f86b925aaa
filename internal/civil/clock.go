package civil

import "time"

// Clock tells the present moment. The program wires Real; tests and the demo
// wire a clock that starts on a chosen day.
type Clock func() time.Time

// Real is the machine's clock.
func Real() time.Time { return time.Now() }

// Shifted returns a clock that runs at normal speed from start, as read now.
func Shifted(real Clock, start time.Time) Clock {
	shift := start.Sub(real())
	return func() time.Time { return real().Add(shift) }
}

// InstantOf returns t cut to its minute.
func InstantOf(t time.Time) Instant { return Instant(floorDiv(t.Unix(), 60)) }

// Today returns the local day of the clock's moment.
func (z Zone) Today(t time.Time) Day { return z.DayOf(InstantOf(t)) }
