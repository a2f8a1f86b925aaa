package httpd

import (
	"fmt"
	"net/http"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// rescueRoutes are the rescue plans: what counts, what is written, who approves it.
func rescueRoutes() []route {
	return []route{
		{get, "/rescue", access.SeeStation, rescuesPage},
		{get, "/rescue/new", access.WriteRescuePlan, newPlanForm},
		{post, "/rescue/new", access.WriteRescuePlan, writeNewPlan},
		{get, "/rescue/{plan}", access.SeeStation, rescuePage},
		{get, "/rescue/{plan}/write", access.WriteRescuePlan, nextVersionForm},
		{post, "/rescue/{plan}/write", access.WriteRescuePlan, writeNextVersion},
		{get, "/rescue/written/{written}", access.SeeStation, writtenPage},
		{get, "/rescue/written/{written}/change", access.WriteRescuePlan, changeWrittenForm},
		{post, "/rescue/written/{written}/change", access.WriteRescuePlan, changeWritten},
		{post, "/rescue/written/{written}/send", access.WriteRescuePlan, sendWritten},
		{post, "/rescue/written/{written}/drop", access.WriteRescuePlan, dropWritten},
		{post, "/rescue/written/{written}/approve", access.ApproveRescuePlan, approveWritten},
		{post, "/rescue/written/{written}/return", access.ApproveRescuePlan, returnWritten},
	}
}

// rescues reads the plans, and has the page speak of them as they were then.
func (v *visit) rescues() (keeping.Rescues, error) {
	all, err := v.Keeper.Rescues(v.r.Context(), v.actor)
	if err == nil {
		v.standAt(all.Head, all.Ref)
	}
	return all, err
}

func rescuesPage(v *visit) error {
	all, err := v.rescues()
	if err != nil {
		return err
	}
	p := page.Rescues{Shell: v.page("Rescue plans", "yard")}
	counts, waits := 0, 0
	add := func(list []keeping.Written) {
		for _, w := range list {
			if w.State != rig.PlanApproved && w.State != rig.PlanDropped {
				p.Written = append(p.Written, v.writtenRow(all, w))
			}
			if w.Awaits() {
				waits++
			}
		}
	}
	add(all.New)
	for _, one := range all.Plans {
		p.Rows = append(p.Rows, v.rescueRow(one))
		if one.InForce != nil {
			counts++
		}
		add(one.Written)
	}
	p.Finding = web.Count(len(all.Plans), "plan", "plans") + ", " + web.Number(int64(counts)) + " in force; " + web.Count(waits, "version waits", "versions wait") + " for approval."
	if access.May(v.actor, access.WriteRescuePlan) {
		p.Do = append(p.Do, ui.Link{Text: "Write a new plan", Href: "/rescue/new"})
	}
	p.Shell.TakeOut, p.Shell.AlsoOut = v.takeOut("rescue-plans"), []ui.TakeOut{v.alsoOut("drills"), v.alsoOut("written-plans")}
	return v.show(http.StatusOK, page.RescuesPage(p))
}

func (v *visit) rescueRow(one keeping.Rescue) page.RescueRow {
	last := one.Last()
	row := page.RescueRow{Name: v.planLink(last), Version: "none", Review: "none", Drill: "none on record"}
	if p := one.InForce; p != nil {
		last = *p
		row.Version = fmt.Sprintf("version %d since %s", p.Version, v.words.Day(p.InForce))
		row.Review = v.words.Day(p.ReviewBy) + ", " + v.words.Due(p.ReviewBy)
	}
	row.Covers = v.coverLinks(last.Stations)
	if len(one.Drills) > 0 {
		row.Drill = v.words.Day(one.Drills[0].Day) + ", " + one.Drills[0].Minutes.String()
	}
	row.Level, row.State = v.rescueState(one)
	return row
}

func (v *visit) planLink(p rig.RescuePlan) ui.Link {
	return ui.Link{Text: orID(v.ref.Text(p.Name), p.ID), Href: "/rescue/" + string(p.ID)}
}

func (v *visit) coverLinks(list []id.Station) []ui.Link {
	var out []ui.Link
	for _, s := range list {
		st, ok := v.ref.Stations.On(s, v.today)
		if !ok {
			continue
		}
		out = append(out, v.stationLink(st))
	}
	return out
}

// rescueState is what a plan gives pause by, in a word or two.
func (v *visit) rescueState(one keeping.Rescue) (verdict.Level, string) {
	switch {
	case len(one.Causes) > 0:
		return verdict.Stops, capital(v.say(one.Causes[0].Brief()))
	case one.InForce == nil:
		return verdict.Stops, "Not in force"
	}
	if due := v.dueOf(one); len(due) > 0 {
		return verdict.Cautions, dueWords[due[0].Kind] + " " + v.words.Due(due[0].Last)
	}
	return verdict.Clear, "In force"
}

var dueWords = map[rig.DueKind]string{rig.DueReview: "Review", rig.DueDrill: "Drill"}

func rescuePage(v *visit) error {
	all, err := v.rescues()
	if err != nil {
		return err
	}
	one, err := all.Plan(id.RescuePlan(v.param("plan")))
	if err != nil {
		return err
	}
	shown := one.Last()
	if one.InForce != nil {
		shown = *one.InForce
	}
	p := page.Rescue{Shell: v.page(v.planLink(shown).Text, "yard"), Name: v.planLink(shown).Text, Covers: v.coverLinks(shown.Stations)}
	p.State, p.Warn = v.rescueNotices(one)
	p.Now = v.rescueVersion(all, shown, versionBefore(one, shown.Version))
	for i := len(one.Versions) - 1; i >= 0; i-- {
		if x := one.Versions[i]; x.Version != shown.Version {
			p.Versions = append(p.Versions, v.rescueVersion(all, x, versionBefore(one, x.Version)))
		}
	}
	for _, w := range one.Written {
		if w.State != rig.PlanApproved && w.State != rig.PlanDropped {
			p.Written = append(p.Written, v.writtenRow(all, w))
		}
	}
	for _, d := range one.Drills {
		p.Drills = append(p.Drills, v.rescueDrill(all, shown, d))
	}
	if access.May(v.actor, access.WriteRescuePlan) {
		p.Do = append(p.Do, ui.Link{Text: "Write a new version", Href: "/rescue/" + string(one.ID) + "/write"})
	}
	if access.May(v.actor, access.RecordDrill) {
		p.Do = append(p.Do, ui.Link{Text: "Record a drill", Href: "/set-up/drills?plan=" + string(one.ID)})
	}
	p.Shell.TakeOut, p.Shell.AlsoOut = v.takeOut("rescue-plans"), []ui.TakeOut{v.alsoOut("drills")}
	return v.show(http.StatusOK, page.RescuePage(p))
}

// rescueNotices say whether the plan counts, and each thing that stops its stations
// or soon will.
func (v *visit) rescueNotices(one keeping.Rescue) (ui.Notice, []ui.Notice) {
	state := ui.Notice{Level: verdict.Stops, Text: "No version of this plan is in force. Stations that it alone covers stop."}
	if p := one.InForce; p != nil {
		state = ui.Notice{Plain: true, Word: "In force", Text: fmt.Sprintf("Version %d is in force since %s, to be reviewed by %s.", p.Version, v.words.Day(p.InForce), v.words.Day(p.ReviewBy))}
	}
	var warn []ui.Notice
	for _, c := range one.Causes {
		warn = append(warn, ui.Notice{Level: verdict.Stops, Text: capital(v.say(c.Brief())) + ". Its stations stop.", Link: v.limitOf(c)})
	}
	for _, u := range v.dueOf(one) {
		warn = append(warn, ui.Notice{Level: verdict.Cautions, Text: dueWords[u.Kind] + " " + v.words.Due(u.Last) + ", by " + v.words.Day(u.Last) + "."})
	}
	if p := one.InForce; p != nil && p.Procedure == nil {
		warn = append(warn, ui.Notice{Level: verdict.Cautions, Word: "Old", Text: "No steps are recorded of this version: its text is all there is. Write the next one with steps and roles."})
	}
	return state, warn
}

func (v *visit) rescueDrill(all keeping.Rescues, now rig.RescuePlan, d rig.Drill) page.RescueDrill {
	row := page.RescueDrill{Day: v.words.Day(d.Day), Version: fmt.Sprint(d.Version), Minutes: d.Minutes.String(), People: "not noted", Found: orNothing(all.Texts[d.Found]), State: "accepted"}
	var who []string
	for _, p := range d.People {
		who = append(who, orID(all.Names[p], p))
	}
	if len(who) > 0 {
		row.People = web.List(who)
	}
	switch {
	case !d.Accepted:
		row.Level, row.State = verdict.Stops, "not accepted"
	case now.TooSlow(d):
		row.Level, row.State = verdict.Stops, "accepted, slower than the plan says"
	}
	return row
}

func orNothing(text string) string {
	if text == "" {
		return "nothing noted"
	}
	return text
}

// waitingPlans lists the versions that wait for the reader to approve them.
func (v *visit) waitingPlans() ([]page.YardWaiting, error) {
	if !access.May(v.actor, access.ApproveRescuePlan) {
		return nil, nil
	}
	list, texts, err := v.Keeper.AwaitingApproval(v.r.Context(), v.actor)
	var out []page.YardWaiting
	for _, w := range list {
		if w.Author != v.actor.Person {
			out = append(out, v.awaitsApproval(w, texts[w.Name]))
		}
	}
	return out, err
}

func (v *visit) awaitsApproval(w rig.WrittenPlan, name string) page.YardWaiting {
	return page.YardWaiting{Text: ui.Link{Text: fmt.Sprintf("%s, version %d waits for approval", orID(name, w.ID), w.After+1), Href: "/rescue/written/" + string(w.ID)},
		Note: capital(v.whoAccepts(verdict.HeightRescue)) + " reads it, never its author."}
}

// attentionRescue lists what of the rescue plans somebody is to look at: versions to
// approve, reviews within their notice, drills that fall due.
func (v *visit) attentionRescue() ([]page.YardWaiting, error) {
	all, err := v.Keeper.Rescues(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	var out []page.YardWaiting
	add := func(list []keeping.Written) {
		for _, w := range list {
			if w.Awaits() {
				out = append(out, v.awaitsApproval(w.WrittenPlan, all.Texts[w.Name]))
			}
		}
	}
	add(all.New)
	for _, one := range all.Plans {
		add(one.Written)
		for _, u := range v.dueOf(one) {
			out = append(out, page.YardWaiting{Text: v.planLink(one.Last()), Note: dueWords[u.Kind] + " " + v.words.Due(u.Last) + "."})
		}
	}
	return out, nil
}

// dueOf are the clocks of a plan that are listed as due.
func (v *visit) dueOf(one keeping.Rescue) []rig.Due {
	return slices.DeleteFunc(slices.Clone(one.Due), func(u rig.Due) bool { return !u.Listed(v.today) })
}
