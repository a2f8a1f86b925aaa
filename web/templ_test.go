package web

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestGeneratedCodeHoldsEveryExpression guards against a fault of the generator
// (templ v0.3.1100, goexpression.SliceArgs): in "{ a }. Word { b }" it reads
// "a }. Word {" as the type of a composite literal and prints b twice, silently.
// Reword such a sentence, or end it inside the expression.
func TestGeneratedCodeHoldsEveryExpression(t *testing.T) {
	simple := regexp.MustCompile(`(?:^|[^=]|[^?]=)\{ ([A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z0-9_]+)*) \}`)
	for path, text := range templates(t) {
		b, err := os.ReadFile(strings.TrimSuffix(path, ".templ") + "_templ.go")
		if err != nil {
			t.Errorf("%s has no generated code: %v", path, err)
			continue
		}
		want := map[string]int{}
		for _, m := range simple.FindAllStringSubmatch(text, -1) {
			want[m[1]]++
		}
		for expression, n := range want {
			if got := strings.Count(string(b), "("+expression+")"); got < n {
				t.Errorf("%s writes { %s } %d times, its generated code %d times", path, expression, n, got)
			}
		}
	}
}
