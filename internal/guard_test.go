package internal

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A source is one file of the project that a person wrote.
type source struct {
	path string // from the module's root, with slashes
	text []byte
}

func (s source) generated() bool { return strings.HasSuffix(s.path, "_templ.go") }
func (s source) test() bool      { return strings.HasSuffix(s.path, "_test.go") }
func (s source) in(folders ...string) bool {
	return slices.ContainsFunc(folders, func(f string) bool { return strings.HasPrefix(s.path, f+"/") })
}

// ext returns what kind of file s is.
func (s source) ext() string { return filepath.Ext(s.path) }

// kinds are the endings of files that people write here; "" is a file like
// Makefile.
var kinds = []string{".go", ".templ", ".css", ".js", ".sql", ".svg", ".json", ".txt", ".txtar", ".md", ".mod", ""}

// sources reads every file of the project that a person wrote.
func sources(t *testing.T) []source {
	t.Helper()
	var found []source
	root := os.DirFS("..")
	err := fs.WalkDir(root, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			switch d.Name() {
			case ".git", "node_modules", "shots", "bin":
				return fs.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || !slices.Contains(kinds, filepath.Ext(path)) {
			return nil
		}
		text, err := fs.ReadFile(root, path)
		if err != nil {
			return err
		}
		if bytes.IndexByte(text, 0) < 0 { // not a program left by a build
			found = append(found, source{path, text})
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(found) < 10 {
		t.Fatalf("found only %d files: the walk looks in the wrong place", len(found))
	}
	return found
}

// A ban is a call that has one home.
type ban struct {
	call    string // how the call is written: "pkg.Name(" or ".Method("
	why     string
	allowed func(source) bool
}

var bans = []ban{
	{"AddDate", "days and months are counted in civil", func(s source) bool { return s.in("internal/civil") }},
	{"Hour", "a local time of day comes from civil", func(s source) bool { return s.in("internal/civil") }},
	{"Truncate(24h)", "a day is not 24 hours; use civil", func(s source) bool { return s.in("internal/civil") }},
	{"time.Now", "the clock is an argument", func(s source) bool {
		return s.in("internal/civil", "cmd", "internal/httpd/browsertest") || s.test()
	}},
	{"fmt.Print", "only the command writes to the terminal", func(s source) bool { return s.in("cmd") || s.test() }},
	{"t.Skip", "a test that may not run proves nothing", func(source) bool { return false }}, // but see draws
}

// called returns the names of bans that the call breaks.
func called(call *ast.CallExpr) []string {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return nil
	}
	name := sel.Sel.Name
	var on string
	if id, ok := sel.X.(*ast.Ident); ok {
		on = id.Name + "."
	}
	switch {
	case name == "AddDate", name == "Hour" && len(call.Args) == 0:
		return []string{name}
	case name == "Truncate" && len(call.Args) == 1 && isDay(call.Args[0]):
		return []string{"Truncate(24h)"}
	case on == "time." && (name == "Now" || name == "Since" || name == "Until"):
		return []string{"time.Now"}
	case on == "fmt." && strings.HasPrefix(name, "Print"):
		return []string{"fmt.Print"}
	case name == "Skip" || name == "Skipf" || name == "SkipNow":
		return []string{"t.Skip"}
	}
	return nil
}

// isDay says whether e is 24 * time.Hour, in either order.
func isDay(e ast.Expr) bool {
	product, ok := e.(*ast.BinaryExpr)
	if !ok || product.Op != token.MUL {
		return false
	}
	is24 := func(e ast.Expr) bool { lit, ok := e.(*ast.BasicLit); return ok && lit.Value == "24" }
	return is24(product.X) || is24(product.Y)
}

func TestCallsStayInTheirHome(t *testing.T) {
	for _, s := range sources(t) {
		if s.ext() != ".go" || s.generated() {
			continue
		}
		files := token.NewFileSet()
		tree, err := parser.ParseFile(files, s.path, s.text, parser.SkipObjectResolution)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		drawing := draws(tree)
		ast.Inspect(tree, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || slices.ContainsFunc(drawing, func(skip ast.Expr) bool { return skip == call.Fun }) {
				return true
			}
			for _, name := range called(call) {
				b := bans[slices.IndexFunc(bans, func(b ban) bool { return b.call == name })]
				if !b.allowed(s) {
					t.Errorf("%s calls %s: %s", files.Position(call.Pos()), b.call, b.why)
				}
			}
			return true
		})
	}
}

// draws returns the calls of Skip with which a random history passes over an act
// that can't be done just then; rapid fails a test that does so too often.
func draws(tree *ast.File) (skips []ast.Expr) {
	ast.Inspect(tree, func(n ast.Node) bool {
		var params *ast.FieldList
		switch f := n.(type) {
		case *ast.FuncDecl:
			params = f.Type.Params
		case *ast.FuncLit:
			params = f.Type.Params
		default:
			return true
		}
		for _, p := range params.List {
			if star, ok := p.Type.(*ast.StarExpr); !ok || !isRapidT(star.X) || len(p.Names) != 1 {
				continue
			}
			ast.Inspect(n, func(n ast.Node) bool {
				if sel, ok := n.(*ast.SelectorExpr); ok && sel.Sel.Name == "Skip" && isNamed(sel.X, p.Names[0].Name) {
					skips = append(skips, sel)
				}
				return true
			})
		}
		return true
	})
	return skips
}

func isRapidT(e ast.Expr) bool {
	sel, ok := e.(*ast.SelectorExpr)
	return ok && sel.Sel.Name == "T" && isNamed(sel.X, "rapid")
}

func isNamed(e ast.Expr, name string) bool {
	id, ok := e.(*ast.Ident)
	return ok && id.Name == name
}

func TestASkippedActIsNotASkippedTest(t *testing.T) {
	const text = `package p
func act(rt *rapid.T) { rt.Skip("nothing to do"); t.Skip() }
func test(t *testing.T) { t.Skip(); check(func(rt *rapid.T) { rt.Skip() }) }`
	tree, err := parser.ParseFile(token.NewFileSet(), "p.go", text, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	if got := len(draws(tree)); got != 2 {
		t.Errorf("%d calls are taken for acts passed over, want 2", got)
	}
}

func TestTheGuardSeesEachBannedCall(t *testing.T) {
	for expr, want := range map[string]string{
		"day.AddDate(0, 1, 0)":        "AddDate",
		"at.Hour()":                   "Hour",
		"at.Truncate(24 * time.Hour)": "Truncate(24h)",
		"at.Truncate(time.Hour * 24)": "Truncate(24h)",
		"time.Now()":                  "time.Now",
		"time.Since(start)":           "time.Now",
		"fmt.Println(x)":              "fmt.Print",
		"t.Skipf(x)":                  "t.Skip",
		"at.Truncate(time.Minute)":    "",
		"clock()":                     "",
		"fmt.Sprint(x)":               "",
	} {
		tree, err := parser.ParseExpr(expr)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(called(tree.(*ast.CallExpr)), " "); got != want {
			t.Errorf("%s: got %q, want %q", expr, got, want)
		}
	}
}

// A smell is a text that no file may hold. (What templates and style sheets may
// not hold stands in web/css_test.go.)
type smell struct {
	pattern *regexp.Regexp
	why     string
}

// The patterns are put together from pieces so that this file does not hold
// what it looks for.
var smells = []smell{
	{regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|XX` + `X)\b`), "finish it, or file it"},
	{regexp.MustCompile(`(^|[\s"'=(:])/(ho` + `me|ro` + `ot|wo` + `rk|tm` + `p|Us` + `ers)/`), "a path of one machine"},
	{regexp.MustCompile(`registry\.npm` + `js|proxy\.gol` + `ang\.org`), "the name of a package registry"},
}

func TestNoFileSmells(t *testing.T) {
	for _, s := range sources(t) {
		if s.generated() {
			continue
		}
		for _, bad := range smells {
			for _, at := range bad.pattern.FindAllIndex(s.text, -1) {
				t.Errorf("%s:%d holds %q: %s", s.path, line(s.text, at[0]), s.text[at[0]:at[1]], bad.why)
			}
		}
	}
}

// standard is the wind industry's training standard. It may be cited as the
// source of a figure and named nowhere else: Rungbook claims nothing of it.
var standard = regexp.MustCompile(`G` + `WO|Global W` + `ind Org`)

func TestTheTrainingStandardIsNamedAsASourceOnly(t *testing.T) {
	cited := 0
	for _, s := range sources(t) {
		at := standard.FindAllIndex(s.text, -1)
		if s.in("internal/rulebook") {
			cited += len(at)
			continue
		}
		for _, found := range at {
			t.Errorf("%s:%d names the training standard: only the rule book may, as the source of a figure", s.path, line(s.text, found[0]))
		}
	}
	if cited == 0 {
		t.Error("the rule book cites the standard nowhere: the test looks for the wrong name")
	}
}

func line(text []byte, offset int) int { return 1 + bytes.Count(text[:offset], []byte("\n")) }

// Long files hide what they hold. The store's projections are long lists of
// columns, which a cut would only scatter.
const mostLines = 400

func TestFilesStayShort(t *testing.T) {
	for _, s := range sources(t) {
		if s.ext() != ".go" || s.generated() || s.test() || s.in("internal/store") {
			continue
		}
		if n := bytes.Count(s.text, []byte("\n")); n > mostLines {
			t.Errorf("%s has %d lines; %d is the most: part it along what it is about", s.path, n, mostLines)
		}
	}
}

// TestFunctionsStayShort counts the lines from the name to the closing brace.
func TestFunctionsStayShort(t *testing.T) {
	const most = 60
	for _, s := range sources(t) {
		if s.ext() != ".go" || s.generated() || s.test() {
			continue
		}
		files := token.NewFileSet()
		tree, err := parser.ParseFile(files, s.path, s.text, parser.SkipObjectResolution)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		for _, d := range tree.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if n := files.Position(f.End()).Line - files.Position(f.Pos()).Line + 1; n > most {
				t.Errorf("%s: %s has %d lines; %d is the most", files.Position(f.Pos()), f.Name.Name, n, most)
			}
		}
	}
}

// weak are names that say nothing of what a package or type is.
var weak = regexp.MustCompile(`(?i)(util|helper|manager|service|common)s?$`)

func TestPackagesAreNamedForAThing(t *testing.T) {
	for _, s := range sources(t) {
		if s.ext() != ".go" {
			continue
		}
		if name := filepath.Base(filepath.Dir(s.path)); weak.MatchString(name) {
			t.Errorf("%s: %q says nothing of what is in it", s.path, name)
		}
	}
}

func TestEveryPackageSaysWhatItKnows(t *testing.T) {
	documented := map[string]bool{}
	for _, s := range sources(t) {
		if s.ext() != ".go" || s.generated() || s.test() {
			continue
		}
		folder := filepath.Dir(s.path)
		tree, err := parser.ParseFile(token.NewFileSet(), s.path, s.text, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		documented[folder] = documented[folder] || tree.Doc != nil && strings.HasPrefix(tree.Doc.Text(), docStart(tree.Name.Name))
	}
	for folder, ok := range documented {
		if !ok {
			t.Errorf("%s has no package comment", folder)
		}
	}
}

func docStart(pkg string) string {
	if pkg == "main" {
		return "Command "
	}
	return fmt.Sprintf("Package %s ", pkg)
}
