package demo

import (
	"fmt"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
)

// toTell is for how many days back completions are not reported yet, beside one that
// is overdue.
const toTell civil.Day = 10

// overdue is for how many days back a completion may be in time still, with holidays.
const overdue civil.Day = 24

// tellTheScheme reports the certificates, a week after each, but for the latest; the
// last of the older ones was forgotten.
func (b *builder) tellTheScheme() {
	by, forgotten := b.person(administrator), -1
	for i, c := range b.awards {
		if c.Completed < b.Today-overdue {
			forgotten = i
		}
	}
	for i, c := range b.awards {
		if i == forgotten || c.Completed >= b.Today-toTell {
			continue
		}
		on := min(b.workdaysOn(c.Completed, 5), b.Today)
		b.write(certifying, on, by, "reported", credential.Reported{Certificate: c.ID, On: on, By: by, Reference: text(fmt.Sprintf("T-%d", c.Number))})
	}
}
