package httpd

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/safekeeping"
)

// keeping serves a copy of the demo's yard with a schedule, whose maker runs until
// the test ends. now is its clock and the yard's.
func (s *site) keeping(t *testing.T, to string, now civil.Clock) *site {
	t.Helper()
	j := s.journeys
	j.Backups = safekeeping.New(safekeeping.Plan{Data: s.dir, Yard: s.store.VerifierKey(), To: to, Key: true, Version: "test", Clock: now,
		Schedule: safekeeping.Schedule{Every: 24 * 60, Kept: 3, LoudAfter: 3 * 24 * 60}})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { j.Backups.Run(ctx); close(ended) }()
	t.Cleanup(func() { stop(); <-ended })
	out := *s
	out.journeys, out.handler = j, New(j, s.log)
	return &out
}

// firstMade waits for the backup that a server makes at its start.
func firstMade(t *testing.T, s *site) {
	t.Helper()
	if _, done, err := s.journeys.Backups.Ask(t.Context(), s.actorOf(access.Administrator), "first"); err != nil || !done {
		t.Fatal(done, err)
	}
}

func backupsIn(t *testing.T, folder string) int {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.backup"))
	if err != nil {
		t.Fatal(err)
	}
	return len(files)
}

func TestWithoutAScheduleThePageAndTheFrontPageAreLoudForAdministratorsAlone(t *testing.T) {
	s := open(t)
	for role, want := range map[access.Role]bool{access.Administrator: true, access.Instructor: false, access.Auditor: false} {
		r := s.as(role)
		for _, path := range []string{"/", "/attention"} {
			got := text(parse(t, r.get(path)))
			if strings.Contains(got, "No backups are made of this record") != want {
				t.Errorf("%s as %s, loud wanted: %t", path, role, want)
			}
		}
	}
	r := s.as(access.Administrator)
	got := text(parse(t, r.get("/backups")))
	for _, want := range []string{"Not safe", "No backups are made of this record", "Start the server with --backups", "rungbook restore BACKUP --data NEW-FOLDER"} {
		if !strings.Contains(got, want) {
			t.Errorf("it doesn't say %q", want)
		}
	}
	if strings.Contains(got, "Backup now") {
		t.Error("a button that can't work")
	}
	if w := r.post("/backups", vals("key", "k1")); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "No folder for backups was said") {
		t.Errorf("sent all the same: %d", w.Code)
	}
}

func TestAnAdministratorMakesABackupNowAndThePageTellsOfIt(t *testing.T) {
	folder := t.TempDir()
	s := open(t).keeping(t, folder, standing)
	r := s.as(access.Administrator)
	firstMade(t, s)
	before := backupsIn(t, folder)
	w := r.post("/backups", vals("key", "k1"))
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/backups" {
		t.Fatalf("%d to %q", w.Code, w.Header().Get("Location"))
	}
	again := r.post("/backups", vals("key", "k1"))
	page := text(parse(t, r.get("/backups")))
	for _, want := range []string{"A backup was made and read back: rungbook-20270412T0", "The last good one, made Mon 12 Apr 08:00, is less than a minute old", "opened, and every sum in it holds",
		"the newest 3", "rungbook restore " + folder, "Tue 13 Apr 08:00", "Backup now"} {
		if !strings.Contains(page, want) {
			t.Errorf("it doesn't say %q:\n%s", want, page)
		}
	}
	if again.Code != http.StatusSeeOther || strings.Contains(page, "Not safe") {
		t.Errorf("%d; quiet wanted", again.Code)
	}
	if n := backupsIn(t, folder) - before; n != 1 {
		t.Errorf("the form sent twice made %d", n)
	}
	if front := text(parse(t, r.get("/"))); strings.Contains(front, "Not safe") {
		t.Error("the front page is loud over a good backup")
	}
	if w := r.post("/backups", vals()); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("without a key: %d", w.Code)
	}
}

func TestAFolderThatIsGoneAndABackupThatIsTooOldAreLoudWithTheReason(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "backups")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	s := open(t).keeping(t, folder, standing)
	firstMade(t, s)
	// Four days later, and a maker that can't find the record.
	late := func() time.Time { return standing().Add(4*24*time.Hour + time.Minute) }
	j := s.journeys
	if err := os.Rename(folder, folder+"-away"); err != nil {
		t.Fatal(err)
	}
	j.Backups = safekeeping.New(safekeeping.Plan{Data: filepath.Join(t.TempDir(), "none"), Yard: s.store.VerifierKey(), To: folder, Clock: late,
		Schedule: safekeeping.Schedule{Every: 24 * 60, Kept: 3, LoudAfter: 3 * 24 * 60}})
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { j.Backups.Run(ctx); close(ended) }()
	defer func() { stop(); <-ended }()
	gone := *s
	gone.journeys, gone.handler = j, New(j, s.log)
	r := gone.as(access.Administrator)
	if w := r.post("/backups", vals("key", "k1")); w.Code != http.StatusSeeOther {
		t.Errorf("%d", w.Code)
	}
	page := text(parse(t, r.get("/backups")))
	for _, want := range []string{"No backup was made. See below what failed.", "Not safe", "The folder of backups can’t be read: no such file or directory.", "What failed", "asked for", "in a row", "There is no good one."} {
		if !strings.Contains(page, want) {
			t.Errorf("it doesn't say %q:\n%s", want, page)
		}
	}
	if err := os.Rename(folder+"-away", folder); err != nil {
		t.Fatal(err)
	}
	r.post("/backups", vals("key", "k2")) // the folder is read again, and the record is still not found
	page = text(parse(t, r.get("/")))
	if want := "The last good backup is 4 days old; after 3 days that is too old. The last try failed: There is no Rungbook database"; !strings.Contains(page, want) {
		t.Errorf("the front page doesn't say %q", want)
	}
}
