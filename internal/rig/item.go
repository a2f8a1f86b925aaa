package rig

import (
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// Sort is what an item is; a closed list.
type Sort string

// The sorts of item. The textile ones age by the rule book from their first use.
const (
	HarnessItem   Sort = "harness"
	LanyardItem   Sort = "lanyard"
	RopeItem      Sort = "rope"
	SlingItem     Sort = "sling"
	DeviceItem    Sort = "device"
	ConnectorItem Sort = "connector"
	OtherItem     Sort = "other"
)

// Sorts lists the sorts in the order forms show them.
func Sorts() []Sort {
	return []Sort{HarnessItem, LanyardItem, RopeItem, SlingItem, DeviceItem, ConnectorItem, OtherItem}
}

// Textile reports whether an item of the sort ages by the rule book.
func (s Sort) Textile() bool {
	return s == HarnessItem || s == LanyardItem || s == RopeItem || s == SlingItem
}

// Item is a single piece of equipment that belongs to a kit. The pieces of a kit,
// numbered from 1 to its count, are what a session takes; a piece is one item or
// several that are used together.
type Item struct {
	ID          id.Item       `json:"id"`
	Kit         id.Kit        `json:"kit"`
	Piece       int           `json:"piece"` // number of the kit's piece; 0 = a spare, which counts for none
	Sort        Sort          `json:"sort"`
	Serial      id.Commitment `json:"serial"`
	Says        id.Commitment `json:"says,omitempty"`       // what it is, in the centre's words
	FirstUse    civil.Day     `json:"first_use,omitempty"`  // 0 = not stated, which stops what is textile
	MakerLast   civil.Day     `json:"maker_last,omitempty"` // last day by its maker's word; 0 = none given
	Inspections []string      `json:"inspections,omitempty"`
	// Out is the first day without it, and Why the reason. A piece lacks what is out
	// until another item stands in its place.
	Out      civil.Day     `json:"out,omitempty"`
	Why      id.Commitment `json:"why,omitempty"`
	Replaces id.Item       `json:"replaces,omitempty"`
}

// Check judges an item by itself.
func (i Item) Check() error {
	bad := fault.Fields{}
	if i.Serial == "" {
		bad.Add("serial", "The item has no serial. Give what is marked on it.")
	}
	if !slices.Contains(Sorts(), i.Sort) {
		bad.Add("sort", "What it is is not stated. Choose it from the list.")
	}
	if i.Piece < 0 || i.Piece > mostPeople {
		bad.Add("piece", "Piece %d; give 1 to %d, or 0 for a spare.", i.Piece, mostPeople)
	}
	if i.Sort.Textile() && i.FirstUse == 0 {
		bad.Add("first_use", "The day of first use is not stated. Its lifetime counts from it.")
	}
	if i.MakerLast != 0 && i.MakerLast < i.FirstUse {
		bad.Add("maker_last", "Its maker's last day lies before its first use.")
	}
	if i.Replaces == i.ID && i.ID != "" {
		bad.Add("replaces", "An item does not stand in its own place.")
	}
	if (i.Out == 0) != (i.Why == "") {
		bad.Add("why", "Say why it is taken out of use.")
	}
	return bad.Err()
}

// LastDay returns the last day on which an item may be used: the earlier of its
// maker's and, of what is textile, the rule book's from its first use. ok is false
// where what counts is not stated. No last day is civil.LastDay.
func (i Item) LastDay(book rulebook.Version) (last civil.Day, missing Missing, ok bool) {
	last = civil.LastDay
	if i.MakerLast != 0 {
		last = i.MakerLast
	}
	if !i.Sort.Textile() {
		return last, "", true
	}
	if i.FirstUse == 0 {
		return 0, MissingFirstUse, false
	}
	line, stated := book.Strictest(rulebook.TextileLife)
	if !stated {
		return 0, MissingLife, false
	}
	return min(last, i.FirstUse.AddMonths(int(line.Value))), "", true
}

// SerialKey is a serial as two people may write it: without spaces, in small letters.
func SerialKey(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

func itemRef(i id.Item) verdict.Ref { return verdict.Ref{Kind: verdict.Item, ID: string(i)} }

// ItemOn returns the item's record that stands on a day.
func (g *Register) ItemOn(i id.Item, d civil.Day) (Item, bool) { return standing(g.items[i], d) }

// ItemsOf returns the items of a kit that stand on a day, by piece; those that are
// out of use among them.
func (g *Register) ItemsOf(k id.Kit, d civil.Day) []Item {
	var out []Item
	for _, of := range g.itemsOf[k] {
		if i, ok := g.ItemOn(of, d); ok && i.Kit == k {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b Item) int { return a.Piece - b.Piece })
	return out
}

// Item returns the causes for which an item may not be used on a day, without its
// quarantine, which is no matter of days.
func (g *Register) Item(i id.Item, d civil.Day) []Cause {
	book, ok := g.book(d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: itemRef(i), Missing: MissingRuleBook}}
	}
	return g.item(i, d, book)
}

func (g *Register) item(of id.Item, d civil.Day, book rulebook.Version) []Cause {
	ref := itemRef(of)
	i, ok := g.ItemOn(of, d)
	if !ok {
		return []Cause{{Kind: NotStated, Subject: ref, Missing: MissingRecord}}
	}
	if i.Out != 0 && i.Out <= d {
		return []Cause{{Kind: Retired, Subject: ref, Since: i.Out}}
	}
	var causes []Cause
	switch last, missing, stated := i.LastDay(book); {
	case !stated:
		causes = append(causes, Cause{Kind: NotStated, Subject: ref, Missing: missing})
	case last < d:
		causes = append(causes, Cause{Kind: ItemTooOld, Subject: ref, Since: last + 1})
	}
	return append(causes, g.clocks(ref, string(of), i.Inspections, d, book)...)
}

