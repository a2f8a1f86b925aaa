//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"

	"github.com/chromedp/cdproto/page"
)

// Picture returns the whole page, beyond the window's edge too, as PNG.
func (p *Page) Picture() ([]byte, error) {
	p.settle()
	yes := true
	res, err := tryCall(p, page.CaptureScreenshot, page.CaptureScreenshotParams{
		Format: page.CaptureScreenshotFormatPng, CaptureBeyondViewport: &yes,
	})
	return res.Data, err
}

// Shot writes a picture of the page into the folder that SHOTS names, as
// "name-look.png". Without SHOTS it does nothing.
func (p *Page) Shot(name string) {
	p.t.Helper()
	if _, err := p.savePicture(name + "-" + p.Look.Name); err != nil {
		p.t.Fatalf("%s: taking a picture: %v", p.describe(), err)
	}
}

// ShotPrinted writes the page as paper shows it: a picture in print style as
// wide as the sheet, and the sheet itself, "name-print.pdf".
func (p *Page) ShotPrinted(name string) *Paper {
	p.t.Helper()
	paper := p.Print()
	folder := os.Getenv("SHOTS")
	if folder == "" {
		return paper
	}
	if err := os.WriteFile(filepath.Join(folder, fileName(name+"-print")+".pdf"), paper.Bytes, 0o644); err != nil {
		p.t.Fatal(err)
	}
	p.media("print")
	defer p.media("")
	if _, err := p.savePicture(name + "-print"); err != nil {
		p.t.Fatal(err)
	}
	return paper
}

// savePicture returns the path it wrote, or "" without SHOTS.
func (p *Page) savePicture(name string) (string, error) {
	folder := os.Getenv("SHOTS")
	if folder == "" {
		return "", nil
	}
	picture, err := p.Picture()
	if err != nil {
		return "", fmt.Errorf("taking a picture: %w", err)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	path := filepath.Join(folder, fileName(name)+".png")
	return path, os.WriteFile(path, picture, 0o644)
}

var unfit = regexp.MustCompile(`[^A-Za-z0-9._-]+`)

func fileName(name string) string { return unfit.ReplaceAllString(name, "-") }
