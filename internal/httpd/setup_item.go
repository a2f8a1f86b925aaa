package httpd

import (
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func itemThing() thing {
	return thing{path: "items", kind: "item", param: "item", one: "item", many: "items", action: access.ChangeYard, detail: "Kit, piece",
		says:    "Here stand single items of kits, such as a harness: with serial, first use and last day.",
		alsoOut: "quarantines",
		line:    "A single piece of equipment by its serial. It belongs to one numbered piece of a kit.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, i := range v.ref.Items.All(v.today) {
				row := page.ThingRow{Name: ui.Link{Text: capital(planning.ItemName(v.ref, i.ID, v.today)), Href: "/set-up/items/" + string(i.ID)}, Detail: v.kitLink(i.Kit).Text + ", piece " + strconv.Itoa(i.Piece)}
				if i.Piece == 0 {
					row.Detail = v.kitLink(i.Kit).Text + ", spare"
				}
				if i.Out != 0 {
					row.Note = "out of use from " + web.FullDay(i.Out)
				}
				row.Do = []ui.Link{{Text: "Open", Href: "/items/" + string(i.ID)}}
				out = append(out, row)
			}
			return out
		},
		aside:  func(_ *visit, of string) []ui.Link { return []ui.Link{{Text: "Open this item", Href: "/items/" + of}} },
		groups: itemGroups,
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			i := founding.Item{Record: rig.Item{Kit: id.Kit(a.text("kit")), Piece: a.whole("piece", false), Sort: rig.Sort(a.text("sort")), FirstUse: a.day("first_use"),
				MakerLast: a.day("maker_last"), Inspections: many[string](a, "inspections"), Replaces: id.Item(a.text("replaces"))},
				Serials: a.lines("serial"), EachOne: a.Get("each") == "yes", Says: a.text("says")}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Item(v.r.Context(), v.actor, of, i, v.key())
		}}
}

func itemGroups(v *visit, of string) []page.FieldGroup {
	i, known := v.ref.Items.On(id.Item(of), v.today)
	if !known {
		i = rig.Item{Kit: id.Kit(v.r.URL.Query().Get("kit")), Piece: 1, Sort: rig.HarnessItem}
	}
	kits := ui.Field{Name: "kit", Label: "Kit", Kind: ui.Select, Required: true}
	for _, k := range v.ref.Kits.All(v.today) {
		kits.Options = append(kits.Options, ui.Option{Value: string(k.ID), Label: v.ref.Text(k.Name) + " (" + strconv.Itoa(k.Count) + ")", Chosen: k.ID == i.Kit})
	}
	sorts := ui.Field{Name: "sort", Label: "What it is", Kind: ui.Select, Required: true}
	for _, s := range rig.Sorts() {
		sorts.Options = append(sorts.Options, ui.Option{Value: string(s), Label: capital(string(s)), Chosen: s == i.Sort})
	}
	serial := textField("serial", "Serial", v.ref.Text(i.Serial))
	piece := wholeField("piece", "Piece of the kit", "", i.Piece)
	piece.Hint = "Its number, from 1. Items used together share one; 0 is a spare, which counts for none."
	first, last := dayAnswer("first_use", "First use", i.FirstUse), dayAnswer("maker_last", "Last day by its maker", i.MakerLast)
	first.Hint = "Of harnesses, lanyards, ropes and slings it is needed: their lifetime counts from it" + v.textileLife() + "."
	last.Hint = "As marked on it or in its papers. The earlier day counts."
	place := []ui.Field{kits, piece}
	if !known {
		serial.Kind, serial.Label, serial.Hint = ui.Area, "Serials", "One a line: each is an item."
		place = append(place, ui.Field{Name: "each", Label: "Several serials", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "Each is a piece of its own", Note: "counted on from the number above"}}})
	}
	place = append(place, v.replacesField(i))
	lines := v.inspectionLines(i.Inspections)
	lines.Hint = "None where it is inspected with its kit. " + lines.Hint
	return []page.FieldGroup{
		{Fields: []ui.Field{sorts, serial, {Name: "says", Label: "In your words", Value: v.ref.Text(i.Says), Hint: "Such as size and colour."}}},
		{Title: "Where it belongs", Fields: place},
		{Title: "How long it may be used", Side: true, Fields: []ui.Field{first, last}},
		{Title: "Its own inspections", Fields: []ui.Field{lines}},
	}
}

