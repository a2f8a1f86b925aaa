package rulebook_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/rulebook"
)

func TestEveryShippedLineSaysInWordsWhatItIsAbout(t *testing.T) {
	short := []string{"of", "in", "by", "as", "at", "1", "2", "3", "5", "6", "kv"}
	for _, p := range rulebook.Profiles() {
		told := map[string]string{}
		for _, l := range p.Lines {
			m, _ := l.Quantity.Meaning()
			if !m.Many {
				continue
			}
			for _, word := range strings.Fields(l.Subject()) {
				if len(word) < 3 && !slices.Contains(short, strings.ToLower(word)) {
					t.Errorf("%s is told as %q: %q is no word", l.ID, l.Subject(), word)
				}
			}
			key := string(l.Quantity) + " " + l.Label()
			if told[key] != "" {
				t.Errorf("%s and %s are both told as %q", told[key], l.ID, l.Label())
			}
			told[key] = l.ID
		}
	}
	if got := (rulebook.Line{ID: "inspection.lifting-tackle-za"}).Subject(); got != "lifting tackle by South African rules" {
		t.Errorf("the South African line is about %q", got)
	}
}
