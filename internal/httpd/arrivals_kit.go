package httpd

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/arriving"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// returnWords says how a piece of kit came back.
var returnWords = map[arrival.Return]string{
	arrival.BackFit: "taken back, fit", arrival.BackNotFit: "taken back, not fit", arrival.NotGivenBack: "not given back", arrival.NeverGiven: "never handed out",
}

// returnNotes says what follows from it.
var returnNotes = map[arrival.Return]string{
	arrival.BackFit:      "Looked over by hand and eye; that is no inspection.",
	arrival.BackNotFit:   "It goes into quarantine at once. Say below what was found.",
	arrival.NotGivenBack: "It stays out with their name, and nobody else is handed it.",
	arrival.NeverGiven:   "Its serial was written by mistake.",
}

// unknownWords is the caution about a serial that no item on record has.
func unknownWords(h arriving.Held) string {
	return "Serial " + h.Word() + " isn’t on record: its inspection and retirement are not known."
}

// sortField asks what a serial is that is not on record.
func sortField() ui.Field {
	f := ui.Field{Name: "sort", Label: "What it is, where its serial is not on record", Kind: ui.Select, Short: true, Options: []ui.Option{{Label: "It is on record"}},
		Hint: "Only where the yard keeps no items of that kind on record. Its inspection and retirement are not known then, which is kept and shown."}
	for _, s := range rig.Sorts() {
		f.Options = append(f.Options, ui.Option{Value: string(s), Label: capital(string(s))})
	}
	return f
}

// heldList names the serials that are out.
func heldList(kit []arriving.Held) string {
	var out []string
	for _, h := range kit {
		if h.Out() {
			out = append(out, h.Word())
		}
	}
	return strings.Join(out, ", ")
}

// givenWords says since when something is out, and by whom.
func (v *visit) givenWords(h arriving.Held) string {
	says := "a time that is not on record"
	if h.Given != nil {
		says = v.words.Moment(h.Given.At)
		if h.Giver != "" {
			says += ", handed out by " + shortName(h.Giver)
		}
	}
	if h.Back != nil && h.Out() {
		says += "; not given back by " + v.backWords(h)
	}
	return says
}

// backWords says when and by whom it was answered for.
func (v *visit) backWords(h arriving.Held) string {
	says := v.words.Moment(h.Back.At)
	if h.Taker != "" {
		says += ", says " + shortName(h.Taker)
	}
	return says
}

// holderLink leads to where a piece of kit is taken back, or to the arrivals.
func (v *visit) holderLink(h arriving.Held) ui.Link {
	name := cmp.Or(h.Name, "a name that was erased")
	if access.May(v.actor, access.RecordArrival) {
		return ui.Link{Text: name, Href: kitBackHref(h.Person, false)}
	}
	return ui.Link{Text: name, Href: "/intakes/" + string(h.Intake) + "/arrivals"}
}

func kitBackHref(of id.Person, leaves bool) string {
	at := "/yard/here/" + string(of) + "/kit"
	if leaves {
		at += "?leaves=yes"
	}
	return at
}

// kitFacts says what a trainee holds, and how the rest came back.
func (v *visit) kitFacts(kit []arriving.Held) (out []ui.Fact) {
	var back []string
	for _, h := range kit {
		switch {
		case h.Out():
			text := ui.Link{Text: h.Word() + ", since " + v.givenWords(h)}
			if h.Known() {
				text.Href = "/items/" + string(h.On)
			}
			out = append(out, ui.Fact{Label: "Kit handed out", Value: text})
		case h.Back.How != arrival.NeverGiven:
			says := h.Word() + " " + returnWords[h.Back.How] + " " + v.backWords(h)
			if h.Found != "" {
				says += ": " + h.Found
			}
			back = append(back, says)
		}
	}
	if len(back) > 0 {
		out = append(out, fact("Kit taken back", strings.Join(back, "; ")))
	}
	return out
}

// arrivalKit says of a trainee's row what is not known of their kit, and leads to
// where it is taken back.
func (v *visit) arrivalKit(row *page.ArrivalRow, r arriving.Row) {
	for _, h := range r.Kit {
		if !h.Out() {
			continue
		}
		if !h.Known() {
			row.Cautions = append(row.Cautions, unknownWords(h))
		}
		if access.May(v.actor, access.RecordArrival) {
			row.TakeBack = kitBackHref(r.Trainee.Person, false)
		}
	}
}

// hereKit says what somebody on the yard holds; who holds something leaves by way of
// giving it back.
func (v *visit) hereKit(row *page.HereRow, b arriving.Body, may bool) {
	row.Kit = heldList(b.Kit)
	if may && len(b.Kit) > 0 && b.How != arrival.InSession {
		row.Leaves = kitBackHref(id.Person(b.Who), true)
	}
}

