package arrival

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Slip is one piece of kit handed out to a trainee by its serial, and how it came
// back. It stands with the trainee's arrival from then on.
type Slip struct {
	Serial id.Commitment `json:"serial"`
	Item   id.Item       `json:"item,omitempty"` // "" = no item on record has the serial: its inspection and retirement are not known
	Sort   string        `json:"sort,omitempty"` // what it was said to be where it is not on record (rig.Sort)
	Given  *Signed       `json:"given,omitempty"`
	Back   *Back         `json:"back,omitempty"` // nil = nobody has answered for it yet
}

// Back is what became of a piece of kit that was handed out.
type Back struct {
	How        Return        `json:"how"`
	By         id.Person     `json:"by"`
	At         civil.Instant `json:"at"`
	Found      id.Commitment `json:"found,omitempty"`      // what is wrong with it
	Quarantine id.Quarantine `json:"quarantine,omitempty"` // in which an item on record is
}

// Return is how a piece of kit came back; a closed list.
type Return string

// The ways, in the order forms show them.
const (
	BackFit      Return = "fit"
	BackNotFit   Return = "not-fit"
	NotGivenBack Return = "not-given-back"
	NeverGiven   Return = "never-given" // its serial was written by mistake
)

// Returns lists them.
func Returns() []Return { return []Return{BackFit, BackNotFit, NotGivenBack, NeverGiven} }

// Out reports whether the trainee holds it: until it is taken back, whoever has
// left the yard meanwhile.
func (s Slip) Out() bool { return s.Back == nil || s.Back.How == NotGivenBack }

// Slips are all pieces of kit ever handed out to the trainee. What entries of before
// named by serials alone is out: nobody wrote that it came back.
func (a Arrival) Slips() []Slip {
	out := slices.Clone(a.Kit)
	for _, serial := range a.Issued {
		out = append(out, Slip{Serial: serial})
	}
	return out
}

// With returns the arrival with these slips as all of them.
func (a Arrival) With(slips []Slip) Arrival {
	a.Kit, a.Issued, a.Items = slips, nil, nil
	return a
}

// HoldsKit reports whether something is out with the trainee.
func (a Arrival) HoldsKit() bool { return slices.ContainsFunc(a.Slips(), Slip.Out) }

// KitOpen reports whether kit is still to be answered for: it is out, or it came back
// not fit while no item on record has its serial, so that this slip alone says so.
func (a Arrival) KitOpen() bool {
	return slices.ContainsFunc(a.Slips(), func(s Slip) bool { return s.Out() || s.Back.How == BackNotFit && s.Item == "" })
}

// Return returns the slip as it is answered for. What is not fit says what was found;
// what is back already is not answered for again.
func (s Slip) Return(b Back) (Slip, error) {
	switch {
	case !s.Out():
		return s, fault.New(fault.Conflict, "It has been taken back already.")
	case !slices.Contains(Returns(), b.How):
		return s, fault.Field("how", "Say what became of it.")
	case b.How == BackNotFit && b.Found == "":
		return s, fault.Field("found", "Say what was found.")
	case b.How != BackNotFit && b.Found != "":
		return s, fault.Field("how", "What was found is said of it, so it is not fit. Choose that, or leave the words out.")
	case b.How == BackNotFit && s.Item != "" && b.Quarantine == "":
		return s, fault.Field("how", "What is not fit is in quarantine.")
	}
	s.Back = &b
	return s, nil
}
