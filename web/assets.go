package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"strings"
)

//go:embed static
var static embed.FS

// asset is one file as it is served: its address carries its content's hash, so
// that a browser may keep it for ever.
type asset struct {
	path, kind    string
	plain, packed []byte
}

var (
	css    = newAsset("app", "css", "text/css; charset=utf-8", styleSheet())
	script = newAsset("enhance", "js", "text/javascript; charset=utf-8", file("enhance.js"))
	phone  = newAsset("phone", "js", "text/javascript; charset=utf-8", append(file("phone.js"), file("pad.js")...))
	mark   = newAsset("mark", "svg", "image/svg+xml", file("mark.svg"))
)

// CSSPath returns the address of the style sheet, "/static/app.<hash>.css".
func CSSPath() string { return css.path }

// ScriptPath returns the address of the script.
func ScriptPath() string { return script.path }

// PhonePath returns the address of the script of the pages that are read at the rig.
func PhonePath() string { return phone.path }

// Worker serves the script that keeps one's day on the phone, at one address for
// ever: a browser asks for it anew each time.
func Worker() http.Handler {
	body := file("worker.js")
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		// A reader who left is no news; there is nobody to tell.
		_, _ = w.Write(body)
	})
}

// MarkPath returns the address of the program's mark, shown in a browser's tab.
func MarkPath() string { return mark.path }

// Static serves the addresses above and answers 404 for all others.
func Static() http.Handler {
	served := map[string]asset{css.path: css, script.path: script, phone.path: phone, mark.path: mark}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a, ok := served[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		body := a.plain
		h := w.Header()
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			body = a.packed
			h.Set("Content-Encoding", "gzip")
		}
		h.Set("Content-Type", a.kind)
		h.Set("Vary", "Accept-Encoding")
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
		h.Set("X-Content-Type-Options", "nosniff")
		if r.Method != http.MethodHead {
			// A reader who left is no news; there is nobody to tell.
			_, _ = w.Write(body)
		}
	})
}

// styleSheet joins static/css in the order of the files' numbers.
func styleSheet() []byte {
	names, err := fs.Glob(static, "static/css/*.css")
	if err != nil || len(names) == 0 {
		panic("web: the style sheet's files are not in the binary")
	}
	var b bytes.Buffer
	for _, name := range names { // fs.Glob sorts within one folder
		b.Write(file(strings.TrimPrefix(name, "static/")))
	}
	return b.Bytes()
}

func file(name string) []byte {
	b, err := static.ReadFile("static/" + name)
	if err != nil {
		panic("web: " + name + " is not in the binary: " + err.Error())
	}
	return b
}

func newAsset(name, ext, kind string, content []byte) asset {
	sum := sha256.Sum256(content)
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		panic("web: gzip refuses its own best level: " + err.Error())
	}
	// Writing to a buffer can't fail.
	_, _ = z.Write(content)
	_ = z.Close()
	path := "/static/" + name + "." + hex.EncodeToString(sum[:6]) + "." + ext
	return asset{path, kind, content, packed.Bytes()}
}
