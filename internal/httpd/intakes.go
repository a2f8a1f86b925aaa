package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func intakesPage(v *visit) error {
	since, all := v.today.AddMonths(-12), v.r.URL.Query().Get("ended") == "all"
	if all {
		since = 0
	}
	list, err := v.Records.Intakes(v.r.Context(), v.actor, since)
	if err != nil {
		return err
	}
	p := page.Intakes{Shell: v.page("Intakes", "intakes")}
	groups := map[string]*page.IntakeGroup{}
	for _, name := range []string{"Running", "Coming", "Ended"} {
		groups[name] = &page.IntakeGroup{Name: name}
	}
	for _, in := range list {
		name, left := "Running", v.words.DaysLeft(in.Intake.Until)
		if in.Intake.From > v.today {
			name, left = "Coming", "begins in "+web.Count(int(in.Intake.From-v.today), "day", "days")
		} else if in.Intake.Until < v.today {
			name, left = "Ended", ""
		}
		pr, _ := v.ref.Programmes.On(in.Intake.Programme, v.today)
		groups[name].Rows = append(groups[name].Rows, page.IntakeRow{
			Name: ui.Link{Text: v.ref.Text(in.Intake.Name), Href: "/intakes/" + string(in.Intake.ID)}, Employer: in.Employer, Programme: v.ref.Text(pr.Name),
			Window: v.words.Days(in.Intake.From, in.Intake.Until), Left: left, Trainees: strconv.Itoa(in.Trainees),
			Say: fmt.Sprintf("%d of %d exercises", in.Done, in.Of), Done: strconv.Itoa(in.Done), Of: strconv.Itoa(in.Of)})
	}
	for _, name := range []string{"Running", "Coming", "Ended"} {
		if len(groups[name].Rows) > 0 {
			p.Groups = append(p.Groups, *groups[name])
		}
	}
	p.Finding = fmt.Sprintf("%s run, %s to come.", web.Count(len(groups["Running"].Rows), "intake", "intakes"), web.Count(len(groups["Coming"].Rows), "intake is", "intakes are"))
	if !all {
		p.Older = ui.Link{Text: "Show those that ended before " + web.FullDay(since) + " too", Href: "/intakes?ended=all"}
	}
	p.Shell.TakeOut = v.takeOut("intakes")
	return v.show(http.StatusOK, page.IntakesPage(p))
}

func intakePage(v *visit) error {
	in, err := v.Records.Intake(v.r.Context(), v.actor, id.Intake(v.param("intake")))
	if err != nil {
		return err
	}
	name := v.ref.Text(in.Intake.Name)
	pr, _ := v.ref.Programmes.On(in.Intake.Programme, v.today)
	p := page.Intake{Shell: v.page(name, "intakes"), Name: name, Line: in.Employer + ", " + v.words.Days(in.Intake.From, in.Intake.Until),
		Facts: []ui.Fact{fact("Programme", v.ref.Text(pr.Name)), fact("Trainees", strconv.Itoa(len(in.Trainees)))}}
	if in.Intake.Alone {
		p.Facts = append(p.Facts, fact("By itself", "shares no session with another intake"))
	}
	at := "/set-up/intakes/" + string(in.Intake.ID)
	if in.Intake.From <= v.today {
		p.Arrivals = ui.Link{Text: "Arrivals", Href: "/intakes/" + string(in.Intake.ID) + "/arrivals"}
	}
	p.Do = v.changeLinks(ui.Link{Text: "Change", Href: at}, ui.Link{Text: "Add trainees", Href: at + "/trainees"})
	seen := map[id.Session]bool{}
	var coming []records.Attended
	for _, t := range in.Trainees {
		p.Trainees = append(p.Trainees, v.intakeTrainee(t))
		for _, e := range in.Path {
			if s, ok := t.Booked[e.ID]; ok && !seen[s.ID] && s.Start > v.now {
				seen[s.ID] = true
				coming = append(coming, records.Attended{Session: s, Name: v.ref.Text(e.Name), Station: v.stationAt(s.Station, v.today).Text})
			}
		}
	}
	slices.SortStableFunc(coming, func(a, b records.Attended) int { return cmp.Compare(a.Session.Start, b.Session.Start) })
	for _, a := range coming {
		p.Sessions = append(p.Sessions, v.personSession(a))
	}
	if v.mayOpen("book") && in.Intake.Until >= v.today {
		p.Book = ui.Link{Text: "Book a session for this intake", Href: "/book?intake=" + string(in.Intake.ID)}
	}
	if v.mayOpen("plan") && in.Intake.Until >= v.today {
		p.Plan = ui.Link{Text: "Plan this intake", Href: "/plan?intakes=" + string(in.Intake.ID)}
	}
	p.Shell.TakeOut = formatLinks("/intakes/"+string(in.Intake.ID)+"/list", nil)
	p.Shell.AlsoOut = v.sessionsOut(in.Intake.From, in.Intake.Until, "intake", string(in.Intake.ID))
	return v.show(http.StatusOK, page.IntakePage(p))
}

func (v *visit) intakeTrainee(t records.Progress) page.IntakeTrainee {
	out := page.IntakeTrainee{Name: personLink(t.Trainee.Person, t.Name), Say: fmt.Sprintf("%d of %d exercises", len(t.Done), len(t.Trainee.Needs)),
		Done: strconv.Itoa(len(t.Done)), Of: strconv.Itoa(len(t.Trainee.Needs))}
	var next *session.Session
	for _, s := range t.Booked {
		if s.Start > v.now && (next == nil || s.Start < next.Start) {
			next = &s
		}
	}
	if next != nil {
		out.Next = ui.Link{Text: v.words.Moment(next.Start) + " " + v.exerciseName(next.Exercise, v.today), Href: "/sessions/" + string(next.ID)}
	}
	return out
}
