//go:build browser

package browsertest

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"

	"github.com/chromedp/chromedp"
)

// browser is the one Chromium of this test run; pages are windows of it, each
// with cookies of its own.
var browser context.Context

// Run starts the browser, runs the tests, and ends what they started. It
// returns the exit code for TestMain.
func Run(m *testing.M) int {
	chrome, err := chromePath()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	allocator, free := chromedp.NewExecAllocator(context.Background(), flags(chrome)...)
	defer free()
	ctx, quit := chromedp.NewContext(allocator)
	defer quit()
	if err := chromedp.Do(ctx); err != nil {
		fmt.Fprintf(os.Stderr, "starting %s: %v\n", chrome, err)
		return 1
	}
	browser = ctx
	defer programs.close()
	return m.Run()
}

// chromePath returns the browser that CHROME names, or the first of the usual
// names that the machine has.
func chromePath() (string, error) {
	names := []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"}
	if named := os.Getenv("CHROME"); named != "" {
		names = []string{named}
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", fmt.Errorf("no browser found (looked for %v): install Chromium, or set CHROME to the path of one", names)
}

// flags make Chromium quiet and the same everywhere. The profile is a new
// temporary folder, which the allocator makes and removes.
func flags(chrome string) []chromedp.ExecAllocatorOption {
	opts := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	opts = append(opts, chromedp.ExecPath(chrome), chromedp.NoSandbox, chromedp.DisableGPU)
	for flag, value := range map[string]any{
		"headless":                      "new",
		"disable-quic":                  true,
		"no-first-run":                  true,
		"disable-background-networking": true,
		"disable-component-update":      true,
		"disable-sync":                  true,
		"hide-scrollbars":               true,
		"lang":                          cmp.Or(os.Getenv("CHROME_LANG"), "en-IE"),
	} {
		opts = append(opts, chromedp.Flag(flag, value))
	}
	return opts
}
