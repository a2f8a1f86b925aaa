//go:build browser

package browsertest

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/runtime"
)

// A place is a part of the page that a test looks in: the first thing of the
// role and name within another place.
type place struct {
	role, name string
	outer      *place
}

// A node is one thing of the page as a screen reader meets it.
type node struct {
	role, name  string
	description string
	value       string
	focused     bool
	checked     string // "true", "false", "mixed", or "" where nothing can be checked
	invalid     bool
	dom         cdp.BackendNodeID
}

// fieldRoles are the roles of things that a form asks for.
var fieldRoles = []string{
	"textbox", "searchbox", "combobox", "listbox", "spinbutton", "slider", "checkbox", "radio", "switch",
	"Date", "DateTime", "InputTime", "ColorWell",
}

// Within returns the page narrowed to the part of that role and name, such as
// Within("row", "Tower deck 2") or Within("navigation", "Main"). The name may
// be "" where there is only one of the role.
func (p *Page) Within(role, name string) *Page {
	part := *p
	part.within = &place{role: role, name: name, outer: p.within}
	return &part
}

// Names returns the names of all things of a role, in reading order.
func (p *Page) Names(role string) []string {
	p.t.Helper()
	p.settle()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	var names []string
	for _, n := range nodes {
		if n.role == role {
			names = append(names, n.name)
		}
	}
	return names
}

// First waits for a thing of the role whose name begins with prefix, and
// returns its whole name.
func (p *Page) First(role, prefix string) string {
	p.t.Helper()
	var name string
	p.eventually(func() error {
		names := p.Names(role)
		i := slices.IndexFunc(names, func(n string) bool { return strings.HasPrefix(n, prefix) })
		if i < 0 {
			return fmt.Errorf("no %s begins with %q; there are:\n  %s", role, prefix, strings.Join(names, "\n  "))
		}
		name = names[i]
		return nil
	})
	return name
}

// Has says whether the page, once at rest, has a thing of the role and name.
func (p *Page) Has(role, name string) bool {
	p.t.Helper()
	p.settle()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	_, err = choose(nodes, name, role)
	return err == nil
}

// Want waits for a thing of the role and name.
func (p *Page) Want(role, name string) {
	p.t.Helper()
	p.find(name, role)
}

// find waits for the one thing of that name and any of the roles.
func (p *Page) find(name string, roles ...string) node {
	p.t.Helper()
	var found node
	p.eventually(func() error {
		nodes, err := p.nodes()
		if err != nil {
			return err
		}
		found, err = choose(nodes, name, roles...)
		return err
	})
	return found
}

// choose returns the one node with a role that is named so, or that alone has
// the name within its own.
func choose(nodes []node, name string, roles ...string) (node, error) {
	var equal, similar []node
	var names []string
	for _, n := range nodes {
		if !slices.Contains(roles, n.role) {
			continue
		}
		names = append(names, fmt.Sprintf("%s %q", n.role, n.name))
		switch {
		case n.name == name:
			equal = append(equal, n)
		case strings.Contains(n.name, name):
			similar = append(similar, n)
		}
	}
	found := equal
	if len(found) == 0 {
		found = similar
	}
	if len(found) == 1 {
		return found[0], nil
	}
	what := roles[0]
	if len(roles) > 1 {
		what = "field"
	}
	if len(names) > 60 {
		names = append(names[:60], "…")
	}
	how := fmt.Sprintf("no %s is", what)
	if len(found) > 1 {
		how = fmt.Sprintf("%d of %s are", len(found), what)
	}
	return node{}, fmt.Errorf("%s named %q, want one; there are:\n  %s", how, name, strings.Join(names, "\n  "))
}

// nodes returns the things of the page, or of its part, in reading order.
func (p *Page) nodes() ([]node, error) {
	tree, err := p.tree()
	if err != nil {
		return nil, err
	}
	root, err := tree.locate(p.within)
	if err != nil {
		return nil, err
	}
	return tree.under(root), nil
}

// root returns the thing that the page is narrowed to.
func (p *Page) root() (node, error) {
	tree, err := p.tree()
	if err != nil {
		return node{}, err
	}
	id, err := tree.locate(p.within)
	if err != nil {
		return node{}, err
	}
	return tree.node(id), nil
}

// axTree is the page's accessibility tree.
type axTree struct {
	top  accessibility.NodeID
	byID map[accessibility.NodeID]*accessibility.Node
}

func (p *Page) tree() (axTree, error) {
	res, err := tryCall(p, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		return axTree{}, err
	}
	if len(res.Nodes) == 0 {
		return axTree{}, errors.New("the page is empty")
	}
	tree := axTree{top: res.Nodes[0].NodeID, byID: make(map[accessibility.NodeID]*accessibility.Node, len(res.Nodes))}
	for _, n := range res.Nodes {
		tree.byID[n.NodeID] = n
	}
	return tree, nil
}

