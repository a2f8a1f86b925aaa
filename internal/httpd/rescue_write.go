package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// planBase is what the form of a version begins with.
type planBase struct {
	title, address, button string
	over                   ui.Link
	name, text             string
	plan                   rig.RescuePlan // stations, days, target and procedure
	hidden                 []ui.Value
}

func newPlanForm(v *visit) error     { return v.showSheet(v.newPlanSheet()) }
func nextVersionForm(v *visit) error { return v.showSheet(v.nextVersionSheet()) }

// changeWrittenForm leads whoever may not change it to what is written.
func changeWrittenForm(v *visit) error {
	s, err := v.changeWrittenSheet()
	if fault.Of(err) == fault.Conflict {
		return v.goTo("/rescue/written/"+v.param("written"), "Only its author changes a version, and not once it is sent.")
	}
	return v.showSheet(s, err)
}

func (v *visit) newPlanSheet() (sheet, error) {
	all, err := v.rescues()
	if err != nil {
		return sheet{}, err
	}
	return v.planFormOf(all, planBase{title: "Write a rescue plan", address: "/rescue/new", button: "Keep it", over: ui.Link{Text: "Rescue plans", Href: "/rescue"}}), nil
}

// nextVersionSheet begins with what the last version says.
func (v *visit) nextVersionSheet() (sheet, error) {
	all, err := v.rescues()
	if err != nil {
		return sheet{}, err
	}
	one, err := all.Plan(id.RescuePlan(v.param("plan")))
	if err != nil {
		return sheet{}, err
	}
	last := one.Last()
	b := planBase{title: fmt.Sprintf("Write version %d", last.Version+1), address: "/rescue/" + string(one.ID) + "/write", button: "Keep it", over: v.planLink(last),
		name: all.Texts[last.Name], text: all.Texts[last.Text], plan: last, hidden: []ui.Value{{Name: "after", Value: fmt.Sprint(last.Version)}}}
	b.plan.InForce, b.plan.ReviewBy = 0, 0
	return v.planFormOf(all, b), nil
}

func (v *visit) changeWrittenSheet() (sheet, error) {
	all, err := v.rescues()
	if err != nil {
		return sheet{}, err
	}
	w, err := all.WrittenPlan(id.WrittenPlan(v.param("written")))
	if err != nil {
		return sheet{}, err
	}
	if w.Author != v.actor.Person || !w.Open() {
		return sheet{}, fault.New(fault.Conflict, "Only its author changes a version, and not once it is sent.")
	}
	procedure := w.Procedure
	at := "/rescue/written/" + string(w.ID)
	return v.planFormOf(all, planBase{title: "Change what is written", address: at + "/change", button: "Keep it", over: ui.Link{Text: all.Texts[w.Name], Href: at},
		name: all.Texts[w.Name], text: all.Texts[w.Text], hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(w.Rev)}},
		plan: rig.RescuePlan{Stations: w.Stations, InForce: max(w.InForce, v.today), ReviewBy: w.ReviewBy, Target: w.Target, Procedure: &procedure}}), nil
}

// planFormOf asks for a version of a rescue plan.
func (v *visit) planFormOf(all keeping.Rescues, b planBase) sheet {
	p := procedureOf(b.plan)
	stations := v.stationBoxes("stations", "Stations it covers", b.plan.Stations)
	kits := ui.Field{Name: "kits", Label: "Rescue kit it needs", Kind: ui.Checkboxes, Hint: "What hangs there for a rescue, never what the course uses."}
	for _, k := range v.ref.Kits.All(v.today) {
		kits.Options = append(kits.Options, ui.Option{Value: string(k.ID), Label: v.kitName(k.ID)})
	}
	choose(kits.Options, p.Kits)
	force, review := dayAnswer("in_force", "In force from", max(b.plan.InForce, v.today)), dayAnswer("review_by", "Review by", b.plan.ReviewBy)
	if b.plan.ReviewBy == 0 {
		review = dayAnswer("review_by", "Review by", v.today.AddMonths(12))
	}
	force.Required, review.Required = true, true
	force.Hint = "Approved later, it begins then."
	reach, safe := wholeOrNone("target_minutes", "Reach a casualty within", "minutes", int(b.plan.Target)), wholeOrNone("safe_minutes", "At a safe place within", "minutes", int(p.SafeWithin))
	reach.Required, safe.Required = true, true
	if l, ok := v.ruleBookNow().Strictest(rulebook.RescueTarget); ok {
		reach.Hint = "At most " + l.ValueText() + " by the rule book."
	}
	if l, ok := v.ruleBookNow().Strictest(rulebook.DrillMinutes); ok {
		safe.Hint = "At most " + l.ValueText() + " by the rule book. A slower drill stops the stations."
	}
	steps := ui.Field{Name: "steps", Label: "Steps, one a line", Kind: ui.Area, Required: true, Value: strings.Join(stepTexts(all, p), "\n"), Hint: "In the order they are done. They are numbered on the rescue card."}
	text := ui.Field{Name: "text", Label: "Alarm and who leads", Kind: ui.Area, Required: true, Value: b.text, Hint: "How the alarm is given, who is in command, who is called from outside, where the safe place is."}
	groups := []page.FieldGroup{{Fields: []ui.Field{textField("name", "Name", b.name), text, steps}}}
	groups = append(groups, roleGroups(all, p.Roles)...)
	return sheet{title: b.title, line: "It has no force until somebody else approves it.", address: b.address, button: b.button, over: b.over, hidden: b.hidden,
		groups: append(groups, page.FieldGroup{Title: "Where, and with what", Fields: []ui.Field{stations, kits}}, page.FieldGroup{Title: "In how long", Side: true, Fields: []ui.Field{reach, safe, force, review}})}
}

