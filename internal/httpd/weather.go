package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/readings"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// weatherRoutes are the weather at the yard.
func weatherRoutes() []route {
	return []route{
		{get, "/yard/weather", access.SeeYard, weatherPage},
		{post, "/yard/weather/reading", access.RecordWeather, recordReading},
		{post, "/yard/weather/thunder", access.RecordWeather, hearThunder},
		{post, "/yard/weather/forecast", access.RecordWeather, recordForecast},
		{post, "/yard/weather/storm", access.RecordWeather, recordStorm},
		{get, "/yard/weather/readings/{reading}", access.SeeYard, readingPage},
		{post, "/yard/weather/readings/{reading}/correct", access.RecordWeather, correctReading},
		{post, "/yard/weather/readings/{reading}/agree", access.RecordWeather, agreeToReading},
	}
}

const weatherPath = "/yard/weather"

func weatherPage(v *visit) error { return v.weather(http.StatusOK, sent{}) }

func (v *visit) weather(status int, s sent) error {
	bad := fault.Fields{}
	day := dayField(v.r.URL.Query(), "day", bad)
	if len(bad) > 0 {
		return fault.New(fault.Invalid, "%s", bad["day"])
	}
	now, err := v.Readings.Now(v.r.Context(), v.actor, day)
	if err != nil {
		return err
	}
	if day == 0 {
		day = v.today
	}
	v.ref = now.Ref
	p := page.Weather{Shell: v.page("Weather", "yard"), Over: ui.Link{Text: "My day", Href: "/yard"}, Line: v.words.Moment(v.now),
		Listed: "Readings of " + v.words.Day(day), Notes: v.weatherNotes(now.Limits)}
	if last := now.Last(); last == nil {
		p.Due = "No weather was read in the last day. Read it before anybody goes up."
	} else {
		p.Due = "The last reading is of " + v.words.Moment(last.At) + ". The next is due by " + v.words.Clock(last.At.Add(now.Limits.Age())) + "."
	}
	p.Places, p.Waits, p.Agree = v.weatherGroups(now.Places), v.stopCauses(now.Waits), v.waitingCorrections(now.Agree)
	for _, x := range now.Places {
		if x.Standing.Resume != 0 && len(p.Stop) == 0 {
			p.Stop = []string{"Thunder, or lightning too near. Work may resume at " + v.words.Clock(x.Standing.Resume) + " if none is heard until then; each thunder starts the wait anew."}
		}
	}
	if access.May(v.actor, access.RecordWeather) {
		p.Thunder = &ui.Form{Action: weatherPath + "/thunder", Key: v.freshKey(), Button: "Thunder heard now", Grave: true}
		reading := v.action(s, "reading", "Enter a reading", "Empty fields count as not read, which is never clear.", weatherPath+"/reading", "Keep this reading", v.readingFields(now)...)
		more := v.action(s, "reading", "", "", "", "", moreReadingFields()...)
		p.More, reading.Form.Errors = more.Fields, append(reading.Form.Errors, ui.Errors(more.Fields)...)
		reading.Open = reading.Open || s.form == "" // what people come for
		forecast := v.action(s, "forecast", "Enter a forecast", "Of the evening before, and at 06:30. A forecast only cautions.", weatherPath+"/forecast", "Keep this forecast", v.forecastFields()...)
		storm := v.action(s, "storm", "A storm passed that nobody read", "At night, say, or while the yard was closed. Every rig outdoors then waits for an inspection.", weatherPath+"/storm", "Keep this storm", v.stormFields()...)
		p.Reading, p.Forecast, p.Storm = &reading, &forecast, &storm
	}
	for _, r := range now.Listed {
		p.Rows = append(p.Rows, v.weatherRow(r, now))
	}
	p.Day = ui.Form{Action: weatherPath + "#readings", Button: "Show"}
	p.DayField = ui.Field{Name: "day", Label: "Another day", Kind: ui.Date, Short: true, Value: day.String()}
	p.Shell.TakeOut = v.takeOut("readings", "from", day.String(), "until", day.String())
	return v.show(status, page.WeatherPage(p))
}

// weatherGroups puts the stations of which the weather says the same together, the
// worst first.
func (v *visit) weatherGroups(places []readings.Place) []page.WeatherGroup {
	var out []page.WeatherGroup
	for _, x := range places {
		g := v.weatherGroup(x)
		i := slices.IndexFunc(out, func(o page.WeatherGroup) bool {
			return o.Level == g.Level && o.Line == g.Line && slices.EqualFunc(o.Findings, g.Findings, func(a, b ui.Finding) bool { return a.Who == b.Who && a.Alike(b) })
		})
		if i < 0 {
			out = append(out, g)
			continue
		}
		out[i].Stations = append(out[i].Stations, g.Stations...)
	}
	for i := range out {
		n := len(out[i].Stations)
		out[i].Name = fmt.Sprintf("%d %s", n, plural(n, "station", "stations"))
	}
	slices.SortStableFunc(out, func(a, b page.WeatherGroup) int { return cmp.Compare(b.Level, a.Level) })
	return out
}

