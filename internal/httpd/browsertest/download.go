//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	control "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
)

// filePatience is how long a file may take until it is whole: some hold the whole
// record and are made when they are asked for, for several tests at once.
const filePatience = 60 * time.Second

// Download clicks the one thing of that role and name, which hands a file, and
// returns the file's name and content.
func (p *Page) Download(role, name string) (file string, content []byte) {
	p.t.Helper()
	dir := p.t.TempDir()
	call(p, control.SetDownloadBehavior, control.SetDownloadBehaviorParams{Behavior: control.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
		BrowserContextID: chromedp.FromContext(p.ctx).BrowserContextID})
	p.Click(role, name)
	defer func(was time.Duration) { p.patience = was }(p.patience)
	p.patience = filePatience
	p.eventually(func() error {
		files, err := os.ReadDir(dir)
		if err != nil {
			return err
		}
		if len(files) != 1 || strings.HasSuffix(files[0].Name(), ".crdownload") {
			return fmt.Errorf("%s: %q handed %d whole files", p.describe(), name, len(files))
		}
		file = files[0].Name()
		content, err = os.ReadFile(filepath.Join(dir, file))
		return err
	})
	return file, content
}
