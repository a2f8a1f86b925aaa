package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// weatherPages are the weather at the yard, as staff and as an auditor see it.
func weatherPages() map[string]templ.Component {
	read := Weather{
		Shell: sampleShell("yard", "Weather"), Over: link("My day", "/yard"), Line: "Tue 2 Mar 2027, 10:14", Listed: "Readings of Tue 2 Mar",
		Due: "The last reading is of 09:50. The next is due by 10:20.",
		Places: []WeatherGroup{
			{Name: "1 station", Level: verdict.Stops, Findings: []ui.Finding{{Level: verdict.Stops, Rule: "Gust", Found: "Gust 14.2 m/s at 20.8 m, an estimate: read 9.0 m/s at 2.0 m", Required: "below 14.0 m/s"}},
				Line: "Mean 9.6 m/s, gust 14.2 m/s at 20.8 m, an estimate", Stations: []ui.Link{link("Top deck, Tower platform", "/stations/s2")}},
			{Name: "2 stations", Line: "Mean 7.1 m/s, gust 10.2 m/s at 6.8 m, an estimate", Stations: []ui.Link{link("Lower deck, Tower platform", "/stations/s1"), link("Blade face", "/stations/s3")}},
		},
		Day: ui.Form{Action: "/yard/weather", Button: "Show"}, DayField: ui.Field{Name: "day", Label: "Another day", Kind: ui.Date, Value: "2027-03-02", Short: true},
		Rows: []WeatherRow{{At: link("09:50", "/yard/weather/readings/r1"), By: "Ngozi Okafor", What: "reading", Of: "the whole yard", Wind: "6.2, gust 9.0 SW", Where: "hand-held at 2.0 m ten minutes", Air: "7.0 °C, no ice", Note: "Cloud from the west."},
			{At: link("09:20", "/yard/weather/readings/r2"), By: "Ngozi Okafor", What: "reading", Of: "the whole yard", Wind: "6.2, gust 17.0 SW", Where: "hand-held at 2.0 m ten minutes", Corrected: "corrected; it said 6.2, gust 71.0 SW"},
			{At: link("09:10", "/yard/weather/readings/r3"), By: "Ngozi Okafor", What: "thunder heard", Of: "the whole yard", Corrected: "struck out: never so", Struck: true}},
		Notes: []string{"Work stops from a mean of 10.0 m/s and from a gust of 14.0 m/s."},
	}
	write := read
	write.Stop = []string{"Thunder. Work may resume at 10:42 if none is heard until then."}
	write.Thunder = &ui.Form{Action: "/yard/weather/thunder", Key: "k1", Button: "Thunder heard now", Grave: true}
	write.Reading = &Action{Title: "Enter a reading", Open: true, Form: ui.Form{Action: "/yard/weather/reading", Key: "k2", Button: "Keep this reading", Errors: []ui.FieldError{{Field: "reading-mean", Text: "Give the mean wind."}}},
		Fields: []ui.Field{{Name: "mean", ID: "reading-mean", Label: "Mean wind", Unit: "m/s", InputMode: "decimal", Short: true, Error: "Give the mean wind."},
			{Name: "ice", ID: "reading-ice", Label: "Ice on structure or kit", Kind: ui.Radio, Options: []ui.Option{{Value: "none", Label: "None: looked for"}, {Value: "seen", Label: "Ice"}}}}}
	write.More = []ui.Field{{Name: "note", ID: "reading-note", Label: "Note", Kind: ui.Area}}
	write.Forecast = &Action{Title: "Enter a forecast", Form: ui.Form{Action: "/yard/weather/forecast", Key: "k3", Button: "Keep this forecast"},
		Fields: []ui.Field{{Name: "day", ID: "forecast-day", Label: "Of the day", Kind: ui.Date, Short: true}}}
	write.Storm = &Action{Title: "A storm passed that nobody read", Form: ui.Form{Action: "/yard/weather/storm", Key: "k4", Button: "Keep this storm"},
		Fields: []ui.Field{{Name: "from_day", ID: "storm-from_day", Label: "It began on", Kind: ui.Date, Short: true}, {Name: "from", ID: "storm-from", Label: "at", Kind: ui.Time, Short: true}}}
	write.Waits = []StopCause{{Say: "Tower platform waits for its inspection after the storm of Mon 1 Mar, 23:40 (up to 21.3 m/s)", Back: link("record an inspection, done after the storm, that passes", "/rigs/r1?do=inspection#change")}}
	write.Agree = []ui.Link{link("A correction of the reading of Tue 2 Mar 09:20 waits for a second person", "/yard/weather/readings/r2")}
	one := Reading{Shell: sampleShell("yard", "Reading of Tue 2 Mar, 09:20"), Title: "Reading of Tue 2 Mar, 09:20", Over: link("Weather", "/yard/weather"), Line: "Corrected.",
		Facts: []ui.Fact{{Label: "Wind, m/s", Value: ui.Link{Text: "6.2, gust 17.0 SW"}}}, Waits: "Until a second person agrees, the rigs wait.", Agree: &ui.Form{Action: "/yard/weather/readings/r2/agree", Key: "k1", Button: "Agree that it is right now"},
		Steps:   []ReadingStep{{When: "Tue 2 Mar, 09:31", By: "Ngozi Okafor", Why: "entered wrongly", Note: "The figures were exchanged.", Was: []ui.Fact{{Label: "Wind, m/s", Value: ui.Link{Text: "6.2, gust 71.0 SW"}}}, Agreed: "Agreed by Ivo Brennan, Tue 2 Mar, 09:40."}},
		Correct: &Action{Title: "Correct this reading", Form: ui.Form{Action: "/yard/weather/readings/r2/correct", Key: "k2", Button: "Correct it"}, Fields: []ui.Field{{Name: "gust", ID: "correct-gust", Label: "Highest gust", Unit: "m/s", Short: true, Value: "17.0"}}}}
	struck := one
	struck.Struck, struck.Correct, struck.Agree, struck.Waits = true, nil, nil, ""
	return map[string]templ.Component{
		"weather-reading": ReadingPage(one), "weather-reading-struck": ReadingPage(struck),
		"weather": WeatherPage(read), "weather-write": WeatherPage(write),
		"weather-none": WeatherPage(Weather{Shell: sampleShell("yard", "Weather"), Over: link("My day", "/yard"), Line: "Tue 2 Mar 2027", Listed: "Readings of Tue 2 Mar", Day: read.Day, DayField: read.DayField}),
	}
}