// locate returns the root of a place; the whole page for nil.
func (tree axTree) locate(at *place) (accessibility.NodeID, error) {
	if at == nil {
		return tree.top, nil
	}
	outer, err := tree.locate(at.outer)
	if err != nil {
		return "", err
	}
	found, err := choose(tree.under(outer), at.name, at.role)
	if err != nil {
		return "", fmt.Errorf("looking for a part of the page: %w", err)
	}
	for id, n := range tree.byID {
		if n.BackendDOMNodeID == found.dom && !n.Ignored && word(n.Role) == at.role {
			return id, nil
		}
	}
	return "", fmt.Errorf("the %s %q is gone", at.role, at.name)
}

// under returns what is below id, depth first, without what is hidden from a
// screen reader.
func (tree axTree) under(id accessibility.NodeID) []node {
	var found []node
	var walk func(accessibility.NodeID)
	walk = func(id accessibility.NodeID) {
		n, ok := tree.byID[id]
		if !ok {
			return
		}
		for _, child := range n.ChildIDs {
			if c, ok := tree.byID[child]; ok && !c.Ignored {
				found = append(found, tree.node(child))
			}
			walk(child)
		}
	}
	walk(id)
	return found
}

// told are the roles that have no name of their own: they go by what they hold.
var told = []string{"row", "listitem", "paragraph", "status", "alert", "definition"}

// contents returns the text below id.
func (tree axTree) contents(id accessibility.NodeID) string {
	var texts []string
	var walk func(accessibility.NodeID)
	walk = func(id accessibility.NodeID) {
		n, ok := tree.byID[id]
		if !ok {
			return
		}
		if word(n.Role) == "StaticText" {
			texts = append(texts, word(n.Name))
			return
		}
		for _, child := range n.ChildIDs {
			walk(child)
		}
	}
	walk(id)
	return plain(strings.Join(texts, " "))
}

func (tree axTree) node(id accessibility.NodeID) node {
	n := tree.byID[id]
	found := node{
		role: word(n.Role), name: plain(word(n.Name)), description: plain(word(n.Description)), value: word(n.Value),
		dom: n.BackendDOMNodeID,
	}
	if found.name == "" && slices.Contains(told, found.role) {
		found.name = tree.contents(id)
	}
	for _, prop := range n.Properties {
		switch prop.Name {
		case accessibility.PropertyNameFocused:
			found.focused = word(prop.Value) == "true"
		case accessibility.PropertyNameChecked:
			found.checked = word(prop.Value)
		case accessibility.PropertyNameInvalid:
			found.invalid = word(prop.Value) == "true"
		}
	}
	return found
}

// word returns a value of the accessibility tree as text.
func word(v *accessibility.Value) string {
	if v == nil || len(v.Value) == 0 {
		return ""
	}
	var text string
	if err := json.Unmarshal(v.Value, &text); err != nil {
		return string(v.Value) // a number or true or false
	}
	return text
}

// on calls a JavaScript function with the node's element as "this".
func on[T any](p *Page, n node, function string, args ...any) (T, error) {
	var result T
	element, err := tryCall(p, dom.ResolveNode, dom.ResolveNodeParams{BackendNodeID: n.dom})
	if err != nil {
		return result, err
	}
	params := runtime.CallFunctionOnParams{FunctionDeclaration: function, ObjectID: element.Object.ObjectID}
	yes := true
	params.ReturnByValue, params.AwaitPromise, params.UserGesture = &yes, &yes, &yes
	for _, arg := range args {
		value, err := json.Marshal(arg)
		if err != nil {
			return result, err
		}
		params.Arguments = append(params.Arguments, &runtime.CallArgument{Value: value})
	}
	res, err := tryCall(p, runtime.CallFunctionOn, params)
	if err != nil {
		return result, err
	}
	if res.ExceptionDetails != nil {
		return result, thrown(res.ExceptionDetails)
	}
	return result, json.Unmarshal(res.Result.Value, &result)
}

// Ticked returns the names of the ticked boxes, in reading order.
func (p *Page) Ticked() []string {
	p.t.Helper()
	p.settle()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	var names []string
	for _, n := range nodes {
		if n.role == "checkbox" && n.checked == "true" {
			names = append(names, n.name)
		}
	}
	return names
}

// Unfold opens the fold whose summary has that name, if it is closed.
func (p *Page) Unfold(summary string) {
	p.t.Helper()
	n := p.find(summary, "DisclosureTriangle")
	open, err := on[bool](p, n, "function() { return this.closest('details').open }")
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	if !open {
		p.clickNode(n)
	}
}
