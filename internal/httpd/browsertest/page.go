//go:build browser

package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Patience is how long a page waits for something that a test asks for.
const Patience = 5 * time.Second

// A Page is one window on a program, with cookies of its own. Its methods end
// the test when they cannot do what they say.
type Page struct {
	Look Look

	t       testing.TB
	ctx     context.Context
	program *Program
	traffic *traffic
	within  *place // nil is the whole page

	patience time.Duration
}

// Open opens a window with no cookies. It closes when the test ends; if the
// browser found fault with any page meanwhile, the test fails.
func (prog *Program) Open(t testing.TB, look Look) *Page {
	t.Helper()
	tr := newTraffic(prog.Base)
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext(), chromedp.WithListener(tr.hear))
	p := &Page{Look: look, t: t, ctx: ctx, program: prog, traffic: tr, patience: Patience}
	t.Cleanup(func() {
		for _, fault := range tr.takeFaults() {
			t.Errorf("the browser reports: %s", fault)
		}
		if t.Failed() && p.traffic.status() != 0 {
			p.logAsItIs()
		}
		cancel()
	})
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("opening a window: %v", err)
	}
	call(p, audits.Enable, cdp.Empty{})
	p.wear(look)
	return p
}

// wear sets up the window for the look.
func (p *Page) wear(look Look) {
	p.t.Helper()
	call(p, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: int64(look.Width), Height: int64(look.Height), DeviceScaleFactor: 1, Mobile: look.touch,
	})
	call(p, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: look.touch})
	call(p, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: !look.Script})
	p.media("")
}

// media emulates a kind of output ("" is the screen, "print" is paper) with the
// look's theme.
func (p *Page) media(kind string) {
	p.t.Helper()
	scheme := "light"
	if p.Look.dark {
		scheme = "dark"
	}
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: kind,
		Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: scheme},
			{Name: "prefers-reduced-motion", Value: "reduce"},
		},
	})
}

// call runs one command of the browser's protocol on the page.
func call[P, R any](p *Page, cmd cdp.Command[P, R], params P) R {
	p.t.Helper()
	res, err := tryCall(p, cmd, params)
	if err != nil {
		p.t.Fatalf("%s: %v", cmd.Method, err)
	}
	return res
}

func tryCall[P, R any](p *Page, cmd cdp.Command[P, R], params P) (R, error) {
	ctx, cancel := context.WithTimeout(p.ctx, 30*time.Second)
	defer cancel()
	return chromedp.Call(ctx, cmd, params)
}

// Go visits an address of the program, such as "/week", and waits until the
// page is at rest.
func (p *Page) Go(path string) {
	p.t.Helper()
	p.traffic.stir()
	res := call(p, page.Navigate, page.NavigateParams{URL: p.program.Base + path})
	if res.ErrorText != "" {
		p.t.Fatalf("visiting %s: %s", path, res.ErrorText)
	}
	p.settle()
}

// Reload asks for the same page again.
func (p *Page) Reload() {
	p.t.Helper()
	p.traffic.stir()
	call(p, page.Reload, page.ReloadParams{})
	p.settle()
}

// Back goes back to the page before, as the browser's button does.
func (p *Page) Back() {
	p.t.Helper()
	p.traffic.stir()
	h := call(p, page.GetNavigationHistory, cdp.Empty{})
	if h.CurrentIndex == 0 {
		p.t.Fatalf("%s: there is no page before this one", p.describe())
	}
	call(p, page.NavigateToHistoryEntry, page.NavigateToHistoryEntryParams{EntryID: h.Entries[h.CurrentIndex-1].ID})
	p.settle()
}

