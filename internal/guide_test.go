package internal

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// These tests hold the guide for developers to the code.

const guide = "../DEVELOPERS.md"

var update = flag.Bool("update", false, "write the rank table in DEVELOPERS.md anew")

func guideText(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// rankTable prints the rank table as Markdown.
func rankTable() string {
	var b strings.Builder
	b.WriteString("| rank | package | may import, of this module |\n| --- | --- | --- |\n")
	for _, r := range ranks {
		var may []string
		for _, word := range strings.Fields(r.may) {
			if i := slices.IndexFunc(groups, func(g group) bool { return g.name == word }); i >= 0 {
				may = append(may, groups[i].says)
			} else {
				may = append(may, "`"+word+"`")
			}
		}
		says := strings.Join(may, ", ")
		if says == "" {
			says = "nothing"
		}
		if r.into != "" {
			says += "; alone may import `" + strings.Join(strings.Fields(r.into), "`, `") + "`"
		}
		fmt.Fprintf(&b, "| %s | `%s` | %s |\n", r.rank, r.pkg, says)
	}
	return b.String()
}

func TestTheGuideShowsTheRankTable(t *testing.T) {
	const begin, end = "<!-- rank table: printed by go test ./internal -run Guide -update -->\n", "<!-- end of rank table -->"
	text := guideText(t)
	before, rest, found := strings.Cut(text, begin)
	shown, after, closed := strings.Cut(rest, end)
	if !found || !closed {
		t.Fatalf("%s lacks the marks of the rank table", guide)
	}
	if *update {
		if err := os.WriteFile(guide, []byte(before+begin+rankTable()+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(rankTable(), shown); diff != "" {
		t.Errorf("the rank table in %s is not that of arch_test.go; -update writes it anew (-code +guide):\n%s", guide, diff)
	}
}

// section returns the lines of the guide under a heading, up to the next of its
// level.
func section(t *testing.T, heading string) []string {
	t.Helper()
	_, rest, found := strings.Cut(guideText(t), "\n## "+heading+"\n")
	if !found {
		t.Fatalf("%s has no section %q", guide, heading)
	}
	body, _, _ := strings.Cut(rest, "\n## ")
	return strings.Split(strings.TrimSpace(body), "\n")
}

var quoted = regexp.MustCompile("`([^`]+)`")

// TestTheGuideNamesFilesThatExist looks at everything in the guide that is
// written like a path of this module.
func TestTheGuideNamesFilesThatExist(t *testing.T) {
	path := regexp.MustCompile(`^(cmd|internal|web|migrations|testdata|\.ci)(/[\w./*-]+)?$`)
	named := 0
	for _, m := range quoted.FindAllStringSubmatch(guideText(t), -1) {
		if !path.MatchString(m[1]) || strings.Contains(m[1], "...") {
			continue
		}
		named++
		if found, err := filepath.Glob(filepath.Join("..", m[1])); err != nil || len(found) == 0 {
			t.Errorf("%s names %s, which is not there", guide, m[1])
		}
	}
	if named < 30 {
		t.Errorf("only %d paths were found in %s: the test looks for the wrong thing", named, guide)
	}
}

// TestEachRuleHasOnePlace wants a file in every line of the table.
func TestEachRuleHasOnePlace(t *testing.T) {
	for _, line := range section(t, "Where each rule lives") {
		if !strings.HasPrefix(line, "| ") || strings.HasPrefix(line, "| ---") || strings.HasPrefix(line, "| question") {
			continue
		}
		cells := strings.Split(line, " | ")
		if len(cells) < 2 || !quoted.MatchString(cells[1]) {
			t.Errorf("no place is named in %s", line)
		}
	}
}

// TestTheWordsAreTheCodesWords finds a word of the table whose type is not there.
func TestTheWordsAreTheCodesWords(t *testing.T) {
	types := map[string]bool{}
	for _, s := range sources(t) {
		if s.ext() != ".go" || s.test() || s.generated() {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), s.path, s.text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range tree.Decls {
			if g, ok := d.(*ast.GenDecl); ok && g.Tok == token.TYPE {
				for _, spec := range g.Specs {
					types[tree.Name.Name+"."+spec.(*ast.TypeSpec).Name.Name] = true
				}
			}
		}
	}
	named := 0
	for _, line := range section(t, "Words") {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		if len(cells) != 3 {
			continue
		}
		for _, m := range quoted.FindAllStringSubmatch(cells[1], -1) {
			named++
			if !types[m[1]] {
				t.Errorf("the word %s is said to be %s, which is no type", cells[0], m[1])
			}
		}
	}
	if named < 15 {
		t.Errorf("only %d types are named under Words", named)
	}
}

// TestEveryDependencyHasAReason compares the modules that the code imports with
// the list in the guide, both ways. Tools are listed and not imported.
func TestEveryDependencyHasAReason(t *testing.T) {
	reasons := map[string]bool{} // module → imported
	for _, line := range section(t, "Dependencies") {
		if m := regexp.MustCompile("^- `([^`]+)`: .{20,}").FindStringSubmatch(line); m != nil {
			reasons[m[1]] = strings.Contains(line, "(tool)")
		}
	}
	for path, imports := range packagesWithTests(t) {
		for _, imported := range imports {
			if first, _, _ := strings.Cut(imported, "/"); !strings.Contains(first, ".") {
				continue // this module or the standard library
			}
			covered := false
			for m := range reasons {
				if imported == m || strings.HasPrefix(imported, m+"/") {
					reasons[m], covered = true, true
				}
			}
			if !covered {
				t.Errorf("%s imports %s: give its module a line under Dependencies, with why", path, imported)
			}
		}
	}
	for m, used := range reasons {
		if !used {
			t.Errorf("%s gives a reason for %s, which nothing imports", guide, m)
		}
	}
}

func TestTheConventionsStayAPage(t *testing.T) {
	if n := len(section(t, "Conventions")); n > 40 {
		t.Errorf("the conventions have %d lines; 40 is the most", n)
	}
}
