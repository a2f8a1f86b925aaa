package id

import (
	"bytes"
	"regexp"
	"testing"
)

func TestASeriesMakesIDsThatFollowEachOther(t *testing.T) {
	m := NewMaker(bytes.NewReader(bytes.Repeat([]byte{7, 191, 3, 88, 250}, 8)))
	form := regexp.MustCompile(`^[a-z0-9]{16}$`)
	s, last := m.Series(), ""
	for range 70_000 { // past two carries of a base of 32
		next := s.Next()
		if next <= last || !form.MatchString(next) || last != "" && next[:8] != last[:8] {
			t.Fatalf("%s follows %s", next, last)
		}
		last = next
	}
}
