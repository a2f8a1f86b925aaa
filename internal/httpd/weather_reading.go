package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/readings"
	"rungbook/internal/weather"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func readingHref(of id.Reading) string { return weatherPath + "/readings/" + string(of) }

func readingPage(v *visit) error { return v.readingSheet(http.StatusOK, sent{}) }

// readingSheet shows one reading, what it said before, and the forms to correct it.
func (v *visit) readingSheet(status int, s sent) error {
	one, err := v.Readings.One(v.r.Context(), v.actor, id.Reading(v.param("reading")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	r := one.Reading
	now := readings.Now{Notes: one.Notes, Names: one.Names}
	row := v.weatherRow(r, now)
	p := page.Reading{Title: capital(readingWords[r.Kind]) + " of " + v.words.Moment(r.At), Over: ui.Link{Text: "Weather", Href: weatherPath + "?day=" + v.words.Zone.DayOf(r.At).String() + "#readings"}, Struck: r.Struck()}
	p.Shell, p.Facts = v.page(p.Title, "yard"), v.readingFacts(r, row)
	if p.Struck {
		p.Line = "Struck out: it counts no more. What it stopped stands until the same place is read again."
	} else if len(r.Corrections) > 0 {
		p.Line = "Corrected. What it stopped before stands until the same place is read again."
	}
	for n, c := range slices.Backward(r.Corrections) {
		p.Steps = append(p.Steps, v.readingStep(r, n, c, now))
	}
	if one.Unagreed {
		p.Waits = "Until a second person agrees, the rigs wait for the inspection after a storm by what it said before."
		if one.Agree == nil {
			p.Agree = &ui.Form{Action: readingHref(r.ID) + "/agree", Key: v.freshKey(), Button: "Agree that it is right now", Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(one.Rev)}}}
		} else if fault.Of(one.Agree) == fault.Forbidden {
			p.Waits += " " + one.Agree.Error()
		}
	}
	if access.May(v.actor, access.RecordWeather) && !p.Struck {
		if s.form == "" {
			s = sent{form: "correct", values: v.readingValues(r)}
		}
		rev := fmt.Sprint(one.Rev)
		if was := s.values.Get("rev"); was != "" {
			rev = was
		}
		a := v.action(s, "correct", "Correct this "+readingWords[r.Kind], "What stands now is kept and stays readable. A correction clears nothing that is stopped now: read the weather again for that. Where and when it was read is not corrected: strike it out, and enter it anew.",
			readingHref(r.ID)+"/correct", "Correct it", v.correctionFields(r)...)
		a.Form.Hidden, a.Open = append(a.Form.Hidden, ui.Value{Name: "rev", Value: rev}), s.bad != nil || v.r.URL.Query().Get("do") == "correct"
		p.Correct = &a
	}
	return v.show(status, page.ReadingPage(p))
}

func (v *visit) readingFacts(r weather.Reading, row page.WeatherRow) []ui.Fact {
	out := []ui.Fact{fact("Of", row.Of)}
	for _, f := range []ui.Fact{fact("Wind, m/s", row.Wind), fact("Read with", row.Where), fact("Air, ice", row.Air), fact("By", row.By), fact("Note", row.Note)} {
		if f.Value.Text != "" {
			out = append(out, f)
		}
	}
	if r.Kind == weather.StormPassed {
		out = append(out, fact("From", v.words.Moment(r.From)), fact("Over", v.words.Moment(r.At)))
	}
	return out
}

// readingStep is one correction with what stood before it.
func (v *visit) readingStep(r weather.Reading, n int, c weather.Correction, now readings.Now) page.ReadingStep {
	was := r.Before(n)
	out := page.ReadingStep{When: v.words.Moment(c.At), By: orID(now.Names[c.By], c.By), Why: spaced(c.Why), Note: now.Notes[c.Note], Was: v.readingFacts(was, page.WeatherRow{Wind: windWords(was), Where: readWith(was), Air: airWords(was)})[1:]}
	if c.Agreed != nil {
		out.Agreed = "Agreed by " + orID(now.Names[c.Agreed.By], c.Agreed.By) + ", " + v.words.Moment(c.Agreed.At) + "."
	}
	return out
}

// correctionMark says in a list that a reading was corrected, and what it said before.
func (v *visit) correctionMark(r weather.Reading) string {
	n := len(r.Corrections)
	if n == 0 {
		return ""
	}
	if r.Struck() {
		return "struck out: " + spaced(r.Corrections[n-1].Why)
	}
	was, parts := r.Before(0), []string{}
	for _, said := range []func(weather.Reading) string{windWords, readWith, airWords} {
		switch before := said(was); {
		case before == said(r):
		case before == "":
			parts = append(parts, "not read")
		default:
			parts = append(parts, before)
		}
	}
	if len(parts) == 0 {
		return "corrected"
	}
	return "corrected; it said " + strings.Join(parts, "; ")
}

