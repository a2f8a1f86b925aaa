//go:build browser

package browsertest

import (
	"fmt"
	"strings"

	"github.com/chromedp/chromedp"
)

// In the look Keyboard a page is used as by somebody without a mouse: what is
// clicked, filled, chosen and ticked elsewhere is reached here by Tab, by the
// arrow keys within boards and radio buttons, and done by Enter, Space and
// typing. Each stop on which something is done must show its focus.

// nextKey is the key that brings the focus nearer to an element; "" where it is.
const nextKey = `function() {
	const here = document.activeElement
	if (here === this) return ""
	if (!here || here === document.body) return "Tab"
	const rows = grid => [...grid.rows].map(r => [...r.querySelectorAll("td a, td button, td summary")]).filter(r => r.length)
	const grid = this.closest("[role=grid]")
	if (grid && this.matches("td *") && grid.contains(here) && here.matches("td *")) {
		const at = e => rows(grid).findIndex(r => r.includes(e))
		if (at(here) !== at(this)) return at(here) < at(this) ? "ArrowDown" : "ArrowUp"
		return here.compareDocumentPosition(this) & Node.DOCUMENT_POSITION_FOLLOWING ? "ArrowRight" : "ArrowLeft"
	}
	if (this.type === "radio" && here.type === "radio" && here.name === this.name && here.form === this.form) return "ArrowDown"
	return here.compareDocumentPosition(this) & Node.DOCUMENT_POSITION_PRECEDING ? "Shift+Tab" : "Tab"
}`

// reach brings the focus to a node with the keys that a reader has.
func (p *Page) reach(n node) error {
	var pressed []string
	for range mostTabs {
		key, err := on[string](p, n, nextKey)
		if err != nil {
			return err
		}
		if key == "" {
			return nil
		}
		p.press(key)
		pressed = append(pressed, key)
	}
	return fmt.Errorf("%d keys do not reach the %s %q; the last were %s", mostTabs, n.role, n.name, strings.Join(pressed[len(pressed)-5:], ", "))
}

// pressNode presses a button, follows a link, opens a fold or ticks a box.
func (p *Page) pressNode(n node) {
	p.t.Helper()
	if err := p.reach(n); err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	p.WantFocusVisible()
	switch n.role {
	case "checkbox", "radio", "switch":
		// An arrow key that came upon a radio button has chosen it.
		if chosen, err := on[bool](p, n, "function() { return this.type === 'radio' && this.checked }"); err != nil || chosen {
			return
		}
		p.Press("Space")
	default:
		p.Press("Enter")
	}
}

// typeOver types a value into a field in place of what it holds.
func (p *Page) typeOver(n node, value string) error {
	if err := p.reach(n); err != nil {
		return err
	}
	keys, err := on[string](p, n, pickerKeys, value)
	if err != nil {
		return err
	}
	if keys == "" {
		p.WantFocusVisible()
		p.press("Ctrl+a")
		p.press("Delete")
		return chromedp.Do(p.ctx, chromedp.KeyEvent(value))
	}
	// The field has a stop for each of its parts: go before it, then to its first.
	for here := true; here; {
		p.press("Shift+Tab")
		if here, err = on[bool](p, n, "function() { return document.activeElement === this }"); err != nil {
			return err
		}
	}
	p.press("Tab")
	p.WantFocusVisible()
	return chromedp.Do(p.ctx, chromedp.KeyEvent(keys))
}

// pickerKeys is what is typed into a field for a day or a time, whose parts
// stand in the order of the browser's language; "" for other fields.
const pickerKeys = `function(value) {
	if (this.type === "date") {
		const [year, month, day] = value.split("-")
		return new Intl.DateTimeFormat(navigator.language).formatToParts().map(p => ({year, month, day})[p.type] ?? "").join("")
	}
	if (this.type !== "time") return ""
	const [hour, minute] = value.split(":")
	if (!new Intl.DateTimeFormat(navigator.language, {hour: "numeric"}).resolvedOptions().hour12) return hour + minute
	return String(hour % 12 || 12).padStart(2, "0") + minute + (hour < 12 ? "A" : "P")
}`

// chooseByKey goes down a list from its top until the option stands in it.
func (p *Page) chooseByKey(n node, option string) (found bool, err error) {
	if err := p.reach(n); err != nil {
		return false, err
	}
	p.WantFocusVisible()
	p.press("Home")
	const stands = `function(option) {
		const text = this.selectedOptions[0]?.text.replace(/\s+/g, " ").trim() ?? ""
		return {Found: text === option || text.includes(option), Last: this.selectedIndex === this.options.length - 1}
	}`
	for range mostTabs {
		now, err := on[struct{ Found, Last bool }](p, n, stands, option)
		if err != nil || now.Found || now.Last {
			return now.Found, err
		}
		p.press("ArrowDown")
	}
	return false, nil
}