func (v *visit) weatherGroup(x readings.Place) page.WeatherGroup {
	out, st := page.WeatherGroup{Level: x.Standing.Level()}, v.stationLink(x.Station)
	st.Text += ", " + v.ref.Text(x.Rig.Name)
	if w := x.Standing.Wind; x.Standing.Newest != nil {
		said := ""
		if w.Estimated || w.GustIsEstimate {
			said = ", an estimate"
		}
		if len(x.Standing.Newest.Corrections) > 0 {
			said += ", corrected"
		}
		out.Line = fmt.Sprintf("Mean %s, gust %s at %s%s", w.Mean, w.Gust, w.Height, said)
	}
	for _, f := range append(x.Standing.Findings, x.Expected...) {
		out.Level = max(out.Level, f.Level)
		f.Who = verdict.Ref{}
		words := ui.FindingOf(f, v.words.Style(), verdict.RuleName(f.Rule), nil)
		words.Found, words.Who = capital(words.Found), ui.Link{}
		out.Findings = append(out.Findings, words)
	}
	out.Stations = []ui.Link{st}
	return out
}

// weatherNotes say how readings are judged and name the limits that stand in for
// those the rule book lacks.
func (v *visit) weatherNotes(l weather.Limits) []string {
	limit := func(q rulebook.Quantity, words func(int64) string) string {
		value, stated := l.Value(q)
		switch {
		case !stated:
			return "not stated, which stops"
		case l.Assumed(q):
			return words(value) + " (the rule book states none)"
		}
		return words(value)
	}
	speed := func(n int64) string { return weather.Speed(n).String() }
	degrees := func(n int64) string { return weather.Celsius(n * 10).String() }
	return []string{
		"Work stops from a mean of " + limit(rulebook.WindStop, speed) + " and from a gust of " + limit(rulebook.GustStop, speed) + "; a mean from " + limit(rulebook.WindCaution, speed) + " cautions.",
		"A reading from lower down is raised to the working height by a " + weather.ProfileWords + ". It is an estimate, and never lowers. A mean of less than 10 minutes is raised by a fifth, one of more by a tenth, a glance by half (common practice, no source). No gust read counts as twice the mean.",
		"Work stops from a wind chill of " + limit(rulebook.WindChillFloor, degrees) + " (index of 2001) and from a heat index of " + limit(rulebook.HeatStop, degrees) + " (US National Weather Service SR 90-23); from " + limit(rulebook.HeatCaution, degrees) + " it cautions. Ice stops.",
		"Lightning nearer than " + limit(rulebook.LightningDistance, func(n int64) string { return weather.Kilometres(n).String() }) + " and what the storm travels in " + limit(rulebook.ClearMinutes, func(n int64) string { return civil.Minutes(n).String() }) +
			" stops at once, and so does thunder. The wait of " + limit(rulebook.ThunderWait, func(n int64) string { return civil.Minutes(n).String() }) + " only says when work may resume.",
		"Every rig outdoors waits for an inspection from a gust of " + v.stormFrom() + " at 10 m on, or a storm that somebody tells of, until one done after it has passed. A gust or mean read lower down is raised to 10 m; none is guessed.",
		"A reading counts for " + limit(rulebook.ReadingAge, func(n int64) string { return civil.Minutes(n).String() }) + ". What it stopped stands until the same place is read again.",
	}
}

func (v *visit) weatherRow(r weather.Reading, n readings.Now) page.WeatherRow {
	out := page.WeatherRow{At: ui.Link{Text: v.words.Clock(r.At), Href: readingHref(r.ID)}, Struck: r.Struck(), Corrected: v.correctionMark(r), By: n.Names[r.By], What: readingWords[r.Kind], Of: "the whole yard", Wind: windWords(r), Where: readWith(r), Air: airWords(r), Note: n.Notes[r.Note]}
	if r.Station != "" {
		out.Of = v.stationName(r.Station)
	}
	if r.Kind == weather.Forecast {
		out.Of = web.FullDay(r.Day)
	}
	if r.Kind == weather.StormPassed {
		out.What += ", from " + v.words.Moment(r.From)
	}
	return out
}

var readingWords = map[weather.Kind]string{weather.Measured: "reading", weather.Thunder: "thunder heard", weather.Forecast: "forecast", weather.StormPassed: "storm that passed"}

