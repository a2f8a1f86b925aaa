package httpd

import (
	"encoding/base64"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// before is one thing that is done at the rig before a session is under way: its
// page and its form.
type before struct {
	path, gate          string
	title, line, button string
	said                string
	fill                func(*visit, running.Shown, *page.Before) error
	save                func(*visit, url.Values, running.Send) error
}

// befores are all of them, in the order of the gates.
func befores() []before {
	return []before{
		{"pre-use", "pre-use", "Check before use", "Look at each item of station and kit, by hand and eye.", "Keep the check", "The check is kept.", fillPreUse, savePreUse},
		{"rescue-brief", "rescue-brief", "Rescue brief", "Say aloud who does what if somebody must be brought down.", "The brief is held", "The rescue brief is kept.", fillBrief, saveBrief},
		{"cautions", "cautions-read", "Cautions of the session", "Whoever starts reads them first, as they are now.", "I have read them", "Read.", fillCautions, saveCautions},
		{"warm-up", "warm-up", "Warm-up", "The group warms up before a practical.", "The warm-up is done", "The warm-up is noted.", func(*visit, running.Shown, *page.Before) error { return nil }, saveWarmUp},
		{"recheck", "theory-recheck", "Theory and safety points", "Where a course is split over days, earlier theory and safety points are asked again before the practical.", "They were asked again", "Noted.", fillRecheck, saveRecheck},
		{"rating", "mass", "Within the rating", "Nobody hangs from kit that is rated for less than their mass with all they wear.", "Those ticked are within it", "Kept.", fillRating, saveRating},
	}
}

// beforeRoutes are their addresses.
func beforeRoutes() []route {
	var out []route
	for _, b := range befores() {
		at := "/yard/sessions/{session}/" + b.path
		out = append(out, route{get, at, access.SeeSession, b.show}, route{post, at, access.RunSession, b.send})
	}
	return append(out, route{post, "/yard/sessions/{session}/take-out", access.RunSession, takeOutKit})
}

func (b before) show(v *visit) error { return b.sheet(v, http.StatusOK, nil, nil) }

func (b before) sheet(v *visit, status int, typed url.Values, bad fault.Fields) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	name, at := v.sessionLink(shown.Session), "/yard/sessions/"+string(shown.Session.ID)
	p := page.Before{Shell: v.page(b.title+": "+name.Text, "yard"), Title: b.title, Over: ui.Link{Text: name.Text, Href: at}, Line: b.line, Queue: string(shown.Session.ID)}
	p.Shell.Phone = v.phone()
	for _, g := range shown.Gates {
		if g.Name == b.gate {
			p.Now = capital(g.Found.In(v.styleOf(shown.Slice))) + "."
		}
	}
	waits := shown.Session.State == session.Booked || shown.Session.State == session.UnderWay && !shown.Session.Ended()
	if access.May(v.actor, access.RunSession) && waits {
		p.Form = ui.Form{Action: at + "/" + b.path, Key: v.freshKey(), Button: b.button, Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}}}
	}
	if err := b.fill(v, shown, &p); err != nil {
		return err
	}
	p.Groups = filled(p.Groups, typed, bad)
	p.Form.Errors = messages(p.Groups, bad)
	return v.show(status, page.BeforePage(p))
}

func (b before) send(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	err = b.save(v, f, v.runSend(f))
	if bad, ok := formErrors(err); ok {
		return b.sheet(v, http.StatusUnprocessableEntity, f, bad)
	}
	if err != nil {
		return err
	}
	to := "/yard/sessions/" + string(v.runID())
	if b.path == "pre-use" {
		shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
		if err != nil {
			return err
		}
		if len(shown.Prepared.PreUse.Failed()) > 0 {
			return v.goTo(to+"/pre-use", "The check is kept. It failed: the session does not start.")
		}
	}
	return v.goTo(to, b.said)
}

// fillPreUse asks each item of the lists, and offers to take out what failed.
func fillPreUse(v *visit, shown running.Shown, p *page.Before) error {
	return v.fillCheck(shown, p, nil, nil)
}

// fillCheck is fillPreUse with a photo that was refused: what was sent with it, and why.
func (v *visit) fillCheck(shown running.Shown, p *page.Before, sent url.Values, bad fault.Fields) error {
	for _, a := range shown.Asked {
		g := page.FieldGroup{Title: v.checkedName(shown, a.Of)}
		if len(a.Items) == 0 {
			p.Stops = append(p.Stops, g.Title+": the centre has no check list for this yet. A competent person writes it first.")
			continue
		}
		for _, item := range a.Items {
			g.Fields = append(g.Fields, ui.Field{Name: "item." + a.Of + "." + string(item), Label: shown.Texts[item], Kind: ui.Radio,
				Options: []ui.Option{{Value: "passed", Label: "Passes"}, {Value: "failed", Label: "Fails"}}})
		}
		g.Fields = append(g.Fields, ui.Field{Name: "note." + a.Of, Label: "What is wrong", Hint: "Only where something fails."})
		p.Groups = append(p.Groups, g)
	}
	p.Photos = v.photos(shown, shown.Asked, p.Form.Action != "", sent, bad)
	if len(p.Stops) > 0 {
		p.Form.Button = ""
		p.Also = append(p.Also, ui.Link{Text: "Check lists", Href: "/set-up/check-lists"})
	}
	p.Also = append(p.Also, ui.Link{Text: "Kits and items", Href: "/kits"})
	v.offerTakingOut(shown, p)
	return nil
}

