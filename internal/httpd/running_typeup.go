package httpd

import (
	"fmt"
	"net/http"
	"net/url"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// sheetPauses is how many pauses of a day sheet can be typed up.
const sheetPauses = 3

func typeUpForm(v *visit) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.typeUp(http.StatusOK, shown, nil, nil)
}

// typeUp asks for what a day sheet says that was filled in at the rig.
func (v *visit) typeUp(status int, shown running.Shown, typed url.Values, bad fault.Fields) error {
	s := shown.Session
	link := v.sessionLink(s)
	p := page.RunSheet{Shell: v.page("Type up "+link.Text, "yard"), Title: "Type up the day sheet", Over: link, Line: v.span(s)}
	if s.State != session.Booked || s.End > v.now {
		p.Note = "It is " + v.stateOf(s) + ". A sheet is typed up of a session that was booked, is over and was not run here."
		return v.show(status, page.RunSheetPage(p))
	}
	p.Form = ui.Form{Action: "/yard/sessions/" + string(s.ID) + "/type-up", Key: v.freshKey(), Button: "Keep the sheet", Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}}}
	ask := func(name, label string) ui.Field {
		return ui.Field{Name: name, Label: label, Kind: ui.Time, Short: true, Value: typed.Get(name), Error: bad[name]}
	}
	p.Times = []ui.Field{ask("began", "Began"), ask("ended", "Ended")}
	for i := range sheetPauses {
		from, to := ask(fmt.Sprintf("pause-%d", i), fmt.Sprintf("Pause %d, from", i+1)), ask(fmt.Sprintf("pause-%d-end", i), fmt.Sprintf("Pause %d, to", i+1))
		if i == 0 {
			from.Error = bad["pauses"]
		}
		p.Times = append(p.Times, from, to)
	}
	person := func(who, name string, part session.Part) {
		key := string(part) + "-" + who
		came, left := ask("came-"+key, "Came"), ask("left-"+key, "Left")
		for _, f := range []*ui.Field{&came, &left} {
			if f.Error != "" {
				f.Error = name + ": " + f.Error
			}
		}
		p.People = append(p.People, page.RunSheetPerson{Name: name, Part: string(part), Came: came, Left: left})
	}
	for _, x := range sheetPeople(shown) {
		name := shown.Trainees[id.Trainee(x.Who)]
		if x.Part != session.AsTrainee {
			name = shown.Persons[id.Person(x.Who)]
		}
		person(x.Who, name, x.Part)
	}
	p.Stated = ui.Field{Name: "stated", Label: "The sheet", Kind: ui.Checkboxes, Error: bad["stated"], Options: []ui.Option{{Value: "yes",
		Label: "says that everything that must stand stood when it began, and an instructor signed it", Chosen: typed.Get("stated") == "yes"}}}
	fields := append([]ui.Field{}, p.Times...)
	for _, x := range p.People {
		fields = append(fields, x.Came, x.Left)
	}
	p.Form.Errors = ui.Errors(append(fields, p.Stated))
	return v.show(status, page.RunSheetPage(p))
}

// sheetPeople are all of a session, in the order of its day sheet.
func sheetPeople(shown running.Shown) (out []session.Seen) {
	s := shown.Session
	for _, in := range []struct {
		list []id.Person
		part session.Part
	}{{s.Instructors, session.AsInstructor}, {s.Rescuers, session.AsRescuer}} {
		for _, p := range in.list {
			out = append(out, session.Seen{Who: string(p), Part: in.part})
		}
	}
	for _, t := range s.Trainees {
		out = append(out, session.Seen{Who: string(t), Part: session.AsTrainee})
	}
	for _, p := range s.Others {
		out = append(out, session.Seen{Who: string(p), Part: session.AsOther})
	}
	return out
}

func typeUpSheet(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	clock := func(name string) civil.Instant {
		at, err := v.clockField(f, name, shown.Day)
		if err != nil {
			bad.Add(name, "%s", fault.Message(err))
		}
		return at
	}
	sheet := running.Sheet{Run: session.Run{Began: clock("began"), Ended: clock("ended"), Pauses: []session.Pause{}}, Stated: f.Get("stated") == "yes"}
	for i := range sheetPauses {
		from, to := clock(fmt.Sprintf("pause-%d", i)), clock(fmt.Sprintf("pause-%d-end", i))
		if from != 0 || to != 0 {
			sheet.Run.Pauses = append(sheet.Run.Pauses, session.Pause{Start: from, End: to, Why: session.PauseOther})
		}
	}
	for _, x := range sheetPeople(shown) {
		key := string(x.Part) + "-" + x.Who
		if from, to := clock("came-"+key), clock("left-"+key); from != 0 || to != 0 {
			sheet.Presences = append(sheet.Presences, session.Presence{Who: x.Who, Part: x.Part, Start: from, End: to})
		}
	}
	if len(bad) == 0 {
		err = v.Running.TypeUp(v.r.Context(), v.actor, v.runID(), v.runSend(f), sheet)
	}
	if fields, refused := formErrors(err); refused {
		bad = fields
	} else if err != nil {
		return err
	}
	if len(bad) > 0 {
		return v.typeUp(http.StatusUnprocessableEntity, shown, f, bad)
	}
	return v.goTo("/yard/sessions/"+string(v.runID())+"/sign", "The sheet is kept. Now the results, as it says them.")
}