// ItemWithKit returns the causes for which an item may not be used at a moment, those
// of its kit among them: what stops the kit stops each of its items.
func (g *Register) ItemWithKit(i Item, at civil.Instant) []Cause {
	causes := append(g.ItemAt(i.ID, at), g.Kit(i.Kit, g.zone.DayOf(at))...)
	return append(causes, g.Quarantined(kitRef(i.Kit), at)...)
}

// Pieces is how many pieces of a kit may be used, and why the others may not.
type Pieces struct {
	Listed bool // its items are on record; else the kit's plain count stands
	Usable int
	Causes []Cause // of the items of the pieces that may not be used, and pieces without items
}

// PiecesOn returns the pieces of a kit that may be used on a day, but for
// quarantines. What is not on record may not be used.
func (g *Register) PiecesOn(k id.Kit, d civil.Day) Pieces {
	return g.pieces(k, d, func(i id.Item) []Cause { return g.Item(i, d) })
}

// PiecesAt is PiecesOn at a moment, quarantines counted in.
func (g *Register) PiecesAt(k id.Kit, at civil.Instant) Pieces {
	d := g.zone.DayOf(at)
	return g.pieces(k, d, func(i id.Item) []Cause { return g.ItemAt(i, at) })
}

// ItemAt returns the causes for which an item may not be used at a moment.
func (g *Register) ItemAt(i id.Item, at civil.Instant) []Cause {
	return append(g.Item(i, g.zone.DayOf(at)), g.quarantined(itemRef(i), civil.Period{Start: at, End: at + 1})...)
}

func (g *Register) pieces(k id.Kit, d civil.Day, causes func(id.Item) []Cause) Pieces {
	kit, _ := g.KitOn(k, d)
	items := g.ItemsOf(k, d)
	if len(items) == 0 {
		return Pieces{Usable: kit.Count}
	}
	out := Pieces{Listed: true}
	inPlaceOf := map[id.Item]int{}
	for _, i := range items {
		inPlaceOf[i.Replaces] = i.Piece
	}
	for n := 1; n <= kit.Count; n++ {
		var bad []Cause
		held := false
		for _, i := range items {
			if i.Piece != n || (inPlaceOf[i.ID] == n && i.Out != 0 && i.Out <= d) {
				continue
			}
			held = true
			bad = append(bad, causes(i.ID)...)
		}
		if !held {
			bad = []Cause{{Kind: NoItem, Subject: kitRef(k), Piece: n}}
		}
		if len(bad) == 0 {
			out.Usable++
		}
		out.Causes = append(out.Causes, bad...)
	}
	return out
}

// itemDays adds the days on which the answer about a kit's items may change.
func (g *Register) itemDays(d *days, k id.Kit) {
	for _, of := range g.itemsOf[k] {
		for _, s := range g.items[of] {
			d.add(s.From, s.Until, s.Value.Out)
			for _, b := range g.books {
				if last, _, ok := s.Value.LastDay(b); ok && last < civil.LastDay {
					d.add(last + 1)
				}
			}
			g.clockDays(d, string(of), s.Value.Inspections)
		}
	}
}

// KitOut is a period in which pieces of a kit may not be used: Usable are left.
type KitOut struct {
	civil.Period
	Usable int
	Causes []Cause
}

// KitOut returns the periods in [from, until) in which fewer pieces of a kit may be
// used than it counts, in order.
func (g *Register) KitOut(k id.Kit, from, until civil.Day) []KitOut {
	var out []KitOut
	for _, span := range g.kitSpans(k, from, until) {
		d := g.zone.DayOf(span.Start)
		causes, usable := append(g.Kit(k, d), g.quarantined(kitRef(k), span)...), 0
		if len(causes) == 0 {
			kit, _ := g.KitOn(k, d)
			p := g.PiecesAt(k, span.Start)
			if p.Usable >= kit.Count {
				continue
			}
			causes, usable = p.Causes, p.Usable
		}
		if n := len(out); n > 0 && out[n-1].End == span.Start && out[n-1].Usable == usable && slices.Equal(out[n-1].Causes, causes) {
			out[n-1].End = span.End
			continue
		}
		out = append(out, KitOut{span, usable, causes})
	}
	return out
}

// kitSpans cuts the days [from, until) wherever the answer about a kit may change.
func (g *Register) kitSpans(k id.Kit, from, until civil.Day) []civil.Period {
	days := newDays(from, until)
	g.bookDays(days)
	g.kitDays(days, k)
	end := g.zone.StartOfDay(until)
	var at []civil.Instant
	for _, span := range days.spans() {
		at = append(at, g.zone.StartOfDay(span.from))
	}
	if len(at) == 0 {
		return nil
	}
	cut := func(subject string) {
		for _, q := range g.quarantines[subject] {
			for _, t := range []civil.Instant{q.Start, q.End()} {
				if at[0] < t && t < end {
					at = append(at, t)
				}
			}
		}
	}
	cut(string(k))
	for _, of := range g.itemsOf[k] {
		cut(string(of))
	}
	slices.Sort(at)
	at = slices.Compact(at)
	out := make([]civil.Period, len(at))
	for i, t := range at {
		out[i] = civil.Period{Start: t, End: end}
		if i+1 < len(at) {
			out[i].End = at[i+1]
		}
	}
	return out
}
