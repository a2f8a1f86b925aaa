package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/complaint"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// pathPage is a trainee's own page. It leads nowhere that shows anybody else.
func pathPage(v *visit) error {
	rec, err := v.Records.Person(v.r.Context(), v.actor, v.actor.Person)
	if err != nil {
		return err
	}
	stand, over := v.standing(ownCertificates(rec.Certificates))
	p := page.Path{Shell: v.page("My path", "path"), Name: rec.Name}
	if p.Holdings, err = v.ownHoldings(rec.Value.ID, append(stand, over...)); err != nil {
		return err
	}
	p.Coming, p.Past = v.personSessions(rec, url.Values{})
	appeals := appealsOf(rec)
	for _, list := range [][]page.PersonSession{p.Coming, p.Past} {
		for i := range list {
			list[i].Do = appeals[list[i].Exercise.Href]
			list[i].Exercise.Href = "" // a session's page shows its other trainees
			if list[i].Part == "trainee" {
				list[i].Part = ""
			}
		}
	}
	if len(p.Coming) > 0 {
		next := p.Coming[0]
		p.Next = next.Day + " " + next.Times + ", " + next.Exercise.Text + ", " + next.Station
	}
	for _, s := range waitsAgain(rec) {
		p.Again = append(p.Again, v.sessionLink(s).Text+" on "+v.words.Day(v.words.Zone.DayOf(s.Start))+" was "+againWords(s)+". You need it again; your centre offers you another time.")
	}
	p.Complain = []ui.Link{{Text: "Complain or appeal", Href: "/complaints/new"}, {Text: "Those I filed", Href: "/complaints/mine"}}
	p.Hours, p.Total = v.hours(rec, "/path")
	for i := range p.Hours {
		p.Hours[i].Sessions.Href, p.Hours[i].Hours.Href = "", ""
	}
	p.Total.Href = ""
	for i, e := range rec.Enrolments {
		if i == 0 {
			p.Line = v.ref.Text(e.Intake.Name) + ", " + v.words.Days(e.Intake.From, e.Intake.Until)
		}
		p.Programmes = append(p.Programmes, v.pathProgramme(rec, e))
	}
	for _, a := range rec.Sessions {
		if a.Countersign != "" {
			p.Countersign = append(p.Countersign, ui.Link{Text: a.Name + ", " + v.span(a.Session), Href: "/sessions/" + string(a.Session.ID) + "/trainees/" + string(a.Countersign) + "/countersign"})
		}
	}
	p.Shell.TakeOut = append(formatLinks("/path/record", nil), ui.Link{Text: "calendar", Href: "/path/calendar.ics"})
	return v.show(http.StatusOK, page.PathPage(p))
}

// ownCertificates leaves out those that have been replaced.
func ownCertificates(list []credential.Certificate) []credential.Certificate {
	return slices.DeleteFunc(slices.Clone(list), func(c credential.Certificate) bool { return c.State == credential.Replaced })
}

// pathProgramme shows each outcome of a programme as a step.
func (v *visit) pathProgramme(rec records.Person, e records.Enrolment) page.PathProgramme {
	pr, _ := v.ref.Programmes.On(e.Intake.Programme, v.today)
	out := page.PathProgramme{Name: v.ref.Text(pr.Name)}
	done, all := 0, 0
	for _, u := range pr.Units {
		unit := page.PathUnit{Name: v.ref.Text(u.Name)}
		for _, o := range u.Outcomes {
			step := v.pathStep(rec, e, o)
			all++
			if step.State == string(session.Competent) {
				done++
			}
			unit.Steps = append(unit.Steps, step)
		}
		out.Units = append(out.Units, unit)
	}
	out.Say, out.Done, out.Of = fmt.Sprintf("%d of %d outcomes", done, all), strconv.Itoa(done), strconv.Itoa(all)
	return out
}

func (v *visit) pathStep(rec records.Person, e records.Enrolment, o id.Outcome) page.PathStep {
	name, _ := v.ref.Outcomes.On(o, v.today)
	step := page.PathStep{Outcome: v.ref.Text(name.Name), State: "open"}
	for _, a := range rec.Sessions { // latest first: the latest result counts
		for _, r := range a.Results {
			if r.Outcome == o && r.Result != session.NotAssessed { // what was not assessed is as open as before
				step.State = strings.ReplaceAll(string(r.Result), "-", " ")
				step.When = ui.Link{Text: v.words.Day(v.words.Zone.DayOf(a.Session.Start))}
				return step
			}
		}
	}
	for _, x := range e.Path {
		if x.Booked != 0 && slices.Contains(x.Exercise.Outcomes, o) {
			step.State, step.When = "booked", ui.Link{Text: v.words.Moment(x.Booked)}
		}
	}
	return step
}

// appealsOf leads from each signed session of a trainee, by the address of its page, to
// an appeal against what it found of them.
func appealsOf(rec records.Person) map[string]ui.Link {
	out := map[string]ui.Link{}
	for _, a := range rec.Sessions {
		s := a.Session
		for _, e := range rec.Enrolments {
			if s.State.Signed() && slices.Contains(s.Trainees, e.Trainee.ID) {
				m := complaint.Matter{Session: s.ID, Trainee: e.Trainee.ID}
				out["/sessions/"+string(s.ID)] = ui.Link{Text: "Appeal", Href: "/complaints/new?" + url.Values{"kind": {string(complaint.Appeal)}, "against": {matterValue(m)}}.Encode()}
			}
		}
	}
	return out
}
