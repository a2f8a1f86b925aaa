//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// atThePhone are the looks of what is done at the rig.
var atThePhone = []Look{Phone, PhoneNoScript}

// TestAGustStopsWhereItIsTooMuchAndThunderStopsTheYard enters a reading that lacks
// something, one that stops the high stations, and presses the button for thunder.
func TestAGustStopsWhereItIsTooMuchAndThunderStopsTheYard(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		links := p.Names("link")
		p.clickAt("link", slices.IndexFunc(links, func(l string) bool { return strings.Contains(l, "as last read") }))
		p.WantH1("Weather")
		p.Choose("It speaks for", "the whole yard") // the session's station is offered
		p.Fill("Mean wind", "7,4")
		p.Fill("Highest gust of 3 seconds", "13.1")
		p.Check("10 minutes")
		p.Check("mast")
		p.Fill("Height of the instrument above the ground", "10")
		p.Fill("Air temperature in the shade", "8")
		p.Check("None: looked for")
		p.Unfold("More: direction, humidity, lightning, another time, a note")
		p.Fill("Note", "A shower from the west.")
		p.Click("button", "Keep this reading")
		p.WantStatus(422)
		p.WantText("Say whether thunder was heard.")
		p.WantSound()
		p.WantAccessible()
		if got := p.Value("Note"); got != "A shower from the west." {
			t.Errorf("the note is %q after a refusal", got)
		}
		p.Check("None heard")
		p.Click("button", "Keep this reading")
		p.WantText("The reading is kept.", "Gust", "below 14.0 m/s", "Stops", "A shower from the west.")
		p.Shot("weather a gust " + look.Name)
		p.WantSound()
		p.WantAccessible()

		p.Click("button", "Thunder heard now")
		p.WantText("Thunder is kept. Bring people down", "Stop, bring people down", "Work may resume at")
		p.WantSound()
		p.Go("/yard")
		p.WantText("nobody works at height or outdoors before")
		p.Go("/")
		p.WantText("nobody works at height or outdoors before")
	})
}

// TestAForecastIsEnteredTheEveningBefore is a caution of its day and stops nothing.
func TestAForecastIsEnteredTheEveningBefore(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard/weather")
		p.Unfold("Enter a forecast")
		form := p.Within("group", "Thunderstorms")
		p.Fill("Highest mean wind while people are up", "11.2")
		p.Click("button", "Keep this forecast")
		p.WantStatus(422)
		p.WantText("Say whether thunderstorms are to be expected.", "Say whether ice is to be expected.")
		form.Check("To be expected")
		p.Within("group", "Ice").Check("Not to be expected")
		p.Click("button", "Keep this forecast")
		p.WantText("The forecast is kept.", "Thunderstorms are forecast", "Forecast mean wind 11.2 m/s")
		p.WantNoText("Stop, bring people down")
		p.WantSound()
	})
}

// TestAnEngineeringSumSaysWhatItRestsOn works out an example and refuses a number
// that is none.
func TestAnEngineeringSumSaysWhatItRestsOn(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/sums")
		names := slices.DeleteFunc(p.Within("main", "").Names("link"), func(l string) bool { return !strings.Contains(strings.ToLower(l), "sling") })
		if len(names) != 1 {
			t.Fatalf("there are %d sums of slings: %s", len(names), names)
		}
		p.Click("link", names[0])
		p.WantH1(names[0])
		for _, field := range p.Within("main", "").Names("textbox") {
			p.Fill(field, "ten")
		}
		p.Choose("Legs", "two")
		p.Click("button", "Work it out")
		p.WantStatus(422)
		p.WantText("Not worked out. To mend:")
		p.WantSound()
		p.Go(strings.SplitN(p.Path(), "?", 2)[0])
		p.Click("link", "Look at an example")
		p.WantText("6.937 kN in each leg", "Source", "never an approval")
		p.WantSound()
		p.WantAccessible()
		p.Shot("sum " + look.Name)
	})
}
