package page

import (
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// every runs a check over each sample page.
func every(t *testing.T, check func(t *testing.T, root *html.Node)) {
	for name, c := range samplePages() {
		t.Run(name, func(t *testing.T) { check(t, draw(t, c)) })
	}
}

func TestEveryPageHasOneHeadingAndATitle(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		if n := len(all(root, tag("h1"))); n != 1 {
			t.Errorf("%d h1, want 1", n)
		}
		if title := said(all(root, tag("title"))[0]); title == "" || title == "Carrowmoyle" {
			t.Errorf("the title %q doesn't tell this page from others", title)
		}
		if n := len(all(root, func(e *html.Node) bool { v, _ := attr(e, "role"); return v == "status" })); n != 1 {
			t.Errorf("%d places for messages, want 1", n)
		}
	})
}

func TestEveryPageSaysThatItDoesNotReplaceSupervision(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		if !strings.Contains(said(all(root, tag("footer"))[0]), "supports, and never replaces, risk assessment, competent supervision and local law") {
			t.Error("the safety sentence is missing")
		}
	})
}

func TestEveryIDIsUniqueAndEveryReferenceIsKept(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		seen := map[string]bool{}
		for _, e := range all(root, func(e *html.Node) bool { _, ok := attr(e, "id"); return ok }) {
			id, _ := attr(e, "id")
			if seen[id] {
				t.Errorf("id %q is given twice", id)
			}
			seen[id] = true
		}
		for _, e := range all(root, tag("a", "label", "input", "select", "textarea", "fieldset", "form")) {
			for _, key := range []string{"for", "aria-describedby", "data-swap"} {
				v, _ := attr(e, key)
				for _, id := range strings.Fields(v) {
					if !seen[id] {
						t.Errorf("%s=%q of <%s> names nothing", key, id, e.Data)
					}
				}
			}
			if href, _ := attr(e, "href"); strings.HasPrefix(href, "#") && !seen[href[1:]] {
				t.Errorf("the link %q leads nowhere", href)
			}
		}
	})
}

func TestEveryControlHasALabel(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		labelled := map[string]bool{}
		for _, l := range all(root, tag("label")) {
			id, _ := attr(l, "for")
			labelled[id] = true
		}
		for _, c := range all(root, tag("input", "select", "textarea")) {
			if kind, _ := attr(c, "type"); kind == "hidden" {
				continue
			}
			id, _ := attr(c, "id")
			_, named := attr(c, "aria-label")
			if !labelled[id] && !named && !within(c, "label") {
				t.Errorf("<%s id=%q> has no label", c.Data, id)
			}
		}
		for _, b := range all(root, tag("button", "a", "th", "summary", "caption")) {
			_, named := attr(b, "aria-label")
			if said(b) == "" && !named {
				t.Errorf("a <%s> says nothing", b.Data)
			}
		}
	})
}

func within(n *html.Node, name string) bool {
	for p := n.Parent; p != nil; p = p.Parent {
		if p.Data == name {
			return true
		}
	}
	return false
}

func TestEveryTableHasACaptionAndHeads(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		for _, tb := range all(root, tag("table")) {
			if c := all(tb, tag("caption")); len(c) != 1 || said(c[0]) == "" {
				t.Error("a table has no caption")
			}
			for _, th := range all(tb, tag("th")) {
				if _, ok := attr(th, "scope"); !ok {
					t.Errorf("the head %q has no scope", said(th))
				}
			}
		}
	})
}

// The content policy allows no inline style and script, and forms and links
// that stay here.
func TestEveryPageKeepsTheContentPolicy(t *testing.T) {
	every(t, func(t *testing.T, root *html.Node) {
		for _, e := range all(root, func(*html.Node) bool { return true }) {
			for _, a := range e.Attr {
				if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
					t.Errorf("<%s %s=%q>", e.Data, a.Key, a.Val)
				}
				if a.Key == "href" || a.Key == "src" || a.Key == "action" || a.Key == "formaction" {
					if u, err := url.Parse(a.Val); err != nil || u.Host != "" || u.Scheme != "" {
						t.Errorf("<%s %s=%q> leads away", e.Data, a.Key, a.Val)
					}
				}
			}
			if e.Data == "style" || (e.Data == "script" && e.FirstChild != nil) {
				t.Errorf("<%s> with content", e.Data)
			}
		}
	})
}

func TestEveryCommandIsAPostWithAKey(t *testing.T) {
	keyless := map[string]bool{"/sign-out": true, "/sign-in": true, "/theme": true, // repeat them as often as you like
		"/import": true} // a file is put down to be looked at, and nothing is written
	every(t, func(t *testing.T, root *html.Node) {
		for _, f := range all(root, tag("form")) {
			action, _ := attr(f, "action")
			if method, _ := attr(f, "method"); method != "post" || keyless[action] {
				continue
			}
			if len(all(f, func(e *html.Node) bool {
				n, _ := attr(e, "name")
				v, _ := attr(e, "value")
				return n == "key" && v != ""
			})) != 1 {
				t.Errorf("the form to %s carries no key against double sends", action)
			}
		}
	})
}

func TestTypedTextIsNeverMarkup(t *testing.T) {
	evil := `"><script>alert(1)</script>`
	p := samplePeople()
	p.Rows[0].Name.Text, p.Rows[0].Name.Href, p.Fields[0].Value, p.Shell.Query, p.Shell.Flash.Text = evil, "javascript:alert(1)", evil, evil, evil
	root := draw(t, PeoplePage(p))
	if n := len(all(root, tag("script"))); n != 1 {
		t.Errorf("%d scripts, want our one", n)
	}
	if href, _ := attr(named(t, root, evil, "a"), "href"); strings.HasPrefix(href, "javascript:") {
		t.Errorf("a link keeps the address %q", href)
	}
}
