package main

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
)

// A disk that is full is stood in for by a limit on the size of files, which the
// system sets on any process of one's own: a write beyond it fails as on a full
// disk, and needs no right to mount anything. The limit does not reach what a
// process only reads.

// TestAFullDiskRefusesWhatItCantKeepAndLosesNothing takes the room from a running
// server: who is signed in reads on, nothing is half saved, and all goes on once
// there is room again.
func TestAFullDiskRefusesWhatItCantKeepAndLosesNothing(t *testing.T) {
	v := newVictim(t, 1)
	v.found()
	r := v.serve()
	v.makeToken()
	if !v.inspect(1) {
		t.Fatal("nothing can be recorded while there is room")
	}
	before := v.entries()

	limitFiles(t, r.cmd.Process.Pid, 1024)
	for name, path := range map[string]string{"yard": "/", "week": "/week/" + demo.Zone().Today(civil.Real()).WeekString(), "station": "/stations/" + v.check[0], "my day": "/yard"} {
		if status, said := v.get(path); status != http.StatusOK {
			t.Errorf("%s on a full disk: %d\n%s", name, status, said)
		}
	}
	inspection := url.Values{"key": {"full-1"}, "subject": {v.check[0]}, "line": {v.check[1]}, "done": {demo.Zone().Today(civil.Real()).String()}, "result": {"passed"}}
	status, said := v.post("/inspections", inspection)
	if status != http.StatusServiceUnavailable || !strings.Contains(said, "disk is full") {
		t.Errorf("an inspection on a full disk: %d\n%s", status, said)
	}
	v.bookUntilRefused(t)
	if status, said := v.post("/backups", url.Values{"key": {"full-backup"}}); status == http.StatusSeeOther && !strings.Contains(v.page("/backups"), "could not be made") {
		t.Errorf("a backup on a full disk: %d\n%s", status, said)
	}
	if now := v.entries(); now != before {
		t.Errorf("%s became %s on a full disk", before, now)
	}

	limitFiles(t, r.cmd.Process.Pid, syscall.RLIM_INFINITY)
	if status, said := v.post("/inspections", inspection); status != http.StatusSeeOther {
		t.Errorf("the same inspection with room again: %d\n%s", status, said)
	}
	if now := v.entries(); now == before {
		t.Error("nothing was recorded with room again")
	}
	if err := r.end(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	v.look()
	v.rungbook("rebuild", "--data", v.dir)
}

// TestCommandsOnAFullDiskSaySoAndLeaveNothingHalf runs an import and a backup that
// may write no more than a few pages.
func TestCommandsOnAFullDiskSaySoAndLeaveNothingHalf(t *testing.T) {
	v := newVictim(t, 1)
	v.found()
	list, copied := filepath.Join(t.TempDir(), "people.csv"), filepath.Join(t.TempDir(), "yard.backup")
	v.writePeople(list, "Zyxfull")
	for name, args := range map[string][]string{
		"import": {"import", "people", list, "--data", v.dir, "--by", demo.Accounts()[1].Email},
		"backup": {"backup", "--data", v.dir, copied},
	} {
		out, err := v.confined(args...).CombinedOutput()
		if err == nil || !strings.Contains(string(out), "disk is full") {
			t.Errorf("%s on a full disk: %v\n%s", name, err, out)
		}
	}
	if n := v.people("Zyxfull"); n != 0 {
		t.Errorf("%d people were brought in by an import that failed", n)
	}
	left, err := filepath.Glob(filepath.Join(filepath.Dir(copied), "*"))
	if err != nil || len(left) != 0 {
		t.Errorf("the backup that failed left %v, %v", left, err)
	}
	v.look()
	v.rungbook("import", "people", list, "--data", v.dir, "--by", demo.Accounts()[1].Email)
	if n := v.people("Zyxfull"); n != broughtRows {
		t.Errorf("with room again %d of %d people were brought in", n, broughtRows)
	}
}

// confined is the program where no file may grow beyond 256 blocks of 512 bytes;
// some shells count in blocks of 1,024.
func (v *victim) confined(args ...string) *exec.Cmd {
	v.Helper()
	c := v.program(args...)
	return exec.Command("/bin/sh", append([]string{"-c", `ulimit -f 256 && exec "$@"`, "sh"}, c.Args...)...)
}

// limitFiles sets how large a file a process may write, in bytes.
func limitFiles(t *testing.T, pid int, bytes int64) {
	t.Helper()
	unlimited := int64(syscall.RLIM_INFINITY)
	limit := syscall.Rlimit{Cur: uint64(bytes), Max: uint64(unlimited)}
	_, _, failed := syscall.RawSyscall6(syscall.SYS_PRLIMIT64, uintptr(pid), syscall.RLIMIT_FSIZE, uintptr(unsafe.Pointer(&limit)), 0, 0, 0)
	if failed != 0 {
		t.Fatalf("limiting files to %s bytes: %v", strconv.FormatInt(bytes, 10), failed)
	}
}

// bookUntilRefused books what is offered; the server must say that it can't.
func (v *victim) bookUntilRefused(t *testing.T) {
	t.Helper()
	for _, pair := range v.pairs {
		var options struct {
			Seen   int64
			Offers []map[string]any
		}
		status, ok := v.ask("/options", "", map[string]any{"exercise": pair.Exercise, "intake": pair.Intake}, &options)
		if !ok || status != http.StatusOK {
			t.Fatalf("free times on a full disk: %d", status)
		}
		if len(options.Offers) == 0 {
			continue
		}
		body := map[string]any{"seen": options.Seen}
		for _, name := range []string{"exercise", "station", "start", "trainees", "instructors", "rescuers"} {
			if x := options.Offers[0][name]; x != nil {
				body[name] = x
			}
		}
		if status, ok := v.ask("/sessions", "full-book", body, &done{}); !ok || status != http.StatusServiceUnavailable {
			t.Errorf("a booking on a full disk: %d", status)
		}
		return
	}
	t.Error("no free time is offered: the test says nothing of bookings")
}

func (v *victim) get(path string) (status int, said string) {
	v.Helper()
	answer, err := v.browser.Get(v.base + path)
	return v.answer(answer, err)
}

func (v *victim) post(path string, fields url.Values) (status int, said string) {
	v.Helper()
	answer, err := v.browser.PostForm(v.base+path, fields)
	return v.answer(answer, err)
}

func (v *victim) answer(answer *http.Response, err error) (status int, said string) {
	v.Helper()
	if err != nil {
		v.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		v.Fatal(err)
	}
	return answer.StatusCode, string(text)
}

var entryOfPage = regexp.MustCompile(`(?s)Entry</dt>\s*<dd[^>]*>([^<]+)<`)

// entries is the ledger's last entry, as a page says it.
func (v *victim) entries() string {
	v.Helper()
	found := entryOfPage.FindStringSubmatch(v.page("/"))
	if found == nil {
		v.Fatal("the yard page does not say its entry")
	}
	return found[1]
}

// page returns a page that must be there.
func (v *victim) page(path string) string {
	v.Helper()
	status, said := v.get(path)
	if status != http.StatusOK {
		v.Fatalf("%s: %d", path, status)
	}
	return said
}