// roleGroups ask for each role; a plan without any begins with what a rescue needs.
func roleGroups(all keeping.Rescues, roles []rig.PlanRole) []page.FieldGroup {
	type asked struct {
		name, does        string
		competent, beside bool
		count             int
	}
	var list []asked
	for _, r := range roles {
		list = append(list, asked{all.Texts[r.Name], all.Texts[r.Does], r.Competent, r.Beside, r.Count})
	}
	if len(list) == 0 {
		for _, r := range session.RescueRoles() {
			list = append(list, asked{rescueRoleWords[r], "", r.Competent(), false, 1})
		}
	}
	var out []page.FieldGroup
	for i := range rig.MostRoles {
		a, g := asked{}, page.FieldGroup{Title: fmt.Sprintf("Role %d", i+1), Folded: i >= len(list)}
		if i < len(list) {
			a = list[i]
		}
		who := ui.Field{Name: rowName("role_who", i), Label: "Taken by", Kind: ui.Select, Options: []ui.Option{{Value: "competent", Label: "The rescue-competent alone", Chosen: a.competent}, {Value: "anybody", Label: "Anybody of the staff there", Chosen: !a.competent}}}
		beside := ui.Field{Name: rowName("role_beside", i), Label: "Beside another role", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "Whoever takes it may take another role too", Chosen: a.beside}}}
		name := ui.Field{Name: rowName("role_name", i), Label: "Role", Value: a.name}
		if i >= len(list) {
			name.Hint = "Left empty, there is no such role."
		}
		g.Fields = []ui.Field{name, {Name: rowName("role_does", i), Label: "What they do", Value: a.does}, who, wholeOrNone(rowName("role_count", i), "How many", "people", max(1, a.count)), beside}
		out = append(out, g)
	}
	return out
}

func writeNewPlan(v *visit) error { return v.keepWritten(v.newPlanSheet, keeping.Writing{}) }

func writeNextVersion(v *visit) error {
	return v.keepWritten(v.nextVersionSheet, keeping.Writing{Plan: id.RescuePlan(v.param("plan"))})
}

func changeWritten(v *visit) error {
	return v.keepWritten(v.changeWrittenSheet, keeping.Writing{Written: id.WrittenPlan(v.param("written"))})
}

// keepWritten keeps what an author's form says and shows it whole.
func (v *visit) keepWritten(form func() (sheet, error), w keeping.Writing) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	readWriting(a, &w)
	var made id.WrittenPlan
	if len(a.bad) == 0 {
		made, err = v.Keeper.WritePlan(v.r.Context(), v.actor, w, v.key())
	}
	fields, wrong := formErrors(err)
	if err != nil && !wrong {
		return err
	}
	for name, m := range fields {
		if name == "roles" {
			name = rowName("role_name", 0)
		}
		a.bad.Add(name, "%s", m)
	}
	if len(a.bad) == 0 {
		return v.goTo("/rescue/written/"+string(made), "Kept. It has no force yet: read it through, then send it for approval.")
	}
	shown, err := form()
	if err != nil {
		return err
	}
	return v.sheetForm(http.StatusUnprocessableEntity, unfolded(shown, f), f, a.bad)
}

func readWriting(a answers, w *keeping.Writing) {
	w.Rev, w.After = int64(numberField(a.Values, "rev")), int(numberField(a.Values, "after"))
	w.Name, w.Text, w.Steps = a.text("name"), a.text("text"), a.lines("steps")
	w.Stations, w.Kits = many[id.Station](a, "stations"), many[id.Kit](a, "kits")
	w.Target, w.SafeWithin = a.minutes("target_minutes", true), a.minutes("safe_minutes", true)
	w.InForce, w.ReviewBy = a.day("in_force"), a.day("review_by")
	for i := range rig.MostRoles {
		r := keeping.WritingRole{Name: a.text(rowName("role_name", i)), Does: a.text(rowName("role_does", i)), Competent: a.Get(rowName("role_who", i)) != "anybody",
			Count: a.whole(rowName("role_count", i), false), Beside: a.Get(rowName("role_beside", i)) == "yes"}
		if r.Name == "" && r.Does == "" {
			continue
		}
		if r.Name == "" {
			a.bad.Add(rowName("role_name", i), "This role has no name.")
		}
		if r.Does == "" {
			a.bad.Add(rowName("role_does", i), "Say what they do.")
		}
		if r.Count < 1 || r.Count > rig.MostOfOneRole {
			a.bad.Add(rowName("role_count", i), "Give 1 to %d people.", rig.MostOfOneRole)
		}
		w.Roles = append(w.Roles, r)
	}
}

// unfolded opens the roles that somebody typed in.
func unfolded(s sheet, typed url.Values) sheet {
	for i := range s.groups {
		for _, f := range s.groups[i].Fields {
			if strings.HasPrefix(f.Name, "role_name") && typed.Get(f.Name) != "" {
				s.groups[i].Folded = false
			}
		}
	}
	return s
}
