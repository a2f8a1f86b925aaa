package main

import (
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"rungbook/internal/demo"
)

// BenchmarkStartToFirstPage starts the program on an existing demo database and
// reads its first page, the sign-in; then it signs in and reads the yard and the
// week. Each is reported by itself, from the start of the process on for the
// first. The limit for the first page is 500 ms.
func BenchmarkStartToFirstPage(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "yard")
	if err := makeYard(dir); err != nil {
		b.Fatal(err)
	}
	program, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	var page, in, home, week time.Duration
	for b.Loop() {
		began := time.Now()
		// The test binary is the command when it is called by the command's name.
		r := &process{cmd: &exec.Cmd{Path: program, Args: []string{"rungbook", "demo", "--data", dir, "--listen", "127.0.0.1:0", "--today", demoDay}}}
		base, err := r.run()
		if err != nil {
			b.Fatal(err)
		}
		reader := newTerminal()
		read := func(path string) {
			answer, err := reader.browser.Get(base + path)
			if err != nil {
				b.Fatal(err)
			}
			if err := answer.Body.Close(); err != nil || answer.StatusCode != http.StatusOK {
				b.Fatalf("%s: %s, %v", path, answer.Status, err)
			}
		}
		lap := func(sum *time.Duration, what func()) {
			what()
			*sum += time.Since(began)
			began = time.Now()
		}
		lap(&page, func() { read("/sign-in") })
		lap(&in, func() {
			account := demo.Accounts()[0]
			answer, err := reader.browser.PostForm(base+"/sign-in", map[string][]string{"email": {account.Email}, "password": {account.Password}})
			if err != nil {
				b.Fatal(err)
			}
			if err := answer.Body.Close(); err != nil || answer.StatusCode != http.StatusSeeOther {
				b.Fatalf("sign in: %s, %v", answer.Status, err)
			}
		})
		lap(&home, func() { read("/") })
		lap(&week, func() { read("/week/2027-W09") })
		if err := r.end(os.Kill); err != nil {
			b.Fatal(err)
		}
	}
	for unit, sum := range map[string]time.Duration{"ms/first-page": page, "ms/sign-in": in, "ms/yard": home, "ms/week": week} {
		b.ReportMetric(float64(sum.Microseconds())/1000/float64(b.N), unit)
	}
}
