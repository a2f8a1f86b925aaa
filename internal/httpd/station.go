package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func stationPage(v *visit) error {
	return v.stationSheet(http.StatusOK, id.Station(v.param("station")), sent{})
}

func (v *visit) stationSheet(status int, sid id.Station, s sent) error {
	rec, ok := v.ref.Stations.On(sid, v.today)
	if !ok {
		return fault.New(fault.NotFound, "There is no such station.")
	}
	r, err := v.Yard.Rig(v.r.Context(), v.actor, rec.Rig)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(r.Stations, func(x yardday.StationPage) bool { return x.Station.ID == sid })
	if i < 0 {
		return fault.New(fault.NotFound, "There is no such station.")
	}
	st := r.Stations[i]
	name := v.ref.Text(rec.Name)
	p := page.Station{Shell: v.page(name, "yard"), Name: name, Rig: v.rigLink(r.Rig), Line: stationLine(rec), Answer: "may be used"}
	if p.Causes = v.stationCauses(st, r.Now); len(p.Causes) > 0 {
		p.Level, p.Answer = verdict.Stops, "may not be used now"
	}
	p.Do = v.changeLinks(ui.Link{Text: "Change this station", Href: "/set-up/stations/" + string(sid)})
	p.Facts = v.stationFacts(rec)
	if p.Map, p.MapSay, err = v.locator(sid); err != nil {
		return err
	}
	if p.Today, err = v.todayOn(rec); err != nil {
		return err
	}
	p.Inspections = v.inspections(r, st.Checks)
	for _, x := range st.Shut {
		p.Shuts = append(p.Shuts, v.stationShut(r, x))
	}
	p.Plans = v.rescuePlans(r, st)
	if k := rec.Rescue; k != nil && k.Kit != "" {
		kit, _ := v.ref.Kits.On(k.Kit, v.today)
		p.Kits = []page.Kit{v.kit(kit, "rescue here")}
	}
	for _, e := range v.ref.Exercises.All(v.today) {
		if slices.Contains(e.Stations, sid) {
			done := ui.Link{Text: v.ref.Text(e.Name)}
			if v.mayOpen("book") {
				done.Href = "/book?exercise=" + string(e.ID) + "&station=" + string(sid)
			}
			p.Exercises = append(p.Exercises, done)
		}
	}
	p.Actions = v.stationActions(s, st)
	p.Quarantine, p.Quarantines = v.quarantines(s, verdict.Ref{Kind: verdict.Station, ID: string(sid)}, r.Names)
	p.Shell.TakeOut = []ui.Link{{Text: "calendar", Href: "/stations/" + string(sid) + "/calendar.ics"}}
	p.Shell.AlsoOut = append(v.sessionsOut(v.today.Monday(), v.today.Monday()+7*calendarWeeks-1, "station", string(sid)), v.alsoOut("inspections", "subject", string(sid)))
	return v.show(status, page.StationPage(p))
}

// todayOn lists what is booked on a station today, what is over too.
func (v *visit) todayOn(st rig.Station) ([]page.YardSession, error) {
	b, err := v.Desk.Board(v.r.Context(), v.actor, v.today, v.today, booking.Filter{Rig: st.Rig})
	if err != nil {
		return nil, err
	}
	var out []page.YardSession
	for _, row := range b.Rows {
		if row.Station.ID != st.ID {
			continue
		}
		for _, s := range row.Cells[0].Sessions {
			shown := page.YardSession{Times: v.words.Times(civil.Period{Start: s.Start, End: s.End}), Exercise: v.sessionLink(s.Session),
				People: peopleWords(s.Session, b.Names), State: v.stateNow(s.Session)}
			if s.State == session.Pencilled && s.Start <= v.now && v.now < s.End {
				shown.Note = "Not to start: it is not booked"
			}
			out = append(out, shown)
		}
	}
	return out, nil
}

func stationLine(st rig.Station) string {
	parts := []string{web.Count(st.Places, "place", "places")}
	if st.Height {
		parts = append(parts, "height")
	}
	if st.NeedsDaylight {
		parts = append(parts, "daylight only")
	}
	if st.Rescue != nil && st.Rescue.Rescuers > 0 {
		parts = append(parts, "rescue needed")
	}
	return strings.Join(parts, " · ")
}

