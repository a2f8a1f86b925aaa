//go:build browser

package browsertest

import (
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"sync"
	"testing"
)

// A wire lies between a phone and a program, and can be cut.
type wire struct {
	*Program

	mu     sync.Mutex
	cut    bool // nothing passes
	losing int  // so many writes still reach the program while their answer is lost
	lost   int  // so many were
}

// wireTo returns a wire to a demo, with the demo's accounts.
func wireTo(t testing.TB, demo *Program) *wire {
	t.Helper()
	target, err := url.Parse(demo.Base)
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{}
	through := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(target)
		r.Out.Host = r.In.Host
	}}
	server := httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, in *http.Request) {
		switch w.next(in.Method) {
		case "cut":
			panic(http.ErrAbortHandler)
		case "lose":
			through.ServeHTTP(httptest.NewRecorder(), in)
			panic(http.ErrAbortHandler)
		}
		through.ServeHTTP(out, in)
	}))
	t.Cleanup(server.Close)
	w.Program = At(server.URL)
	w.Accounts = demo.Accounts
	return w
}

func (w *wire) next(method string) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch {
	case w.cut:
		return "cut"
	case method == http.MethodPost && w.losing > 0:
		w.losing--
		w.lost++
		return "lose"
	}
	return ""
}

// set cuts or joins the wire; losing is how many writes then lose their answer.
func (w *wire) set(cut bool, losing int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.cut, w.losing = cut, losing
}

func (w *wire) answersLost() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.lost
}
