package httpd

import (
	"net/http"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func takeItemOut(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	iid := id.Item(v.param("item"))
	err = v.Keeper.TakeOut(v.r.Context(), v.actor, iid, f.Get("why"), v.key())
	if bad, ok := formErrors(err); ok {
		return v.itemSheet(http.StatusUnprocessableEntity, iid, sent{"out", f, bad})
	}
	if err != nil {
		return err
	}
	return v.goTo("/items/"+string(iid), "Out of use.")
}

// putInQuarantine needs no words; its answer lists the sessions that it hits.
func putInQuarantine(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	q, err := v.Keeper.Quarantine(v.r.Context(), v.actor, f.Get("subject"), f.Get("why"), v.key())
	if err != nil {
		return err
	}
	return v.goTo("/quarantines/"+string(q), "In quarantine.")
}

func liftQuarantine(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	l := keeping.Lifting{Quarantine: id.Quarantine(v.param("quarantine")), Inspection: id.Inspection(f.Get("inspection")), Why: f.Get("why")}
	err = v.Keeper.Lift(v.r.Context(), v.actor, l, v.key())
	if bad, ok := formErrors(err); ok {
		return v.quarantineSheet(http.StatusUnprocessableEntity, sent{"lift", f, bad})
	}
	if err != nil {
		return err
	}
	return v.goTo("/quarantines/"+v.param("quarantine"), "The quarantine is lifted.")
}

func (v *visit) quarantineSheet(status int, s sent) error {
	q, err := v.Yard.Quarantine(v.r.Context(), v.actor, id.Quarantine(v.param("quarantine")))
	if err != nil {
		return err
	}
	v.ref = q.Ref
	of := v.thingLink(q.Of)
	one := q.Quarantine
	p := page.QuarantineSheet{Shell: v.page("Quarantine, "+of.Text, "yard"), Title: "Quarantine", Of: of}
	p.Facts = []ui.Fact{fact("Since", v.words.Moment(one.Start)), {Label: "By", Value: v.quarantinedBy(one, q.Names)}}
	if why := v.ref.Text(one.Why); why != "" {
		p.Facts = append(p.Facts, fact("What is wrong", why))
	}
	if one.Lift != nil {
		p.State = ui.Notice{Plain: true, Word: "Lifted", Text: of.Text + " was in quarantine until " + v.words.Moment(one.Lift.At) + "."}
		p.Facts = append(p.Facts, fact("Lifted by", orID(q.Names[one.Lift.By], one.Lift.By)), fact("Why it may be used again", v.ref.Text(one.Lift.Why)))
		return v.show(status, page.QuarantinePage(p))
	}
	p.State = ui.Notice{Level: verdict.Stops, Text: of.Text + " is in quarantine. Nobody uses it. Tell whoever stands at it now by voice."}
	if err := v.quarantineHits(&p, q.Of); err != nil {
		return err
	}
	v.quarantineLift(&p, q, s)
	return v.show(status, page.QuarantinePage(p))
}

// quarantineHits lists the sessions that it stops, and leads to their repair.
func (v *visit) quarantineHits(p *page.QuarantineSheet, of verdict.Ref) error {
	hit, err := v.Desk.Hit(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	var last civil.Day
	for _, x := range hit {
		day := v.words.Zone.DayOf(x.Start)
		last = max(last, day)
		p.Sessions = append(p.Sessions, page.YardSession{Day: v.words.Day(day), Times: v.words.Times(civil.Period{Start: x.Start, End: x.End}), Exercise: v.sessionLink(x), Station: v.stationAt(x.Station, day).Text,
			People: web.Count(len(x.Trainees), "trainee", "trainees"), State: v.stateNow(x)})
	}
	if len(hit) > 0 && v.mayOpen("mend") {
		p.Mend = ui.Link{Text: "Mend these days", Href: "/mend?from=" + v.today.String() + "&until=" + min(last, v.today+mendDays-1).String()}
	}
	return nil
}

// setUpPath is where a thing is set up, by its kind.
var setUpPath = map[verdict.RefKind]string{verdict.Rig: "/set-up/rigs/", verdict.Station: "/set-up/stations/", verdict.Kit: "/set-up/kits/", verdict.Item: "/set-up/items/"}

// quarantineLift asks for what lifts it, or says what is missing.
func (v *visit) quarantineLift(p *page.QuarantineSheet, q yardday.Quarantine, s sent) {
	if len(q.Inspections) == 0 {
		p.LiftSay = "An inspection that passes is recorded first, done since it began. Then " + v.whoAccepts(verdict.HeightRescue) + " or another responsible person lifts the quarantine with a reason."
		if len(q.Lines) == 0 {
			p.LiftSay += " Its record names no inspection yet, so none can be recorded and it can't be lifted: one is set first, where it is set up."
			if at := setUpPath[q.Of.Kind]; at != "" && access.May(v.actor, access.ChangeYard) {
				p.Inspect = ui.Link{Text: "Set which inspection it needs", Href: at + q.Of.ID}
			} else {
				p.LiftSay += " An administrator does that."
			}
		} else if access.May(v.actor, access.RecordInspection) {
			p.Inspect = ui.Link{Text: "Record an inspection", Href: p.Of.Href + "?do=inspection#change"}
		}
		return
	}
	if !access.May(v.actor, access.LiftQuarantine) {
		p.LiftSay = "It passed an inspection. " + capital(v.whoAccepts(verdict.HeightRescue)) + " or another responsible person may now lift the quarantine with a reason."
		return
	}
	var options []ui.Option
	for i, x := range q.Inspections {
		options = append(options, ui.Option{Value: string(x.ID), Chosen: i == 0,
			Label: v.words.Day(x.Done) + ", " + rulebook.Line{ID: x.Line}.Subject() + ", passed, " + orID(q.Names[x.By], x.By)})
	}
	a := v.action(s, "lift", "Lift the quarantine", "You answer for it. It may be used again from this moment, as far as nothing else stops it.", "/quarantines/"+string(q.Quarantine.ID)+"/lift", "Lift the quarantine",
		ui.Field{Name: "inspection", Label: "On which inspection", Kind: ui.Select, Options: options, Required: true},
		ui.Field{Name: "why", Label: "Why it may be used again", Required: true, Hint: "What was found and mended."})
	a.Open = true
	p.Lift = &a
}
