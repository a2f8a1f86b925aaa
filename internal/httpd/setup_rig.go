package httpd

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func rigThing() thing {
	return thing{path: "rigs", kind: "rig", param: "rig", one: "rig", many: "rigs", action: access.ChangeYard, detail: "Measures",
		says: "Here stand pieces of converted hardware: a tower platform, a blade face, a nacelle house; and halls and workshops.",
		line: "Measures in metres; the drawing follows them.", also: "Draw it",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, r := range v.ref.Rigs.All(v.today) {
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(r.Name), Href: "/set-up/rigs/" + string(r.ID)},
					Detail: fmt.Sprintf("%s, %s m high, %s m wide", strings.ReplaceAll(string(r.Kind), "-", " "), web.Metres(r.Drawing.Height), web.Metres(r.Drawing.Width))}
				if r.State != rig.InService {
					row.Note = rigState(r.State)
					row.Do = []ui.Link{{Text: "Change its state", Href: "/rigs/" + string(r.ID) + "?do=state#change"}}
				}
				out = append(out, row)
			}
			return out
		},
		groups: rigGroups, draw: drawRig,
		aside: func(v *visit, of string) []ui.Link {
			return []ui.Link{{Text: "State and inspections of this rig", Href: "/rigs/" + of}, {Text: "Conversion dossier", Href: dossierHref(id.Rig(of))}, {Text: "Add a station on it", Href: "/set-up/stations/new?draw=yes&rig=" + of}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			r := founding.Rig{Record: v.rigOf(a, of.ID), Name: a.text("name")}
			if of.ID == "" {
				r.Stations = v.stationRowsOf(a, r.Record)
			}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Rig(v.r.Context(), v.actor, of, r, v.key())
		}}
}

func rigGroups(v *visit, of string) []page.FieldGroup {
	r, _ := v.ref.Rigs.On(id.Rig(of), v.today)
	d := r.Drawing
	kind := ui.Field{Name: "kind", Label: "What it was made into", Kind: ui.Select, Required: true}
	for _, k := range rig.Kinds() {
		kind.Options = append(kind.Options, ui.Option{Value: string(k), Label: capital(strings.ReplaceAll(string(k), "-", " ")), Chosen: k == r.Kind})
	}
	on := ui.Field{Name: "on_rig", Label: "Tower it hangs on", Kind: ui.Select, Options: []ui.Option{{Label: "None"}}}
	for _, x := range v.ref.Rigs.All(v.today) {
		if x.Kind == rig.TowerPlatform && string(x.ID) != of {
			on.Options = append(on.Options, ui.Option{Value: string(x.ID), Label: v.ref.Text(x.Name), Chosen: x.ID == d.OnRig})
		}
	}
	side := ui.Field{Name: "side", Label: "Side", Kind: ui.Select, Hint: "Where a blade hangs, or a nacelle's nose points.", Options: []ui.Option{{Value: "left", Label: "Left", Chosen: d.Side == "left"}, {Value: "right", Label: "Right", Chosen: d.Side == "right"}}}
	decks := ui.Field{Name: "decks", Label: "Heights of the decks", Value: deckHeights(d.Decks), Unit: "m", Hint: "Of a tower; one after the other, such as 4.6 10.4 18.6"}
	out := metresField("deck_out", "Decks stand out by", deckOut(d.Decks), false)
	x := metresField("x", "Left edge from the yard's left end", d.X, false)
	x.Hint = "Left empty, it stands right of the others."
	if of != "" {
		x.Value = decimetres(d.X)
	}
	people := wholeOrNone("people_max", "People at once", "", r.PeopleMax)
	people.Required, people.Hint = true, "As its structural sign-off says."
	groups := []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", v.ref.Text(r.Name)), kind, people}},
		{Title: "Measures", Side: true, Fields: []ui.Field{metresField("height", "Height of its top", d.Height, true), metresField("width", "Width", d.Width, true), x}},
		{Title: "Decks of a tower", Fields: []ui.Field{decks, out}},
		{Title: "Of a blade or a nacelle", Folded: of == "" || d.Base == 0, Fields: []ui.Field{
			metresField("base", "Its lower end lies at", d.Base, false), on, side,
			metresField("off", "A blade hangs off the shell by", d.Off, false), metresField("base_width", "Tower under a nacelle is wide", d.BaseWidth, false)}},
	}
	groups = append(groups, v.groundGroups(d)...)
	groups = append(groups, page.FieldGroup{Fields: []ui.Field{v.inspectionLines(r.Inspections)}})
	if of == "" {
		groups = append(groups, v.stationRowGroups()...)
	}
	return groups
}

