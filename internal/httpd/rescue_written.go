package httpd

import (
	"fmt"
	"net/http"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// writtenWords are the states of what was written, and how much each gives pause.
var writtenWords = map[rig.WrittenState]struct {
	level verdict.Level
	words string
}{
	rig.PlanWritten:  {verdict.Cautions, "written, not sent yet"},
	rig.PlanSent:     {verdict.Cautions, "waits for approval"},
	rig.PlanReturned: {verdict.Cautions, "returned to its author"},
	rig.PlanApproved: {verdict.Clear, "approved"},
	rig.PlanDropped:  {verdict.Clear, "put aside"},
}

func (v *visit) writtenRow(all keeping.Rescues, w keeping.Written) page.WrittenRow {
	state := writtenWords[w.State]
	return page.WrittenRow{Name: ui.Link{Text: writtenName(all, w), Href: "/rescue/written/" + string(w.ID)}, By: "by " + orID(all.Names[w.Author], w.Author), Level: state.level, State: state.words}
}

func writtenName(all keeping.Rescues, w keeping.Written) string {
	return fmt.Sprintf("%s, version %d", orID(all.Texts[w.Name], w.ID), w.After+1)
}

func writtenPage(v *visit) error { return v.writtenSheet(http.StatusOK, sent{}) }

func (v *visit) writtenSheet(status int, s sent) error {
	all, err := v.rescues()
	if err != nil {
		return err
	}
	w, err := all.WrittenPlan(id.WrittenPlan(v.param("written")))
	if err != nil {
		return err
	}
	procedure := w.Procedure
	as := rig.RescuePlan{ID: w.Plan, Version: w.After + 1, Name: w.Name, Text: w.Text, Stations: w.Stations, Author: w.Author, InForce: w.InForce, ReviewBy: w.ReviewBy, Target: w.Target, Procedure: &procedure}
	p := page.Written{Shell: v.page(writtenName(all, w), "yard"), Title: writtenName(all, w), Over: ui.Link{Text: "Rescue plans", Href: "/rescue"}, Covers: v.coverLinks(w.Stations)}
	var was *rig.RescuePlan
	if one, err := all.Plan(w.Plan); err == nil {
		p.Over, was = v.planLink(one.Last()), versionBefore(one, w.After+1)
		if last := one.Last(); w.State != rig.PlanApproved && last.Version > w.After {
			p.Warn = append(p.Warn, ui.Notice{Level: verdict.Cautions, Text: fmt.Sprintf("Version %d was approved after this one was written. It can't be approved as it stands: its author looks at both.", last.Version)})
		}
		if w.Awaits() && len(one.Drills) > 0 && as.TooSlow(one.Drills[0]) {
			p.Warn = append(p.Warn, ui.Notice{Level: verdict.Cautions, Text: "The last drill took " + one.Drills[0].Minutes.String() + " to a safe place, longer than this version says. Once it is in force its stations stop until a drill is quick enough."})
		}
	}
	p.Plan = v.rescueVersion(all, as, was)
	p.State = v.writtenNotice(all, w)
	for i := len(w.Steps) - 1; i >= 0; i-- {
		p.Steps = append(p.Steps, page.CertificateStep{When: v.words.Moment(w.Steps[i].At), What: w.Steps[i].Act, By: "by " + orID(all.Names[w.Steps[i].By], w.Steps[i].By)})
	}
	v.writtenActions(&p, s, w)
	return v.show(status, page.WrittenPage(p))
}

func (v *visit) writtenNotice(all keeping.Rescues, w keeping.Written) ui.Notice {
	by, author := orID(all.Names[w.DecidedBy], w.DecidedBy), orID(all.Names[w.Author], w.Author)
	switch w.State {
	case rig.PlanSent:
		return ui.Notice{Level: verdict.Cautions, Word: "Not in force", Text: "Written by " + author + ", waits for approval. " + capital(v.whoAccepts(verdict.HeightRescue)) + " reads it; its author may not approve it."}
	case rig.PlanReturned:
		return ui.Notice{Level: verdict.Cautions, Word: "Not in force", Text: "Returned by " + by + ": " + orID(all.Texts[w.Reason], "reason erased")}
	case rig.PlanApproved:
		return ui.Notice{Plain: true, Word: "Approved", Text: fmt.Sprintf("Approved by %s as version %d.", by, w.Version), Link: ui.Link{Text: "Open the plan", Href: "/rescue/" + string(w.Plan)}}
	case rig.PlanDropped:
		return ui.Notice{Plain: true, Word: "Put aside", Text: "Its author put it aside."}
	}
	return ui.Notice{Level: verdict.Cautions, Word: "Not in force", Text: "Written by " + author + ", not sent for approval yet."}
}

// writtenActions are what the reader may do with it now.
func (v *visit) writtenActions(p *page.Written, s sent, w keeping.Written) {
	here := "/rescue/written/" + string(w.ID)
	rev := []ui.Value{{Name: "rev", Value: fmt.Sprint(w.Rev)}}
	mine := w.Author == v.actor.Person && access.May(v.actor, access.WriteRescuePlan)
	if mine && w.Open() {
		p.Do = append(p.Do, ui.Link{Text: "Change it", Href: here + "/change"})
		p.Press = append(p.Press, ui.Form{Action: here + "/send", Key: v.freshKey(), Button: "Send it for approval", Hidden: rev})
	}
	if mine && (w.Open() || w.Awaits()) {
		p.Press = append(p.Press, ui.Form{Action: here + "/drop", Key: v.freshKey(), Button: "Put it aside", Grave: true, Hidden: rev})
	}
	if !w.Awaits() || mine || w.Author == v.actor.Person || !access.May(v.actor, access.ApproveRescuePlan) {
		return
	}
	yes := v.action(s, "approve", "Approve it", "You answer for it. It is in force from its day, or from today if that is over.", here+"/approve", "Approve and put in force", tick("read", "I have read steps, roles, kit and times, and they are right for these stations"))
	no := v.action(s, "return", "Return it", "Its author changes it and sends it again.", here+"/return", "Return it with this reason", ui.Field{Name: "reason", Label: "What the author is to change", Kind: ui.Area, Required: true})
	yes.Form.Hidden, no.Form.Hidden = rev, rev
	yes.Open = yes.Open || s.form == ""
	p.Actions = []page.Action{yes, no}
}

// onWritten sends a form about what was written, and shows it again where it lacks
// something.
func (v *visit) onWritten(name, to, said string, do func(f url.Values, of id.WrittenPlan, rev int64) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.WrittenPlan(v.param("written"))
	err = do(f, of, int64(numberField(f, "rev")))
	if fields, ok := formErrors(err); ok {
		bad := fault.Fields{}
		for field, text := range fields {
			if field != "read" && field != "reason" {
				field = "" // what the plan itself lacks belongs to no field of this form
			}
			bad.Add(field, "%s", text)
		}
		return v.writtenSheet(http.StatusUnprocessableEntity, sent{name, f, bad})
	}
	if err != nil {
		return err
	}
	return v.goTo(to+string(of), said)
}

func sendWritten(v *visit) error {
	return v.onWritten("send", "/rescue/written/", "Sent. Somebody else reads it.", func(_ url.Values, of id.WrittenPlan, rev int64) error {
		return v.Keeper.SendPlan(v.r.Context(), v.actor, of, rev, v.key())
	})
}

func dropWritten(v *visit) error {
	return v.onWritten("drop", "/rescue/written/", "Put aside.", func(_ url.Values, of id.WrittenPlan, rev int64) error {
		return v.Keeper.DropPlan(v.r.Context(), v.actor, of, rev, v.key())
	})
}

func approveWritten(v *visit) error {
	return v.onWritten("approve", "/rescue/written/", "Approved. A drill proves it.", func(f url.Values, of id.WrittenPlan, rev int64) error {
		return v.Keeper.ApproveWritten(v.r.Context(), v.actor, of, rev, f.Get("read") == "yes", v.key())
	})
}

func returnWritten(v *visit) error {
	return v.onWritten("return", "/rescue/written/", "Returned to its author.", func(f url.Values, of id.WrittenPlan, rev int64) error {
		return v.Keeper.ReturnPlan(v.r.Context(), v.actor, of, rev, f.Get("reason"), v.key())
	})
}

func writtenPlanList(v *visit, t *taking) error {
	all, err := v.Keeper.Rescues(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	list := all.New
	for _, p := range all.Plans {
		list = append(list, p.Written...)
	}
	return v.plain(t, []string{"Rescue plan", "Version", "State", "Written by", "Decided by", "Reason", "Stations", "Minutes to reach a casualty", "Minutes to a safe place", "In force from", "Review by", "Id"}, func(*records.Lists) error {
		return each(t, list, func(w keeping.Written) []any {
			return []any{all.Texts[w.Name], w.After + 1, writtenWords[w.State].words, all.Names[w.Author], all.Names[w.DecidedBy], all.Texts[w.Reason], v.stationNames(w.Stations),
				int64(w.Target), int64(w.Procedure.SafeWithin), w.InForce, w.ReviewBy, string(w.ID)}
		})
	})
}
