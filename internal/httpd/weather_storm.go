package httpd

import (
	"fmt"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// recordStorm writes down a storm that nobody read.
func recordStorm(v *visit) error {
	return v.keepWeather("storm", v.stormOf, weatherPath+"#after-storm", "The storm is kept. The rigs it blew over wait for their inspection.")
}

func (v *visit) stormOf(a answers) weather.Reading {
	r := weather.Reading{Kind: weather.StormPassed, Gust: measured[weather.Speed](a, "gust"),
		From: v.momentFields(a.Values, "from_day", "from", a.bad), At: v.momentFields(a.Values, "at_day", "at", a.bad)}
	if r.At == 0 && a.bad["at"] == "" && a.bad["at_day"] == "" {
		a.bad.Add("at", "Give when it was over.")
	}
	return r
}

func (v *visit) stormFields() []ui.Field {
	day := v.today.String()
	return []ui.Field{
		{Name: "from_day", Label: "It began on", Kind: ui.Date, Short: true, Required: true, Value: (v.today - 1).String()},
		{Name: "from", Label: "at", Kind: ui.Time, Short: true, Required: true},
		{Name: "at_day", Label: "It was over on", Kind: ui.Date, Short: true, Required: true, Value: day},
		{Name: "at", Label: "at", Kind: ui.Time, Short: true, Required: true},
		readDecimal("gust", "Highest gust, where somebody measured it", "m/s", "At 10 m above the ground, as weather services tell it. It stays a storm without it."),
		{Name: "note", Label: "How you know", Kind: ui.Area, Hint: "What was seen, or whose measurement it was."},
	}
}

// recordAfterStorm leads to the form that records the inspection of a rig after a
// storm; a reader who may not record it is led to the rig.
func (v *visit) recordAfterStorm(c rig.Cause) string {
	href := thingPath[verdict.Rig] + c.Subject.ID
	if access.May(v.actor, access.RecordInspection) {
		href += "?do=inspection&line=" + url.QueryEscape(rig.StormLine) + "#change"
	}
	return href
}

// stormFrom is the gust from which rigs are inspected, and whether the rule book says so.
func (v *visit) stormFrom() string {
	least, stated := rig.StormFrom(rulebook.InForce(v.ref.RuleBooks.All(civil.LastDay), v.today))
	out := weather.Speed(least).String()
	if !stated {
		out += " (the rule book states none)"
	}
	return out
}

// stormNotice says above a page that rigs wait for their inspection after a storm.
func (v *visit) stormNotice(waits []rig.Cause) {
	if len(waits) == 0 {
		return
	}
	text := v.say(waits[0].Say()) + ". Nobody uses it before one passed."
	if n := len(waits); n > 1 {
		text = fmt.Sprintf("%s for the inspection after the storm of %s. Nobody uses them before theirs passed.", web.Count(n, "rig waits", "rigs wait"), v.words.Moment(waits[0].Start))
	}
	v.shell.Notices = append(v.shell.Notices, ui.Notice{Level: verdict.Stops, Text: capital(text), Link: ui.Link{Text: "See which, and record them", Href: weatherPath + "#after-storm"}})
}

// waitingStorms lists the rigs that wait for their inspection after a storm, to those
// who may record it.
func (v *visit) waitingStorms(waits []rig.Cause) []page.YardWaiting {
	if !access.May(v.actor, access.RecordInspection) {
		return nil
	}
	var out []page.YardWaiting
	for _, c := range waits {
		out = append(out, page.YardWaiting{Text: ui.Link{Text: capital(v.say(c.Say())), Href: v.recordAfterStorm(c)}, Note: "Record the inspection once it is done."})
	}
	return out
}
