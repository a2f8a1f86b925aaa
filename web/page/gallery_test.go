//go:build gallery

package page

import (
	"bytes"
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"rungbook/web"
)

// TestGallery writes every sample page as a file, to be looked at through any
// file server: GALLERY=folder go test -tags gallery -run Gallery ./web/page
func TestGallery(t *testing.T) {
	dir := os.Getenv("GALLERY")
	if dir == "" {
		t.Fatal("GALLERY names no folder to write to")
	}
	for name, c := range samplePages() {
		var b bytes.Buffer
		if err := c.Render(context.Background(), &b); err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, name+".html"), b.Bytes())
	}
	for _, path := range []string{web.CSSPath(), web.ScriptPath(), web.MarkPath()} {
		r := httptest.NewRecorder()
		web.Static().ServeHTTP(r, httptest.NewRequest("GET", path, nil))
		write(t, filepath.Join(dir, path), r.Body.Bytes())
	}
}

func write(t *testing.T, path string, content []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
}
