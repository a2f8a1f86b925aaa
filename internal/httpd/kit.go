package httpd

import (
	"net/http"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// kitRoutes are kits and their items, and what is in quarantine.
func kitRoutes() []route {
	return []route{
		{get, "/kits", access.SeeStation, stockPage},
		{get, "/kits/{kit}", access.SeeStation, func(v *visit) error { return v.kitSheet(http.StatusOK, id.Kit(v.param("kit")), sent{}) }},
		{get, "/items/{item}", access.SeeStation, func(v *visit) error { return v.itemSheet(http.StatusOK, id.Item(v.param("item")), sent{}) }},
		{post, "/items/{item}/out", access.TakeItemOut, takeItemOut},
		{post, "/quarantines", access.PutInQuarantine, putInQuarantine},
		{get, "/quarantines/{quarantine}", access.SeeStation, func(v *visit) error { return v.quarantineSheet(http.StatusOK, sent{}) }},
		{post, "/quarantines/{quarantine}/lift", access.LiftQuarantine, liftQuarantine},
	}
}

// thingPath is where the pages of things that are inspected begin.
var thingPath = map[verdict.RefKind]string{verdict.Rig: "/rigs/", verdict.Station: "/stations/", verdict.Kit: "/kits/", verdict.Item: "/items/"}

// thingLink leads to the page of a rig, station, kit or item.
func (v *visit) thingLink(of verdict.Ref) ui.Link {
	return ui.Link{Text: capital(planning.Name(v.ref, of, v.today)), Href: thingPath[of.Kind] + of.ID}
}

func (v *visit) kitLink(k id.Kit) ui.Link {
	return v.thingLink(verdict.Ref{Kind: verdict.Kit, ID: string(k)})
}

// thingSheet shows the page of a rig, station, kit or item with a form that came back.
func (v *visit) thingSheet(status int, of verdict.Ref, s sent) error {
	switch of.Kind {
	case verdict.Rig:
		return v.rigSheet(status, id.Rig(of.ID), s)
	case verdict.Station:
		return v.stationSheet(status, id.Station(of.ID), s)
	case verdict.Kit:
		return v.kitSheet(status, id.Kit(of.ID), s)
	}
	return v.itemSheet(status, id.Item(of.ID), s)
}

func (v *visit) kitSheet(status int, kid id.Kit, s sent) error {
	k, err := v.Yard.Kit(v.r.Context(), v.actor, kid)
	if err != nil {
		return err
	}
	v.ref = k.Ref
	name := v.kitLink(kid)
	p := page.KitSheet{Shell: v.page(name.Text, "yard"), Name: name.Text, Over: ui.Link{Text: "Kits and items", Href: "/kits"}, Line: "Kit, of which there are " + web.Number(int64(k.Kit.Count))}
	v.kitAnswer(&p, k)
	rated := "not stated"
	if k.Kit.Rated > 0 {
		rated = web.Number(int64(k.Kit.Rated)) + " kg with kit"
	}
	p.Facts = []ui.Fact{fact("How many", web.Number(int64(k.Kit.Count))), fact("Last valid day", dayOrNot(v, k.Kit.LastValid)), fact("Rated for a user of", rated)}
	for _, line := range k.Items {
		p.Items = append(p.Items, v.itemRow(line))
	}
	if len(k.Items) == 0 {
		p.NoItems = "No item of it is on record, so its plain count stands. Once an item is on record, only pieces whose items are on record and fit may be used."
	}
	p.Inspections = v.checkRows(k.Checks, k.Names)
	v.sheetRest(&p, k, s, planning.Required(v.ref, string(kid), v.today))
	p.Do = v.changeLinks(ui.Link{Text: "Change this kit", Href: "/set-up/kits/" + string(kid)}, ui.Link{Text: "Record items", Href: "/set-up/items/new?kit=" + string(kid)})
	p.Shell.AlsoOut = []ui.TakeOut{v.alsoOut("items", "kit", string(kid)), v.alsoOut("inspections", "subject", string(kid))}
	return v.show(status, page.KitSheetPage(p))
}

// kitAnswer says how many pieces may be used now, and why not more.
func (v *visit) kitAnswer(p *page.KitSheet, k yardday.Sheet) {
	usable := k.Pieces.Usable
	causes := k.Causes
	if len(causes) > 0 || k.Incident != nil {
		usable = 0
	} else {
		causes = k.Pieces.Causes
	}
	p.Answer = strconv.Itoa(usable) + " of " + strconv.Itoa(k.Kit.Count) + " may be used"
	switch {
	case usable == 0:
		p.Level = verdict.Stops
	case usable < k.Kit.Count:
		p.Level = verdict.Cautions
	}
	p.Causes = v.stopCauses(causes)
	p.Causes = append(p.Causes, v.byIncident(k)...)
}

func dayOrNot(v *visit, d civil.Day) string {
	if d == 0 {
		return "not stated"
	}
	return v.words.Day(d)
}

func (v *visit) itemRow(l yardday.ItemLine) page.ItemRow {
	out := page.ItemRow{Piece: strconv.Itoa(l.Item.Piece), Name: v.thingLink(verdict.Ref{Kind: verdict.Item, ID: string(l.Item.ID)}), Says: v.ref.Text(l.Item.Says), Last: v.lastDay(l), State: "may be used"}
	if l.Item.Piece == 0 {
		out.Piece = "spare"
	}
	if len(l.Causes) > 0 {
		out.Level, out.State = verdict.Stops, v.say(l.Causes[0].Say())
		if l.Item.Out != 0 && l.Item.Out <= v.today {
			out.State = "out of use since " + v.words.Day(l.Item.Out)
		}
	}
	if l.Replaced {
		out.Level, out.State = verdict.Clear, out.State+", replaced"
	}
	return out
}

func (v *visit) lastDay(l yardday.ItemLine) string {
	switch l.Last {
	case 0:
		return "not stated"
	case civil.LastDay:
		return "none given"
	}
	return v.words.Day(l.Last)
}

func (v *visit) itemSheet(status int, iid id.Item, s sent) error {
	k, err := v.Yard.Item(v.r.Context(), v.actor, iid)
	if err != nil {
		return err
	}
	v.ref = k.Ref
	i := *k.Item
	name := v.thingLink(k.Of)
	p := page.KitSheet{Shell: v.page(name.Text, "yard"), Name: name.Text, Over: v.kitLink(i.Kit), Line: v.ref.Text(i.Says), Answer: "may be used"}
	if len(k.Causes) > 0 || k.Incident != nil {
		p.Level, p.Answer, p.Causes = verdict.Stops, "may not be used", append(v.stopCauses(k.Causes), v.byIncident(k)...)
	}
	piece := "a spare: it counts for none"
	if i.Piece > 0 {
		piece = web.Number(int64(i.Piece)) + " of " + web.Number(int64(k.Kit.Count))
	}
	p.Facts = []ui.Fact{{Label: "Kit", Value: v.kitLink(i.Kit)}, fact("Piece", piece), fact("Serial", v.ref.Text(i.Serial)), fact("First use", dayOrNot(v, i.FirstUse)),
		fact("Last day by its maker", dayOrNot(v, i.MakerLast)), fact("Last day", v.lastDay(k.Items[0]))}
	if i.Out != 0 {
		p.Facts = append(p.Facts, fact("Out of use", v.words.Day(i.Out)+": "+v.ref.Text(i.Why)))
	}
	if access.May(v.actor, access.SeeArrivals) {
		out, err := v.Arriving.Out(v.r.Context(), v.actor)
		if err != nil {
			return err
		}
		for _, h := range out {
			if h.On == iid {
				p.Facts = append(p.Facts, ui.Fact{Label: "Handed out to", Value: v.holderLink(h)}, fact("Since", v.givenWords(h)))
			}
		}
	}
	if i.Replaces != "" {
		p.Facts = append(p.Facts, ui.Fact{Label: "In place of", Value: v.thingLink(verdict.Ref{Kind: verdict.Item, ID: string(i.Replaces)})})
	}
	p.Inspections = v.checkRows(k.Checks, k.Names)
	v.sheetRest(&p, k, s, planning.Required(v.ref, string(iid), v.today))
	if i.Out == 0 && access.May(v.actor, access.TakeItemOut) {
		a := v.action(s, "out", "Take it out of use for good", "It is not used again. Its piece of the kit waits for another item in its place.", "/items/"+string(iid)+"/out", "Take it out of use",
			ui.Field{Name: "why", Label: "Why", Required: true})
		a.Form.Grave = true
		p.Actions = append(p.Actions, a)
	}
	p.Do = v.changeLinks(ui.Link{Text: "Change this item", Href: "/set-up/items/" + string(iid)})
	p.Shell.TakeOut = v.takeOut("inspections", "subject", string(iid))
	return v.show(status, page.KitSheetPage(p))
}

// byIncident says why an open incident keeps a kit, and so its items, from use.
func (v *visit) byIncident(k yardday.Sheet) []page.StopCause {
	if k.Incident == nil {
		return nil
	}
	return []page.StopCause{{Say: capital(v.say(k.Incident)), Back: ui.Link{Text: "a competent person gives it back at its incident", Href: "/incidents"}}}
}

// sheetRest fills in what a kit's and an item's page share.
func (v *visit) sheetRest(p *page.KitSheet, k yardday.Sheet, s sent, lines []string) {
	for _, i := range k.Inspections {
		p.Done = append(p.Done, page.InspectionDone{When: v.words.Day(i.Done), What: capital(rulebook.Line{ID: i.Line}.Subject()), Result: passed(i.Passed), By: k.Names[i.By], Note: v.ref.Text(i.Note)})
	}
	p.Quarantine, p.Quarantines = v.quarantineList(s, k.Of, k.Quarantines, k.Names)
	if access.May(v.actor, access.RecordInspection) && len(lines) > 0 {
		p.Actions = append(p.Actions, v.inspectionAction(s, k.Of.ID, lines))
	}
}

// quarantines are those of a rig or station, the newest first, with the press that
// makes one.
func (v *visit) quarantines(s sent, of verdict.Ref, names map[id.Person]string) (page.QuarantineBox, []page.QuarantineRow) {
	var list []rig.Quarantine
	for _, q := range v.ref.Quarantines.All(civil.LastDay) {
		if q.Subject == of.ID {
			list = append(list, q)
		}
	}
	slices.SortStableFunc(list, func(a, b rig.Quarantine) int { return int(b.Start - a.Start) })
	return v.quarantineList(s, of, list, names)
}

func (v *visit) quarantineList(s sent, of verdict.Ref, list []rig.Quarantine, names map[id.Person]string) (box page.QuarantineBox, rows []page.QuarantineRow) {
	name := v.thingLink(of).Text
	for _, q := range list {
		here := "/quarantines/" + string(q.ID)
		row := page.QuarantineRow{Since: ui.Link{Text: v.words.Moment(q.Start), Href: here}, By: v.quarantinedBy(q, names), Why: v.ref.Text(q.Why)}
		if q.Lift != nil {
			row.Ended = "lifted " + v.words.Moment(q.Lift.At) + " by " + orID(names[q.Lift.By], q.Lift.By) + ": " + v.ref.Text(q.Lift.Why)
		} else {
			box.In = ui.Notice{Level: verdict.Stops, Text: name + " is in quarantine since " + v.words.Moment(q.Start) + ".", Link: ui.Link{Text: "Open the quarantine", Href: here}}
		}
		rows = append(rows, row)
	}
	if box.In.Text != "" || !access.May(v.actor, access.PutInQuarantine) {
		return box, rows
	}
	box.Note = "Nobody uses it from this moment on. The sessions it hits are listed next."
	box.Field = s.field("quarantine", ui.Field{Name: "why", Label: "What is wrong", Hint: "May be left empty."})
	box.Form = &ui.Form{Action: "/quarantines", Key: v.freshKey(), Button: "Put " + name + " in quarantine", Grave: true, Hidden: []ui.Value{{Name: "subject", Value: of.ID}}}
	return box, rows
}