// offerTakingOut says what failed, and offers to shut the station or to take the
// kit out of use in one press.
func (v *visit) offerTakingOut(shown running.Shown, p *page.Before) {
	check := shown.Prepared.PreUse
	if check == nil {
		return
	}
	at := "/yard/sessions/" + string(shown.Session.ID)
	for _, c := range check.Things {
		if !c.Failed() {
			continue
		}
		name := v.checkedName(shown, c.Of)
		for _, x := range c.Items {
			if !x.Passed {
				p.Stops = append(p.Stops, name+": "+shown.Texts[x.Item]+". "+shown.Texts[c.Note])
			}
		}
		f := ui.Form{Action: at + "/take-out", Key: v.freshKey(), Grave: true, Button: "Take " + name + " out of use now",
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}, {Name: "kit", Value: c.Of}}}
		may := access.RunSession
		if c.Of == string(shown.Session.Station) {
			may = access.ShutStation
			f = ui.Form{Action: "/stations/" + c.Of + "/shut", Key: v.freshKey(), Grave: true, Button: "Shut " + name + " now",
				Hidden: []ui.Value{{Name: "from", Value: v.today.String()}, {Name: "from_time", Value: v.words.Clock(v.now)}, {Name: "reason", Value: "fault"}}}
		}
		if access.May(v.actor, may) {
			p.Press = append(p.Press, f)
		}
	}
}

func (v *visit) checkedName(shown running.Shown, of string) string {
	if of == string(shown.Session.Station) {
		return v.ref.Text(shown.Station.Name)
	}
	return v.kitName(id.Kit(of))
}

func savePreUse(v *visit, f url.Values, send running.Send) error {
	at := map[string]int{}
	var looked []running.Looked
	for _, name := range sortedNames(f) {
		of, item, is := strings.Cut(strings.TrimPrefix(name, "item."), ".")
		if !strings.HasPrefix(name, "item.") || !is {
			continue
		}
		if _, known := at[of]; !known {
			at[of] = len(looked)
			looked = append(looked, running.Looked{Of: of, Note: f.Get("note." + of)})
		}
		l := &looked[at[of]]
		switch f.Get(name) {
		case "passed":
			l.Passed = append(l.Passed, id.Commitment(item))
		case "failed":
			l.Failed = append(l.Failed, id.Commitment(item))
		}
	}
	_, err := v.Running.PreUse(v.r.Context(), v.actor, v.runID(), send, looked)
	if fields, ok := formErrors(err); ok {
		bad := fault.Fields{}
		for of, text := range fields {
			bad.Add("note."+of, "%s", text)
		}
		return bad.Err()
	}
	return err
}

func sortedNames(f url.Values) (out []string) {
	for name := range f {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

func takeOutKit(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	if err := v.Running.TakeOut(v.r.Context(), v.actor, v.runID(), v.runSend(f), id.Kit(f.Get("kit"))); err != nil {
		return err
	}
	return v.goTo("/yard/sessions/"+string(v.runID()), "Taken out of use. Look at what needs attention: other sessions use it too.")
}

var rescueRoleWords = map[session.RescueRole]string{session.RoleLeads: "Leads the rescue", session.RoleReaches: "Goes to the casualty",
	session.RoleKit: "Works kit and anchors", session.RoleCalls: "Calls for help and meets it"}

// fillBrief shows the plan in force and asks who takes which role.
func fillBrief(v *visit, shown running.Shown, p *page.Before) error {
	plan, ok := shown.PlanInForce()
	switch {
	case !shown.Station.AsksForRescue():
		p.Form.Button = ""
		return nil
	case !ok:
		p.Form.Button = ""
		p.Stops = append(p.Stops, "No rescue plan is in force for this station today. Nobody goes up until one is.")
		return nil
	}
	kit := "of the plan"
	if r := shown.Station.Rescue; r != nil && r.Kit != "" {
		kit = v.kitName(r.Kit)
	}
	p.Read = []ui.Fact{fact("Plan", fmt.Sprintf("%s, version %d", v.ref.Text(plan.Name), plan.Version)), fact("Reach a casualty within", plan.Target.String()), fact("Rescue kit", kit)}
	p.Steps = v.planSteps(plan)
	if len(p.Steps) == 0 {
		p.Form.Button = ""
		p.Stops = append(p.Stops, "The text of the rescue plan can't be read here. Nobody goes up until it is at hand.")
	}
	p.Read = append(p.Read, v.procedureFacts(plan)...)
	p.Form.Hidden = append(p.Form.Hidden, ui.Value{Name: "plan", Value: string(plan.ID)}, ui.Value{Name: "version", Value: fmt.Sprint(plan.Version)})
	roles := page.FieldGroup{Title: "Who does what"}
	for _, a := range session.AskedRoles(plan) {
		roles.Fields = append(roles.Fields, v.roleFields(shown, a)...)
	}
	clear := ui.Field{Name: "clear", Label: "Seen just now", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "kit", Label: "Rescue kit is at the station"},
		{Value: "route", Label: "The way down and out is clear"}, {Value: "muster", Label: "The muster point is clear and known"}}}
	p.Groups = []page.FieldGroup{roles, {Fields: []ui.Field{clear}}}
	p.Also = append(p.Also, ui.Link{Text: "Rescue card", Href: "/sessions/" + string(shown.Session.ID) + "/rescue-card"})
	return nil
}

