//go:build browser

package browsertest

import (
	"fmt"
	"regexp"
	"strings"
)

// soundness looks at what every page owes its reader, and returns complaints.
const soundness = `(width => {
	const wrong = []
	const name = e => e.outerHTML.replace(/\s+/g, " ").slice(0, 100)
	const h1 = document.querySelectorAll("h1").length
	if (h1 !== 1) wrong.push("it has " + h1 + " first headings (h1), want one")
	const main = document.querySelectorAll("main").length
	if (main !== 1) wrong.push("it has " + main + " main parts, want one")
	if (!document.title.trim()) wrong.push("it has no title")
	if (!document.documentElement.lang) wrong.push("it does not say its language")
	const met = new Set()
	for (const e of document.querySelectorAll("[id]")) {
		if (met.has(e.id)) wrong.push("the id " + e.id + " is there twice: " + name(e))
		met.add(e.id)
	}
	for (const e of document.querySelectorAll("[aria-describedby],[aria-labelledby],[aria-controls],label[for]"))
		for (const a of ["aria-describedby", "aria-labelledby", "aria-controls", "for"])
			for (const id of (e.getAttribute(a) ?? "").split(/\s+/).filter(Boolean))
				if (!met.has(id)) wrong.push(a + " names " + id + ", which is not there: " + name(e))
	for (const e of document.querySelectorAll("img"))
		if (!e.complete || !e.naturalWidth) wrong.push("a picture is missing: " + name(e))
	const reach = Math.max(document.documentElement.scrollWidth, Math.round(window.innerWidth))
	if (reach > width) {
		const scrolls = e => e && e !== document.documentElement && (getComputedStyle(e).overflowX !== "visible" || scrolls(e.parentElement))
		const wide = [...document.body.querySelectorAll("*")].filter(e => e.getBoundingClientRect().right > width + 1 && !scrolls(e.parentElement))
		wrong.push("it is " + reach + " px wide in a window of " + width + "; too wide: " + wide.slice(0, 3).map(name).join(" and "))
	}
	return wrong
})`

// WantSound fails unless the page has what every page owes its reader: one
// first heading and main part, a title and a language, no id twice, no label
// or description that points nowhere, no missing picture, and no need to scroll
// sideways.
func (p *Page) WantSound() {
	p.t.Helper()
	p.settle()
	for _, complaint := range Eval[[]string](p, fmt.Sprintf("%s(%d)", soundness, p.Look.Width)) {
		p.t.Errorf("%s: %s", p.describe(), complaint)
	}
}

// focusSeen looks at the element that has the focus: its name, a mark that is
// its own for as long as the page stands, and what hides its focus ("" is
// nothing). A ring may be drawn by the label around a box. It is covered when
// none of 25 points of its box shows it (WCAG 2.2, 2.4.11: not entirely hidden).
const focusSeen = `(() => {
	const e = document.activeElement
	if (!e || e === document.body || e === document.documentElement) return {Name: "", Mark: 0, Fault: "nothing has the focus"}
	window.__stops ??= new Map()
	if (!window.__stops.has(e)) window.__stops.set(e, window.__stops.size + 1)
	const stop = {Name: e.outerHTML.replace(/\s+/g, " ").slice(0, 100), Mark: window.__stops.get(e), Fault: ""}
	const ring = x => { const s = getComputedStyle(x); return s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2 }
	const label = e.closest("label") ?? e.labels?.[0]
	if (!ring(e) && !(label && ring(label))) { stop.Fault = "it has no ring of at least 2 px"; return stop }
	const shown = label && !ring(e) ? label : e
	const box = [...shown.getClientRects()].find(r => r.width > 1 && r.height > 1)
	if (!box) { stop.Fault = "it has no size"; return stop }
	if (box.bottom < 0 || box.top > innerHeight || box.right < 0 || box.left > innerWidth) { stop.Fault = "it is outside the window"; return stop }
	const at = (start, length, part, end) => Math.min(Math.max(start + length * part, 1), end - 1)
	let cover = null
	for (const down of [0.5, 0.1, 0.3, 0.7, 0.9]) for (const across of [0.5, 0.1, 0.3, 0.7, 0.9]) {
		cover = document.elementFromPoint(at(box.x, box.width, across, innerWidth), at(box.y, box.height, down, innerHeight))
		if (cover && (shown.contains(cover) || cover.contains(shown))) return stop
	}
	stop.Fault = "it is covered by " + (cover ? cover.outerHTML.slice(0, 100) : "nothing that can be named")
	return stop
})()`

type focusStop struct {
	Name  string
	Mark  int
	Fault string
}

// WantFocusVisible fails unless something has the focus and a reader can see
// it: a ring of at least 2 px, inside the window, covered by nothing.
func (p *Page) WantFocusVisible() {
	p.t.Helper()
	if stop := Eval[focusStop](p, focusSeen); stop.Fault != "" {
		p.t.Errorf("%s: the focus cannot be seen: %s: %s", p.describe(), stop.Fault, stop.Name)
	}
}

// WalkFocus presses Tab from the top of the page until the focus leaves it, and
// fails if it cannot be seen at some stop or never leaves. It returns how many
// stops there are.
func (p *Page) WalkFocus() int {
	p.t.Helper()
	p.settle()
	Eval[bool](p, "(document.activeElement?.blur(), window.scrollTo(0, 0), true)")
	met := map[int]bool{}
	for range mostTabs {
		p.press("Tab")
		stop := Eval[focusStop](p, focusSeen)
		if stop.Mark == 0 || met[stop.Mark] && len(met) > 1 && stop.Mark == 1 {
			if len(met) == 0 {
				p.t.Errorf("%s: Tab reaches nothing", p.describe())
			}
			return len(met)
		}
		if met[stop.Mark] {
			// The parts of one control, such as a day's fields, share a stop.
			continue
		}
		met[stop.Mark] = true
		if stop.Fault != "" {
			p.t.Errorf("%s: stop %d of the focus cannot be seen: %s: %s", p.describe(), len(met), stop.Fault, stop.Name)
		}
	}
	p.t.Errorf("%s: after %d presses of Tab the focus has not left the page", p.describe(), mostTabs)
	return len(met)
}

// madeID is an identifier as package id makes them; one in four hundred has no
// digit.
var madeID = regexp.MustCompile(`^[0-9a-z]{16}$`)

// Shape returns an address with every identifier and every part that holds a
// digit made "*", so that addresses of one kind of page look alike:
// "/sessions/*"; so is an item of a dossier. The query goes.
func Shape(path string) string {
	path, _, _ = strings.Cut(path, "?")
	parts := strings.Split(path, "/")
	for i, part := range parts {
		if strings.ContainsAny(part, "0123456789") || madeID.MatchString(part) || i > 0 && parts[i-1] == "dossier" {
			parts[i] = "*"
		}
	}
	return strings.Join(parts, "/")
}

// Links returns the addresses within the program that the page links to, in
// reading order, once each.
func (p *Page) Links() []string {
	p.t.Helper()
	p.settle()
	return Eval[[]string](p, `[...new Set([...document.querySelectorAll("a[href]")]
		.filter(a => a.origin === location.origin && !a.hasAttribute("download"))
		.map(a => a.pathname + a.search))]`)
}
