package httpd

import (
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/archive"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

func TestTheArchiveOfThePageIsReadBackWithTheKeptKey(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	got := r.get("/archive/whole.zip")
	if got.Code != http.StatusOK || got.Header().Get("Content-Type") != "application/zip" || got.Header().Get("Content-Length") != strconv.Itoa(got.Body.Len()) {
		t.Fatalf("%d, %v, %d bytes", got.Code, got.Header(), got.Body.Len())
	}
	path := filepath.Join(t.TempDir(), "yard.zip")
	if err := os.WriteFile(path, got.Body.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "yard")
	if _, err := archive.ReadBack(t.Context(), archive.Return{From: path, Dir: dir, Clock: civil.Real}); fault.Of(err) != fault.Invalid {
		t.Errorf("the key left by a page: %v", err)
	}
	key := filepath.Join(yard.Dir(t), "rungbook.key")
	if _, err := archive.ReadBack(t.Context(), archive.Return{From: path, Dir: dir, KeyFile: key, Clock: civil.Real}); err != nil {
		t.Error(err)
	}
}

func TestOnlyAnAdministratorTakesTheArchive(t *testing.T) {
	s := open(t)
	for _, role := range []access.Role{access.Instructor, access.Auditor, access.TraineeRole} {
		for _, path := range []string{"/archive", "/archive/whole.zip"} {
			if got := s.as(role).get(path); got.Code != http.StatusForbidden {
				t.Errorf("%s as %s: %d", path, role, got.Code)
			}
		}
	}
}