// settle waits until the page has loaded and nothing is asked of the program.
func (p *Page) settle() {
	p.t.Helper()
	deadline := time.Now().Add(30 * time.Second)
	for !p.traffic.atRest() || !p.awake() {
		if time.Now().After(deadline) {
			p.t.Fatalf("the page does not come to rest: %s", p.traffic.waitingFor())
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// prompt is how soon a page answers that has nothing else to do.
const prompt = 25 * time.Millisecond

// awake asks the page for a word. On a machine with much to do, what a click set
// off may begin only after the quiet time: a page that answers late is not yet
// at rest, and neither is one that something happened to meanwhile.
func (p *Page) awake() bool {
	asked := time.Now()
	if _, err := tryEval[int](p, "1"); err != nil || time.Since(asked) > prompt {
		p.traffic.stir()
		return false
	}
	return p.traffic.atRest()
}

// eventually tries until try returns no error, up to Patience.
func (p *Page) eventually(try func() error) {
	p.t.Helper()
	deadline := time.Now().Add(p.patience)
	for {
		p.settle()
		last := time.Now().After(deadline) // one try begins after it, however long those before took
		err := try()
		if err == nil {
			return
		}
		if last {
			p.t.Fatalf("%s: %v", p.describe(), err)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// describe names the page for a message: where it is and in which look.
func (p *Page) describe() string {
	return fmt.Sprintf("%s (%s)", p.Path(), p.Look.Name)
}

// Eval runs a JavaScript expression on the page and returns its value. It works
// without script too: the browser's tools are not the page's script.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	value, err := tryEval[T](p, expression)
	if err != nil {
		p.t.Fatalf("evaluating %.80q: %v", expression, err)
	}
	return value
}

func tryEval[T any](p *Page, expression string) (T, error) {
	var value T
	yes := true
	res, err := tryCall(p, runtime.Evaluate, runtime.EvaluateParams{
		Expression: expression, ReturnByValue: &yes, AwaitPromise: &yes,
	})
	if err == nil && res.ExceptionDetails != nil {
		err = thrown(res.ExceptionDetails)
	}
	if err == nil {
		err = json.Unmarshal(res.Result.Value, &value)
	}
	return value, err
}

// Path returns the address within the program, with its query.
func (p *Page) Path() string {
	p.t.Helper()
	p.settle()
	return Eval[string](p, "location.pathname + location.search")
}

// Status returns the HTTP status of the last page that was loaded.
func (p *Page) Status() int {
	p.settle()
	return p.traffic.status()
}

// Title returns the page's title.
func (p *Page) Title() string {
	p.t.Helper()
	p.settle()
	return Eval[string](p, "document.title")
}

// H1 returns the text of the page's first heading.
func (p *Page) H1() string {
	p.t.Helper()
	p.settle()
	return plain(Eval[string](p, "document.querySelector('h1')?.innerText ?? ''"))
}

// Text returns the text of the page, or of the part that Within chose, as it
// can be read, with single spaces.
func (p *Page) Text() string {
	p.t.Helper()
	p.settle()
	text, err := p.text()
	if err != nil {
		p.t.Fatalf("reading the page: %v", err)
	}
	return text
}

func (p *Page) text() (string, error) {
	if p.within == nil {
		text, err := tryEval[string](p, "document.body.innerText")
		return plain(text), err
	}
	n, err := p.root()
	if err != nil {
		return "", err
	}
	text, err := on[string](p, n, "function() { return this.innerText ?? this.textContent }")
	return plain(text), err
}

// plain makes any run of white space one space.
func plain(text string) string { return strings.Join(strings.Fields(text), " ") }

// WantText waits until the page holds each text.
func (p *Page) WantText(texts ...string) {
	p.t.Helper()
	p.eventually(func() error {
		has, err := p.text()
		if err != nil {
			return err
		}
		for _, want := range texts {
			if !strings.Contains(has, plain(want)) {
				return fmt.Errorf("the page does not say %q; it says:\n%s", want, short(has))
			}
		}
		return nil
	})
}

// WantNoText fails if the page, once at rest, holds any of the texts.
func (p *Page) WantNoText(texts ...string) {
	p.t.Helper()
	has := p.Text()
	for _, unwanted := range texts {
		if strings.Contains(has, plain(unwanted)) {
			p.t.Fatalf("%s: the page says %q:\n%s", p.describe(), unwanted, short(has))
		}
	}
}

// WantH1 waits until the page's first heading is want.
func (p *Page) WantH1(want string) {
	p.t.Helper()
	p.eventually(func() error {
		if got := p.H1(); got != want {
			return fmt.Errorf("the heading is %q, want %q", got, want)
		}
		return nil
	})
}

// WantStatus fails unless the last page was loaded with the status.
func (p *Page) WantStatus(want int) {
	p.t.Helper()
	if got := p.Status(); got != want {
		p.t.Fatalf("%s: the status is %d, want %d; the page says:\n%s", p.describe(), got, want, short(p.Text()))
	}
}

// WantPath waits until the page's address begins with want.
func (p *Page) WantPath(want string) {
	p.t.Helper()
	p.eventually(func() error {
		if got := p.Path(); !strings.HasPrefix(got, want) {
			return fmt.Errorf("the address is %q, want %q", got, want)
		}
		return nil
	})
}

// Expect says that pages or files with these statuses are no fault in this
// test, such as 403 where a test asks for what it may not see.
func (p *Page) Expect(statuses ...int) { p.traffic.expect(statuses) }

// short cuts a long text for a message.
func short(text string) string {
	const most = 1500
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + " …"
}

// logAsItIs shows a failed test's page: its address, text and picture.
func (p *Page) logAsItIs() {
	text, err := tryEval[string](p, "location.href + '\\n' + document.title + '\\n' + document.body.innerText")
	if err != nil {
		p.t.Logf("the page cannot be read any more: %v", err)
		return
	}
	p.t.Logf("the page (%s) when the test failed:\n%s", p.Look.Name, short(text))
	if path, err := p.savePicture("failed-" + p.t.Name()); err != nil {
		p.t.Log(err)
	} else if path != "" {
		p.t.Logf("its picture: %s", path)
	}
}

// thrown returns what a script threw as an error.
func thrown(details *runtime.ExceptionDetails) error {
	if e := details.Exception; e != nil && e.Description != "" {
		return fmt.Errorf("%s: %s (line %d)", details.Text, e.Description, details.LineNumber+1)
	}
	return fmt.Errorf("%s (line %d)", details.Text, details.LineNumber+1)
}
