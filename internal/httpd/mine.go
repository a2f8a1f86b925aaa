package httpd

import (
	"net/http"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// minePage shows one of the staff their own day, for a phone at the rig.
func minePage(v *visit) error {
	m, err := v.Desk.Mine(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	if err := v.warnOfIncidents(); err != nil {
		return err
	}
	sky, _, err := v.sky()
	if err != nil {
		return err
	}
	p := page.Mine{Shell: v.page("My day", "yard"), Line: v.words.Moment(v.now)}
	if _, works := v.ref.Staff.On(m.Person, v.today); !works {
		p.None = "You are not on record as one who works at this yard today, so no session names you."
	} else if len(m.Sheets) == 0 {
		p.None = "No session names you today."
	}
	var next civil.Instant // when the first that has not begun starts
	for _, sheet := range m.Sheets {
		s := sheet.Value
		if next == 0 && s.Start > v.now {
			next = s.Start
		}
		switch {
		case booking.Now(s, v.now):
			p.Now = append(p.Now, v.mineSession(sheet, m, sky))
		case s.Start == next:
			p.Next = append(p.Next, v.mineSession(sheet, m, sky))
		default:
			row := v.comingSession(s)
			row.Part = string(s.PartOf(m.Person))
			p.Rest = append(p.Rest, row)
		}
	}
	p.Shell.Phone = v.phone(v.firstAtTheRig(m)...)
	if s := m.Later; s.ID != "" {
		p.Later = ui.Link{Text: v.span(s) + ", " + v.sessionLink(s).Text, Href: v.sessionLink(s).Href}
	}
	return v.show(http.StatusOK, page.MinePage(p))
}

// firstAtTheRig are the pages at the rig of the first session that is not over: what
// a phone keeps of the day before it goes where there is no signal.
func (v *visit) firstAtTheRig(m booking.Mine) []string {
	for _, sheet := range m.Sheets {
		if s := sheet.Value; s.End > v.now && (s.State == session.Booked || s.State == session.UnderWay) {
			return v.atTheRig(s)
		}
	}
	return nil
}

func (v *visit) mineSession(sheet booking.Sheet, m booking.Mine, sky planning.Sky) page.MineSession {
	s := sheet.Value
	link := v.sessionLink(s)
	out := page.MineSession{Times: v.words.Times(civil.Period{Start: s.Start, End: s.End}), Exercise: link,
		Where: v.ref.Text(sheet.Rig.Name) + ", " + v.ref.Text(sheet.Station.Name), Part: string(s.PartOf(m.Person)), State: v.stateNow(s), Facts: v.needs(sheet)}
	if c := v.checks(sheet, acceptForm{}); c.Asked {
		out.Judged, out.Level, out.Say = true, c.Level, c.Say
		for _, f := range c.Findings {
			if f.Level == verdict.Stops {
				out.Stops = append(out.Stops, f)
			}
		}
	}
	if s.State == session.Pencilled {
		out.NotToStart = "Not to start: it is only pencilled. A caution waits for somebody's word."
	}
	rescue := v.rescue(sheet, v.today)
	if rescue.Plan.Text == "" {
		rescue.Plan.Text = rescue.Note
	}
	out.Facts = append(out.Facts, ui.Fact{Label: "Rescue plan", Value: rescue.Plan})
	out.Facts = append(out.Facts, v.weatherFacts(sky, sheet)...)
	for _, p := range v.staff(sheet) {
		out.Facts = append(out.Facts, ui.Fact{Label: capital(p.Part), Value: ui.Link{Text: p.Name.Text}})
	}
	out.Facts = append(out.Facts, fact("Trainees", web.Number(int64(len(s.Trainees)))))
	for _, t := range s.Trainees {
		out.Trainees = append(out.Trainees, sheet.Trainees[t])
	}
	own := ui.Link{Text: "Open its page", Href: link.Href}
	switch {
	case !booking.Now(s, v.now) && s.State == session.Booked:
		own = ui.Link{Text: "Prepare it at the rig", Href: "/yard/sessions/" + string(s.ID)}
	case booking.Now(s, v.now):
		own = ui.Link{Text: "Open the session", Href: "/yard/sessions/" + string(s.ID)}
	}
	out.Do = []ui.Link{own, {Text: "Report an incident", Href: "/incidents/new?session=" + string(s.ID)}, {Text: "Open the station", Href: "/stations/" + string(s.Station)}}
	return out
}