func (v *visit) stationFacts(st rig.Station) []ui.Fact {
	out := []ui.Fact{fact("Turnaround", st.Turnaround.String()), fact("Staff", "at least "+web.Count(st.StaffMin, "person", "people"))}
	if st.FirstAiders == nil {
		out = append(out, fact("First aiders", "not stated"))
	} else {
		out = append(out, fact("First aiders", fmt.Sprintf("at least %d", *st.FirstAiders)))
	}
	if r := st.Rescue; r != nil {
		out = append(out, fact("Rescue", fmt.Sprintf("%s, %d of them standby", web.Count(r.Rescuers, "rescuer", "rescuers"), r.StandbyMin)))
	}
	for _, z := range st.Zones {
		rec, _ := v.ref.Zones.On(z, v.today)
		out = append(out, fact("Shared ground", v.ref.Text(rec.Name)))
	}
	return out
}

func (v *visit) stationShut(r yardday.RigPage, x rig.Shut) page.StationShut {
	out := page.StationShut{Period: "from " + v.words.Moment(x.Start) + " until somebody opens it", Reason: strings.ReplaceAll(string(x.Reason), "-", " "), Note: r.Texts[x.Note]}
	if x.End != 0 {
		out.Period = v.words.Period(civil.Period{Start: x.Start, End: x.End})
	}
	if access.May(v.actor, access.OpenStation) {
		out.Open = &ui.Form{Action: "/shuts/" + string(x.ID) + "/open", Key: v.freshKey(), Button: "Open now",
			Hidden: []ui.Value{{Name: "station", Value: string(x.Station)}}}
	}
	return out
}

func (v *visit) rescuePlans(r yardday.RigPage, st yardday.StationPage) []page.RescuePlan {
	var out []page.RescuePlan
	for _, p := range st.Plans {
		row := page.RescuePlan{Version: ui.Link{Text: fmt.Sprintf("%s, version %d", v.ref.Text(p.Name), p.Version), Href: "/rescue/" + string(p.ID)},
			From: v.words.Day(p.InForce), Review: v.words.Day(p.ReviewBy) + ", " + v.words.Due(p.ReviewBy), Approved: approvedWords(r.Names, p),
			Drilled: "no accepted drill", Needs: planNeeds(p)}
		state := "not in force"
		switch {
		case st.Plan != nil && st.Plan.ID == p.ID && st.Plan.Version == p.Version:
			state = "in force"
			if p.ReviewBy-v.today < 14 {
				row.Level = verdict.Cautions
			}
		case p.InForce > v.today:
			state = "from " + v.words.Day(p.InForce)
		default:
			row.Level = verdict.Stops
		}
		row.Version.Text += ", " + state
		if st.Drill != nil && st.Drill.Plan == p.ID {
			row.Drilled = v.words.Day(st.Drill.Day) + ", " + st.Drill.Minutes.String() + " to a safe place"
		}
		out = append(out, row)
	}
	return out
}

// planNeeds says in what time a plan is held to bring somebody down.
func planNeeds(p rig.RescuePlan) string {
	out := "reach a casualty within " + p.Target.String()
	if p.Procedure == nil {
		return out + "; no steps recorded"
	}
	return out + ", at a safe place within " + p.Procedure.SafeWithin.String()
}

// approvedWords says who approved a plan, and from whose paper it was taken over.
func approvedWords(names map[id.Person]string, p rig.RescuePlan) string {
	out := names[p.ApprovedBy]
	if p.TakenOver != "" {
		out += " (the plan on paper of " + names[p.Author] + ", taken over by " + names[p.TakenOver] + ")"
	}
	return out
}

// onPaperField asks of whoever approves a plan that they hold what its author wrote.
func onPaperField() ui.Field {
	return ui.Field{Name: "on_paper", Label: "Where the plan is", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "I hold the plan on paper as its author wrote it, and approve it myself", Note: "It is marked as taken over, by you."}}}
}

