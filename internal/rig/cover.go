package rig

import "rungbook/internal/rulebook"

// Cover is what a station must have present, by its own record and the rule book.
type Cover struct {
	Rescuers    int
	FirstAiders int
}

// CoverOf returns the cover a station needs: the larger of its own figure and
// those of the rule books in force. Their number of rescuers binds work at
// height; their number of first-aiders binds practice, that is a station on
// which some exercise other than theory is done. ok is false where the station
// does not state its cover, which stops.
func CoverOf(st Station, practice bool, books ...rulebook.Version) (c Cover, ok bool) {
	if st.FirstAiders == nil || (st.Height && st.Rescue == nil) {
		return Cover{}, false
	}
	c.FirstAiders = *st.FirstAiders
	if st.Rescue != nil {
		c.Rescuers = st.Rescue.Rescuers
	}
	for _, book := range books {
		if l, limited := book.Strictest(rulebook.RescuersMin); limited && st.Height {
			c.Rescuers = max(c.Rescuers, int(l.Value))
		}
		if l, limited := book.Strictest(rulebook.FirstAidersMin); limited && practice {
			c.FirstAiders = max(c.FirstAiders, int(l.Value))
		}
	}
	return c, true
}
