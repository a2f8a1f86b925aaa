package page

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"golang.org/x/net/html"
)

// The page tests read a page as a person does: by heading, label, link and
// table, never by class.

// draw renders a component and parses it.
func draw(t *testing.T, c templ.Component) *html.Node {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(&b)
	if err != nil {
		t.Fatal(err)
	}
	return root
}

// all returns the elements below n that fit, in reading order.
func all(n *html.Node, fits func(*html.Node) bool) []*html.Node {
	var out []*html.Node
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && fits(d) {
			out = append(out, d)
		}
	}
	return out
}

func tag(names ...string) func(*html.Node) bool {
	return func(n *html.Node) bool { return slices.Contains(names, n.Data) }
}

// attr returns an attribute's value and whether it is there.
// class picks the elements with a class of that name alone.
func class(name string) func(*html.Node) bool {
	return func(e *html.Node) bool { v, _ := attr(e, "class"); return v == name }
}

func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

// said is the text below n with single spaces.
func said(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// named returns the one element of these tags whose text is words.
func named(t *testing.T, n *html.Node, words string, tags ...string) *html.Node {
	t.Helper()
	found := all(n, func(e *html.Node) bool { return slices.Contains(tags, e.Data) && said(e) == words })
	if len(found) == 0 {
		t.Fatalf("no %v says %q", tags, words)
	}
	return found[0]
}

// leads checks that a link of these words leads to an address.
func leads(t *testing.T, n *html.Node, words, href string) {
	t.Helper()
	if got, _ := attr(named(t, n, words, "a"), "href"); got != href {
		t.Errorf("%q leads to %q, want %q", words, got, href)
	}
}

// table returns the rows of the table with that caption, each as its cells' texts.
func table(t *testing.T, n *html.Node, caption string) [][]string {
	t.Helper()
	for _, tb := range all(n, tag("table")) {
		if c := all(tb, tag("caption")); len(c) == 1 && said(c[0]) == caption {
			var rows [][]string
			for _, tr := range all(tb, tag("tr")) {
				var cells []string
				for _, cell := range all(tr, tag("td", "th")) {
					cells = append(cells, said(cell))
				}
				rows = append(rows, cells)
			}
			return rows
		}
	}
	t.Fatalf("no table has the caption %q", caption)
	return nil
}

// holds checks that a table has a row that starts with these cells.
func holds(t *testing.T, rows [][]string, want ...string) {
	t.Helper()
	for _, row := range rows {
		if len(row) >= len(want) && slices.Equal(row[:len(want)], want) {
			return
		}
	}
	t.Errorf("no row starts with %q; rows: %q", want, rows)
}

// control returns the form control that a label of these words is for.
func control(t *testing.T, n *html.Node, label string) *html.Node {
	t.Helper()
	id, ok := attr(named(t, n, label, "label"), "for")
	found := all(n, func(e *html.Node) bool { v, has := attr(e, "id"); return has && v == id })
	if !ok || len(found) != 1 {
		t.Fatalf("the label %q is for %q, which is %d elements", label, id, len(found))
	}
	return found[0]
}
