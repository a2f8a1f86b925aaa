package session

import "slices"

// MassSeen says of whom somebody saw that their mass with kit is within what the
// kit is rated for. Nobody's mass is kept: Kg is the rating itself.
type MassSeen struct {
	Done   Done     `json:"done"`
	Kg     int      `json:"kg"`
	Asked  []string `json:"asked"`  // trainees and staff who were looked at, sorted
	Within []string `json:"within"` // those of them who are within it, sorted
}

// Covers reports whether somebody was seen to be within a rating. Within a lower
// one is within it too.
func (m *MassSeen) Covers(who string, rated int) bool {
	return m != nil && m.Kg > 0 && m.Kg <= rated && slices.Contains(m.Within, who)
}
