package credential

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Reported says that somebody told the scheme of a certificate that was given here.
// It records that a person did so; nothing is sent.
type Reported struct {
	Certificate id.Certificate `json:"certificate"`
	On          civil.Day      `json:"on"`
	By          id.Person      `json:"by"`
	Reference   id.Commitment  `json:"reference"` // what the scheme answered with
}

// Check judges it against its certificate on the day on which it is recorded.
func (r Reported) Check(c Certificate, today civil.Day) error {
	switch {
	case r.On == 0:
		return fault.Field("on", "Give the day on which it was reported.")
	case r.On > today:
		return fault.Field("on", "%s is still to come. Note it once it was reported.", r.On)
	case r.On < c.Completed:
		return fault.Field("on", "It was completed on %s; nothing was reported before.", c.Completed)
	case r.Reference == "":
		return fault.Field("reference", "Give the reference that the scheme answered with, or in what words it did.")
	}
	return nil
}
