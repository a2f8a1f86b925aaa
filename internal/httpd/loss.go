package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// mendLosses puts the losses that stand on the page, and the forms for more.
func (v *visit) mendLosses(p *page.Mend, s sent) error {
	c, err := v.Drafts.LossChoices(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p.Enter = []page.Action{v.weatherForm(s, c), v.awayForm(s, c), v.shutForm(s, c), v.lowForm(s, c)}
	list, err := v.Drafts.Losses(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	for _, group := range alike(list) {
		p.Losses = append(p.Losses, v.mendLoss(group))
	}
	return nil
}

func (v *visit) lossForm(s sent, kind drafting.LossKind, title, note, button string, fields ...ui.Field) page.Action {
	a := v.action(s, string(kind), title, note, "/mend/losses", button, fields...)
	a.Form.Hidden, a.Form.Label = []ui.Value{{Name: "kind", Value: string(kind)}}, title
	return a
}

func (v *visit) day(name, label string, d civil.Day) ui.Field {
	return ui.Field{Name: name, Label: label, Kind: ui.Date, Value: d.String(), Required: true, Short: true}
}

// scopes are the stations that weather can take, by what the form sends.
var scopes = []struct {
	value, label string
	takes        func(drafting.StationChoice) bool
}{
	{"height", "those at height", func(s drafting.StationChoice) bool { return s.Height }},
	{"outdoor", "those that need daylight", func(s drafting.StationChoice) bool { return s.Daylight }},
	{"all", "all of the yard", func(drafting.StationChoice) bool { return true }},
}

func (v *visit) weatherForm(s sent, c drafting.LossChoices) page.Action {
	which := ui.Field{Name: "scope", Label: "Which stations", Kind: ui.Radio}
	for i, x := range scopes {
		n := 0
		for _, st := range c.Stations {
			if x.takes(st) {
				n++
			}
		}
		which.Options = append(which.Options, ui.Option{Value: x.value, Label: capital(x.label), Note: web.Count(n, "station", "stations"), Chosen: i == 0, Shut: n == 0})
	}
	return v.lossForm(s, drafting.WeatherDays, "Weather takes a day", "The person in charge at the yard has judged it; this keeps sessions off these days.", "Give these days to the weather",
		which, v.day("from", "First day", c.Today), finalDay("Last day"))
}

func (v *visit) staffField(c drafting.LossChoices) ui.Field {
	who := ui.Field{Name: "person", Label: "Who", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}}
	for _, x := range c.Staff {
		who.Options = append(who.Options, ui.Option{Value: string(x.Person), Label: x.Name})
	}
	return who
}

func (v *visit) awayForm(s sent, c drafting.LossChoices) page.Action {
	return v.lossForm(s, drafting.PersonAway, "An instructor is away", "Why is not asked and not kept.", "Take them off these days",
		v.staffField(c), v.day("from", "From", c.Today),
		ui.Field{Name: "from_time", Label: "From what time", Kind: ui.Time, Short: true, Hint: "Left empty, the whole day."},
		finalDay("Last day away"))
}

// finalDay asks for the end of days that are mostly one.
func finalDay(label string) ui.Field {
	return ui.Field{Name: "until", Label: label, Kind: ui.Date, Short: true, Hint: "Left empty, the first day alone."}
}

// untilOr reads the last day, which is the first where nothing was given.
func untilOr(f url.Values, from civil.Day, bad fault.Fields) civil.Day {
	if f.Get("until") == "" {
		return from
	}
	return dayField(f, "until", bad)
}

func (v *visit) shutForm(s sent, c drafting.LossChoices) page.Action {
	which := ui.Field{Name: "station", Label: "Station", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}}
	for _, x := range c.Stations {
		which.Options = append(which.Options, ui.Option{Value: string(x.Station), Label: x.Name})
	}
	why := ui.Field{Name: "reason", Label: "Reason", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}}
	for _, r := range c.Reasons {
		why.Options = append(why.Options, ui.Option{Value: string(r), Label: capital(strings.ReplaceAll(string(r), "-", " "))})
	}
	return v.lossForm(s, drafting.StationShut, "A station can’t be used", "", "Shut the station", which, why,
		v.day("from", "From", c.Today), ui.Field{Name: "from_time", Label: "Time from", Kind: ui.Time, Value: v.words.Clock(v.now), Required: true, Short: true},
		ui.Field{Name: "to", Label: "To", Kind: ui.Date, Short: true, Hint: "Left empty, until somebody opens it."},
		ui.Field{Name: "to_time", Label: "Time to", Kind: ui.Time, Short: true})
}

func (v *visit) lowForm(s sent, c drafting.LossChoices) page.Action {
	return v.lossForm(s, drafting.NoHeight, "May teach, but not at height", "They teach nothing that may run at height and stand by as nobody’s rescuer. Why is not asked and not kept. The end of these days clears nobody to climb.", "Keep them off height",
		v.staffField(c), v.day("from", "First day", c.Today), v.day("until", "Last day", c.Today+13))
}

