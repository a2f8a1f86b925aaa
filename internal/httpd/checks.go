package httpd

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// checks is what every rule says of a session now, and what the answer rests on.
func (v *visit) checks(sheet booking.Sheet, sent acceptForm) page.SessionChecks {
	j := sheet.Judged
	if j.Slice == nil {
		return page.SessionChecks{Note: notJudged(sheet.Value, v.now)}
	}
	out := page.SessionChecks{Asked: true, Level: j.Report.Level(), Note: "Judged against the records as of " + v.words.Moment(v.now) + "."}
	waits := map[string]bool{}
	for _, w := range j.Waits {
		waits[w.Subject()] = true
	}
	for i, f := range j.Report.Findings {
		if !waits[f.Subject()] {
			out.Findings = append(out.Findings, v.ownFinding(sheet, f))
			continue
		}
		out.Waiting = append(out.Waiting, v.caution(sheet, i, f, sent))
	}
	out.Say = checksSay(len(j.Report.At(verdict.Stops)), len(out.Waiting), len(j.Report.At(verdict.Cautions)))
	out.Figures = v.figures(sheet)
	rules, cautions := planning.Asked()
	for _, r := range rules {
		out.Rules = append(out.Rules, verdict.RuleName(r))
	}
	for _, r := range cautions {
		out.Cautions = append(out.Cautions, verdict.RuleName(r))
	}
	return out
}

// ownFinding words a finding on the page of the session it is about, which need
// not be named again.
func (v *visit) ownFinding(sheet booking.Sheet, f verdict.Finding) ui.Finding {
	out := v.finding(sheet.Judged.Slice, f, nil)
	if f.Who == (verdict.Ref{Kind: verdict.Session, ID: string(sheet.Value.ID)}) {
		out.Who = ui.Link{}
	}
	return out
}

// notJudged says why nothing is judged on a session's page.
func notJudged(s session.Session, now civil.Instant) string {
	switch {
	case s.State == session.StoodDown:
		return "It is stood down, so no rule is asked."
	case s.End > now:
		return "Its time has come; the rules were asked until it began."
	}
	return "It is over; the rules were asked until it began."
}

// checksSay sums up what the rules say of a session: waiting are the cautions
// that nobody accepted yet.
func checksSay(stops, waiting, cautions int) string {
	switch {
	case stops > 0:
		return web.Count(stops, "rule stops it", "rules stop it")
	case waiting > 0:
		return "every rule holds; " + web.Count(waiting, "caution waits", "cautions wait")
	case cautions > 0:
		return "every rule holds; " + web.Count(cautions, "caution, accepted", "cautions, accepted")
	}
	return "every rule holds"
}

// figures are the numbers of people that the rules weigh.
func (v *visit) figures(sheet booking.Sheet) []page.SessionFigure {
	put := sheet.Judged.Session
	f, ok := sheet.Judged.Slice.Figures(put)
	if !ok {
		return nil
	}
	links := func(list []string) []ui.Link {
		var out []ui.Link
		for _, p := range list {
			out = append(out, personLink(id.Person(p), shortName(sheet.Persons[id.Person(p)])))
		}
		return out
	}
	row := func(what string, found int, asked string, of []string) page.SessionFigure {
		return page.SessionFigure{What: what, Found: fmt.Sprint(found), Asked: asked, Of: links(of)}
	}
	out := []page.SessionFigure{
		row(placesWord(f), f.Trainees+f.Others, fmt.Sprintf("at most %d", f.Places), put.Others),
		row(fmt.Sprintf("Instructors, 1 to %d", f.Ratio), f.Instructors, fmt.Sprint(f.InstructorsAsked), put.Instructors),
	}
	standby := slices.DeleteFunc(slices.Clone(put.Rescuers), func(p string) bool { return f.RescueCompetent[p] == 0 })
	if f.Rescue {
		rescuers := standby // instructors stand beside them only where they count
		if f.Rescuers > f.Standby {
			rescuers = slices.Sorted(maps.Keys(f.RescueCompetent))
		}
		out = append(out, row("Rescuers", f.Rescuers, fmt.Sprint(f.RescuersAsked), rescuers))
	}
	if f.StandbyAsked > 0 {
		out = append(out, row("of them standby", f.Standby, fmt.Sprint(f.StandbyAsked), standby))
	}
	if f.FirstAidersAsked > 0 {
		out = append(out, row("First aiders", f.FirstAiders, fmt.Sprint(f.FirstAidersAsked), slices.Sorted(maps.Keys(f.FirstAid))))
	}
	if f.StaffAsked > 0 {
		out = append(out, row("Staff in all", f.Staff, fmt.Sprint(f.StaffAsked), nil))
	}
	return out
}

// staff lists the session's staff with their parts and, while the session is
// judged, what they may do and to which day.
func (v *visit) staff(sheet booking.Sheet) []page.SessionPerson {
	var f planning.Figures
	if sheet.Judged.Slice != nil {
		f, _ = sheet.Judged.Slice.Figures(sheet.Judged.Session)
	}
	return v.staffOf(sheet.Value, sheet.Persons, f)
}

// staffOf lists the staff of a session with their parts and what figures say they
// may do; empty figures say nothing.
func (v *visit) staffOf(s session.Session, names map[id.Person]string, f planning.Figures) []page.SessionPerson {
	var out []page.SessionPerson
	add := func(list []id.Person, part string, taking bool) {
		for _, p := range list {
			person := page.SessionPerson{Name: personLink(p, names[p]), Part: part}
			if taking {
				person.Note = v.competence(f, string(p))
			}
			out = append(out, person)
		}
	}
	add(s.Instructors, "instructor", true)
	add(s.Rescuers, "standby rescuer", true)
	for _, p := range s.Others {
		add([]id.Person{p}, string(s.OtherPart(p)), false)
	}
	return out
}

// competence says what one of the staff may do on the day: "teaches it to Fri 18
// Jun, first aid to Thu 14 Oct".
func (v *visit) competence(f planning.Figures, person string) string {
	var out []string
	for _, c := range []struct {
		what  string
		until map[string]civil.Day
	}{{"teaches it", f.Teaching}, {"rescuer", f.RescueCompetent}, {"first aid", f.FirstAid}} {
		if d := c.until[person]; d != 0 {
			out = append(out, c.what+" to "+v.words.Day(d))
		}
	}
	return strings.Join(out, ", ")
}
