//go:build browser

package browsertest

import (
	"bytes"
	"strings"
	"testing"
)

// TestAnAdministratorTakesTheArchive finds the page, reads what it warns of, and has
// the file; an instructor is refused.
func TestAnAdministratorTakesTheArchive(t *testing.T) {
	t.Parallel()
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.SignIn("administrator")
			p.menu("Set up")
			p.Click("link", "Archive")
			p.WantText("It holds personal data", "What it does not hold", "Who is signed in", "read-back")
			p.WantSound()
			p.WantAccessible()
			p.Shot("archive " + look.Name)
			name, file := p.Download("link", "Download the archive")
			if !strings.HasSuffix(name, ".zip") || !bytes.HasPrefix(file, []byte("PK")) || !bytes.Contains(file, []byte("manifest.json")) {
				t.Errorf("%s has %d bytes and is no archive", name, len(file))
			}
		})
	}
	p := Demo(t).Open(t, Desktop)
	p.SignIn("instructor")
	p.Expect(403)
	p.Go("/archive")
	p.WantStatus(403)
}
