package main

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// patience is how long a program may take to print its address or to end; a
// first start makes two years of data, perhaps on a busy machine.
const patience = 90 * time.Second

// terminal is what a script works at: running programs and a browser's session.
type terminal struct {
	running map[string]*process
	browser *http.Client
	page    string  // the last page read
	printed string  // what the last started program had printed
	held    *sql.DB // nil, or a database that is being written to
}

type terminalKey struct{}

func newTerminal() *terminal {
	jar, err := cookiejar.New(nil)
	if err != nil {
		panic("a cookie jar without options: " + err.Error())
	}
	stay := func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &terminal{running: map[string]*process{}, browser: &http.Client{Jar: jar, CheckRedirect: stay, Timeout: patience}}
}

func terminalOf(ts *testscript.TestScript) *terminal { return ts.Value(terminalKey{}).(*terminal) }

// seen is what a person at this terminal has before their eyes.
func (t *terminal) seen() string { return t.page + t.printed }

// A process is a program that runs.
type process struct {
	cmd      *exec.Cmd
	out, err transcript
	done     chan struct{} // closed when it has ended
	ended    error         // read after done
}

// transcript gathers what a program prints while others read it.
type transcript struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (t *transcript) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.Write(b)
}

func (t *transcript) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.String()
}

var address = regexp.MustCompile(`listens on (https?://\S+)/\n`)

// run starts a command and waits until it prints its address.
func (r *process) run() (string, error) {
	r.cmd.Stdout, r.cmd.Stderr = &r.out, &r.err
	if err := r.cmd.Start(); err != nil {
		return "", err
	}
	r.done = make(chan struct{})
	go func() {
		r.ended = r.cmd.Wait()
		close(r.done)
	}()
	for until := time.Now().Add(patience); time.Now().Before(until); {
		if found := address.FindStringSubmatch(r.out.String()); found != nil {
			return found[1], nil
		}
		select {
		case <-r.done:
			return "", fmt.Errorf("it ended with %v and printed:\n%s%s", r.ended, &r.out, &r.err)
		case <-time.After(2 * time.Millisecond):
		}
	}
	return "", errors.Join(errors.New("it printed no address"), r.end(os.Kill))
}

// end sends a signal and waits.
func (r *process) end(by os.Signal) error {
	if err := r.cmd.Process.Signal(by); err != nil {
		return err
	}
	select {
	case <-r.done:
		return nil
	case <-time.After(patience):
		return fmt.Errorf("it goes on after %s", by)
	}
}

func start(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "start NAME ARG...")
	path, err := exec.LookPath("rungbook")
	ts.Check(err)
	r := &process{cmd: exec.Command(path, args[1:]...)}
	r.cmd.Dir = ts.Getenv("WORK")
	r.cmd.Env = []string{"HOME=" + ts.Getenv("HOME"), "XDG_DATA_HOME=" + ts.Getenv("XDG_DATA_HOME"), "TMPDIR=" + ts.Getenv("TMPDIR")}
	base, err := r.run()
	ts.Check(err)
	ts.Defer(func() {
		select {
		case <-r.done:
		default:
			ts.Check(r.end(os.Kill))
		}
	})
	t := terminalOf(ts)
	t.running[args[0]], t.printed, t.page = r, r.out.String(), ""
	ts.Setenv("URL", base)
}

func end(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "end NAME TERM|INT|KILL")
	t := terminalOf(ts)
	r := t.running[args[0]]
	by := map[string]os.Signal{"TERM": syscall.SIGTERM, "INT": os.Interrupt, "KILL": os.Kill}[args[1]]
	if r == nil || by == nil {
		ts.Fatalf("nothing runs as %s, or there is no signal %s", args[0], args[1])
	}
	ts.Check(r.end(by))
	if by != os.Kill && r.ended != nil {
		ts.Fatalf("it ended with %v and printed:\n%s%s", r.ended, &r.out, &r.err)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]+".out"), []byte(r.out.String()), 0o600))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]+".err"), []byte(r.err.String()), 0o600))
}

func visit(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "visit PATH")
	answer, err := terminalOf(ts).browser.Get(ts.Getenv("URL") + args[0])
	ts.Check(err)
	show(ts, answer, http.StatusOK)
}

// send fills in the form of the page before it: the client key is that page's.
func send(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "send PATH FIELD=VALUE...")
	t := terminalOf(ts)
	form := url.Values{}
	if key := regexp.MustCompile(`name="key" value="([^"]+)"`).FindStringSubmatch(t.page); key != nil {
		form.Set("key", key[1])
	}
	for _, field := range args[1:] {
		name, value, ok := strings.Cut(field, "=")
		if !ok {
			ts.Fatalf("%s is not FIELD=VALUE", field)
		}
		form.Set(name, value)
	}
	answer, err := t.browser.PostForm(ts.Getenv("URL")+args[0], form)
	ts.Check(err)
	show(ts, answer, http.StatusSeeOther)
}

// show reads an answer onto the terminal.
func show(ts *testscript.TestScript, answer *http.Response, want int) {
	body, err := io.ReadAll(answer.Body)
	ts.Check(errors.Join(err, answer.Body.Close()))
	terminalOf(ts).page = string(body)
	ts.Logf("%s %s", answer.Status, answer.Header.Get("Location"))
	if answer.StatusCode != want {
		ts.Fatalf("want %d; the page is:\n%s", want, body)
	}
}