func (v *visit) stationActions(s sent, st yardday.StationPage) []page.Action {
	var out []page.Action
	here := "/stations/" + string(st.Station.ID)
	if access.May(v.actor, access.ShutStation) {
		var reasons []ui.Option
		for _, r := range keeping.ShutReasons() {
			reasons = append(reasons, ui.Option{Value: string(r), Label: capital(strings.ReplaceAll(string(r), "-", " "))})
		}
		out = append(out, v.action(s, "shut", "Shut this station", "Sessions booked here in that time then need attention.", here+"/shut", "Shut "+v.ref.Text(st.Station.Name),
			ui.Field{Name: "reason", Label: "Reason", Kind: ui.Select, Options: reasons, Required: true},
			ui.Field{Name: "from", Label: "From", Kind: ui.Date, Value: v.today.String(), Required: true, Short: true},
			ui.Field{Name: "from_time", Label: "Time from", Kind: ui.Time, Value: v.words.Clock(v.now), Required: true, Short: true},
			ui.Field{Name: "to", Label: "To", Kind: ui.Date, Short: true, Hint: "Left empty, until somebody opens it."},
			ui.Field{Name: "to_time", Label: "Time to", Kind: ui.Time, Short: true},
			ui.Field{Name: "note", Label: "Note", Kind: ui.Area}))
	}
	if access.May(v.actor, access.RecordInspection) && len(st.Station.Inspections) > 0 {
		out = append(out, v.inspectionAction(s, string(st.Station.ID), st.Station.Inspections))
	}
	if access.May(v.actor, access.ApproveRescuePlan) && len(st.Plans) > 0 {
		out = append(out, v.planAction(s, st))
	}
	return out
}

// planAction approves a new version of the newest plan that covers the station.
func (v *visit) planAction(s sent, st yardday.StationPage) page.Action {
	p := st.Plans[0]
	if st.Plan != nil {
		p = *st.Plan
	}
	var authors []ui.Option
	for _, x := range v.ref.Staff.All(v.today) {
		if x.ID != v.actor.Person {
			authors = append(authors, ui.Option{Value: string(x.ID), Label: v.ref.StaffName(x.ID), Chosen: x.ID == p.Author})
		}
	}
	a := v.action(s, "plan", "Approve a new version of the rescue plan", "Read it first. You answer for it, and never for one you wrote.", "/rescue-plans/"+string(p.ID),
		fmt.Sprintf("Approve version %d", p.Version+1),
		ui.Field{Name: "author", Label: "Written by", Kind: ui.Select, Options: authors, Value: string(p.Author), Required: true},
		ui.Field{Name: "text", Label: "The plan", Kind: ui.Area, Required: true, Hint: "Alarm, chain of command, named lead, steps and roles, kit, way to a safe place."},
		onPaperField(),
		ui.Field{Name: "in_force", Label: "In force from", Kind: ui.Date, Value: v.today.String(), Required: true, Short: true},
		ui.Field{Name: "review_by", Label: "Review by", Kind: ui.Date, Value: v.today.AddMonths(12).String(), Required: true, Short: true},
		ui.Field{Name: "target", Label: "Reach a casualty within", Kind: ui.Number, Unit: "minutes", Value: fmt.Sprint(int(p.Target)), Required: true, Short: true, InputMode: "numeric"})
	a.Form.Hidden = []ui.Value{{Name: "station", Value: string(st.Station.ID)}}
	return a
}

func shutStation(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sid := id.Station(v.param("station"))
	bad := fault.Fields{}
	s := keeping.Shutting{Station: sid, Reason: rig.ShutReason(f.Get("reason")), Note: f.Get("note"),
		Start: v.momentFields(f, "from", "from_time", bad), End: v.momentFields(f, "to", "to_time", bad)}
	if err = bad.Err(); err == nil {
		err = v.Keeper.Shut(v.r.Context(), v.actor, s, v.key())
	}
	if fields, ok := formErrors(err); ok {
		for from, to := range map[string]string{"start": "from", "end": "to"} {
			if m := fields[from]; m != "" {
				fields.Add(to, "%s", m)
			}
		}
		return v.stationSheet(http.StatusUnprocessableEntity, sid, sent{"shut", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/stations/"+string(sid), "Shut. Look at what needs attention.")
}

func openStation(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	if err := v.Keeper.Open(v.r.Context(), v.actor, id.Shut(v.param("shut")), v.key()); err != nil {
		return err
	}
	return v.goTo("/stations/"+f.Get("station"), "Opened.")
}

func approvePlan(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	a := keeping.Approving{Plan: id.RescuePlan(v.param("plan")), Text: f.Get("text"), Author: id.Person(f.Get("author")), OnPaper: f.Get("on_paper") == "yes",
		InForce: dayField(f, "in_force", bad), ReviewBy: dayField(f, "review_by", bad), Target: civil.Minutes(numberField(f, "target"))}
	if err = bad.Err(); err == nil {
		err = v.Keeper.ApprovePlan(v.r.Context(), v.actor, a, v.key())
	}
	sid := id.Station(f.Get("station"))
	if fields, ok := formErrors(err); ok {
		return v.stationSheet(http.StatusUnprocessableEntity, sid, sent{"plan", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/stations/"+string(sid), "Approved.")
}
