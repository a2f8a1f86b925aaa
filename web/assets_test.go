package web

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func get(path, encoding string) *http.Response {
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Header.Set("Accept-Encoding", encoding)
	w := httptest.NewRecorder()
	Static().ServeHTTP(w, r)
	return w.Result()
}

func TestAssetsAreServedForEverUnderTheirHash(t *testing.T) {
	for path, kind := range map[string]string{CSSPath(): "text/css", ScriptPath(): "text/javascript", PhonePath(): "text/javascript", MarkPath(): "image/svg+xml"} {
		plain := get(path, "")
		if plain.StatusCode != http.StatusOK || !strings.HasPrefix(plain.Header.Get("Content-Type"), kind) {
			t.Errorf("%s: status %d, type %q", path, plain.StatusCode, plain.Header.Get("Content-Type"))
		}
		if got := plain.Header.Get("Cache-Control"); !strings.Contains(got, "immutable") {
			t.Errorf("%s: Cache-Control %q lacks immutable", path, got)
		}
		packed := get(path, "gzip")
		z, err := gzip.NewReader(packed.Body)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		unpacked, err1 := io.ReadAll(z)
		want, err2 := io.ReadAll(plain.Body)
		if err1 != nil || err2 != nil || string(unpacked) != string(want) || len(want) == 0 {
			t.Errorf("%s: packed and plain differ (%v, %v)", path, err1, err2)
		}
	}
}

func TestAnOldOrInventedAssetIsNotFound(t *testing.T) {
	for _, path := range []string{"/static/app.000000000000.css", "/static/css/10-tokens.css", "/static/"} {
		if got := get(path, "").StatusCode; got != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, got)
		}
	}
}

func TestTheHashFollowsTheContent(t *testing.T) {
	a, b := newAsset("x", "css", "text/css", []byte("a{}")), newAsset("x", "css", "text/css", []byte("b{}"))
	if a.path == b.path {
		t.Errorf("two contents share the address %s", a.path)
	}
}

func TestStyleSheetDeclaresItsLayersFirst(t *testing.T) {
	const first = "@layer reset, tokens, base, layout, parts, pages, print;"
	if !strings.HasPrefix(string(styleSheet()), first) {
		t.Errorf("the sheet doesn't start with %q", first)
	}
}

func TestScriptStaysSmall(t *testing.T) {
	if n := strings.Count(string(file("enhance.js")), "\n"); n > 170 {
		t.Errorf("enhance.js has %d lines; beyond 170 a library is cheaper", n)
	}
}

// The first page on a phone must come in 60 kB; style and script take a part.
func TestStyleAndScriptTravelLight(t *testing.T) {
	if n := len(css.packed) + len(script.packed); n > 20_000 {
		t.Errorf("style and script weigh %d bytes packed, want at most 20000", n)
	}
}
