package httpd

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/readings"
	"rungbook/internal/records"
	"rungbook/internal/weather"
	"rungbook/web"
)

// readingDays reads the days of readings that are asked for: without them, all.
func (v *visit) readingDays() (from, until civil.Day, err error) {
	q, bad := v.r.URL.Query(), fault.Fields{}
	from, until = dayField(q, "from", bad), dayField(q, "until", bad)
	if until != 0 && until < from && len(bad) == 0 {
		bad.Add("until", "The last day lies before the first. Give a later one.")
	}
	if from == 0 {
		from = firstDay
	}
	if until == 0 {
		until = lastDay
	}
	return from, until, bad.Err()
}

func readingList(v *visit, t *taking) error {
	from, until, err := v.readingDays()
	if err != nil {
		return err
	}
	z := v.words.Zone
	all, err := v.Readings.All(v.r.Context(), v.actor, z.StartOfDay(from), z.StartOfDay(until+1))
	if err != nil {
		return err
	}
	days := []string{}
	if from != firstDay || until != lastDay {
		days = []string{"From", web.FullDay(from), "To", web.FullDay(until)}
	}
	return v.fromRecords(t, func(*records.Lists) error {
		if err := t.begin(v, t.list.title+" "+v.today.String(), filters(days...)...); err != nil {
			return err
		}
		if err := t.heads("At", "What", "Of", "Mean in dm/s", "Gust in dm/s", "From", "Instrument", "Height in dm", "Averaging", "Air in tenths of °C", "Humidity in %", "Ice", "Thunder", "Lightning in km", "By", "Note", "Reading", "Corrected", "Corrected by", "Reason", "Mean before, dm/s", "Gust before, dm/s"); err != nil {
			return err
		}
		return each(t, all.Listed, func(r weather.Reading) []any {
			row := v.weatherRow(r, all)
			cells := []any{v.at(r.At), row.What, row.Of, wholeOf(r.Mean), wholeOf(r.Gust), r.Direction, string(r.Instrument), wholeOf(r.Height), spaced(r.Averaging), wholeOf(r.Celsius),
				wholeOf(r.Humidity), spaced(r.Ice), yes(r.Thunder || r.Kind == weather.Thunder), wholeOf(r.Lightning), row.By, row.Note, string(r.ID)}
			return append(cells, v.correctionCells(r, all)...)
		})
	})
}

// correctionCells say of a corrected reading when, by whom and why it was last
// corrected, and which wind it gave at first.
func (v *visit) correctionCells(r weather.Reading, all readings.Now) []any {
	n := len(r.Corrections)
	if n == 0 {
		return []any{"", "", "", "", ""}
	}
	last, first := r.Corrections[n-1], r.Corrections[0].Was
	why := spaced(last.Why)
	if note := all.Notes[last.Note]; note != "" {
		why += ": " + note
	}
	if r.Struck() {
		why = "struck out, " + why
	}
	return []any{v.at(last.At), orID(all.Names[last.By], last.By), why, wholeOf(first.Mean), wholeOf(first.Gust)}
}

// wholeOf is a quantity as a number; nothing where none was read.
func wholeOf[T ~int64 | ~int](n *T) any {
	if n == nil {
		return ""
	}
	return int64(*n)
}
