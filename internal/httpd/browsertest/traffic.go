//go:build browser

package browsertest

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
)

// quiet is how long nothing may happen before a page counts as at rest. A click
// on a form takes a moment until the browser says that it leaves.
const quiet = 60 * time.Millisecond

// request is one that has no answer yet: its address, and the document that asks.
type request struct {
	address string
	loader  cdp.LoaderID
}

// traffic listens to one window: what it is loading, and what went wrong.
type traffic struct {
	base string // of the program: a page asks nobody else for anything

	mu       sync.Mutex
	underWay map[network.RequestID]request
	loading  map[string]bool // frames
	last     time.Time       // of anything
	answer   int             // status of the last document
	expected []int           // statuses that are no fault
	faults   []string
	cut      bool // the network may be taken away
}

func newTraffic(base string) *traffic {
	return &traffic{base: base, underWay: map[network.RequestID]request{}, loading: map[string]bool{}, expected: []int{409, 422}}
}

// stir says that something is about to happen.
func (tr *traffic) stir() {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	tr.last = time.Now()
}

func (tr *traffic) atRest() bool {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return len(tr.underWay) == 0 && len(tr.loading) == 0 && time.Since(tr.last) >= quiet
}

func (tr *traffic) waitingFor() string {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return fmt.Sprintf("%d frames load, and it waits for %s", len(tr.loading), strings.Join(tr.addresses(), ", "))
}

func (tr *traffic) addresses() (out []string) {
	for _, r := range tr.underWay {
		out = append(out, r.address)
	}
	slices.Sort(out)
	return out
}

func (tr *traffic) status() int {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return tr.answer
}

func (tr *traffic) expect(statuses []int) {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	tr.expected = append(tr.expected, statuses...)
}

// mayBeCut says that the network is taken away: what can't be loaded is no fault.
func (tr *traffic) mayBeCut() {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	tr.cut = true
}

// takeFaults returns what went wrong since it was last asked.
func (tr *traffic) takeFaults() []string {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	found := tr.faults
	tr.faults = nil
	return found
}

func (tr *traffic) fault(format string, args ...any) {
	tr.faults = append(tr.faults, fmt.Sprintf(format, args...))
}

// hear takes one event of the browser.
func (tr *traffic) hear(event any) {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		tr.asked(e)
	case *network.EventResponseReceived:
		tr.answered(e)
	case *network.EventLoadingFinished:
		tr.over(e.RequestID)
	case *network.EventLoadingFailed:
		tr.over(e.RequestID)
	case *page.EventFrameStartedLoading:
		tr.loading[string(e.FrameID)], tr.last = true, time.Now()
	case *page.EventFrameStoppedLoading:
		delete(tr.loading, string(e.FrameID))
		tr.last = time.Now()
	case *page.EventFrameNavigated:
		tr.left(e.Frame)
	case *page.EventFrameRequestedNavigation, *page.EventFrameStartedNavigating:
		tr.last = time.Now()
	case *runtime.EventExceptionThrown:
		tr.fault("script error: %v", thrown(e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		tr.printed(e)
	case *log.EventEntryAdded:
		tr.logged(e.Entry)
	case *audits.EventIssueAdded:
		tr.refused(e.Issue)
	}
}

func (tr *traffic) asked(e *network.EventRequestWillBeSent) {
	tr.last = time.Now()
	if e.Type == network.ResourceTypeEventSource || e.Type == network.ResourceTypeOther {
		return // the one stays open for as long as the page does, the other is its icon
	}
	url := e.Request.URL
	if strings.HasPrefix(url, "data:") || strings.HasPrefix(url, "blob:") {
		return
	}
	if !strings.HasPrefix(url, tr.base+"/") {
		tr.fault("the page asks for %s, which is not the program's", url)
	}
	tr.underWay[e.RequestID] = request{e.Request.Method + " " + url, e.LoaderID}
}

func (tr *traffic) answered(e *network.EventResponseReceived) {
	tr.last = time.Now()
	if e.Type == network.ResourceTypeDocument {
		tr.answer = int(e.Response.Status)
	}
	// 304 is an answer from before; anything from 400 is a fault unless expected.
	if status := int(e.Response.Status); status >= 400 && !slices.Contains(tr.expected, status) {
		tr.fault("%s was answered with %d", e.Response.URL, status)
	}
}

// left forgets what the page before was waiting for: the browser does not always
// say that it gave it up.
func (tr *traffic) left(now *cdp.Frame) {
	tr.last = time.Now()
	if now.ParentID == "" {
		maps.DeleteFunc(tr.underWay, func(_ network.RequestID, r request) bool { return r.loader != now.LoaderID })
	}
}

func (tr *traffic) over(id network.RequestID) {
	delete(tr.underWay, id)
	tr.last = time.Now()
}

func (tr *traffic) printed(e *runtime.EventConsoleAPICalled) {
	if e.Type != runtime.ConsoleAPICalledTypeError && e.Type != runtime.ConsoleAPICalledTypeWarning &&
		e.Type != runtime.ConsoleAPICalledTypeAssert {
		return
	}
	var words []string
	for _, arg := range e.Args {
		words = append(words, strings.TrimSpace(string(arg.Value)+" "+arg.Description))
	}
	tr.fault("console %s: %s", e.Type, strings.Join(words, " "))
}

// logged takes what the browser itself writes to the console. A status it could
// not load is heard with its number in answered.
func (tr *traffic) logged(e *log.Entry) {
	if tr.cut && e.Source == log.EntrySourceNetwork {
		return
	}
	if e.Level != log.EntryLevelError || e.Source == log.EntrySourceNetwork && strings.Contains(e.Text, "status of") {
		return
	}
	tr.fault("%s: %s (%s)", e.Source, e.Text, e.URL)
}

// refused takes what the content policy did not allow.
func (tr *traffic) refused(issue *audits.InspectorIssue) {
	if issue.Details == nil || issue.Details.ContentSecurityPolicyIssueDetails == nil {
		return
	}
	d := issue.Details.ContentSecurityPolicyIssueDetails
	where := ""
	if at := d.SourceCodeLocation; at != nil {
		where = fmt.Sprintf(" at %s:%d", at.URL, at.LineNumber+1)
	}
	tr.fault("content policy: %s refused %s%s", d.ViolatedDirective, strings.TrimSpace(d.BlockedURL+" "+string(d.ContentSecurityPolicyViolationType)), where)
}
