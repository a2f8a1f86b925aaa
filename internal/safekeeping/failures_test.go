package safekeeping

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

func TestWhatIsKeptOfFailedBackupsReadsBack(t *testing.T) {
	dir := t.TempDir()
	if none, err := readFailures(dir); err != nil || none.InRow != 0 || none.List != nil {
		t.Errorf("of a folder without: %+v, %v", none, err)
	}
	want := keptFailures{Format: failuresFormat, InRow: 2, List: []Failure{{At: 30, Why: "The disk is full.", Asked: true}, {At: 20, Why: "The folder is gone."}}}
	for range 2 { // the second over the first
		if err := writeFailures(dir, want); err != nil {
			t.Fatal(err)
		}
	}
	got, err := readFailures(dir)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v", got, err)
	}
	if info, err := os.Stat(filepath.Join(dir, failuresName)); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("its mode is %v, %v", info.Mode(), err)
	}
}

func TestASpoiltFileOfFailuresIsSaid(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, failuresName), []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	e := &examination{Checkup: Checkup{Dir: dir}}
	if e.failed(0); len(e.lines) != 1 || e.lines[0].Grade != Look || !strings.Contains(e.lines[0].Found, "can't be read") {
		t.Errorf("the doctor says %+v", e.lines)
	}
}

func FuzzParseFailures(f *testing.F) {
	f.Add([]byte(`{"format":"rungbook.backup.failures.v1","in_a_row":1,"failures":[{"at":30,"why":"It is full.","asked":false}]}`))
	f.Add([]byte(`{"format":"rungbook.backup.failures.v1","in_a_row":1,"failures":[]}`))
	f.Add([]byte(`{"format":"other","in_a_row":-1,"failures":[{"at":-1}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		k, err := parseFailures(text)
		if err != nil {
			if k.InRow != 0 || k.List != nil {
				t.Errorf("an error, and %+v", k)
			}
			return
		}
		if len(k.List) > failuresKept || k.InRow > 0 && len(k.List) == 0 {
			t.Errorf("taken: %+v", k)
		}
		e := &examination{}
		for i := range k.List {
			e.say(Look, "failure", "%s", utc.Format(k.List[i].At))
		}
	})
}
