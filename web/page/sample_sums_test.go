package page

import (
	"github.com/a-h/templ"

	"rungbook/web/ui"
)

// sumPages are the engineering sums: the list, one worked out, one refused.
func sumPages() map[string]templ.Component {
	shell := sampleShell("yard", "Sling tension by angle")
	asked := Sum{Shell: shell, Title: "Sling tension by angle", For: "What each leg of a sling pulls.", Formula: "T = W / (2 · cos β)", Source: "Statics.", Holds: "Legs of equal length.",
		Form:    ui.Form{Action: "/sums/sling-tension", Get: true, Button: "Work it out", Errors: []ui.FieldError{{Field: "angle", Text: "70 ° is out of range."}}, Lead: "Not worked out. To mend:"},
		Fields:  []ui.Field{{Name: "angle", Label: "Angle", Unit: "°", Value: "70", InputMode: "decimal", Short: true, Error: "70 ° is out of range."}},
		Example: link("An example", "/sums/sling-tension?angle=45")}
	worked := asked
	worked.Form.Errors, worked.Fields = nil, []ui.Field{{Name: "angle", Label: "Angle", Unit: "°", Value: "45", InputMode: "decimal", Short: true}}
	worked.Answer, worked.Given, worked.Says = "6.937 kN in each leg", []ui.Fact{{Label: "Angle", Value: ui.Link{Text: "45 °"}}}, "Compare it with the tag."
	worked.Steps = []string{"weight = 1 000 kg · 9.81 m/s² = 9.81 kN", "load angle factor = 1 / cos 45° = 1.414"}
	return map[string]templ.Component{"sum-refused": SumPage(asked), "sum": SumPage(worked),
		"sums": SumsPage(Sums{Shell: sampleShell("yard", "Engineering sums"), Rows: []SumRow{{link("Sling tension by angle", "/sums/sling-tension"), "What each leg of a sling pulls."}}})}
}
