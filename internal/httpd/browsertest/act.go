//go:build browser

package browsertest

import (
	"fmt"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Click clicks the one thing of that role and name with the mouse, where a
// reader would, and waits until the page is at rest.
func (p *Page) Click(role, name string) {
	p.t.Helper()
	p.clickNode(p.find(name, role))
}

// clickAt clicks one of several things of a role by its place among Names.
func (p *Page) clickAt(role string, place int) {
	p.t.Helper()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	for _, n := range nodes {
		if n.role != role {
			continue
		}
		if place == 0 {
			p.clickNode(n)
			return
		}
		place--
	}
	p.t.Fatalf("%s: there are not that many things of the role %s", p.describe(), role)
}

func (p *Page) clickNode(n node) {
	p.t.Helper()
	if p.Look.keys {
		p.pressNode(n)
		return
	}
	var x, y float64
	p.eventually(func() error {
		var err error
		x, y, err = p.middle(n)
		return err
	})
	p.traffic.stir()
	for _, kind := range []input.DispatchMouseEventType{
		input.DispatchMouseEventTypeMouseMoved, input.DispatchMouseEventTypeMousePressed, input.DispatchMouseEventTypeMouseReleased,
	} {
		params := input.DispatchMouseEventParams{Type: kind, X: x, Y: y}
		if kind != input.DispatchMouseEventTypeMouseMoved {
			params.Button, params.ClickCount = input.MouseButtonLeft, 1
		}
		call(p, input.DispatchMouseEvent, params)
	}
	p.traffic.stir()
	p.settle()
}

// Sign draws a signature into the field of that name.
func (p *Page) Sign(name string) {
	p.t.Helper()
	n := p.find(name, "image")
	var x, y float64
	p.eventually(func() (err error) {
		x, y, err = p.middle(n)
		return err
	})
	at := func(kind input.DispatchMouseEventType, right, down float64) {
		call(p, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x + right, Y: y + down, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
	}
	at(input.DispatchMouseEventTypeMousePressed, -60, 10)
	for i := range 12 {
		at(input.DispatchMouseEventTypeMouseMoved, -60+10*float64(i), 10-20*float64(i%3))
	}
	at(input.DispatchMouseEventTypeMouseReleased, 60, 0)
	p.settle()
}

// middle scrolls a node into view and returns the middle of its first line, in
// the window. It is an error if something else lies over it there.
func (p *Page) middle(n node) (x, y float64, err error) {
	if _, err := tryCall(p, dom.ScrollIntoViewIfNeeded, dom.ScrollIntoViewIfNeededParams{BackendNodeID: n.dom}); err != nil {
		return 0, 0, fmt.Errorf("the %s %q cannot be brought into view: %w", n.role, n.name, err)
	}
	at, err := on[struct {
		X, Y  float64
		Cover string
	}](p, n, `function() {
		const box = [...this.getClientRects()].find(r => r.width > 0 && r.height > 0)
		if (!box) return {Cover: "nothing: it has no size"}
		const x = box.x + box.width / 2, y = box.y + box.height / 2
		const top = document.elementFromPoint(x, y)
		const mine = top && (this.contains(top) || top.contains(this) && [...(this.labels ?? [])].some(l => l.contains(top)))
		return {X: x, Y: y, Cover: mine ? "" : top ? top.outerHTML.slice(0, 120) : "the edge of the window"}
	}`)
	if err != nil {
		return 0, 0, err
	}
	if at.Cover != "" {
		return 0, 0, fmt.Errorf("the %s %q cannot be clicked, it is covered by %s", n.role, n.name, at.Cover)
	}
	return at.X, at.Y, nil
}

// Fill puts a value into the field with that label: text as a person types it,
// a day as "2027-03-02", a time as "08:00".
func (p *Page) Fill(label, value string) {
	p.t.Helper()
	n := p.find(label, fieldRoles...)
	if err := p.fill(n, value); err != nil {
		p.t.Fatalf("%s: filling %q: %v", p.describe(), label, err)
	}
}

func (p *Page) fill(n node, value string) error {
	if p.Look.keys {
		if err := p.typeOver(n, value); err != nil {
			return err
		}
		return p.holds(n, value)
	}
	if _, err := tryCall(p, dom.Focus, dom.FocusParams{BackendNodeID: n.dom}); err != nil {
		return err
	}
	// A browser's own pickers take no typed text that is the same in every
	// language, so the value is set and announced as a picker does it.
	picker, err := on[bool](p, n, `function(value) {
		if (this.isContentEditable || this.matches("textarea, input:not([type]), input[type=text], input[type=email], "
			+ "input[type=password], input[type=search], input[type=tel], input[type=url], input[type=number]")) {
			this.select()
			return false
		}
		this.value = value
		this.dispatchEvent(new Event("input", {bubbles: true}))
		this.dispatchEvent(new Event("change", {bubbles: true}))
		return true
	}`, value)
	if err != nil {
		return err
	}
	if !picker {
		if value == "" {
			err = chromedp.Do(p.ctx, chromedp.KeyEvent(kb.Delete))
		} else {
			_, err = tryCall(p, input.InsertText, input.InsertTextParams{Text: value})
		}
		if err != nil {
			return err
		}
	}
	return p.holds(n, value)
}

// holds is an error unless the field holds the value.
func (p *Page) holds(n node, value string) error {
	got, err := on[string](p, n, "function() { return this.value }")
	if err == nil && got != value {
		err = fmt.Errorf("the field holds %q after %q was put in", got, value)
	}
	return err
}

// Choose picks the option with that text in the list with that label.
func (p *Page) Choose(label, option string) {
	p.t.Helper()
	n := p.find(label, "combobox", "listbox")
	p.traffic.stir()
	if p.Look.keys {
		if ok, err := p.chooseByKey(n, option); err != nil || !ok {
			p.t.Fatalf("%s: %q cannot be chosen for %q by keyboard; error: %v; the options are: %s", p.describe(), option, label, err, strings.Join(p.Options(label), " | "))
		}
		p.settle()
		return
	}
	found, err := on[string](p, n, `function(option) {
		const plain = s => s.replace(/\s+/g, " ").trim()
		const all = [...(this.options ?? [])]
		const is = all.filter(o => plain(o.text) === option)
		const has = is.length ? is : all.filter(o => plain(o.text).includes(option))
		if (has.length !== 1 || has[0].disabled) return "the options are: " + all.map(o => plain(o.text) + (o.disabled ? " (disabled)" : "")).join(" | ")
		this.focus()
		has[0].selected = true
		this.dispatchEvent(new Event("input", {bubbles: true}))
		this.dispatchEvent(new Event("change", {bubbles: true}))
		return ""
	}`, option)
	if err != nil {
		p.t.Fatalf("%s: choosing %q: %v", p.describe(), option, err)
	}
	if found != "" {
		p.t.Fatalf("%s: %q cannot be chosen for %q; %s", p.describe(), option, label, found)
	}
	p.settle()
}

// Options returns the texts of the options of the list with that label.
func (p *Page) Options(label string) []string {
	p.t.Helper()
	texts, err := on[[]string](p, p.find(label, "combobox", "listbox"), `function() {
		return [...this.options].map(o => o.text.replace(/\s+/g, " ").trim())
	}`)
	if err != nil {
		p.t.Fatalf("%s: reading the options of %q: %v", p.describe(), label, err)
	}
	return texts
}

// Check ticks the box, or picks the radio button, with that label.
func (p *Page) Check(label string) { p.t.Helper(); p.tick(label, "true") }

// Uncheck takes the tick from the box with that label.
func (p *Page) Uncheck(label string) { p.t.Helper(); p.tick(label, "false") }

func (p *Page) tick(label, want string) {
	p.t.Helper()
	roles := []string{"checkbox", "radio", "switch"}
	if n := p.find(label, roles...); n.checked != want {
		p.clickNode(n)
	}
	p.eventually(func() error {
		nodes, err := p.nodes()
		if err != nil {
			return err
		}
		if n, err := choose(nodes, label, roles...); err != nil {
			return err
		} else if n.checked != want {
			return fmt.Errorf("the box %q is %s, want %s", label, n.checked, want)
		}
		return nil
	})
}

// Value returns what the field with that label holds.
func (p *Page) Value(label string) string {
	p.t.Helper()
	value, err := on[string](p, p.find(label, fieldRoles...), "function() { return this.value }")
	if err != nil {
		p.t.Fatalf("%s: reading %q: %v", p.describe(), label, err)
	}
	return value
}

// Checked says whether the box with that label is ticked.
func (p *Page) Checked(label string) bool {
	p.t.Helper()
	return p.find(label, "checkbox", "radio", "switch").checked == "true"
}

// FieldMessage returns what is said beside the field with that label: its hint
// and its error, as a screen reader adds them to the field's name.
func (p *Page) FieldMessage(label string) string {
	p.t.Helper()
	return p.find(label, fieldRoles...).description
}

// WantFieldError waits until the field with that label is marked as wrong and
// its message holds text.
func (p *Page) WantFieldError(label, text string) {
	p.t.Helper()
	p.eventually(func() error {
		nodes, err := p.nodes()
		if err != nil {
			return err
		}
		n, err := choose(nodes, label, fieldRoles...)
		switch {
		case err != nil:
			return err
		case !n.invalid:
			return fmt.Errorf("the field %q is not marked as wrong; beside it stands %q", label, n.description)
		case !strings.Contains(n.description, text):
			return fmt.Errorf("beside the field %q stands %q, want %q", label, n.description, text)
		}
		return nil
	})
}

// named are the keys that have a name and no character of their own.
var named = map[string]string{
	"Tab": kb.Tab, "Enter": kb.Enter, "Escape": kb.Escape, "Space": " ", "Backspace": kb.Backspace, "Delete": kb.Delete,
	"ArrowUp": kb.ArrowUp, "ArrowDown": kb.ArrowDown, "ArrowLeft": kb.ArrowLeft, "ArrowRight": kb.ArrowRight,
	"Home": kb.Home, "End": kb.End, "PageUp": kb.PageUp, "PageDown": kb.PageDown,
}

// Press presses keys one after the other: a key's name such as "Tab", "Enter",
// "Space", "ArrowDown", one character such as "/", or either with "Shift+",
// "Ctrl+" or "Alt+" before it. It waits until the page is at rest.
func (p *Page) Press(keys ...string) {
	p.t.Helper()
	for _, key := range keys {
		p.press(key)
		if !slices.Contains([]string{"Tab", "Shift+Tab"}, key) {
			p.settle()
		}
	}
}

func (p *Page) press(key string) {
	p.t.Helper()
	var modifiers []chromedp.Modifier
	rest := key
	for prefix, m := range map[string]chromedp.Modifier{
		"Shift+": chromedp.ModifierShift, "Ctrl+": chromedp.ModifierCtrl, "Alt+": chromedp.ModifierAlt,
	} {
		if after, ok := strings.CutPrefix(rest, prefix); ok {
			rest, modifiers = after, append(modifiers, m)
		}
	}
	text, ok := named[rest]
	if !ok && len([]rune(rest)) != 1 {
		p.t.Fatalf("there is no key %q", key)
	}
	if !ok {
		text = rest
	}
	p.traffic.stir()
	if err := chromedp.Do(p.ctx, chromedp.KeyEvent(text, chromedp.KeyModifiers(modifiers...))); err != nil {
		p.t.Fatalf("pressing %s: %v", key, err)
	}
	p.traffic.stir()
}

// Type types text into whatever has the focus.
func (p *Page) Type(text string) {
	p.t.Helper()
	p.traffic.stir()
	if err := chromedp.Do(p.ctx, chromedp.KeyEvent(text)); err != nil {
		p.t.Fatalf("typing: %v", err)
	}
	p.settle()
}

// Focused returns the role and name of what has the focus; both are "" when
// nothing has it.
func (p *Page) Focused() (role, name string) {
	p.t.Helper()
	tree, err := p.tree()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	for _, n := range tree.under(tree.top) {
		if n.focused {
			role, name = n.role, n.name // the innermost comes last
		}
	}
	return role, name
}

// TabTo brings the focus to the thing of that role and name by keyboard, and
// checks that the focus can be seen there.
func (p *Page) TabTo(role, name string) {
	p.t.Helper()
	if err := p.reach(p.find(name, role)); err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	p.WantFocusVisible()
}

// mostTabs is more than the stops of the longest page.
const mostTabs = 400
