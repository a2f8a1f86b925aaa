//go:build browser

package browsertest

import (
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestAnAdministratorMakesABackupAndSeesIt presses the button and reads what came
// of it, with script and without.
func TestAnAdministratorMakesABackupAndSeesIt(t *testing.T) {
	t.Parallel()
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := FreshDemo(t).Open(t, look)
			p.SignIn("administrator")
			p.menu("Backups")
			p.WantText("Next one due", "To restore") // the first one may be under way
			p.Click("button", "Backup now")
			awaitBackup(p)
			p.WantText("Last good one", "opened, and every sum in it holds", "Wed 3 Mar")
			p.WantSound()
			p.WantAccessible()
			p.Shot("backups " + look.Name)
		})
	}
	p := Demo(t).Open(t, Desktop)
	p.SignIn("instructor")
	p.Expect(403)
	p.Go("/backups")
	p.WantStatus(403)
}

// awaitBackup looks again, as the page offers, until the backup asked for is made:
// behind another one it takes longer than a request is kept waiting.
func awaitBackup(p *Page) {
	p.t.Helper()
	if strings.Contains(p.Text(), "A backup was made and read back") {
		return
	}
	p.WantText("The backup is still being made.")
	for range 100 {
		if !p.Has("link", "Look again") {
			return
		}
		time.Sleep(500 * time.Millisecond)
		p.Click("link", "Look again")
	}
	p.t.Fatalf("%s: the backup is not made after many looks", p.describe())
}

// TestAYardWithoutAScheduleIsLoudAndSoIsAFolderThatIsGone starts a yard of its own.
func TestAYardWithoutAScheduleIsLoudAndSoIsAFolderThatIsGone(t *testing.T) {
	t.Parallel()
	data := t.TempDir()
	folder := filepath.Join(t.TempDir(), "backups")
	none := Start(t, "serve", "--data", filepath.Join(data, "a"), "--listen", "127.0.0.1:0")
	gone := Start(t, "serve", "--data", filepath.Join(data, "b"), "--listen", "127.0.0.1:0", "--backups", folder)
	for _, c := range []struct {
		name string
		yard *Program
		look Look
		say  string
	}{
		{"no schedule", none, Phone, "No backups are made of this record"},
		{"a folder that is gone", gone, DesktopNoScript, "The folder of backups can’t be read: no such file or directory"},
	} {
		h := &head{Page: c.yard.Open(t, c.look)}
		h.firstAdministrator(c.yard.Await(t, `give this code once:\s+(\S+)`)[1])
		h.setUpPlace()
		for _, path := range []string{"/", "/attention", "/backups"} {
			h.Go(path)
			h.WantText("Not safe", c.say)
			h.WantSound()
			h.WantAccessible()
			h.Shot("backups loud " + c.name + strings.ReplaceAll(path, "/", " "))
		}
	}
}
