package founding

import (
	"cmp"
	"slices"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/at"
	"github.com/rickar/cal/v2/au"
	"github.com/rickar/cal/v2/be"
	"github.com/rickar/cal/v2/br"
	"github.com/rickar/cal/v2/ca"
	"github.com/rickar/cal/v2/ch"
	"github.com/rickar/cal/v2/de"
	"github.com/rickar/cal/v2/dk"
	"github.com/rickar/cal/v2/es"
	"github.com/rickar/cal/v2/fr"
	"github.com/rickar/cal/v2/gb"
	"github.com/rickar/cal/v2/ie"
	"github.com/rickar/cal/v2/it"
	"github.com/rickar/cal/v2/jp"
	"github.com/rickar/cal/v2/nl"
	"github.com/rickar/cal/v2/no"
	"github.com/rickar/cal/v2/nz"
	"github.com/rickar/cal/v2/pl"
	"github.com/rickar/cal/v2/se"
	"github.com/rickar/cal/v2/us"
	"github.com/rickar/cal/v2/za"

	"rungbook/internal/civil"
)

// Country is a country whose public holidays are offered.
type Country struct {
	Code, Name string
	holidays   []*cal.Holiday
}

// Countries lists them by name. Regions have holidays of their own in many of
// them: what is offered is a place to start from.
func Countries() []Country {
	return []Country{
		{"au", "Australia", au.HolidaysNSW}, {"at", "Austria", at.Holidays}, {"be", "Belgium", be.Holidays}, {"br", "Brazil", br.Holidays},
		{"ca", "Canada", ca.Holidays}, {"dk", "Denmark", dk.Holidays}, {"fr", "France", fr.Holidays}, {"de", "Germany", de.Holidays},
		{"ie", "Ireland", ie.Holidays}, {"it", "Italy", it.Holidays}, {"jp", "Japan", jp.Holidays}, {"nl", "Netherlands", nl.Holidays},
		{"nz", "New Zealand", nz.Holidays}, {"no", "Norway", no.Holidays}, {"pl", "Poland", pl.Holidays}, {"za", "South Africa", za.Holidays},
		{"es", "Spain", es.Holidays}, {"se", "Sweden", se.Holidays}, {"ch", "Switzerland", ch.Holidays}, {"gb", "United Kingdom", gb.Holidays},
		{"us", "United States", us.Holidays},
	}
}

// PublicHolidays returns the days of a country's public holidays in [from,
// until], as observed, in order.
func PublicHolidays(country string, from, until civil.Day) []Closed {
	var out []Closed
	for _, c := range Countries() {
		if c.Code != country {
			continue
		}
		first, _, _ := from.Date()
		last, _, _ := until.Date()
		for year := first; year <= last; year++ {
			for _, h := range c.holidays {
				actual, observed := h.Calc(year)
				if observed.IsZero() {
					observed = actual
				}
				if observed.IsZero() {
					continue
				}
				if d := civil.DayOf(observed.Date()); from <= d && d <= until {
					out = append(out, Closed{d, h.Name})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Closed) int { return cmp.Compare(a.Day, b.Day) })
	return slices.CompactFunc(out, func(a, b Closed) bool { return a.Day == b.Day })
}