func deckHeights(decks []rig.Deck) string {
	var out []string
	for _, d := range decks {
		out = append(out, decimetres(d.Height))
	}
	return strings.Join(out, " ")
}

// usualOut is how far decks stand out where nobody said.
const usualOut = 25

func deckOut(decks []rig.Deck) int {
	if len(decks) == 0 {
		return usualOut
	}
	return decks[0].Out
}

// gapBetween stands between rigs that nobody placed.
const gapBetween = 60

// rigOf reads a rig. One that is not placed stands right of the others.
func (v *visit) rigOf(a answers, of string) rig.Rig {
	r := rig.Rig{Kind: rig.Kind(a.text("kind")), PeopleMax: a.whole("people_max", true), Inspections: many[string](a, "inspections")}
	d := &r.Drawing
	d.Height, d.Width, d.X = a.metres("height", true), a.metres("width", true), a.metres("x", false)
	if r.Kind == rig.TowerPlatform {
		out := a.metres("deck_out", false)
		if a.text("deck_out") == "" {
			out = usualOut
		}
		for _, text := range strings.FieldsFunc(a.text("decks"), func(c rune) bool { return c == ' ' || c == ';' }) {
			n, ok := decimalOf(text, 1)
			if !ok {
				a.bad.Add("decks", "%q is not a height. Give metres with a space between, such as 4.6 10.4 18.6.", text)
				continue
			}
			d.Decks = append(d.Decks, rig.Deck{Height: int(n), Out: out})
		}
	}
	if r.Kind == rig.BladeFace || r.Kind == rig.NacelleHouse {
		d.Base, d.Side, d.OnRig = a.metres("base", false), a.text("side"), id.Rig(a.text("on_rig"))
		d.Off, d.BaseWidth = a.metres("off", false), a.metres("base_width", false)
		if r.Kind == rig.NacelleHouse {
			d.OnRig, d.Off = "", 0
		} else {
			d.BaseWidth = 0
		}
	}
	d.Ground = groundOf(a)
	if a.text("x") == "" {
		d.X = v.freeEdge(*d, of)
	}
	return r
}

// freeEdge is where a rig that is not placed begins.
func (v *visit) freeEdge(d rig.Drawing, of string) int {
	edge := 0
	for _, x := range v.ref.Rigs.All(v.today) {
		if x.ID == d.OnRig && d.OnRig != "" {
			if d.Side == "left" {
				return x.Drawing.X - d.Off - d.Width
			}
			return x.Drawing.X + x.Drawing.Width + d.Off
		}
		if string(x.ID) != of {
			edge = max(edge, x.Drawing.X+x.Drawing.Width+deckReach(x.Drawing))
		}
	}
	return edge + gapBetween + deckReach(d)
}

func deckReach(d rig.Drawing) int {
	out := 0
	for _, deck := range d.Decks {
		out = max(out, deck.Out)
	}
	return out
}

