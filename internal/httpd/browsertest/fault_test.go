//go:build browser

package browsertest

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A witness is a test that does not fail the real one: it keeps what was said.
type witness struct {
	testing.TB
	failed   bool
	said     []string
	cleanups []func()
}

func (w *witness) Helper()                 {}
func (w *witness) Failed() bool            { return w.failed }
func (w *witness) Cleanup(f func())        { w.cleanups = append(w.cleanups, f) }
func (w *witness) Log(args ...any)         { w.said = append(w.said, fmt.Sprint(args...)) }
func (w *witness) Logf(f string, a ...any) { w.said = append(w.said, fmt.Sprintf(f, a...)) }
func (w *witness) Errorf(f string, a ...any) {
	w.failed = true
	w.Logf(f, a...)
}
func (w *witness) Fatalf(f string, a ...any) {
	w.Errorf(f, a...)
	runtime.Goexit()
}

// hearing runs a test with a witness and returns what it said, "" if it passed.
func hearing(t *testing.T, test func(testing.TB)) string {
	t.Helper()
	w := &witness{TB: t}
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() {
			for i := len(w.cleanups) - 1; i >= 0; i-- {
				w.cleanups[i]()
			}
		}()
		test(w)
	}()
	<-done
	if !w.failed {
		return ""
	}
	return strings.Join(w.said, "\n")
}

func TestTheHarnessFailsWhereAPageIsAtFault(t *testing.T) {
	t.Parallel()
	change := func(old, now string) string { return strings.Replace(soundPage, old, now, 1) }
	for _, c := range []struct {
		name string
		body string
		look Look
		do   func(*Page)
		want string
	}{
		{"inline style", change("<p id=", `<p style="color:red">x</p><p id=`), Desktop, nil, "content policy: style-src"},
		{"inline script", change("<p id=", `<script>1</script><p id=`), Desktop, nil, "content policy: script-src"},
		{"script error", change("/enhance.js", "/style.css"), Desktop, nil, "script error: Uncaught: SyntaxError"},
		{"missing file", change("</form>", `</form><img alt="x" src="/none.png">`), Desktop, nil, "none.png was answered with 404"},
		{"asks another host", change("</form>", `</form><img alt="x" src="http://localhost:9/a.png">`), Desktop, nil, "not the program's"},
		{"two first headings", change("</form>", "</form><h1>Again</h1>"), Desktop, (*Page).WantSound, "2 first headings"},
		{"id twice", change(`id="theme"`, `id="name"`), Desktop, (*Page).WantSound, "the id name is there twice"},
		{"label to nowhere", change(`for="ex"`, `for="exercise"`), Desktop, (*Page).WantSound, "for names exercise"},
		{"wider than a phone", change("</form>", `</form><svg width="500" height="9" id="ruler"></svg>`), Phone, (*Page).WantSound, `508 px wide in a window of 360; too wide: <svg width="500"`},
		{"field without label", change(`<label for="name">Name</label>`, "Name"), Desktop, (*Page).WantAccessible, "label (critical)"},
		{"low contrast", change(`<p id="theme">`, `<p><font color="#999">pale</font></p><p id="theme">`), Desktop, (*Page).WantAccessible, "color-contrast"},
		{"no such button", soundPage, Desktop, func(p *Page) { p.Click("button", "Reserve") }, `no button is named "Reserve", want one; there are:`},
		{"covered button", change("</main>", `<dialog open class="veil">x</dialog></main>`), Desktop, func(p *Page) {
			Eval[bool](p, `(document.querySelector("dialog").style.cssText = "position:fixed;inset:0;width:99vw;height:99vh", true)`)
			p.Click("button", "Book")
		}, "covered by"},
		{"no such option", soundPage, Desktop, func(p *Page) { p.Choose("Exercise", "Juggling") }, "the options are: Harness basics | Rescue from height"},
		{"wrong text", soundPage, Desktop, func(p *Page) { p.WantText("Week 10") }, `does not say "Week 10"`},
		{"unwanted text", soundPage, Desktop, func(p *Page) { p.WantNoText("Week 9") }, `the page says "Week 9"`},
		{"focus unseen", change("/style.css", "/none.css"), Desktop, func(p *Page) {
			p.Expect(404)
			Eval[bool](p, `(document.querySelector("button").style.outline = "none", true)`)
			p.WalkFocus()
		}, "cannot be seen: it has no ring"},
		{"wrong status", soundPage, Desktop, func(p *Page) { p.WantStatus(201) }, "the status is 200, want 201"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			server := yard(t, c.body)
			got := hearing(t, func(t testing.TB) {
				p := server.Open(t, c.look)
				p.patience = 300 * time.Millisecond
				p.Go("/")
				if c.do != nil {
					c.do(p)
				}
			})
			if !strings.Contains(got, c.want) {
				t.Errorf("the harness said %q, want it to say %q", got, c.want)
			}
		})
	}
}

func TestAPrintedPageIsRead(t *testing.T) {
	t.Parallel()
	rows := strings.Repeat("<p>An unremarkable line of the list</p>", 60)
	p := yard(t, strings.Replace(soundPage, "<table>", rows+"<p>The last line, Ó Briain</p><table>", 1)).Open(t, Desktop.Dark())
	p.Go("/")
	paper := p.Print()
	if len(paper.Sheets) < 2 || len(paper.Sheets) > 5 {
		t.Errorf("60 lines took %d sheets", len(paper.Sheets))
	}
	if s := paper.Sheets[0]; s.Landscape() || s.Width < 209 || s.Width > 211 {
		t.Errorf("the sheet is %.0f mm by %.0f mm, want A4 upright", s.Width, s.Height)
	}
	if !paper.Has("The last line, Ó Briain") || paper.Has("The very last line") {
		t.Errorf("the last sheet reads %q", paper.Sheets[len(paper.Sheets)-1].Text)
	}
	if strings.Contains(paper.Sheets[0].Text, "The last line") {
		t.Error("the last line stands on the first sheet")
	}
}
