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
// the module. A word that ends in "/" stands for a group below.
type row struct {
	pkg  string
	may  string
	into string // packages outside the module that only this one may import
}

var groups = map[string]string{
	"words/":    "civil verdict fault id",
	"domain/":   "rulebook curriculum people rig session credential access",
	"engine/":   "plan plan/check plan/solve plan/solve/bound ledger evidence",
	"journeys/": "booking yardday coverage records keeping signin",
	"views/":    "web web/ui web/page web/chart web/print",
}

// The rank table, lowest rank first.
var ranks = []row{
	{pkg: "civil"},
	{pkg: "fault"},
	{pkg: "id"},
	{pkg: "verdict", may: "civil"},

	{pkg: "rulebook", may: "words/"},
	{pkg: "curriculum", may: "words/"},
	{pkg: "people", may: "words/"},
	{pkg: "access", may: "words/ people"}, // an actor carries appointments
	{pkg: "rig", may: "words/ rulebook"},
	{pkg: "session", may: "words/ curriculum people rig"},
	{pkg: "credential", may: "words/ rulebook curriculum people"},

	{pkg: "plan", may: "civil fault"},
	{pkg: "plan/check", may: "plan civil verdict id fault"},
	{pkg: "plan/solve", may: "plan civil plan/solve/bound"},
	{pkg: "plan/solve/bound", may: "plan civil"},
	{pkg: "ledger", may: "words/"},
	{pkg: "evidence", may: "words/ ledger"},

	{pkg: "migrations"},
	{pkg: "store", may: "words/ domain/ plan ledger migrations",
		into: "database/sql modernc.org/sqlite github.com/pressly/goose"},

	{pkg: "planning", may: "words/ domain/ engine/ store"},

	{pkg: "booking", may: "words/ domain/ engine/ store planning"},
	{pkg: "yardday", may: "words/ domain/ engine/ store planning"},
	{pkg: "coverage", may: "words/ domain/ engine/ store planning"},
	{pkg: "records", may: "words/ domain/ engine/ store planning"},
	{pkg: "keeping", may: "words/ domain/ engine/ store planning"},
	{pkg: "signin", may: "words/ domain/ engine/ store planning"},
	{pkg: "demo", may: "words/ domain/ engine/ store planning"},

	{pkg: "web", may: "words/ views/"},
	{pkg: "web/ui", may: "words/ views/"},
	{pkg: "web/page", may: "words/ views/"},
	{pkg: "web/chart", may: "words/ views/"},
	{pkg: "web/print", may: "words/ views/"},
	{pkg: "httpd", may: "words/ access journeys/ planning views/"},
	{pkg: "httpd/browsertest"},

	{pkg: "cmd/rungbook", may: "words/ domain/ engine/ store planning journeys/ demo views/ httpd"},
}

// impure are the packages that ranks 0 to 2, the rows down to "evidence", may
// not import: they take what they need as arguments. (math/rand/v2 is allowed:
// the search seeds its own streams.)
var impure = []string{"database/sql", "net/http", "os", "os/exec", "log", "log/slog", "math/rand", "crypto/rand"}

// fold writes the groups of a row out in full.
func fold(may string) []string {
	var out []string
	for _, word := range strings.Fields(may) {
		if members, ok := groups[word]; ok {
			out = append(out, strings.Fields(members)...)
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
	rank := map[string]int{}
	owner := map[string]string{}
	for i, r := range ranks {
		rank[r.pkg] = i
		for _, outside := range strings.Fields(r.into) {
			owner[outside] = r.pkg
		}
	}
	pure := rank["evidence"]
	for path, imports := range packages(t) {
		pkg, ours := short(path)
		if path == module+"/internal" || !ours {
			continue // these tests themselves
		}
		n, known := rank[pkg]
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
			if n <= pure && slices.Contains(impure, imported) {
				t.Errorf("%s imports %s: ranks 0 to 2 are pure, so hand it in as an argument", path, imported)
			}
			for outside, only := range owner {
				if only != pkg && (imported == outside || strings.HasPrefix(imported, outside+"/")) {
					t.Errorf("%s imports %s: only %s may", path, imported, only)
				}
			}
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
	for i, r := range ranks {
		for _, word := range fold(r.may) {
			n, known := rank[word]
			switch inOneLayer := strings.HasPrefix(word, "web") && strings.HasPrefix(r.pkg, "web"); {
			case !known:
				t.Errorf("the row of %s names %q, which has no row", r.pkg, word)
			case n > i && !inOneLayer && word != "plan/solve/bound":
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
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports", "-tags", "browser", module+"/...")
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %v\n%s", err, exit.Stderr)
		}
		t.Fatal(err)
	}
	found := map[string][]string{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return found
		} else if err != nil {
			t.Fatal(err)
		}
		found[p.ImportPath] = p.Imports
	}
}