// roleFields ask who takes a role, one field for each of as many as the plan asks.
func (v *visit) roleFields(shown running.Shown, a session.AskedRole) (out []ui.Field) {
	label := rescueRoleWords[a.Role]
	if a.Name != "" {
		label = orID(v.ref.Text(a.Name), a.Role)
	}
	for n := range a.Count {
		f := ui.Field{Name: string(a.Role), Label: label, Kind: ui.Select, Required: true, Hint: v.ref.Text(a.Does), Options: []ui.Option{{Label: "Choose"}}}
		if n > 0 {
			f.Name, f.Hint = fmt.Sprintf("%s.%d", a.Role, n+1), ""
		}
		if a.Count > 1 {
			f.Label = fmt.Sprintf("%s, %d of %d", label, n+1, a.Count)
		}
		for _, who := range shown.Crew() {
			if _, competent := shown.Figures.RescueCompetent[string(who)]; competent || !a.Competent {
				f.Options = append(f.Options, ui.Option{Value: string(who), Label: shown.Persons[who]})
			}
		}
		out = append(out, f)
	}
	return out
}

func saveBrief(v *visit, f url.Values, send running.Send) error {
	b := running.Briefing{Plan: id.RescuePlan(f.Get("plan")), Version: int(numberField(f, "version")), Roles: map[session.RescueRole][]id.Person{},
		Kit: slices.Contains(f["clear"], "kit"), Route: slices.Contains(f["clear"], "route"), Muster: slices.Contains(f["clear"], "muster")}
	for _, name := range sortedNames(f) {
		first, _, _ := strings.Cut(name, ".")
		if role := session.RescueRole(first); strings.HasPrefix(first, "role-") || slices.Contains(session.RescueRoles(), role) {
			b.Roles[role] = append(b.Roles[role], ids[id.Person](f[name])...)
		}
	}
	return v.Running.Brief(v.r.Context(), v.actor, v.runID(), send, b)
}

// fillCautions shows every caution of the session. The form sends what was shown.
func fillCautions(v *visit, shown running.Shown, p *page.Before) error {
	style := v.styleOf(shown.Slice)
	for _, f := range shown.Report.At(verdict.Cautions) {
		text := capital(f.Found.In(style))
		if required := f.Required.In(style); required != "" {
			text += " (required: " + required + ")"
		}
		p.Read = append(p.Read, fact(verdict.RuleName(f.Rule), text))
		p.Form.Hidden = append(p.Form.Hidden, ui.Value{Name: "seen", Value: base64.RawURLEncoding.EncodeToString([]byte(session.SubjectOf(f)))})
	}
	if len(p.Read) == 0 {
		p.Form.Button = ""
	}
	return nil
}

func saveCautions(v *visit, f url.Values, send running.Send) error {
	var seen []string
	for _, x := range f["seen"] {
		subject, err := base64.RawURLEncoding.DecodeString(x)
		if err != nil {
			return fault.New(fault.Invalid, "The form was changed on its way. Open the page again.")
		}
		seen = append(seen, string(subject))
	}
	return v.Running.ReadCautions(v.r.Context(), v.actor, v.runID(), send, seen)
}

func saveWarmUp(v *visit, _ url.Values, send running.Send) error {
	return v.Running.WarmUp(v.r.Context(), v.actor, v.runID(), send)
}

// fillRecheck asks who was asked; those who must be are marked.
func fillRecheck(v *visit, shown running.Shown, p *page.Before) error {
	field := ui.Field{Name: "trainee", Label: "Asked again", Kind: ui.Checkboxes}
	for _, t := range shown.Session.Trainees {
		o := ui.Option{Value: string(t), Label: shown.Trainees[t]}
		if slices.Contains(shown.Recheck, t) {
			o.Note = "still to be asked"
		}
		field.Options = append(field.Options, o)
	}
	p.Groups = []page.FieldGroup{{Fields: []ui.Field{field}}}
	return nil
}

func saveRecheck(v *visit, f url.Values, send running.Send) error {
	return v.Running.Recheck(v.r.Context(), v.actor, v.runID(), send, ids[id.Trainee](f["trainee"]))
}
