//go:build browser

package browsertest

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
)

// axeSource reads axe-core, which `npm ci` puts beside these tests.
var axeSource = sync.OnceValues(func() (string, error) {
	text, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if errors.Is(err, os.ErrNotExist) {
		err = errors.New("axe-core is not installed: run `make test`, or `npm ci` in internal/httpd/browsertest")
	}
	return string(text), err
})

// axeRun judges the page by the WCAG 2.0 to 2.2 rules of levels A and AA.
// Rules of 2.2 are off in axe-core unless named.
const axeRun = `axe.run(document, {
	runOnly: {type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
	rules: {"target-size": {enabled: true}},
	resultTypes: ["violations", "incomplete"],
}).then(r => JSON.stringify({version: r.testEngine.version, violations: r.violations, incomplete: r.incomplete, passes: r.passes.length}))`

type axeResult struct {
	Version    string
	Violations []axeRule
	Incomplete []axeRule
	Passes     int
}

type axeRule struct {
	ID, Impact, Help string
	Nodes            []struct {
		HTML           string
		Target         []any
		FailureSummary string
	}
}

func (r axeRule) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s): %s", r.ID, r.Impact, r.Help)
	for i, n := range r.Nodes {
		if i == 5 {
			fmt.Fprintf(&b, "\n  and %d more", len(r.Nodes)-i)
			break
		}
		fmt.Fprintf(&b, "\n  %.160s\n    %s", n.HTML, plain(n.FailureSummary))
	}
	return b.String()
}

// WantAccessible runs axe-core over the page as it stands and fails for each
// violation. What axe-core cannot decide is logged for a person to look at.
//
// axe-core runs in a world of its own: the page's script does not meet it, and
// the content policy stays in force.
func (p *Page) WantAccessible() {
	p.t.Helper()
	p.settle()
	result, err := p.axe()
	if err != nil {
		p.t.Fatalf("%s: running axe-core: %v", p.describe(), err)
	}
	if result.Passes == 0 {
		p.t.Errorf("%s: axe-core found nothing to judge", p.describe())
	}
	for _, rule := range result.Violations {
		p.t.Errorf("%s: axe-core %s: %s", p.describe(), result.Version, rule)
	}
	for _, rule := range result.Incomplete {
		p.t.Logf("%s: axe-core cannot decide: %s (%d places)", p.describe(), rule.ID, len(rule.Nodes))
	}
}

func (p *Page) axe() (axeResult, error) {
	var result axeResult
	source, err := axeSource()
	if err != nil {
		return result, err
	}
	if !p.Look.Script {
		// axe-core itself waits for timers, which do not run where script is off.
		call(p, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: false})
		defer call(p, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	}
	frames, err := tryCall(p, page.GetFrameTree, cdp.Empty{})
	if err != nil {
		return result, err
	}
	world, err := tryCall(p, page.CreateIsolatedWorld, page.CreateIsolatedWorldParams{
		FrameID: frames.FrameTree.Frame.ID, WorldName: "axe",
	})
	if err != nil {
		return result, err
	}
	yes := true
	for _, expression := range []string{source + "; undefined", axeRun} {
		res, err := tryCall(p, runtime.Evaluate, runtime.EvaluateParams{
			Expression: expression, ContextID: world.ExecutionContextID, AwaitPromise: &yes, ReturnByValue: &yes,
		})
		if err == nil && res.ExceptionDetails != nil {
			err = thrown(res.ExceptionDetails)
		}
		if err != nil {
			return result, err
		}
		if expression == axeRun {
			var text string
			if err := json.Unmarshal(res.Result.Value, &text); err != nil {
				return result, err
			}
			return result, json.Unmarshal([]byte(text), &result)
		}
	}
	return result, errors.New("axe-core did not run")
}
