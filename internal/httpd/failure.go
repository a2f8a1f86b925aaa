package httpd

import (
	"rungbook/internal/completing"
	"rungbook/internal/credential"
	"rungbook/internal/rulebook"
	"rungbook/web"
)

// failingWords says what a failed assessment costs, as it completes "not yet
// competent …".
var failingWords = map[rulebook.Failing]string{
	rulebook.CostsOutcome: "costs that outcome", rulebook.CostsExercise: "costs the whole exercise",
	rulebook.CostsProgramme: "costs the whole programme", rulebook.CostsCertificate: "costs an older certificate too",
}

// failureCosts says what a failure costs and by which line of the rule book; where no
// line says so, that it is to be asked.
func (v *visit) failureCosts(c credential.Cost) string {
	if words := failingWords[c.Failing]; c.Line != "" && words != "" {
		return words + " (rule book, " + v.lineLabel(c.Line) + ")"
	}
	return "costs what the rule book does not say: ask who answers for the curriculum"
}

// failureHold says what of a failure's cost was not done after it.
func (v *visit) failureHold(h completing.Hold) string {
	f := h.Failure
	o, _ := v.ref.Outcomes.On(f.Outcome, v.today)
	out := orID(v.ref.Text(o.Name), f.Outcome) + " was found not yet competent, which " + v.failureCosts(f.Cost) + ". "
	if f.Cost.Line == "" {
		return out + "Until a rule book says what it costs, no certificate is given."
	}
	if f.Certificate != "" {
		return out + "The older certificate still stands: declare it void first."
	}
	var names []string
	for _, e := range f.Missing {
		names = append(names, v.exerciseName(e, v.words.Zone.DayOf(h.Session.Start)))
	}
	out += "Not completed since: " + web.List(names) + "."
	if f.Cost.Failing == rulebook.CostsProgramme {
		out += " It is a new course: enrol them anew."
	}
	return out
}