func stationThing() thing {
	return thing{path: "stations", kind: "station", param: "station", one: "station", many: "stations", action: access.ChangeYard, detail: "Rig and places",
		says: "Here stand the places on rigs where one group works at a time.", line: "A place on a rig where one group works at a time.", also: "Draw it",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, s := range v.ref.Stations.All(v.today) {
				r, _ := v.ref.Rigs.On(s.Rig, v.today)
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(s.Name), Href: "/set-up/stations/" + string(s.ID)}, Detail: v.ref.Text(r.Name) + ", " + stationLine(s)}
				out = append(out, row)
			}
			return out
		},
		groups: stationGroups, draw: drawStation,
		aside: func(_ *visit, of string) []ui.Link {
			return []ui.Link{{Text: "State, inspections and rescue plan of this station", Href: "/stations/" + of}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			s := founding.Station{Record: v.stationOf(a, of.ID), Name: a.text("name")}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Station(v.r.Context(), v.actor, of, s, v.key())
		}}
}

func stationGroups(v *visit, of string) []page.FieldGroup {
	s, _ := v.ref.Stations.On(id.Station(of), v.today)
	firstAiders, rescue := 1, rig.Rescue{}
	if of == "" {
		s.Places, s.Turnaround, s.StaffMin = 6, 15, 1
	} else if s.FirstAiders != nil {
		firstAiders = *s.FirstAiders
	}
	if s.Rescue != nil {
		rescue = *s.Rescue
	}
	onRig := ui.Field{Name: "rig", Label: "Rig", Kind: ui.Select, Required: true}
	for _, r := range v.ref.Rigs.All(v.today) {
		onRig.Options = append(onRig.Options, ui.Option{Value: string(r.ID), Label: v.ref.Text(r.Name), Note: deckNote(r.Drawing), Chosen: r.ID == s.Rig})
	}
	zones := ui.Field{Name: "zones", Label: "Shared ground", Kind: ui.Checkboxes}
	for _, z := range v.zonesInUse() {
		zones.Options = append(zones.Options, ui.Option{Value: string(z.ID), Label: v.ref.Text(z.Name), Chosen: slices.Contains(s.Zones, z.ID)})
	}
	kit := ui.Field{Name: "rescue_kit", Label: "Rescue kit", Kind: ui.Select, Options: []ui.Option{{Label: "None"}}}
	for _, k := range v.kitsInUse() {
		kit.Options = append(kit.Options, ui.Option{Value: string(k.ID), Label: v.ref.Text(k.Name), Chosen: k.ID == rescue.Kit})
	}
	groups := []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", v.ref.Text(s.Name)), onRig, wholeField("places", "Places for trainees", "", s.Places)}},
		{Fields: []ui.Field{{Name: "of_it", Label: "What holds here", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "height", Label: "Work at height", Chosen: s.Height}, {Value: "daylight", Label: "Only by daylight", Chosen: s.NeedsDaylight}}}}},
		{Title: "People it needs", Side: true, Fields: []ui.Field{wholeField("staff_min", "Staff at least", "", s.StaffMin), wholeField("first_aiders", "First aiders at least", "", firstAiders),
			wholeField("turnaround_minutes", "Between two sessions", "minutes", int(s.Turnaround))}},
		{Title: "Rescue", Note: "A station at height needs rescuers and a kit; the rule book may ask for more rescuers.", Fields: []ui.Field{
			wholeOrNone("rescuers", "Rescuers", "", rescue.Rescuers), wholeOrNone("standby_min", "Of them standing by, doing nothing else", "", rescue.StandbyMin), kit,
			yesField("own_count", "Instructors with rescue competence count among the rescuers", rescue.OwnInstructorsCount)}},
		{Title: "Where it is drawn", Side: true, Fields: placeFields(s)},
	}
	if len(zones.Options) > 0 {
		groups = slices.Insert(groups, 2, page.FieldGroup{Fields: []ui.Field{zones}})
	}
	return append(groups, page.FieldGroup{Fields: []ui.Field{v.inspectionLines(s.Inspections)}})
}

func deckNote(d rig.Drawing) string {
	if len(d.Decks) == 0 {
		return ""
	}
	return "decks at " + deckHeights(d.Decks) + " m"
}

