package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/arriving"
	"rungbook/internal/civil"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// kitStateWords names the states.
var kitStateWords = map[rig.KitState]string{
	rig.KitInService: "in service", rig.KitDueSoon: "due soon", rig.KitOverdue: "overdue", rig.KitHeld: "in quarantine", rig.KitNotFit: "not in service",
}

// stateOut is the filter of what is out with somebody, whatever its state.
const stateOut = "out"

// stockLine is a kit, an item, or a serial that is out and not on record.
type stockLine struct {
	name  ui.Link
	of    string // its kit
	says  string
	state string // of rig.KitState; "" of what is not on record
	level verdict.Level
	word  string
	why   []string
	due   string
	day   civil.Day
	out   []arriving.Held
}

// stockFilter narrows the list by what is typed and chosen.
type stockFilter struct{ text, state string }

func (v *visit) stockFilter() stockFilter {
	q := v.r.URL.Query()
	return stockFilter{strings.TrimSpace(q.Get("q")), q.Get("state")}
}

func (f stockFilter) takes(l stockLine) bool {
	if f.text != "" && !strings.Contains(rig.SerialKey(l.name.Text+" "+l.of+" "+l.says), rig.SerialKey(f.text)) {
		return false
	}
	return f.state == "" || f.state == l.state || f.state == stateOut && len(l.out) > 0
}

// words says what narrows the list, for its files.
func (f stockFilter) words() []string {
	said := kitStateWords[rig.KitState(f.state)]
	if f.state == stateOut {
		said = "out with somebody"
	}
	return filters("Serial or name", f.text, "State", said)
}

// stock is every kit and item with its state and who holds it.
func (v *visit) stock() ([]stockLine, error) {
	all, err := v.Yard.Stock(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	out, err := v.Arriving.Out(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	v.standAt(all.Head, all.Ref)
	v.now = all.Now
	var lines []stockLine
	for _, p := range all.Pieces {
		lines = append(lines, v.stockLine(p, out))
	}
	for _, h := range out {
		if !h.Known() {
			lines = append(lines, stockLine{name: ui.Link{Text: h.Word()}, of: "not on record", says: string(h.Sort), level: verdict.Cautions, word: "not known",
				why: []string{unknownWords(h)}, out: []arriving.Held{h}})
		}
	}
	return lines, nil
}

func (v *visit) stockLine(p yardday.Piece, out []arriving.Held) stockLine {
	l := stockLine{name: v.thingLink(p.Of), of: "kit", state: string(p.State), word: kitStateWords[p.State]}
	switch p.State {
	case rig.KitInService:
	case rig.KitDueSoon:
		l.level = verdict.Cautions
	default:
		l.level = verdict.Stops
	}
	for _, c := range p.Causes {
		if text := capital(v.say(c.Say())); !slices.Contains(l.why, text) {
			l.why = append(l.why, text)
		}
	}
	if p.Incident != nil {
		l.why = append(l.why, capital(v.say(p.Incident)))
	}
	if p.Due != nil {
		l.due, l.day = capital(v.say(p.Due.Brief())), p.Due.Last
		if p.Due.Subject != p.Of {
			l.due += ", with its kit"
		}
	}
	if p.Item != nil {
		l.of, l.says = v.kitLink(p.Kit.ID).Text, v.ref.Text(p.Item.Says)
		for _, h := range out {
			if h.On == p.Item.ID {
				l.out = append(l.out, h)
			}
		}
	} else if usable := p.Pieces.Usable; len(p.Causes) == 0 && p.Incident == nil && usable < p.Kit.Count {
		l.level = max(l.level, verdict.Cautions)
		l.why = append(l.why, strconv.Itoa(usable)+" of "+strconv.Itoa(p.Kit.Count)+" may be used")
	}
	return l
}

func stockPage(v *visit) error {
	all, err := v.stock()
	if err != nil {
		return err
	}
	f := v.stockFilter()
	p := page.Stock{Shell: v.page("Kits and items", "yard"), Filter: ui.Form{Action: "/kits", Get: true, Button: "Show", Swap: "page"}}
	counts := map[string]int{}
	for _, l := range all {
		if counts[l.state]++; len(l.out) > 0 {
			counts[stateOut]++
		}
		if f.takes(l) {
			p.Rows = append(p.Rows, v.stockRow(l))
		}
	}
	chosen := ui.Field{Name: "state", Label: "State", Kind: ui.Select, Options: []ui.Option{{Label: "All"}}}
	for _, s := range rig.KitStates() {
		chosen.Options = append(chosen.Options, ui.Option{Value: string(s), Label: fmt.Sprintf("%s (%d)", capital(kitStateWords[s]), counts[string(s)]), Chosen: f.state == string(s)})
	}
	chosen.Options = append(chosen.Options, ui.Option{Value: stateOut, Label: fmt.Sprintf("Out with somebody (%d)", counts[stateOut]), Chosen: f.state == stateOut})
	p.Fields = []ui.Field{{Name: "q", Label: "Serial or name, or a part", Kind: ui.Search, Value: f.text}, chosen}
	p.Finding = fmt.Sprintf("%s of %s.", web.Number(int64(len(p.Rows))), web.Count(len(all), "kit or item", "kits and items"))
	if n := counts[string(rig.KitOverdue)] + counts[string(rig.KitHeld)] + counts[string(rig.KitNotFit)]; n > 0 {
		p.Finding += " " + web.Number(int64(n)) + " may not be used."
	}
	p.None = "Here stands each kit with its items. None is on record."
	if len(all) > 0 {
		p.None = "Nothing has that serial, name and state."
	}
	p.Shell.TakeOut = v.takeOut("kit-states")
	return v.show(http.StatusOK, page.StockPage(p))
}

func (v *visit) stockRow(l stockLine) page.StockRow {
	r := page.StockRow{Name: l.name, Of: l.of, Says: l.says, Level: l.level, State: l.word, Why: l.why, Due: l.due}
	for _, h := range l.out {
		r.With, r.Since = v.holderLink(h), v.givenWords(h)
	}
	return r
}

// kitStateList is the list of the page as a file, under its filter.
func kitStateList(v *visit, t *taking) error {
	all, err := v.stock()
	if err != nil {
		return err
	}
	f := v.stockFilter()
	if err := t.begin(v, "Kits and items "+v.today.String(), f.words()...); err != nil {
		return err
	}
	if err := t.heads("Kit or item", "Of", "Description", "State", "Why", "Next due", "By", "Out with", "Since", "Handed out by"); err != nil {
		return err
	}
	for _, l := range all {
		if !f.takes(l) {
			continue
		}
		var with, by string
		var since civil.Instant
		for _, h := range l.out {
			with, by = cmp.Or(h.Name, "a name that was erased"), h.Giver
			if h.Given != nil {
				since = h.Given.At
			}
		}
		if err := t.out.Row(l.name.Text, l.of, l.says, l.word, strings.Join(l.why, "; "), l.due, l.day, with, v.at(since), by); err != nil {
			return err
		}
	}
	return nil
}
