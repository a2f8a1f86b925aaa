package httpd

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// holidayYears is how far ahead public holidays are offered as closed days.
const holidayYears = 2

func yardThing() thing {
	return thing{path: "yard", kind: "yard", param: "yard", one: "yard", many: "the yard", action: access.ChangeYard, detail: "Zone and hours",
		says: "Here stands the yard: its name, time zone, place and hours.", also: "List the public holidays",
		line: "Every time and day of the record is one of this place.",
		rows: func(v *visit) []page.ThingRow {
			y, ok := v.ref.YardOn(v.today)
			if !ok {
				return nil
			}
			row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(y.Name), Href: "/set-up/yard/" + string(y.ID)}, Detail: y.Zone}
			for _, w := range y.Open {
				row.Detail += ", " + civil.ClockString(w.From) + "–" + civil.ClockString(w.To)
			}
			row.Detail += ", " + web.Count(len(y.ClosedDays), "closed day", "closed days")
			return []page.ThingRow{row}
		},
		groups: yardGroups, prepare: listHolidays,
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			listHolidays(v, a.Values)
			y := founding.Yard{Record: yardOf(a), Name: a.text("name"), Closed: closedOf(a)}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Yard(v.r.Context(), v.actor, of, y, v.key())
		}}
}

func yardGroups(v *visit, of string) []page.FieldGroup {
	y, _ := v.ref.YardOn(v.today)
	open := append(slices.Clone(y.Open), rig.Window{}, rig.Window{})
	if of == "" {
		y.Grid = 15
		open[0] = rig.Window{Weekdays: []int{1, 2, 3, 4, 5}, From: 8 * 60, To: 17 * 60}
	}
	window := func(suffix, then string, w rig.Window) []ui.Field {
		from := ui.Field{Name: "from" + suffix, Label: "Opens" + then, Kind: ui.Time, Short: true}
		to := ui.Field{Name: "to" + suffix, Label: "Closes" + then, Kind: ui.Time, Short: true}
		if w.To > 0 {
			from.Value, to.Value = civil.ClockString(w.From), civil.ClockString(w.To)
		}
		return []ui.Field{weekdaysField("weekdays"+suffix, "Weekdays"+then, w.Weekdays), from, to}
	}
	zone := textField("zone", "Time zone", y.Zone)
	zone.Hint = "A name of the tz database, such as Europe/Dublin."
	lat := ui.Field{Name: "latitude", Label: "Latitude", Value: degrees(y.Latitude), Short: true, InputMode: "decimal", Unit: "°N", Required: true, Hint: "South is negative."}
	long := ui.Field{Name: "longitude", Label: "Longitude", Value: degrees(y.Longitude), Short: true, InputMode: "decimal", Unit: "°E", Required: true, Hint: "West is negative."}
	country := ui.Field{Name: "country", Label: "Add the public holidays of", Kind: ui.Select, Hint: "Regions may have others. List them, then take out those on which you work.", Options: []ui.Option{{Label: "No country"}}}
	for _, c := range founding.Countries() {
		country.Options = append(country.Options, ui.Option{Value: c.Code, Label: c.Name})
	}
	closed := ui.Field{Name: "closed", Label: "Closed days", Kind: ui.Area, Value: closedLines(v, y), Hint: "One a line: the day, then why. 2026-12-25 Christmas Day"}
	return []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name of the yard", v.ref.Text(y.Name)), zone}},
		{Title: "Where it lies", Note: "Sunrise and sunset are worked out from it, for stations that need daylight.", Side: true, Fields: []ui.Field{lat, long}},
		{Title: "Opening hours", Fields: window("", "", open[0])},
		{Title: "Other hours on other days", Folded: true, Fields: window("_2", " then", open[1])},
		{Title: "Sessions start on multiples of", Side: true, Fields: []ui.Field{wholeField("grid_minutes", "Grid", "minutes", int(y.Grid))}},
		{Title: "Closed days", Fields: []ui.Field{country, closed}},
	}
}

