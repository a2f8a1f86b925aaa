package internal

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/plan/check"
)

// The names of the rules, in the order of the specification's table "What makes
// a plan valid". The command, the board and the planner print them; outside
// checkers rely on them. The file changes only with the specification.
const specRules = "testdata/spec-rules.txt"

func specNames(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile(specRules)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Fields(string(text))
}

func TestTheJudgeKnowsTheRulesOfTheSpecification(t *testing.T) {
	var got []string
	for _, r := range check.Rules() {
		got = append(got, r.Name)
	}
	if diff := cmp.Diff(specNames(t), got); diff != "" {
		t.Errorf("check.Rules against %s (-specification +code):\n%s", specRules, diff)
	}
}

// TestEachRuleIsOneFunctionOfItsName finds a rule that is judged under another
// name. "break" is a word of Go, so its function is named "breaks".
func TestEachRuleIsOneFunctionOfItsName(t *testing.T) {
	functions := map[string]int{}
	for _, s := range sources(t) {
		if !s.in("internal/plan/check") || s.ext() != ".go" || s.test() {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), s.path, s.text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range tree.Decls {
			if f, ok := d.(*ast.FuncDecl); ok {
				functions[f.Name.Name]++
			}
		}
	}
	for _, rule := range specNames(t) {
		name := strings.ReplaceAll(rule, "break", "breaks")
		words := strings.Split(name, "-")
		for i := 1; i < len(words); i++ {
			words[i] = strings.ToUpper(words[i][:1]) + words[i][1:]
		}
		if name = strings.Join(words, ""); functions[name] == 0 {
			t.Errorf("no function %s in plan/check judges the rule %s", name, rule)
		}
	}
}