// recordLoss records one of the four kinds of loss.
func recordLoss(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	l, err := v.lossOf(f, bad)
	if err != nil {
		return err
	}
	if err = bad.Err(); err == nil {
		err = v.Drafts.Lose(v.r.Context(), v.actor, l, v.key())
	}
	if fields, ok := formErrors(err); ok {
		names := map[string]string{"start": "from", "end": "to", "stations": "station"}
		switch l.Kind {
		case drafting.WeatherDays:
			names["stations"] = "scope"
		case drafting.PersonAway:
			names["end"] = "until"
		}
		for from, to := range names {
			if m := fields[from]; m != "" {
				fields.Add(to, "%s", m)
			}
		}
		return v.mend(http.StatusUnprocessableEntity, sent{f.Get("kind"), f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/mend#hit", "Recorded. What it hits stands below.")
}

// lossOf reads the form of a loss.
func (v *visit) lossOf(f url.Values, bad fault.Fields) (drafting.Loss, error) {
	l := drafting.Loss{Kind: drafting.LossKind(f.Get("kind")), Person: id.Person(f.Get("person"))}
	z := v.words.Zone
	switch l.Kind {
	case drafting.StationShut:
		l.Reason = rig.ShutReason(f.Get("reason"))
		l.Stations = ids[id.Station](f["station"])
		l.Start, l.End = v.momentFields(f, "from", "from_time", bad), v.momentFields(f, "to", "to_time", bad)
	case drafting.WeatherDays:
		l.From = dayField(f, "from", bad)
		l.Until = untilOr(f, l.From, bad)
		c, err := v.Drafts.LossChoices(v.r.Context(), v.actor)
		if err != nil {
			return l, err
		}
		for _, x := range scopes {
			for _, st := range c.Stations {
				if x.value == f.Get("scope") && x.takes(st) {
					l.Stations = append(l.Stations, st.Station)
				}
			}
		}
	case drafting.PersonAway:
		from := dayField(f, "from", bad)
		if from != 0 {
			l.Start = z.StartOfDay(from)
		}
		if f.Get("from_time") != "" {
			l.Start = v.momentFields(f, "from", "from_time", bad)
		}
		if d := untilOr(f, from, bad); d != 0 {
			l.End = z.StartOfDay(d + 1)
		}
	case drafting.NoHeight:
		l.From, l.Until = dayField(f, "from", bad), dayField(f, "until", bad)
	default:
		return l, fault.New(fault.Invalid, "What is lost was not said. Open the page again and choose.")
	}
	return l, nil
}

// alike puts stations together that are shut for the same time and reason, as
// weather does.
func alike(list []drafting.Loss) [][]drafting.Loss {
	var out [][]drafting.Loss
	for _, l := range list {
		i := slices.IndexFunc(out, func(g []drafting.Loss) bool {
			return l.Kind == drafting.StationShut && g[0].Kind == l.Kind && g[0].Start == l.Start && g[0].End == l.End && g[0].Reason == l.Reason
		})
		if i < 0 {
			out = append(out, nil)
			i = len(out) - 1
		}
		out[i] = append(out[i], l)
	}
	return out
}

func (v *visit) mendLoss(group []drafting.Loss) page.MendLoss {
	l := group[0]
	var names []string
	var also []ui.Value
	for i, x := range group {
		names = append(names, x.Name)
		if i > 0 {
			also = append(also, ui.Value{Name: "also", Value: x.ID})
		}
	}
	out := page.MendLoss{What: web.List(names)}
	switch l.Kind {
	case drafting.StationShut:
		out.What += ": " + strings.ReplaceAll(string(l.Reason), "-", " ")
		out.When = v.lossSpan(l.Start, l.End)
	case drafting.PersonAway:
		out.What += " is away"
		out.When = v.lossSpan(l.Start, l.End)
	case drafting.NoHeight:
		out.What += " may teach, but not at height"
		out.When = v.words.Days(l.From, l.Until)
	}
	out.End = ui.Form{Action: "/mend/losses/" + l.ID + "/end", Key: v.freshKey(), Button: "End it now", Unseen: out.What,
		Hidden: append(also, ui.Value{Name: "kind", Value: string(l.Kind)})}
	return out
}

// lossSpan says when something is lost; whole days are told as days.
func (v *visit) lossSpan(start, end civil.Instant) string {
	z := v.words.Zone
	first := z.DayOf(start)
	switch {
	case end == 0:
		return "from " + v.words.Moment(start) + " until somebody opens it"
	case start == z.StartOfDay(first) && end == z.StartOfDay(z.DayOf(end)):
		return v.words.Days(first, z.DayOf(end)-1)
	}
	return v.words.Period(civil.Period{Start: start, End: end})
}

// endLoss ends a loss, with those that stand beside it.
func endLoss(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	list := append([]string{v.param("loss")}, f["also"]...)
	if err := v.Drafts.EndLoss(v.r.Context(), v.actor, drafting.LossKind(f.Get("kind")), list, v.key()); err != nil {
		return err
	}
	return v.goTo("/mend", "Ended. What it hit stands as it was; look at what is still hit.")
}
