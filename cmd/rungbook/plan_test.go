package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/solve"
)

const smallProblem = "../../testdata/problems/small.json"

// planned runs the command and returns the file, the exit code and what was said.
func planned(t *testing.T, args ...string) (file []byte, code int, said string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "plan.json")
	var stdout, stderr bytes.Buffer
	code = run(append([]string{"plan", "-o", out}, args...), &stdout, &stderr)
	if stdout.Len() > 0 {
		t.Errorf("standard output holds %q, want nothing", stdout.String())
	}
	file, err := os.ReadFile(out)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return file, code, stderr.String()
}

func TestPlanGivesTheSameBytesOnAnyNumberOfCores(t *testing.T) {
	var first []byte
	for _, cores := range []int{1, 2, 8} {
		was := runtime.GOMAXPROCS(cores)
		file, code, said := planned(t, smallProblem, "--effort", "6", "--seed", "4")
		runtime.GOMAXPROCS(was)
		if code != exitOK {
			t.Fatalf("exit code %d, want %d: %s", code, exitOK, said)
		}
		if first == nil {
			first = file
		} else if !bytes.Equal(file, first) {
			t.Errorf("the plan made on %d cores differs from that on one", cores)
		}
	}
}

func TestATimedPlanIsMadeAgainByTheEffortItStates(t *testing.T) {
	timed, code, said := planned(t, smallProblem, "--seconds", "0.3")
	if code != exitOK && code != exitUnplaced {
		t.Fatalf("exit code %d: %s", code, said)
	}
	var made struct {
		Made struct{ Effort json.Number }
	}
	if err := json.Unmarshal(timed, &made); err != nil {
		t.Fatal(err)
	}
	again, _, _ := planned(t, smallProblem, "--effort", made.Made.Effort.String())
	if !bytes.Equal(again, timed) {
		t.Errorf("the plan made again with effort %s differs", made.Made.Effort)
	}
}

func TestAPlanThatIsRepairedNamesWhatItCameFrom(t *testing.T) {
	file, _, _ := planned(t, smallProblem, "--effort", "2")
	old := filepath.Join(t.TempDir(), "old.json")
	if err := os.WriteFile(old, file, 0o600); err != nil {
		t.Fatal(err)
	}
	repaired, code, said := planned(t, smallProblem, "--effort", "2", "--from", old)
	if !strings.Contains(said, "people whose sessions change: ") {
		t.Errorf("nothing is said of those whose sessions change: %s", said)
	}
	if code != exitOK || !strings.Contains(string(repaired), shaOf(file)) {
		t.Errorf("exit code %d, or from_sha256 is missing: %s", code, said)
	}
}

func TestPlanTellsWhatItCannotPlace(t *testing.T) {
	p, err := readProblem(smallProblem)
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Exercises {
		if p.Exercises[i].ID == "first-aid" {
			p.Exercises[i].Stations = nil
		}
	}
	data, err := plan.EncodeProblem(p)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "problem.json")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	file, code, said := planned(t, path, "--effort", "2")
	if code != exitUnplaced {
		t.Errorf("exit code %d, want %d: %s", code, exitUnplaced, said)
	}
	if !strings.Contains(string(file), "no station is given for this exercise") {
		t.Error("the plan does not say why first-aid has no place")
	}
	if want := "other trainees: no station is given for this exercise (station-fit, /exercises/"; strings.Count(said, want) != 1 || strings.Index(said, want) > strings.Index(said, "sessions:") {
		t.Errorf("what no plan can place is not named once and first: %s", said)
	}
}

func TestPlanRefusesWhatItCannotUse(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		said string
	}{
		"effort and seconds":    {[]string{smallProblem, "--effort", "1", "--seconds", "1"}, "give one of them"},
		"negative effort":       {[]string{smallProblem, "--effort=-1"}, "must be 0 or more"},
		"endless seconds":       {[]string{smallProblem, "--seconds", "+Inf"}, "must be from 0"},
		"seconds that are none": {[]string{smallProblem, "--seconds", "NaN"}, "must be from 0"},
		"no such problem":       {[]string{"nowhere.json"}, "can't be read"},
		"a plan as problem":     {[]string{"../../internal/plan/testdata/plan.json"}, "/zone"},
		"a problem as old plan": {[]string{smallProblem, "--from", smallProblem}, "/format"},
		// Said before the search, which would go on for longer than any test may.
		"a folder that is none": {[]string{smallProblem, "--seconds", "9999999", "-o", "nowhere/plan.json"}, "can't be written"},
		"an endless problem":    {[]string{"/dev/zero"}, "is longer than the 67108864 bytes"},
		"a folder as plan":      {[]string{smallProblem, "--seconds", "9999999", "-o", "testdata"}, "it is a folder"},
	} {
		t.Run(name, func(t *testing.T) {
			file, code, said := planned(t, c.args...)
			if code != exitUnusable || file != nil || !strings.Contains(said, c.said) {
				t.Errorf("exit code %d, said %q; want %d and %q", code, said, exitUnusable, c.said)
			}
		})
	}
}

func TestPlanRefusesMoreTraineesThanOneRunTakes(t *testing.T) {
	file, err := os.ReadFile(smallProblem)
	if err != nil {
		t.Fatal(err)
	}
	var problem map[string]any
	if err := json.Unmarshal(file, &problem); err != nil {
		t.Fatal(err)
	}
	trainees := problem["trainees"].([]any)
	for len(trainees) < solve.MostTrainees {
		trainees = append(trainees, map[string]any{"id": fmt.Sprint("more", len(trainees)), "intake": "more", "needs": []string{}, "rest": []string{}})
	}
	path := filepath.Join(t.TempDir(), "problem.json")
	for _, c := range []struct {
		more int
		said string
	}{{0, "effort: 0"}, {1, "/trainees: lists 20001 trainees, at most 20000"}} {
		for range c.more {
			trainees = append(trainees, map[string]any{"id": "last", "intake": "more", "needs": []string{}, "rest": []string{}})
		}
		problem["trainees"] = trainees
		many, err := json.Marshal(problem)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, many, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, said := planned(t, path, "--effort", "0"); !strings.Contains(said, c.said) {
			t.Errorf("%d trainees: said %q, want %q", len(trainees), said, c.said)
		}
	}
}

func TestAnInterruptedRunWritesWhatItHas(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var stderr bytes.Buffer
	out := filepath.Join(t.TempDir(), "plan.json")
	hour := 3600.0
	err := runPlan(&planCommand{Problem: smallProblem, Output: out, Seconds: &hour, Seed: 1}, &surroundings{ctx, &stderr, &stderr})
	if err != nil && err != errUnplaced {
		t.Fatalf("err = %v, want nil or needs unplaced", err)
	}
	if _, err := os.Stat(out); err != nil {
		t.Error("no plan was written")
	}
}
