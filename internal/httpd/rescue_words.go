package httpd

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// versionBefore is the version that came before one of a number; nil for the first.
func versionBefore(one keeping.Rescue, version int) *rig.RescuePlan {
	var out *rig.RescuePlan
	for i := range one.Versions {
		if one.Versions[i].Version < version {
			out = &one.Versions[i]
		}
	}
	return out
}

// rescueVersion is one version in words, with what differs from the one before it.
func (v *visit) rescueVersion(all keeping.Rescues, p rig.RescuePlan, was *rig.RescuePlan) page.RescueVersion {
	out := page.RescueVersion{Mark: versionMark(p.Version), Title: fmt.Sprintf("Version %d", p.Version), Line: v.versionLine(p), Facts: v.versionFacts(all, p), Text: linesOf(all.Texts[p.Text])}
	v.addProcedure(&out, all, p.Procedure)
	if was != nil {
		out.Changed = v.differences(all, *was, p)
	}
	return out
}

func (v *visit) versionLine(p rig.RescuePlan) string {
	line := "from " + v.words.Day(p.InForce) + ", review by " + v.words.Day(p.ReviewBy)
	if p.Withdrawn != 0 {
		line += ", withdrawn from " + v.words.Day(p.Withdrawn)
	}
	return line
}

func (v *visit) versionFacts(all keeping.Rescues, p rig.RescuePlan) []ui.Fact {
	safe, kit := "not recorded", "not recorded"
	if p.Procedure != nil {
		safe, kit = p.Procedure.SafeWithin.String(), v.kitNames(p.Procedure.Kits)
	}
	out := []ui.Fact{fact("Reach a casualty within", p.Target.String()), fact("At a safe place within", safe)}
	if line, limited := v.ruleBookNow().Strictest(rulebook.DrillMinutes); limited {
		out = append(out, ui.Fact{Label: "The rule book lets a drill take", Value: ui.Link{Text: line.ValueText() + ", where the plan allows no less", Href: "/rule-book#" + line.ID}})
	}
	out = append(out, fact("Rescue kit", kit))
	if p.InForce != 0 {
		out = append(out, fact("In force from", v.words.Day(p.InForce)))
	}
	out = append(out, fact("Review by", v.words.Day(p.ReviewBy)), fact("Written by", all.Names[p.Author]))
	if p.ApprovedBy != "" {
		out = append(out, fact("Approved by", approvedWords(all.Names, p)))
	}
	return out
}

func (v *visit) kitNames(list []id.Kit) string {
	var out []string
	for _, k := range list {
		out = append(out, v.kitName(k))
	}
	if len(out) == 0 {
		return "none"
	}
	return strings.Join(out, ", ")
}

func linesOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
}

// planSteps are what is done in a rescue: the steps that a version records, or else
// its text cut into steps.
func (v *visit) planSteps(p rig.RescuePlan) (out []string) {
	if p.Procedure == nil {
		return stepsOf(v.ref.Text(p.Text))
	}
	for _, s := range p.Procedure.Steps {
		text := v.ref.Text(s)
		if text == "" {
			return nil // a step that can't be read: the plan is not whole
		}
		out = append(out, text)
	}
	return out
}

// procedureFacts are the time and the kit of a version, or that it has no steps.
func (v *visit) procedureFacts(p rig.RescuePlan) []ui.Fact {
	if p.Procedure == nil {
		return []ui.Fact{fact("Steps and roles", "no steps recorded: the plan's text stands for them")}
	}
	return []ui.Fact{fact("At a safe place within", p.Procedure.SafeWithin.String()), fact("Kit of the plan", v.kitNames(p.Procedure.Kits))}
}

// planRoles are the roles that a version records.
func (v *visit) planRoles(p rig.RescuePlan) (out []page.RescueRole) {
	for _, r := range procedureOf(p).Roles {
		out = append(out, page.RescueRole{Name: orID(v.ref.Text(r.Name), "erased"), Does: v.ref.Text(r.Does), Who: takenBy(r), Count: fmt.Sprint(r.Count)})
	}
	return out
}

// addProcedure puts steps and roles on a page, or says that there are none.
func (v *visit) addProcedure(out *page.RescueVersion, all keeping.Rescues, p *rig.Procedure) {
	if p == nil {
		out.None = "No steps recorded."
		return
	}
	for _, s := range p.Steps {
		out.Steps = append(out.Steps, orID(all.Texts[s], "erased"))
	}
	for _, r := range p.Roles {
		out.Roles = append(out.Roles, page.RescueRole{Name: orID(all.Texts[r.Name], "erased"), Does: all.Texts[r.Does], Who: takenBy(r), Count: fmt.Sprint(r.Count)})
	}
}

func takenBy(r rig.PlanRole) string {
	out := "anybody of the staff there"
	if r.Competent {
		out = "the rescue-competent alone"
	}
	if r.Beside {
		out += ", beside another role too"
	}
	return out
}

// differences tells in words what a version changed.
func (v *visit) differences(all keeping.Rescues, was, is rig.RescuePlan) []string {
	var out []string
	say := func(what, a, b string) {
		if a != b {
			out = append(out, fmt.Sprintf("%s: %s, before %s.", what, b, a))
		}
	}
	old, now := procedureOf(was), procedureOf(is)
	say("Name", all.Texts[was.Name], all.Texts[is.Name])
	say("Reach a casualty within", was.Target.String(), is.Target.String())
	say("At a safe place within", minutesOrNone(old.SafeWithin), minutesOrNone(now.SafeWithin))
	say("Rescue kit", v.kitNames(old.Kits), v.kitNames(now.Kits))
	say("Covers", orNobody(v.stationNames(was.Stations)), orNobody(v.stationNames(is.Stations)))
	if all.Texts[was.Text] != all.Texts[is.Text] {
		out = append(out, "The text is another.")
	}
	out = append(out, lineChanges("Step", stepTexts(all, old), stepTexts(all, now))...)
	return append(out, lineChanges("Role", roleTexts(all, old), roleTexts(all, now))...)
}

func procedureOf(p rig.RescuePlan) rig.Procedure {
	if p.Procedure == nil {
		return rig.Procedure{}
	}
	return *p.Procedure
}

func minutesOrNone(m civil.Minutes) string {
	if m == 0 {
		return "not recorded"
	}
	return m.String()
}

func orNobody(text string) string {
	if text == "" {
		return "no station"
	}
	return text
}

func stepTexts(all keeping.Rescues, p rig.Procedure) (out []string) {
	for _, s := range p.Steps {
		out = append(out, all.Texts[s])
	}
	return out
}

func roleTexts(all keeping.Rescues, p rig.Procedure) (out []string) {
	for _, r := range p.Roles {
		out = append(out, fmt.Sprintf("%s (%s), %d, %s", all.Texts[r.Name], all.Texts[r.Does], r.Count, takenBy(r)))
	}
	return out
}

// lineChanges tells which lines are new, which are left out, and whether those that
// stayed stand in another order.
func lineChanges(what string, was, is []string) []string {
	var out, stayed, kept []string
	for i, x := range is {
		if slices.Contains(was, x) {
			stayed = append(stayed, x)
		} else {
			out = append(out, fmt.Sprintf("%s %d is new: %s", what, i+1, x))
		}
	}
	for _, x := range was {
		if slices.Contains(is, x) {
			kept = append(kept, x)
		} else {
			out = append(out, what+" left out: "+x)
		}
	}
	if !slices.Equal(stayed, kept) {
		out = append(out, what+"s stand in another order.")
	}
	return out
}
