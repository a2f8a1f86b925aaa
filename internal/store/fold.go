package store

import (
	"strings"
	"unicode"
)

// folds spells letters of European alphabets without their marks, as people type
// them in a search.
var folds = func() map[rune]string {
	plain := map[string]string{
		"a": "àáâãäåāăąǎ", "c": "çćĉċč", "d": "ďđð", "e": "èéêëēĕėęěə", "g": "ĝğġģ", "h": "ĥħ", "i": "ìíîïĩīĭįı",
		"j": "ĵ", "k": "ķ", "l": "ĺļľŀł", "n": "ñńņňŋ", "o": "òóôõöøōŏőơ", "r": "ŕŗř", "s": "śŝşšș", "t": "ţťŧț",
		"u": "ùúûüũūŭůűųư", "w": "ŵẁẃẅ", "y": "ýÿŷỳ", "z": "źżž", "ss": "ß", "ae": "æ", "oe": "œ", "th": "þ", "'": "’ʼ`",
	}
	out := map[rune]string{}
	for to, from := range plain {
		for _, r := range from {
			out[r] = to
		}
	}
	return out
}()

// fold returns a text for search and order: lower case, without marks, single
// spaces. Combining marks are dropped, so that both ways to write é are one.
func fold(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		if to, ok := folds[r]; ok {
			b.WriteString(to)
		} else if !unicode.Is(unicode.Mn, r) && (unicode.IsSpace(r) || !unicode.IsControl(r)) {
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
