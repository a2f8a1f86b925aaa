package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// writeProbe writes the problem and the plan of a probe into a folder and
// returns their paths. change alters the plan's text first.
func writeProbe(t *testing.T, probe string, change func(string) string) (problem, plan string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/probes", probe))
	if err != nil {
		t.Fatal(err)
	}
	var f struct{ Problem, Plan json.RawMessage }
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	problem, plan = filepath.Join(dir, "problem.json"), filepath.Join(dir, "plan.json")
	writeFile(t, problem, string(f.Problem))
	writeFile(t, plan, change(string(f.Plan)))
	return problem, plan
}

func writeFile(t *testing.T, path, data string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(data), 0o600); err != nil {
		t.Fatal(err)
	}
}

func same(s string) string { return s }

func judge(args checkArgs) (code int, stdout, stderr string) {
	words := []string{"check", args.Problem, args.Plan}
	if args.From != "" {
		words = append(words, "--from", args.From)
	}
	var out, err bytes.Buffer
	code = run(words, &out, &err)
	return code, out.String(), err.String()
}

func TestCheckPrintsNothingAndExits0WhereEveryRuleHolds(t *testing.T) {
	problem, plan := writeProbe(t, "stated/holds.json", same)
	code, stdout, stderr := judge(checkArgs{Problem: problem, Plan: plan})
	if code != 0 || stdout != "" {
		t.Errorf("exit %d, stdout %q, want 0 and nothing", code, stdout)
	}
	const want = "sessions: 1\nneeds unplaced: 1\ncost worked out anew: 1080\nviolations: 0\n"
	if stderr != want {
		t.Errorf("stderr %q, want %q", stderr, want)
	}
}

func TestCheckPrintsALineAViolationAndExits1(t *testing.T) {
	problem, plan := writeProbe(t, "daily-rest/breaks.json", same)
	code, stdout, stderr := judge(checkArgs{Problem: problem, Plan: plan})
	const want = "daily-rest  ada  ends at 2027-03-01T20:00:00+00:00; next starts at 2027-03-02T06:30:00+00:00: 10 h 30 rest, 11 h (policy site)\n"
	if code != 1 || stdout != want {
		t.Errorf("exit %d, stdout %q, want 1 and %q", code, stdout, want)
	}
	if !strings.Contains(stderr, "violations: 1\n") {
		t.Errorf("stderr %q does not count the violation", stderr)
	}
}

func TestCheckNamesThePlanWhereTheRuleIsAboutIt(t *testing.T) {
	problem, plan := writeProbe(t, "stated/breaks.json", same)
	code, stdout, _ := judge(checkArgs{Problem: problem, Plan: plan})
	if code != 1 || !strings.HasPrefix(stdout, "stated  plan  states a cost of 1079, ") {
		t.Errorf("exit %d, stdout %q", code, stdout)
	}
}

func TestCheckExits2AndSaysWhereAFileIsUnusable(t *testing.T) {
	problem, plan := writeProbe(t, "grid/holds.json", same)
	dir := t.TempDir()
	bad := func(name, old, new, from string) string {
		data, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Replace(string(data), old, new, 1)
		if text == string(data) {
			t.Fatalf("%q is not in %s", old, from)
		}
		path := filepath.Join(dir, name)
		writeFile(t, path, text)
		return path
	}
	fixed := `"fixed":[{"id":"f1","exercise":"climb","station":"deck","start":"2027-03-01T09:15:00+00:00","end":"2027-03-01T10:15:00+00:00","trainees":["t1"],"instructors":["ada"]}],"weights"`
	for _, c := range []struct {
		name string
		args checkArgs
		says string
	}{
		{"no such problem", checkArgs{Problem: filepath.Join(dir, "none.json"), Plan: plan}, "none.json can't be read: no such file"},
		{"no such plan", checkArgs{Problem: problem, Plan: filepath.Join(dir, "none.json")}, "none.json can't be read: no such file"},
		{"no such old plan", checkArgs{Problem: problem, Plan: plan, From: filepath.Join(dir, "none.json")}, "none.json can't be read: no such file"},
		{"a folder in place of the plan", checkArgs{Problem: problem, Plan: dir}, " can't be read: is a directory"},
		{"the problem in place of the plan", checkArgs{Problem: problem, Plan: problem}, "problem.json: "},
		{"a problem with a ratio of 0", checkArgs{Problem: bad("ratio.json", `"ratio": 6`, `"ratio": 0`, problem), Plan: plan}, "ratio.json: /exercises/0/ratio: "},
		{"fixed sessions that break a rule", checkArgs{Problem: bad("fixed.json", `"weights"`, fixed, problem), Plan: plan}, "fixed.json: /fixed/0: fixed sessions break a rule: grid f1"},
		{"a plan with an unknown station", checkArgs{Problem: problem, Plan: bad("mast.json", `"deck"`, `"mast"`, plan)}, `mast.json: /sessions/0/station: no station has the id "mast"`},
		{"a plan that is cut off", checkArgs{Problem: problem, Plan: bad("cut.json", `"sessions": [`, "", plan)}, "cut.json"},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, stdout, stderr := judge(c.args)
			if code != 2 || stdout != "" || !strings.Contains(stderr, c.says) || strings.Count(stderr, "\n") != 1 {
				t.Errorf("exit %d, stdout %q, stderr %q, want 2, nothing and one line with %q", code, stdout, stderr, c.says)
			}
		})
	}
}

// TestCheckWithAndWithoutTheOldPlan repairs a plan by moving its one session:
// the cost then holds the price of a move, which only OLD can tell.
func TestCheckWithAndWithoutTheOldPlan(t *testing.T) {
	repaired := func(s string) string {
		s = strings.Replace(s, `"cost": 1080`, `"cost": 1280, "made": {"version":"1","seed":1,"effort":1,"problem_sha256":"a","from_sha256":"b"}`, 1)
		return strings.Replace(s, `"bound": 80`, `"bound": 1280`, 1)
	}
	problem, plan := writeProbe(t, "stated/holds.json", repaired)
	data, err := os.ReadFile(problem)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, problem, strings.Replace(string(data), `"unplaced": 1000`, `"unplaced": 1000, "moved": 200`, 1))
	_, old := writeProbe(t, "stated/holds.json", func(s string) string {
		// A person who has gone since is no reason to refuse OLD.
		return strings.Replace(strings.Replace(s, `"ada"`, `"gone"`, 1), `"deck"`, `"ladder"`, 1)
	})
	if code, stdout, stderr := judge(checkArgs{Problem: problem, Plan: plan, From: old}); code != 0 || !strings.Contains(stderr, "anew: 1280\n") {
		t.Errorf("with OLD: exit %d, stdout %q, stderr %q", code, stdout, stderr)
	}
	code, stdout, stderr := judge(checkArgs{Problem: problem, Plan: plan})
	if code != 0 || !strings.Contains(stderr, "cost and bound not judged") {
		t.Errorf("without OLD: exit %d, stdout %q, stderr %q, want it said that cost is not judged", code, stdout, stderr)
	}
}

// full is a place that takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestCheckSaysSoWhenViolationsCanNotBeWritten(t *testing.T) {
	problem, plan := writeProbe(t, "grid/breaks.json", same)
	var stderr bytes.Buffer
	if code := run([]string{"check", problem, plan}, full{}, &stderr); code != 2 || !strings.Contains(stderr.String(), "the violations can't be written") {
		t.Errorf("exit %d, stderr %q", code, stderr.String())
	}
}
