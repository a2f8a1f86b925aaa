package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// endless is a problem whose search goes on until it is told to stop: each need could
// be placed by itself, but never with five rests in one day, and no bound shows it.
const endless = `{"format": "rungbook.problem.v1", "zone": "Europe/Dublin", "from": "2027-03-01", "days": 5, "grid_minutes": 30,
	"open": [{"weekdays": [1, 2, 3, 4, 5], "from": "08:00", "to": "16:00"}], "weights": {"unplaced": 1000, "staff_minute": 1},
	"rest_policies": {"day": {"weekly_rest_days": 1, "weekly_rest_minutes": 60, "weekly_rest_count": 5}},
	"rigs": [{"id": "tower"}], "stations": [{"id": "deck", "rig": "tower", "places": 4}],
	"exercises": [{"id": "climb", "minutes": 120, "stations": ["deck"], "ratio": 4}],
	"people": [{"id": "ada", "teaches": [{"exercise": "climb", "from": "2027-01-01", "until": "2027-12-31"}], "rest": ["day"]}],
	"trainees": [{"id": "kim", "intake": "spring", "needs": ["climb"], "rest": ["day"]}]}`

// interrupted runs the real command over an older plan, sends a signal once it has
// told of a round, and returns the exit code and what stands in the folder then.
func interrupted(t *testing.T, by os.Signal) (code int, files map[string]string, said string) {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "problem.json"), []byte(endless), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "plan.json"), []byte("older"), 0o600); err != nil {
		t.Fatal(err)
	}
	path, err := exec.LookPath("rungbook")
	if err != nil {
		t.Fatal(err)
	}
	var errors transcript
	cmd := exec.Command(path, "plan", "problem.json", "-o", "plan.json", "--seconds", "3600")
	cmd.Dir, cmd.Stderr = dir, &errors
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for until := time.Now().Add(patience); !strings.Contains(errors.String(), "effort"); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatalf("it tells of no round: %s", errors.String())
		}
	}
	if err := cmd.Process.Signal(by); err != nil {
		t.Fatal(err)
	}
	cmd.Wait() // the exit code tells
	files = make(map[string]string)
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		data, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name()] = string(data)
	}
	return cmd.ProcessState.ExitCode(), files, errors.String()
}

func TestASignalEndsTheSearchAndThePlanIsWritten(t *testing.T) {
	for _, by := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		t.Run(by.String(), func(t *testing.T) {
			t.Parallel()
			code, files, said := interrupted(t, by)
			if code != exitUnplaced || len(files) != 2 || !strings.Contains(files["plan.json"], `"trainee": "kim"`) {
				t.Errorf("exit code %d, files %v, said %s", code, files, said)
			}
			for _, line := range strings.Split(strings.TrimSpace(said), "\n") {
				if strings.ContainsAny(line, "\r\x1b") {
					t.Errorf("%q is no plain line", line)
				}
			}
		})
	}
}

func TestAProgramThatIsKilledLeavesTheOlderPlan(t *testing.T) {
	code, files, _ := interrupted(t, os.Kill)
	if code != -1 || files["plan.json"] != "older" || len(files) != 2 {
		t.Errorf("exit code %d, files %v", code, files)
	}
}
