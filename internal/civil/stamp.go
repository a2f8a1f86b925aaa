package civil

import (
	"fmt"
	"strings"
)

// ParseStamp reads what Zone.Stamp writes and returns the instant and the name
// of the zone. The offset in the text decides, not today's rules of that zone:
// a record keeps its moment when a country changes its clocks later. It returns
// an error for any other form, and for seconds that are not 00.
func ParseStamp(s string) (Instant, string, error) {
	const plain = len("2027-03-01T08:00:00+00:00")
	zone, ok := strings.CutSuffix(s[min(plain, len(s)):], "]")
	if !ok || len(zone) < 2 || zone[0] != '[' || !isZoneName(zone[1:]) {
		return 0, "", stampError(s)
	}
	day, err := ParseDay(s[:10])
	hour, ok1 := twoDigits(s[11:13], 23)
	minute, ok2 := twoDigits(s[14:16], 59)
	offHour, ok3 := twoDigits(s[20:22], 23)
	offMinute, ok4 := twoDigits(s[23:25], 59)
	if err != nil || !ok1 || !ok2 || !ok3 || !ok4 ||
		s[10] != 'T' || s[13] != ':' || s[16:19] != ":00" || s[22] != ':' {
		return 0, "", stampError(s)
	}
	offset := offHour*60 + offMinute
	switch s[19] {
	case '+':
	case '-':
		offset = -offset
	default:
		return 0, "", stampError(s)
	}
	local := int64(day-unixDay)*minutesPerDay + int64(hour*60+minute)
	return Instant(local - int64(offset)), zone[1:], nil
}

func stampError(s string) error {
	return fmt.Errorf("%q is not a moment of the form 2027-03-01T08:00:00+00:00[Europe/Dublin]", s)
}

// twoDigits reads "00" to most.
func twoDigits(s string, most int) (int, bool) {
	a, b := s[0]-'0', s[1]-'0'
	n := int(a)*10 + int(b)
	return n, a <= 9 && b <= 9 && n <= most
}

func isZoneName(s string) bool {
	for _, c := range []byte(s) {
		switch {
		case 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z', '0' <= c && c <= '9', c == '/', c == '_', c == '+', c == '-':
		default:
			return false
		}
	}
	return true
}
