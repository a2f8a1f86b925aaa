// Package internal holds the tests that look at the source as a whole: who
// imports whom, what is written where, and that the names agree.
package internal

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "rungbook"

// A row is one line of the rank table: a package and what it may import inside
// the module. A word that ends in "/" stands for a group below. DEVELOPERS.md
// prints the table; guide_test.go compares.
type row struct {
	rank string
	pkg  string
	may  string
	into string // packages outside the module that only this one may import
}

// A group is a set of packages with one name, printed as says.
type group struct{ name, says, pkgs string }

var groups = []group{
	{"words/", "rank 0", "civil fault id verdict"},
	{"domain/", "rank 1", "rulebook curriculum batch people access rig session credential incident weather sums arrival complaint"},
	{"engine/", "rank 2", "plan plan/check plan/solve/bound plan/solve ledger sheets diary"},
	{"journeys/", "rank 4", "booking drafting yardday coverage records keeping bringing founding safekeeping archive signin signing incidents readings arriving circuits dossiers running completing complaints"},
	{"views/", "views", "web web/ui web/page web/chart"},
}

// The rank table, lowest rank first.
var ranks = []row{
	{rank: "0", pkg: "civil"},
	{rank: "0", pkg: "fault"},
	{rank: "0", pkg: "id"},
	{rank: "0", pkg: "verdict", may: "civil"},

	{rank: "1", pkg: "rulebook", may: "words/"},
	{rank: "1", pkg: "curriculum", may: "words/"},
	{rank: "1", pkg: "batch", may: "words/"},
	{rank: "1", pkg: "people", may: "words/"},
	{rank: "1", pkg: "access", may: "words/ people"}, // an actor carries appointments
	{rank: "1", pkg: "rig", may: "words/ rulebook"},
	{rank: "1", pkg: "session", may: "words/ curriculum people rig"},
	{rank: "1", pkg: "credential", may: "words/ rulebook curriculum people"},
	{rank: "1", pkg: "incident", may: "words/ curriculum"},
	{rank: "1", pkg: "weather", may: "words/ rulebook"},
	{rank: "1", pkg: "sums", may: "words/"},
	{rank: "1", pkg: "arrival", may: "words/"},
	{rank: "1", pkg: "complaint", may: "words/"},

	{rank: "2", pkg: "plan", may: "civil fault"},
	{rank: "2", pkg: "plan/check", may: "words/ plan"},
	{rank: "2", pkg: "plan/solve/bound", may: "civil plan"},
	{rank: "2", pkg: "plan/solve", may: "civil plan plan/solve/bound"},
	{rank: "2", pkg: "ledger", may: "words/"},
	{rank: "2", pkg: "sheets", may: "words/"},
	{rank: "2", pkg: "diary", may: "civil"},

	{rank: "3", pkg: "migrations"},
	{rank: "3", pkg: "store", may: "words/ domain/ plan ledger migrations", into: "database/sql modernc.org/sqlite"},
	{rank: "3½", pkg: "planning", may: "words/ domain/ engine/ store"},

	{rank: "4", pkg: "booking", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "drafting", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "yardday", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "coverage", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "records", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "keeping", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "bringing", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "founding", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "safekeeping", may: "words/ domain/ store"},
	{rank: "4", pkg: "archive", may: "words/ domain/ store"},
	{rank: "4", pkg: "signin", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "signing", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "incidents", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "readings", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "arriving", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "circuits", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "dossiers", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "running", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "completing", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "complaints", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "demo", may: "words/ domain/ engine/ store planning"},
	{rank: "4", pkg: "demo/demotest", may: "words/ domain/ store demo"},

	{rank: "views", pkg: "web", may: "words/"},
	{rank: "views", pkg: "web/ui", may: "words/ views/"},
	{rank: "views", pkg: "web/chart", may: "words/ views/"},
	{rank: "views", pkg: "web/page", may: "words/ views/"},

	{rank: "5", pkg: "httpd", may: "words/ domain/ sheets diary planning journeys/ views/"},
	{rank: "5", pkg: "httpd/browsertest"},
	{rank: "6", pkg: "cmd/rungbook", may: "words/ domain/ engine/ store planning journeys/ demo views/ httpd"},
}

// pure are the ranks that take what they need as arguments.
var pure = []string{"0", "1", "2"}