// awayKit is what is out with people who are not on the yard.
func (v *visit) awayKit(h arriving.Here, may bool) (out []page.AwayKit) {
	for _, x := range h.Out {
		if slices.ContainsFunc(h.Bodies, func(b arriving.Body) bool { return b.Who == string(x.Person) }) {
			continue
		}
		a := page.AwayKit{Serial: ui.Link{Text: x.Word()}, With: cmp.Or(x.Name, "a name that was erased"), Since: v.givenWords(x)}
		if x.Known() {
			a.Serial.Href = "/items/" + string(x.On)
		}
		if may {
			a.Back = ui.Link{Text: "Take it back", Href: kitBackHref(x.Person, false)}
		}
		out = append(out, a)
	}
	return out
}

func personKitPage(v *visit) error {
	return v.personKit(http.StatusOK, v.r.URL.Query().Get("leaves") == "yes", sent{})
}

// personKit asks of each piece that a person holds what became of it.
func (v *visit) personKit(status int, leaves bool, s sent) error {
	of := id.Person(v.param("person"))
	k, err := v.Arriving.Kit(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	v.ref = k.Ref
	name := cmp.Or(k.Name, "a name that was erased")
	leaves = leaves && k.Here && !k.InSession
	p := page.PersonKit{Title: "Kit of " + name, Over: ui.Link{Text: "Who is here", Href: "/yard/here"}, Line: "Look at each piece as it comes back."}
	button := "Take back"
	switch {
	case leaves:
		p.Title, p.Line, button = name+" leaves", "Say of each piece what became of it.", "Keep this and sign them out"
		p.Other = ui.Link{Text: "They stay: take kit back only", Href: kitBackHref(of, false)}
	case k.InSession:
		p.Other = ui.Link{Text: "In a session by its roll: they leave once it says so"}
	case k.Here && len(k.Held) > 0:
		p.Other = ui.Link{Text: "They leave the yard", Href: kitBackHref(of, true)}
	}
	p.Shell = v.page(p.Title, "yard")
	var asked []page.FieldGroup
	for _, h := range k.Held {
		asked = append(asked, backFields(h))
	}
	asked = filled(asked, s.values, s.bad)
	for i, h := range k.Held {
		p.Pieces = append(p.Pieces, v.backPiece(h, asked[i]))
	}
	p.Form = ui.Form{Action: kitBackHref(of, false), Key: v.freshKey(), Button: button, Errors: messages(asked, s.bad)}
	if leaves {
		p.Form.Hidden = []ui.Value{{Name: "leaves", Value: "yes"}}
	}
	if len(k.Held) == 0 {
		p.None = "Nothing is out with " + name + "."
	}
	return v.show(status, page.PersonKitPage(p))
}

// backFields ask about one piece.
func backFields(h arriving.Held) page.FieldGroup {
	how := ui.Field{Name: "how." + h.Key(), Label: "What became of " + h.Word(), Kind: ui.Radio}
	for _, r := range arrival.Returns() {
		o := ui.Option{Value: string(r), Label: capital(returnWords[r]), Note: returnNotes[r]}
		if r == arrival.BackNotFit && !h.Known() {
			o.Note = "Not on record, it can be in no quarantine: put it aside and say below what was found. It is not handed out again before it is recorded and inspected."
		}
		how.Options = append(how.Options, o)
	}
	return page.FieldGroup{Fields: []ui.Field{how, {Name: "found." + h.Key(), Label: "What was found on " + h.Word(), Hint: "Only of what is not fit."}}}
}

// backPiece names the piece that is asked about.
func (v *visit) backPiece(h arriving.Held, asked page.FieldGroup) page.KitBack {
	out := page.KitBack{Name: ui.Link{Text: h.Word()}, Since: "Out since " + v.givenWords(h) + ".", Fields: asked.Fields}
	if h.Known() {
		out.Name = v.thingLink(verdict.Ref{Kind: verdict.Item, ID: string(h.On)})
	} else {
		out.Caution = unknownWords(h)
	}
	return out
}

func takeKitBack(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	t := arriving.TakingBack{Person: id.Person(v.param("person")), Leaves: f.Get("leaves") == "yes"}
	for _, name := range sortedNames(f) {
		if key, is := strings.CutPrefix(name, "how."); is {
			t.Answers = append(t.Answers, arriving.Answer{Key: key, How: arrival.Return(f.Get(name)), Found: f.Get("found." + key)})
		}
		if key, is := strings.CutPrefix(name, "found."); is && !f.Has("how."+key) {
			t.Answers = append(t.Answers, arriving.Answer{Key: key, Found: f.Get(name)})
		}
	}
	err = v.Arriving.TakeBack(v.r.Context(), v.actor, t, v.key())
	if bad, ok := formErrors(err); ok {
		return v.personKit(http.StatusUnprocessableEntity, t.Leaves, sent{"kit", f, bad})
	}
	if err != nil {
		return err
	}
	if t.Leaves {
		return v.goTo("/yard/here", "Kept. Signed out.")
	}
	return v.goTo("/yard/here", "Kept.")
}