func windWords(r weather.Reading) string {
	var out []string
	if r.Mean != nil {
		out = append(out, strings.TrimSuffix(r.Mean.String(), " m/s"))
	}
	if r.Gust != nil {
		out = append(out, "gust "+strings.TrimSuffix(r.Gust.String(), " m/s"))
	}
	return strings.TrimSpace(strings.Join(out, ", ") + " " + r.Direction)
}

func readWith(r weather.Reading) string {
	if r.Height == nil {
		return ""
	}
	return strings.TrimSpace(strings.TrimPrefix(string(r.Instrument)+" at "+r.Height.String()+" "+spaced(r.Averaging), " "))
}

func airWords(r weather.Reading) string {
	var out []string
	add := func(s string) { out = append(out, s) }
	if r.Celsius != nil {
		add(r.Celsius.String())
	}
	if r.Humidity != nil {
		add(fmt.Sprintf("%d %%", *r.Humidity))
	}
	switch r.Ice {
	case weather.NoIce:
		add("no ice")
	case weather.IceSeen:
		add("ice")
	case weather.NotLooked:
		add("not looked for ice")
	}
	if r.Thunder && r.Kind != weather.Thunder {
		add("thunder")
	}
	if r.Lightning != nil {
		add("lightning " + r.Lightning.String() + " away")
	}
	return strings.Join(out, ", ")
}

func recordReading(v *visit) error {
	return v.keepWeather("reading", v.reading(weather.Measured), weatherPath, "The reading is kept.")
}

func recordForecast(v *visit) error {
	return v.keepWeather("forecast", v.reading(weather.Forecast), weatherPath, "The forecast is kept.")
}

func hearThunder(v *visit) error {
	_, err := v.Readings.Record(v.r.Context(), v.actor, weather.Reading{Kind: weather.Thunder}, "", v.key())
	if err != nil {
		return err
	}
	return v.goTo(weatherPath, "Thunder is kept. Bring people down; the wait begins anew.")
}

// reading reads a form into what was measured, or is forecast.
func (v *visit) reading(kind weather.Kind) func(answers) weather.Reading {
	return func(a answers) weather.Reading { return v.readingOf(a, kind) }
}

// keepWeather reads a form, has it kept, or shows it again.
func (v *visit) keepWeather(form string, read func(answers) weather.Reading, to, said string) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	r := read(a)
	if len(a.bad) == 0 {
		_, err = v.Readings.Record(v.r.Context(), v.actor, r, f.Get("note"), v.key())
		if fields, ok := formErrors(err); ok {
			a.bad, err = fields, nil
		}
		if err != nil {
			return err
		}
	}
	if len(a.bad) > 0 {
		return v.weather(http.StatusUnprocessableEntity, sent{form, f, a.bad})
	}
	return v.goTo(to, said)
}

// measured reads a decimal into a quantity of tenths; nil where nothing stands.
func measured[T ~int64](a answers, name string) *T {
	n, stated := a.decimal(name, 1, false)
	if !stated {
		return nil
	}
	out := T(n)
	return &out
}

func (v *visit) readingOf(a answers, kind weather.Kind) weather.Reading {
	r := weather.Reading{Kind: kind, Station: id.Station(a.Get("station")), Instrument: weather.Instrument(a.Get("instrument")), Averaging: weather.Averaging(a.Get("averaging")),
		Direction: a.Get("direction"), Ice: weather.Ice(a.Get("ice")), Thunder: a.Get("thunder") == "yes",
		Height: measured[weather.Height](a, "height"), Mean: measured[weather.Speed](a, "mean"), Gust: measured[weather.Speed](a, "gust"), Celsius: measured[weather.Celsius](a, "celsius")}
	if n, stated := a.decimal("humidity", 0, false); stated {
		humidity := int(max(min(n, 1000), -1))
		r.Humidity = &humidity
	}
	if n, stated := a.decimal("lightning", 0, false); stated {
		far := weather.Kilometres(n)
		r.Lightning = &far
	}
	if n, stated := a.decimal("storm", 0, false); stated {
		speed := weather.Speed((min(n, 1_000_000)*100 + 35) / 36) // km/h, rounded up
		r.Storm = &speed
	}
	if kind == weather.Forecast {
		r.Day = a.day("day")
		if a.Get("thunder") == "" {
			a.bad.Add("thunder", "Say whether thunderstorms are to be expected.")
		}
		if r.Ice == "" {
			a.bad.Add("ice", "Say whether ice is to be expected.")
		}
		return r
	}
	if a.Get("thunder") == "" {
		a.bad.Add("thunder", "Say whether thunder was heard.")
	}
	if text := a.text("at"); text != "" {
		r.At = v.words.Zone.At(v.today, a.clock("at"))
		if r.At > v.now+12*60 { // shortly after midnight, of the evening before
			r.At = v.words.Zone.At(v.today-1, a.clock("at"))
		}
	}
	return r
}

