package web

import (
	"io/fs"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	comment  = regexp.MustCompile(`(?s)/\*.*?\*/`)
	declared = regexp.MustCompile(`\.([a-z][a-z0-9-]*)`)
	used     = regexp.MustCompile(`class="([^"]*)"`)
	computed = regexp.MustCompile(`class=\{`)
	banned   = regexp.MustCompile(`(?m)^(css|script) \w+\(|\bstyle=|<style|\bon(click|change|submit|input|load)=|javascript:`)
)

// templates returns every template below this folder.
func templates(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := fs.WalkDir(os.DirFS("."), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".templ") {
			return err
		}
		b, err := os.ReadFile(path)
		out[path] = string(b)
		return err
	})
	if err != nil || len(out) == 0 {
		t.Fatalf("templates: %d found, %v", len(out), err)
	}
	return out
}

func TestEveryClassIsDefinedAndUsed(t *testing.T) {
	sheet := comment.ReplaceAllString(string(styleSheet()), "")
	defined := map[string]bool{}
	for _, rule := range regexp.MustCompile(`[^{};]+\{`).FindAllString(sheet, -1) {
		for _, m := range declared.FindAllStringSubmatch(rule, -1) {
			defined[m[1]] = true
		}
	}
	uses := map[string]string{}
	for path, text := range templates(t) {
		if computed.MatchString(text) {
			t.Errorf("%s: a class is computed; show a state by an attribute", path)
		}
		for _, m := range used.FindAllStringSubmatch(text, -1) {
			for _, class := range strings.Fields(m[1]) {
				uses[class] = path
			}
		}
	}
	for class, path := range uses {
		if !defined[class] {
			t.Errorf("%s uses class %q, which no style sheet defines", path, class)
		}
	}
	for class := range defined {
		if uses[class] == "" {
			t.Errorf("class %q is defined but no template uses it", class)
		}
	}
}

func TestNoTemplateHoldsStyleOrScript(t *testing.T) {
	for path, text := range templates(t) {
		if found := banned.FindString(text); found != "" {
			t.Errorf("%s holds %q, which the content policy blocks", path, found)
		}
	}
}

func TestColoursStandOnlyInTheTokens(t *testing.T) {
	raw := regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(|!important`)
	names, err := fs.Glob(static, "static/css/*.css")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "10-tokens.css") {
			continue
		}
		if found := raw.FindString(comment.ReplaceAllString(string(file(strings.TrimPrefix(name, "static/"))), "")); found != "" {
			t.Errorf("%s holds %q; colours come from the intents of 10-tokens.css", name, found)
		}
	}
}

// TestEveryTokenIsDeclared finds a misspelt token, which a browser passes over
// in silence, and one that nothing uses.
func TestEveryTokenIsDeclared(t *testing.T) {
	sheet := comment.ReplaceAllString(string(styleSheet()), "")
	declared, asked := map[string]bool{}, map[string]bool{}
	for _, m := range regexp.MustCompile(`(--[\w-]+):`).FindAllStringSubmatch(sheet, -1) {
		declared[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`var\((--[\w-]+)`).FindAllStringSubmatch(sheet, -1) {
		asked[m[1]] = true
		if !declared[m[1]] {
			t.Errorf("the style sheet uses %s, which it does not declare", m[1])
		}
	}
	for name := range declared {
		if !asked[name] {
			t.Errorf("the style sheet declares %s and does not use it", name)
		}
	}
}

// TestIntentsKeepTheirContrast computes WCAG 2.2 contrast (1.4.3, 1.4.6, 1.4.11)
// of each pair of intents that meet on a page, in both themes and on paper. The
// outdoor pages use --text, --accent and the verdicts on --paper and --surface, which
// is why those ask for 7.
func TestIntentsKeepTheirContrast(t *testing.T) {
	pairs := []struct {
		front, back string
		least       float64
	}{
		{"text", "paper", 7}, {"text", "surface", 7}, {"text", "band", 7}, {"text", "accent-wash", 7},
		{"text", "stops-wash", 7}, {"text", "cautions-wash", 7}, {"text", "clear-wash", 7},
		{"text-quiet", "paper", 4.5}, {"text-quiet", "surface", 4.5}, {"text-quiet", "band", 4.5},
		{"text-quiet", "accent-wash", 4.5},
		{"accent", "paper", 7}, {"accent", "surface", 7}, {"accent", "band", 4.5}, {"accent", "accent-wash", 4.5},
		{"accent", "stops-wash", 4.5}, {"accent", "cautions-wash", 4.5}, {"accent", "clear-wash", 4.5},
		{"on-accent", "accent", 7}, {"paper", "text", 7}, {"paper", "clear", 4.5},
		{"stops", "paper", 7}, {"stops", "surface", 7}, {"stops", "stops-wash", 4.5},
		{"cautions", "paper", 7}, {"cautions", "surface", 7}, {"cautions", "cautions-wash", 4.5},
		{"clear", "paper", 7}, {"clear", "surface", 7}, {"clear", "clear-wash", 4.5},
		{"line-firm", "paper", 3}, {"line-firm", "surface", 3}, {"focus", "paper", 3}, {"focus", "surface", 3}, {"live", "text", 3},
	}
	for _, theme := range []string{"light", "dark", "print"} {
		intent := intents(t, theme)
		for _, p := range pairs {
			front, back := intent[p.front], intent[p.back]
			if front == "" || back == "" {
				t.Fatalf("--%s or --%s is not an intent", p.front, p.back)
			}
			if got := contrast(front, back); !(got >= p.least) { // NaN fails too
				t.Errorf("%s: --%s on --%s has contrast %.2f, want at least %.1f", theme, p.front, p.back, got, p.least)
			}
		}
	}
}

// intents reads the token file: name → colour in a theme. Paper is the light
// theme with what the print sheet changes.
func intents(t *testing.T, theme string) map[string]string {
	t.Helper()
	text := string(file("css/10-tokens.css"))
	palette := map[string]string{}
	for _, m := range regexp.MustCompile(`--(_[a-z0-9-]+): (#[0-9a-f]{6});`).FindAllStringSubmatch(text, -1) {
		palette[m[1]] = m[2]
	}
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z-]+): light-dark\(var\(--(_[a-z-]+)\), var\(--(_[a-z-]+)\)\);`).FindAllStringSubmatch(text, -1) {
		out[m[1]] = palette[m[2+max(0, slices.Index([]string{"light", "dark"}, theme))]]
	}
	if theme == "print" {
		for _, m := range regexp.MustCompile(`--([a-z-]+): var\(--(_[a-z-]+)\);`).FindAllStringSubmatch(string(file("css/90-print.css")), -1) {
			out[m[1]] = palette[m[2]]
		}
	}
	return out
}

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// luminance follows the definition of relative luminance in WCAG 2.2.
func luminance(hex string) float64 {
	var sum float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			return math.NaN()
		}
		c := float64(v) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