func placeFields(s rig.Station) []ui.Field {
	p := s.Place
	side := ui.Field{Name: "place_side", Label: "On a tower", Kind: ui.Select, Short: true, Options: []ui.Option{
		{Value: "left", Label: "Left", Chosen: p.Label == "left" && p.X < 0}, {Value: "right", Label: "Right", Chosen: p.Label == "right"}, {Value: "inside", Label: "Inside", Chosen: p.Label == "left" && p.X >= 0}}}
	out := []ui.Field{metresField("place_y", "Height over ground", p.Y, false), side, metresField("place_x", "From the rig's left edge", p.X, false),
		metresField("place_width", "Wide", p.Width, false), metresField("place_height", "High", p.Height, false)}
	if s.ID != "" {
		out[0].Value, out[2].Value = decimetres(p.Y), decimetres(p.X) // 0 is a place too
	}
	out[2].Hint, out[3].Hint, out[4].Hint = "Empty: as it fits.", "Empty: as it fits.", "Empty: as it fits."
	return out
}

// stationOf reads a station. A place that is not stated is laid where it fits.
func (v *visit) stationOf(a answers, of string) rig.Station {
	firstAiders := a.whole("first_aiders", true)
	ticked := many[string](a, "of_it")
	s := rig.Station{Rig: id.Rig(a.text("rig")), Places: a.whole("places", true), Zones: many[id.Zone](a, "zones"),
		Height: slices.Contains(ticked, "height"), NeedsDaylight: slices.Contains(ticked, "daylight"),
		Turnaround: a.minutes("turnaround_minutes", true), StaffMin: a.whole("staff_min", true), Inspections: many[string](a, "inspections")}
	if a.text("first_aiders") != "" {
		s.FirstAiders = &firstAiders
	}
	rescue := rig.Rescue{Rescuers: a.whole("rescuers", false), StandbyMin: a.whole("standby_min", false), OwnInstructorsCount: a.Get("own_count") == "yes", Kit: id.Kit(a.text("rescue_kit"))}
	if rescue != (rig.Rescue{}) {
		s.Rescue = &rescue
	}
	onRig, _ := v.ref.Rigs.On(s.Rig, v.today)
	s.Place = placeOf(a, onRig, v.freePlace(onRig, of))
	return s
}

// usualStation is how high a station is drawn where nobody said, and how wide.
const usualStation = 22

// placeOf lays out a station in its rig's drawing; free is the left edge where the
// next one fits.
func placeOf(a answers, r rig.Rig, free int) rig.Place {
	p := rig.Place{X: a.metres("place_x", false), Y: a.metres("place_y", false), Width: a.metres("place_width", false), Height: a.metres("place_height", false)}
	d := r.Drawing
	typed := a.text("place_x") != ""
	if p.Height <= 0 {
		p.Height = usualStation
	}
	if r.Kind != rig.TowerPlatform {
		if p.Width <= 0 {
			p.Width = max(min(3*usualStation/2, d.Width-4), 4)
		}
		if !typed {
			p.X = free
		}
		if r.Kind == rig.BladeFace {
			p.Label = "right"
			if d.Side == "left" {
				p.Label = "left"
			}
		}
		if a.text("place_y") == "" && r.Kind != rig.BladeFace {
			p.Y = d.Base + 3
		}
		return p
	}
	out := max(deckReach(d), 4)
	if p.Width <= 0 {
		p.Width = out - 2
	}
	switch p.Label = a.text("place_side"); {
	case typed:
	case p.Label == "right":
		p.X = d.Width + 1
	case p.Label == "inside":
		p.Width = max(d.Width/3, 4)
		p.X = d.Width / 3
	default:
		p.X = -out + 1
	}
	if p.Label != "right" {
		p.Label = "left"
	}
	return p
}

// freePlace is the left edge of a station beside those that stand on its rig.
func (v *visit) freePlace(r rig.Rig, of string) int {
	edge := 2
	for _, s := range v.ref.Stations.All(v.today) {
		if s.Rig == r.ID && string(s.ID) != of {
			edge = max(edge, s.Place.X+s.Place.Width+4)
		}
	}
	return edge
}