func (v *visit) forecastFields() []ui.Field {
	decimal := func(name, label, unit string, required bool) ui.Field {
		return ui.Field{Name: name, Label: label, Unit: unit, Short: true, InputMode: "decimal", Required: required}
	}
	day := v.today
	if v.words.Zone.Clock(v.now) >= 14*60 {
		day++
	}
	return []ui.Field{
		{Name: "day", Label: "Of the day", Kind: ui.Date, Short: true, Required: true, Value: day.String()},
		decimal("mean", "Highest mean wind while people are up", "m/s", true), decimal("gust", "Highest gust", "m/s", false),
		{Name: "height", Label: "Height that the forecast is of", Unit: "m", Short: true, InputMode: "decimal", Required: true, Value: "10"},
		{Name: "thunder", Label: "Thunderstorms", Kind: ui.Radio, Options: []ui.Option{{Value: "yes", Label: "To be expected"}, {Value: "no", Label: "Not to be expected"}}},
		{Name: "ice", Label: "Ice", Kind: ui.Radio, Options: []ui.Option{{Value: string(weather.IceSeen), Label: "To be expected"}, {Value: string(weather.NoIce), Label: "Not to be expected"}}},
		{Name: "note", Label: "Whose forecast, and what else it says", Kind: ui.Area},
	}
}

func (v *visit) readingFields(n readings.Now) []ui.Field {
	choices := func(name, label string, options ...ui.Option) ui.Field {
		return ui.Field{Name: name, Label: label, Kind: ui.Radio, Options: options}
	}
	asked := v.r.URL.Query().Get("station")
	of := ui.Field{Name: "station", Label: "It speaks for", Kind: ui.Select, Options: []ui.Option{{Label: "the whole yard", Chosen: asked == ""}}}
	for _, x := range n.Places {
		of.Options = append(of.Options, ui.Option{Value: string(x.Station.ID), Label: v.ref.Text(x.Station.Name), Chosen: asked == string(x.Station.ID)})
	}
	var instruments []ui.Option
	for _, i := range weather.Instruments() {
		instruments = append(instruments, ui.Option{Value: string(i), Label: string(i)})
	}
	return []ui.Field{
		of,
		readDecimal("mean", "Mean wind", "m/s", ""), readDecimal("gust", "Highest gust of 3 seconds", "m/s", "Left empty, twice the mean is taken."),
		choices("averaging", "The mean is over", ui.Option{Value: string(weather.TenMinutes), Label: "10 minutes"}, ui.Option{Value: string(weather.Shorter), Label: "1 to 9 minutes"},
			ui.Option{Value: string(weather.Glance), Label: "less: a glance"}, ui.Option{Value: string(weather.Longer), Label: "more, to an hour"}),
		choices("instrument", "Read with", instruments...),
		readDecimal("height", "Height of the instrument above the ground", "m", ""), readDecimal("celsius", "Air temperature in the shade", "°C", "From 26.7 °C on, humidity too."),
		choices("ice", "Ice on structure or kit", ui.Option{Value: string(weather.NoIce), Label: "None: looked for"}, ui.Option{Value: string(weather.IceSeen), Label: "Ice"}, ui.Option{Value: string(weather.NotLooked), Label: "Not looked for"}),
		choices("thunder", "Thunder", ui.Option{Value: "no", Label: "None heard"}, ui.Option{Value: "yes", Label: "Heard"}),
	}
}

// moreReadingFields are those that most readings leave empty.
func moreReadingFields() []ui.Field {
	direction := ui.Field{Name: "direction", Label: "Wind comes from", Kind: ui.Select, Short: true, Options: []ui.Option{{Label: "not read"}}}
	for _, d := range weather.Directions() {
		direction.Options = append(direction.Options, ui.Option{Value: d, Label: d})
	}
	return []ui.Field{
		direction, readDecimal("humidity", "Humidity", "%", "Needed from 26.7 °C on."),
		readDecimal("lightning", "Nearest lightning, where it is known", "km", ""), readDecimal("storm", "Speed of the thunderstorm, where it is known", "km/h", ""),
		{Name: "at", Label: "Read at", Kind: ui.Time, Short: true, Hint: "Left empty, now."},
		{Name: "note", Label: "Note", Kind: ui.Area},
	}
}

func readDecimal(name, label, unit, hint string) ui.Field {
	return ui.Field{Name: name, Label: label, Unit: unit, Short: true, InputMode: "decimal", Hint: hint}
}