// impure are the packages that ranks 0 to 2 may not import. (math/rand/v2 is
// allowed: a search seeds its own streams.)
var impure = []string{"database/sql", "net/http", "os", "os/exec", "log", "log/slog", "math/rand", "crypto/rand"}

// fold writes the groups of a row out in full.
func fold(may string) []string {
	var out []string
	for _, word := range strings.Fields(may) {
		if i := slices.IndexFunc(groups, func(g group) bool { return g.name == word }); i >= 0 {
			out = append(out, strings.Fields(groups[i].pkgs)...)
		} else {
			out = append(out, word)
		}
	}
	return out
}

// short cuts an import path of this module to the name in the table.
func short(path string) (string, bool) {
	rest, ours := strings.CutPrefix(path, module+"/")
	return strings.TrimPrefix(rest, "internal/"), ours
}

func TestImportsFollowTheRankTable(t *testing.T) {
	at := map[string]int{}
	owner := map[string]string{}
	for i, r := range ranks {
		at[r.pkg] = i
		for _, outside := range strings.Fields(r.into) {
			owner[outside] = r.pkg
		}
	}
	seen := map[string]bool{}
	for path, imports := range packages(t) {
		pkg, ours := short(path)
		if path == module+"/internal" || !ours {
			continue // these tests themselves
		}
		seen[pkg] = true
		n, known := at[pkg]
		if !known {
			t.Errorf("package %s is not in the rank table: decide what it may import and add its row to internal/arch_test.go", path)
			continue
		}
		may := fold(ranks[n].may)
		for _, imported := range imports {
			if inside, ours := short(imported); ours {
				if inside != pkg && !slices.Contains(may, inside) {
					t.Errorf("%s imports %s: its row of the rank table allows %s", path, imported, orNothing(may))
				}
				continue
			}
			if slices.Contains(pure, ranks[n].rank) && slices.Contains(impure, imported) {
				t.Errorf("%s imports %s: ranks 0 to 2 are pure, so hand it in as an argument", path, imported)
			}
			for outside, only := range owner {
				if only != pkg && (imported == outside || strings.HasPrefix(imported, outside+"/")) {
					t.Errorf("%s imports %s: only %s may", path, imported, only)
				}
			}
		}
	}
	for _, r := range ranks {
		if !seen[r.pkg] {
			t.Errorf("the rank table has a row for %s, which is no package", r.pkg)
		}
	}
}

// TestTheRankTableHoldsTogether finds a row that allows what stands above it,
// and a word that names nothing.
func TestTheRankTableHoldsTogether(t *testing.T) {
	rank := map[string]int{}
	for i, r := range ranks {
		if _, twice := rank[r.pkg]; twice {
			t.Errorf("%s has two rows", r.pkg)
		}
		rank[r.pkg] = i
	}
	for _, g := range groups {
		for _, member := range strings.Fields(g.pkgs) {
			if _, known := rank[member]; !known {
				t.Errorf("the group %s names %q, which has no row", g.name, member)
			}
		}
	}
	for i, r := range ranks {
		for _, word := range fold(r.may) {
			n, known := rank[word]
			switch inOneLayer := strings.HasPrefix(word, "web") && strings.HasPrefix(r.pkg, "web"); {
			case !known:
				t.Errorf("the row of %s names %q, which has no row", r.pkg, word)
			case n > i && !inOneLayer:
				t.Errorf("the row of %s allows %s, which stands above it", r.pkg, word)
			}
		}
	}
}

func orNothing(may []string) string {
	if len(may) == 0 {
		return "nothing of this module"
	}
	return strings.Join(may, ", ")
}

// packages lists the module's packages with the imports of their non-test files.
func packages(t *testing.T) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	for _, p := range listed(t) {
		found[p.ImportPath] = p.Imports
	}
	return found
}

// packagesWithTests lists them with the imports of all their files.
func packagesWithTests(t *testing.T) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	for _, p := range listed(t) {
		found[p.ImportPath] = slices.Concat(p.Imports, p.TestImports, p.XTestImports)
	}
	return found
}

// pkg is what go list says of a package.
type pkg struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

func listed(t *testing.T) (found []pkg) {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports,TestImports,XTestImports", "-tags", "browser", module+"/...")
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %v\n%s", err, exit.Stderr)
		}
		t.Fatal(err)
	}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return found
		} else if err != nil {
			t.Fatal(err)
		}
		found = append(found, p)
	}
}