// correctionFields are those of the form by which such a reading was entered, without
// its place and time, and why it is corrected.
func (v *visit) correctionFields(r weather.Reading) []ui.Field {
	why := ui.Field{Name: "why", Label: "Why it is corrected", Kind: ui.Radio}
	for _, w := range weather.CorrectionReasons() {
		o := ui.Option{Value: string(w), Label: capital(spaced(w))}
		if w.Strikes() {
			o.Label += ": strike it out"
		} else if r.Kind == weather.Thunder {
			continue
		}
		why.Options = append(why.Options, o)
	}
	var fields []ui.Field
	switch r.Kind {
	case weather.Measured:
		fields = append(v.readingFields(readings.Now{}), moreReadingFields()...)
	case weather.Forecast:
		fields = v.forecastFields()
	case weather.StormPassed:
		fields = v.stormFields()
	}
	left := []string{"station", "day", "note"}
	if r.Kind != weather.StormPassed {
		left = append(left, "at")
	}
	fields = slices.DeleteFunc(fields, func(f ui.Field) bool { return slices.Contains(left, f.Name) })
	return append(fields, why, ui.Field{Name: "what", Label: "What was wrong", Kind: ui.Area})
}

// readingValues are what a reading says, as its form holds it.
func (v *visit) readingValues(r weather.Reading) url.Values {
	out := url.Values{}
	number := func(name string, text string) { out.Set(name, strings.Fields(text)[0]) }
	if r.Mean != nil {
		number("mean", r.Mean.String())
	}
	if r.Gust != nil {
		number("gust", r.Gust.String())
	}
	if r.Height != nil {
		number("height", r.Height.String())
	}
	if r.Celsius != nil {
		number("celsius", r.Celsius.String())
	}
	if r.Humidity != nil {
		number("humidity", fmt.Sprint(*r.Humidity))
	}
	if r.Lightning != nil {
		number("lightning", r.Lightning.String())
	}
	if r.Storm != nil {
		number("storm", fmt.Sprint(int64(*r.Storm)*36/100)) // km/h: rounded up again, it is the same
	}
	out.Set("averaging", string(r.Averaging))
	out.Set("instrument", string(r.Instrument))
	out.Set("direction", r.Direction)
	out.Set("ice", string(r.Ice))
	out.Set("thunder", map[bool]string{true: "yes", false: "no"}[r.Thunder])
	z := v.words.Zone
	moment := func(day, clock string, at civil.Instant) {
		out.Set(day, z.DayOf(at).String())
		out.Set(clock, v.words.Clock(at))
	}
	if r.Kind == weather.StormPassed {
		moment("from_day", "from", r.From)
		moment("at_day", "at", r.At)
	}
	return out
}

func correctReading(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Reading(v.param("reading"))
	one, err := v.Readings.One(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	a, why := answersOf(f), weather.CorrectionReason(f.Get("why"))
	to := one.Said()
	if !why.Strikes() && one.Kind == weather.StormPassed {
		to = v.stormOf(a).Said()
	} else if !why.Strikes() && one.Kind != weather.Thunder {
		to = v.readingOf(a, one.Kind).Said()
	}
	if one.Storm != nil && f.Get("storm") == v.readingValues(one.Reading).Get("storm") {
		to.Storm = one.Storm // shown in km/h, it was rounded
	}
	if len(a.bad) == 0 {
		err = v.Readings.Correct(v.r.Context(), v.actor, of, numberField(f, "rev"), why, to, f.Get("what"), v.key())
		if fields, ok := formErrors(err); ok {
			a.bad, err = fields, nil
		}
		if err != nil {
			return err
		}
	}
	if len(a.bad) > 0 {
		return v.readingSheet(http.StatusUnprocessableEntity, sent{"correct", f, a.bad})
	}
	return v.goTo(readingHref(of), "Corrected. What it said before is kept.")
}

func agreeToReading(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Reading(v.param("reading"))
	if err := v.Readings.Agree(v.r.Context(), v.actor, of, numberField(f, "rev"), v.key()); err != nil {
		return err
	}
	return v.goTo(readingHref(of), "Agreed. The rigs wait by what it says now.")
}

// waitingCorrections lead to the corrections by which a storm would be none, and to
// which no second person has agreed.
func (v *visit) waitingCorrections(list []weather.Reading) []ui.Link {
	var out []ui.Link
	for _, r := range list {
		out = append(out, ui.Link{Text: "A correction of the " + readingWords[r.Kind] + " of " + v.words.Moment(r.At) + " waits for a second person", Href: readingHref(r.ID)})
	}
	return out
}