// degrees writes millionths of a degree as a field takes them.
func degrees(micro int64) string {
	if micro == 0 {
		return ""
	}
	sign := ""
	if micro < 0 {
		sign, micro = "-", -micro
	}
	return strings.TrimRight(fmt.Sprintf("%s%d.%06d", sign, micro/1_000_000, micro%1_000_000), "0")
}

func yardOf(a answers) rig.Yard {
	y := rig.Yard{Zone: a.text("zone"), Grid: a.minutes("grid_minutes", true)}
	y.Latitude, _ = a.decimal("latitude", 6, true)
	y.Longitude, _ = a.decimal("longitude", 6, true)
	y.Open = []rig.Window{{Weekdays: a.weekdays("weekdays"), From: a.clock("from"), To: a.clock("to")}}
	if second := a.weekdays("weekdays_2"); len(second) > 0 {
		w := rig.Window{Weekdays: second, From: a.clock("from_2"), To: a.clock("to_2")}
		if w.To <= w.From {
			a.bad.Add("to_2", "The yard closes before it opens. Give a later time to close.")
		}
		if slices.ContainsFunc(second, func(d int) bool { return slices.Contains(y.Open[0].Weekdays, d) }) && w.From < y.Open[0].To && y.Open[0].From < w.To {
			a.bad.Add("weekdays_2", "These hours overlap the others on the same weekday. Give other days or hours.")
		}
		y.Open = append(y.Open, w)
	}
	return y
}

func closedLines(v *visit, y rig.Yard) string {
	var b strings.Builder
	for _, c := range y.ClosedDays {
		fmt.Fprintf(&b, "%s %s\n", c.Day, v.ref.Text(c.Reason))
	}
	return b.String()
}

func closedOf(a answers) []founding.Closed {
	var out []founding.Closed
	for i, l := range a.lines("closed") {
		day, reason, _ := strings.Cut(l, " ")
		d, err := civil.ParseDay(day)
		if err != nil {
			a.bad.Add("closed", "Line %d, %q, does not begin with a day. Begin each line with a day such as 2026-12-25.", i+1, l)
			continue
		}
		out = append(out, founding.Closed{Day: d, Reason: reason})
	}
	return out
}

// listHolidays adds the public holidays of the country chosen to the closed days
// that are typed, and takes the choice back: what is then crossed out stays out.
func listHolidays(v *visit, typed url.Values) {
	country := typed.Get("country")
	if country == "" {
		return
	}
	lines := answersOf(typed).lines("closed")
	year, _, _ := v.today.Date()
	for _, c := range founding.PublicHolidays(country, v.today, civil.DayOf(year+holidayYears, 12, 31)) {
		if !slices.ContainsFunc(lines, func(l string) bool { return strings.HasPrefix(l, c.Day.String()) }) {
			lines = append(lines, c.Day.String()+" "+c.Reason)
		}
	}
	slices.Sort(lines)
	typed.Set("closed", strings.Join(lines, "\n"))
	typed.Del("country")
}

func zoneThing() thing {
	return thing{path: "zones", kind: "zone", param: "zone", one: "zone", many: "zones", action: access.ChangeYard, detail: "Stations on it",
		says: "Here stands ground that stations share, such as a drop zone: only one of them is used at a time.",
		line: "Ground that stations share: only one of them is used at a time.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, z := range v.ref.Zones.All(v.today) {
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(z.Name), Href: "/set-up/zones/" + string(z.ID)}}
				var on []string
				for _, s := range v.ref.Stations.All(v.today) {
					if slices.Contains(s.Zones, z.ID) {
						on = append(on, v.ref.Text(s.Name))
					}
				}
				row.Detail = web.List(on)
				out = append(out, row)
			}
			return out
		},
		groups: func(v *visit, of string) []page.FieldGroup {
			z, _ := v.ref.Zones.On(id.Zone(of), v.today)
			return []page.FieldGroup{{Fields: []ui.Field{textField("name", "Name", v.ref.Text(z.Name))}}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			return v.Founder.Zone(v.r.Context(), v.actor, of, founding.Zone{Name: a.text("name")}, v.key())
		}}
}