// textileLife says how long the rule book lets textile kit be used.
func (v *visit) textileLife() string {
	line, ok := v.ruleBookNow().Strictest(rulebook.TextileLife)
	if !ok {
		return ", and the rule book states none, which stops"
	}
	return ", " + line.ValueText() + " by the rule book"
}

// replacesField asks which item that is out of use an item stands in for.
func (v *visit) replacesField(i rig.Item) ui.Field {
	f := ui.Field{Name: "replaces", Label: "In place of", Kind: ui.Select, Options: []ui.Option{{Label: "None"}}, Hint: "A piece lacks what is out of use until another item stands in its place."}
	for _, x := range v.ref.Items.All(v.today) {
		if x.Out != 0 && x.ID != i.ID {
			f.Options = append(f.Options, ui.Option{Value: string(x.ID), Label: capital(planning.ItemName(v.ref, x.ID, v.today)) + ", piece " + strconv.Itoa(x.Piece) + " of " + v.kitLink(x.Kit).Text, Chosen: x.ID == i.Replaces})
		}
	}
	return f
}

// itemList are the items of all kits, or of one, with whether each may be used.
func itemList(v *visit, t *taking) error {
	of := id.Kit(v.r.URL.Query().Get("kit"))
	named := ""
	if of != "" {
		named = v.kitLink(of).Text
	}
	if err := t.begin(v, "Items "+v.today.String(), filters("Kit", named)...); err != nil {
		return err
	}
	if err := t.heads("Kit", "Piece", "Item", "Serial", "Description", "First use", "Last day by its maker", "Last day", "Now", "Out from", "Why"); err != nil {
		return err
	}
	for _, k := range v.ref.Kits.All(v.today) {
		if of != "" && k.ID != of {
			continue
		}
		sheet, err := v.Yard.Kit(v.r.Context(), v.actor, k.ID)
		if err != nil {
			return err
		}
		for _, l := range sheet.Items {
			var why []string
			for _, c := range l.Causes {
				why = append(why, v.say(c.Say()))
			}
			last := l.Last
			if last == civil.LastDay {
				last = 0
			}
			now := "may be used"
			if len(why) > 0 {
				now = strings.Join(why, "; ")
			}
			if err := t.out.Row(v.ref.Text(k.Name), l.Item.Piece, string(l.Item.Sort), v.ref.Text(l.Item.Serial), v.ref.Text(l.Item.Says), l.Item.FirstUse, l.Item.MakerLast, last, now, l.Item.Out, v.ref.Text(l.Item.Why)); err != nil {
				return err
			}
		}
	}
	return nil
}

func quarantineTaken(v *visit, t *taking) error {
	return v.plain(t, []string{"Of", "Name", "Since", "By", "What is wrong", "Lifted", "By whom", "Why it may be used again", "Incident"}, func(l *records.Lists) error {
		list := v.ref.Quarantines.All(civil.LastDay)
		var who []id.Person
		for _, q := range list {
			who = append(who, q.By)
			if q.Lift != nil {
				who = append(who, q.Lift.By)
			}
		}
		names, err := l.Names(who...)
		if err != nil {
			return err
		}
		return each(t, list, func(q rig.Quarantine) []any {
			kind, name := v.inspected(q.Subject)
			row := []any{kind, name, v.at(q.Start), names[q.By], v.ref.Text(q.Why), "", "", "", string(q.Incident)}
			if q.Lift != nil {
				row[5], row[6], row[7] = v.at(q.Lift.At), names[q.Lift.By], v.ref.Text(q.Lift.Why)
			}
			return row
		})
	})
}

// itemsLink leads from a kit's form to its page and to the form of items.
func itemsLink(_ *visit, of string) []ui.Link {
	return []ui.Link{{Text: "Open this kit, with its items", Href: thingPath[verdict.Kit] + of}, {Text: "Record items of it", Href: "/set-up/items/new?kit=" + of}}
}
