package main

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
)

// TestWhatAFullDiskRefusesSaysWhatToDo fills a small disk where one can be mounted,
// and takes the room from the server by a limit where none can.
func TestWhatAFullDiskRefusesSaysWhatToDo(t *testing.T) {
	v := newVictim(t, 1)
	v.found()
	from := v.dir
	dir := t.TempDir()
	fill := func(r *process) error { limitFiles(t, r.cmd.Process.Pid, 0); return nil }
	free := func(r *process) error { limitFiles(t, r.cmd.Process.Pid, syscall.RLIM_INFINITY); return nil }
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=160m"); err != nil {
		t.Logf("no small disk can be mounted here (%v): a limit on files stands in for it", err)
	} else {
		t.Cleanup(func() {
			if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
				t.Error(err)
			}
		})
		filler := filepath.Join(dir, "filler")
		fill = func(*process) error { return fillDisk(filler) }
		free = func(*process) error { return os.Remove(filler) }
	}
	v.dir = filepath.Join(dir, "yard")
	v.settle(from)
	v.onFullDisk(fill, free)
}

// fillDisk writes a file until its disk is full.
func fillDisk(name string) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	if errors.Is(err, syscall.ENOSPC) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// settle copies a yard to the victim's folder and keeps a first backup of it.
func (v *victim) settle(from string) {
	v.Helper()
	err := errors.Join(os.Mkdir(v.dir, 0o700), os.Mkdir(v.backups(), 0o700), os.CopyFS(filepath.Join(v.dir, "evidence"), os.DirFS(filepath.Join(from, "evidence"))))
	for _, name := range []string{"rungbook.db", "rungbook.key", "signin.db"} {
		data, readErr := os.ReadFile(filepath.Join(from, name))
		err = errors.Join(err, readErr, os.WriteFile(filepath.Join(v.dir, name), data, 0o600))
	}
	if err != nil {
		v.Fatal(err)
	}
	v.rungbook("backup", "--data", v.dir, v.backups())
}

func (v *victim) backups() string { return filepath.Join(filepath.Dir(v.dir), "backups") }

func (v *victim) onFullDisk(fill, free func(*process) error) {
	r := v.serve("--backups", v.backups())
	v.makeToken()
	keeper := newTerminal().browser // an administrator's
	v.as(keeper, func() { v.signIn(demo.Accounts()[1]) })
	v.wants("before", http.StatusSeeOther, "")(v.inspection("before"))
	if err := errors.Join(v.emptyLog(), fill(r)); err != nil {
		v.Fatal(err)
	}
	entries, files, kept := v.entries(), v.names(v.dir), v.names(v.backups())
	for _, form := range []string{"first", "second"} {
		v.wants(form+" form", http.StatusServiceUnavailable, "Nothing was saved; make room")(v.inspection(form))
	}
	v.bookUntilRefused(v.T)
	v.refusesCommands()
	for _, path := range []string{"/", "/people", "/stations/" + v.check[0], "/attention", "/healthz"} {
		v.wants("reading "+path, http.StatusOK, "")(v.get(path))
	}
	v.as(keeper, func() {
		v.wants("a backup by the server", http.StatusSeeOther, "")(v.post("/backups", url.Values{"key": {"full-backup"}}))
		v.wants("what became of it", http.StatusOK, "Make room", "make room")(v.get("/backups"))
	})
	v.wantsOneAnswerOfTheDoor()
	if now := v.names(v.backups()); !slices.Equal(now, kept) {
		v.Errorf("a backup that failed left something: %v, before %v", now, kept)
	}
	if now := v.names(v.dir); !slices.Equal(now, files) {
		v.Errorf("the full disk left something: %v, before %v", now, files)
	}
	if now := v.entries(); now != entries {
		v.Errorf("%s entries after everything was refused, %s before", now, entries)
	}
	if err := free(r); err != nil {
		v.Fatal(err)
	}
	v.worksAgain(entries, keeper)
	if err := r.end(os.Interrupt); err != nil {
		v.Fatal(err)
	}
	v.clean()
}

// refusesCommands runs an import and a backup beside the server.
func (v *victim) refusesCommands() {
	v.Helper()
	for name, args := range map[string][]string{
		"import": {"import", "people", v.list(), "--data", v.dir, "--by", demo.Accounts()[1].Email},
		"backup": {"backup", "--data", v.dir, v.backups()},
	} {
		said, err := v.confined(args...).CombinedOutput()
		var ended *exec.ExitError
		if !errors.As(err, &ended) || ended.ExitCode() != exitUnusable || !strings.Contains(strings.ToLower(string(said)), "make room") {
			v.Errorf("%s on a full disk: %v\n%s", name, err, said)
		}
	}
}