func circuitThing() thing {
	return thing{path: "circuits", kind: "circuit", param: "circuit", one: "circuit", many: "circuits", action: access.ChangeYard, detail: "From live to dead",
		says: "Here stand energy supplies that an exercise needs live or dead, such as hydraulic power or a switchboard section.",
		line: "An energy supply that an exercise needs live or dead.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, c := range v.ref.Circuits.All(v.today) {
				out = append(out, page.ThingRow{Name: ui.Link{Text: v.ref.Text(c.Name), Href: "/set-up/circuits/" + string(c.ID)}, Detail: c.Changeover.String()})
			}
			return out
		},
		groups: func(v *visit, of string) []page.FieldGroup {
			c, _ := v.ref.Circuits.On(id.Circuit(of), v.today)
			change := wholeField("changeover_minutes", "A change between live and dead takes", "minutes", int(c.Changeover))
			change.Hint = "With locks hung, and proven."
			return []page.FieldGroup{{Fields: []ui.Field{textField("name", "Name", v.ref.Text(c.Name)), change}}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			c := founding.Circuit{Name: a.text("name"), Changeover: a.minutes("changeover_minutes", true)}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Circuit(v.r.Context(), v.actor, of, c, v.key())
		}}
}

func kitThing() thing {
	return thing{path: "kits", kind: "kit", param: "kit", one: "kit", many: "kits", action: access.ChangeYard, detail: "How many, valid to",
		says: "Here stands equipment that exercises and rescues take, such as a rescue kit or a harness set.",
		line: "Equipment of which there are so many. A session takes some for its time.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, k := range v.ref.Kits.All(v.today) {
				out = append(out, page.ThingRow{Name: ui.Link{Text: v.ref.Text(k.Name), Href: "/set-up/kits/" + string(k.ID)}, Detail: fmt.Sprintf("%d, to %s", k.Count, web.FullDay(k.LastValid))})
			}
			return out
		},
		groups: func(v *visit, of string) []page.FieldGroup {
			k, _ := v.ref.Kits.On(id.Kit(of), v.today)
			if of == "" {
				k.Count = 1
			}
			last := dayAnswer("last_valid", "Last valid day", k.LastValid)
			last.Required, last.Hint = true, "The last day before its next examination, from the examiner's report."
			return []page.FieldGroup{
				{Fields: []ui.Field{textField("name", "Name", v.ref.Text(k.Name)), wholeField("count", "How many there are", "", k.Count), last,
					wholeOrNone("rated_kg", "Rated for a user of, with kit", "kg, as marked; empty where no rating binds it", k.Rated)}},
				{Fields: []ui.Field{v.inspectionLines(k.Inspections)}},
			}
		},
		aside: itemsLink,
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			k := founding.Kit{Name: a.text("name"), Record: rig.Kit{Count: a.whole("count", true), LastValid: a.day("last_valid"), Rated: a.whole("rated_kg", false), Inspections: many[string](a, "inspections")}}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			return v.Founder.Kit(v.r.Context(), v.actor, of, k, v.key())
		}}
}

// inspectionLines asks which recurring inspections bind a thing.
func (v *visit) inspectionLines(chosen []string) ui.Field {
	f := ui.Field{Name: "inspections", Label: "Inspections that bind it", Kind: ui.Checkboxes, Hint: "By lines of the rule book. Overdue means not in service; the earliest clock wins."}
	book, ok := rulebook.InForce(v.ref.RuleBooks.All(civil.LastDay), v.today)
	if !ok {
		f.Hint = "The rule book comes first: it holds the intervals."
	}
	for _, l := range book.Lines {
		if (l.Quantity == rulebook.InspectionDays || l.Quantity == rulebook.InspectionMonths) && book.Selected(l.Profile) {
			f.Options = append(f.Options, ui.Option{Value: l.ID, Label: capital(l.Subject()), Note: "every " + l.ValueText()})
		}
	}
	choose(f.Options, chosen)
	return f
}

// ruleBookNow returns the rule book in force today. A form that needs one says so.
func (v *visit) ruleBookNow() rulebook.Version {
	book, _ := rulebook.InForce(v.ref.RuleBooks.All(civil.LastDay), v.today)
	return book
}
