//go:build browser

package browsertest

import (
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"sync"
	"testing"
	"time"
)

// A wire lies between a phone and a program, and can be cut.
type wire struct {
	*Program

	t       testing.TB
	mu      sync.Mutex
	program *Program // behind the wire
	cut     bool     // nothing passes
	losing  int      // so many writes still reach the program while their answer is lost
	lost    int      // so many were
	killing int      // so many writes still kill the program, which is then started again
	killed  int      // so many did
}

// wireTo returns a wire to a demo, with the demo's accounts.
func wireTo(t testing.TB, demo *Program) *wire {
	t.Helper()
	w := &wire{t: t, program: demo}
	through := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.SetURL(w.target())
			r.Out.Host = r.In.Host
		},
		ErrorHandler: func(http.ResponseWriter, *http.Request, error) { panic(http.ErrAbortHandler) }, // what can't be reached answers nothing
	}
	server := httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, in *http.Request) {
		switch w.next(in.Method) {
		case "cut":
			panic(http.ErrAbortHandler)
		case "lose":
			through.ServeHTTP(httptest.NewRecorder(), in)
			panic(http.ErrAbortHandler)
		case "kill":
			w.kill(func() { through.ServeHTTP(httptest.NewRecorder(), in) })
			panic(http.ErrAbortHandler)
		}
		through.ServeHTTP(out, in)
	}))
	t.Cleanup(func() {
		server.Close()
		if w.program != demo { // demo ends by itself
			if err := w.program.stop(); err != nil {
				t.Error(err)
			}
		}
	})
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
	case method == http.MethodPost && w.killing > 0:
		w.killing--
		w.killed++
		w.cut = true // until the program is back
		return "kill"
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

func (w *wire) target() *url.URL {
	w.mu.Lock()
	defer w.mu.Unlock()
	target, err := url.Parse(w.program.Base)
	if err != nil {
		panic("a program that printed its address was reached by it: " + err.Error())
	}
	return target
}

// kill sends a write and kills the program: the first time when it has answered,
// later without waiting, so that what was written may be kept or not. Then it starts
// the program again on the same data.
func (w *wire) kill(send func()) {
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		defer func() { _ = recover() }() // that it was not answered is what this is about
		send()
	}()
	if w.programsKilled() == 1 {
		<-sent
	} else {
		time.Sleep(5 * time.Millisecond) // it is under way
	}
	w.program.kill()
	<-sent
	next, err := w.program.again()
	w.mu.Lock()
	defer w.mu.Unlock()
	if err != nil {
		w.t.Errorf("starting the program again: %v", err)
		return
	}
	w.program, w.cut = next, false
}

// killNext makes the next writes kill the program.
func (w *wire) killNext(writes int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.killing = writes
}

func (w *wire) programsKilled() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.killed
}