// list is a file of people, on another disk.
func (v *victim) list() string {
	v.Helper()
	var text strings.Builder
	text.WriteString("Name;Born;Number\n")
	for i := range 60 {
		fmt.Fprintf(&text, "%s Fullerby;1980-%02d-%02d;F%d\n", letters(i), 1+i%12, 1+i%28, i)
	}
	file := filepath.Join(v.TempDir(), "people.csv")
	if err := os.WriteFile(file, []byte(text.String()), 0o600); err != nil {
		v.Fatal(err)
	}
	return file
}

// wantsOneAnswerOfTheDoor signs in anew: the sentence stands alone, with no page
// below it.
func (v *victim) wantsOneAnswerOfTheDoor() {
	v.Helper()
	account := demo.Accounts()[0]
	answer, err := newTerminal().browser.PostForm(v.base+"/sign-in", url.Values{"email": {account.Email}, "password": {account.Password}})
	_, said := v.answer(answer, err)
	if answer.StatusCode != http.StatusServiceUnavailable || !strings.Contains(said, "its disk is full") || strings.Contains(said, "<") {
		v.Errorf("signing in on a full disk: %s\n%s", answer.Status, said)
	}
}

func (v *victim) worksAgain(entries string, keeper *http.Client) {
	v.Helper()
	v.wants("after", http.StatusSeeOther, "")(v.inspection("after"))
	v.wants("the form that was refused, sent again", http.StatusSeeOther, "")(v.inspection("first"))
	for n, pair := range v.pairs {
		if len(v.booked) == 0 {
			v.book(100+n, pair)
		}
	}
	v.rungbook("import", "people", v.list(), "--data", v.dir, "--by", demo.Accounts()[1].Email)
	if n := v.people("Fullerby"); n != 60 || len(v.booked) == 0 {
		v.Errorf("after room was made, %d people came in and %d sessions were booked", n, len(v.booked))
	}
	before := len(v.names(v.backups()))
	v.as(keeper, func() {
		v.wants("a backup", http.StatusSeeOther, "")(v.post("/backups", url.Values{"key": {"free-backup"}}))
	})
	if now := v.names(v.backups()); len(now) <= before {
		v.Errorf("no backup was made: %v", now)
	}
	v.signIn(demo.Accounts()[0])
	if now := v.entries(); now == entries {
		v.Errorf("still %s entries", now)
	}
}

// clean wants a doctor to find nothing, but that a small disk is small.
func (v *victim) clean() {
	v.Helper()
	var out bytes.Buffer
	run([]string{"doctor", "--data", v.dir, "--backups", v.backups()}, &out, &out)
	for line := range strings.Lines(out.String()) {
		if strings.HasPrefix(line, "bad") && !strings.HasPrefix(line, "bad   disk") || strings.HasPrefix(line, "rungbook:") {
			v.Errorf("the doctor says: %s", line)
		}
	}
	if !strings.Contains(out.String(), "the signed head covers them") {
		v.Errorf("the doctor did not look:\n%s", &out)
	}
	v.rungbook("rebuild", "--data", v.dir)
}

// emptyLog puts what SQLite wrote ahead into the database, so that the next fact
// needs new room.
func (v *victim) emptyLog() error {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(v.dir, "rungbook.db"))
	if err != nil {
		return err
	}
	_, err = db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	return errors.Join(err, db.Close())
}

// as does something in another's browser.
func (v *victim) as(who *http.Client, do func()) {
	before := v.browser
	v.browser = who
	do()
	v.browser = before
}

func (v *victim) signIn(a demo.Account) {
	v.Helper()
	v.form("/sign-in", url.Values{"email": {a.Email}, "password": {a.Password}})
}

func (v *victim) inspection(name string) (int, string) {
	return v.post("/inspections", url.Values{"key": {"full-" + name}, "subject": {v.check[0]}, "line": {v.check[1]},
		"done": {demo.Zone().Today(civil.Real()).String()}, "result": {"passed"}, "note": {"note " + name}})
}

// wants says what an answer must be: its status, and one of some words.
func (v *victim) wants(what string, wanted int, words ...string) func(status int, said string) {
	return func(status int, said string) {
		v.Helper()
		if status != wanted || !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(said, w) }) {
			_, main, _ := strings.Cut(said, "<main")
			v.Errorf("%s: %d, wanted %d and one of %q:\n%.2000s", what, status, wanted, words, main)
		}
	}
}

// names are the files of a folder.
func (v *victim) names(dir string) (out []string) {
	v.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		v.Fatal(err)
	}
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}
