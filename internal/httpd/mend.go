package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

const (
	// mendDays is how many days are looked at when no others are asked for.
	mendDays = 14
	// repairSeconds is how long a repair is searched unless somebody chooses.
	repairSeconds = 10
	// repairsListed is how many repair drafts stand on the page.
	repairsListed = 5
)

// mendPage shows what is lost, what that hits, and how to mend it.
func mendPage(v *visit) error { return v.mend(http.StatusOK, sent{}) }

func (v *visit) mend(status int, s sent) error {
	q := v.r.URL.Query()
	if s.form == "repair" {
		q = s.values
	}
	bad := fault.Fields{}
	from, until := dayField(q, "from", bad), dayField(q, "until", bad)
	if from == 0 {
		from = v.today
	}
	if until == 0 {
		until = max(from, v.today) + mendDays - 1
	}
	p := page.Mend{Shell: v.page("Mend", "mend")}
	var hits drafting.Hits
	err := bad.Err()
	if err == nil {
		hits, err = v.Drafts.Hit(v.r.Context(), v.actor, from, until)
	}
	if fields, ok := formErrors(err); ok {
		bad, status = fields, http.StatusUnprocessableEntity
	} else if err != nil {
		return err
	}
	p.Window = ui.Form{Action: "/mend", Get: true, Button: "Look", Swap: "hit"}
	p.Span = []ui.Field{dayAsked("from", "From", from, q, bad), dayAsked("until", "Until", until, q, bad)}
	if err := v.mendLosses(&p, s); err != nil {
		return err
	}
	if err := v.mendHits(&p, hits, s, q); err != nil {
		return err
	}
	list, err := v.Drafts.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	for _, d := range list {
		if d.Kind == drafting.ForMend && len(p.Drafts) < repairsListed {
			p.Drafts = append(p.Drafts, v.draftRow(d))
		}
	}
	p.Finding = capital(web.Count(len(p.Losses), "loss stands", "losses stand")) + "; " + web.Count(len(p.Hit), "session is hit", "sessions are hit") + " from " + v.words.Day(from) + " to " + v.words.Day(until) + "."
	p.Shell.AlsoOut = []ui.TakeOut{v.alsoOut("losses"), v.alsoOut("shuts")}
	return v.show(status, page.MendPage(p))
}

// mendHits lists the sessions that can't run as they stand, on the board too.
func (v *visit) mendHits(p *page.Mend, h drafting.Hits, s sent, q url.Values) error {
	if len(h.Sessions)+len(h.Days) == 0 {
		return nil
	}
	for _, x := range h.Sessions {
		p.Hit = append(p.Hit, v.mendHit(h, x))
	}
	p.Days = v.findings(h.Slice, h.Days)
	p.Repair = ui.Form{Action: "/mend", Key: v.freshKey(), Button: "Make a repair draft", Hidden: []ui.Value{{Name: "from", Value: h.From.String()}, {Name: "until", Value: h.Until.String()}}}
	seconds := ui.Field{Name: "seconds", Label: "How long to search", Kind: ui.Select, Short: true}
	for _, n := range drafting.Searches() {
		seconds.Options = append(seconds.Options, ui.Option{Value: strconv.Itoa(n), Label: searchLength(n), Chosen: n == repairSeconds})
	}
	p.Search = []ui.Field{s.field("repair", seconds)}
	p.Repair.Errors = ui.Errors(p.Search)
	if s.form == "repair" && s.bad[""] != "" {
		p.Repair.Errors = append(p.Repair.Errors, ui.FieldError{Text: s.bad[""]})
	}
	p.Notice = "It changes as few sessions as it can, and books nothing until it is accepted."
	if h.Notice > 0 {
		p.Notice = "It changes as few sessions as it can; those that start within " + h.Notice.String() + " stay unless they are hit. It books nothing until it is accepted."
	}
	if len(h.Sessions) == 0 {
		return nil
	}
	monday := h.Zone.DayOf(h.Sessions[0].Session.Start).Monday()
	if m, err := civil.ParseWeek(q.Get("week")); err == nil && h.From.Monday() <= m && m <= h.Until {
		monday = m
	}
	w, b, err := v.weekOf(monday, h.From, h.Until, "/mend?from="+h.From.String()+"&until="+h.Until.String()+"&week=")
	if err != nil {
		return err
	}
	row := 0
	for r := range w.Rigs {
		for _, st := range w.Rigs[r].Stations {
			for i, cell := range b.Rows[row].Cells {
				for j, on := range cell.Sessions {
					hit := slices.ContainsFunc(h.Sessions, func(x drafting.Hit) bool { return x.Session.ID == on.ID })
					cell.Sessions[j].Broken, st.Cells[i].Sessions[j].Broken = hit, hit
				}
			}
			row++
		}
	}
	w.Finding = boardFinding(b)
	p.Board = w
	return nil
}

func (v *visit) mendHit(h drafting.Hits, x drafting.Hit) page.AttentionSession {
	r := x.Session
	out := page.AttentionSession{When: v.span(r), Exercise: ui.Link{Text: x.Exercise, Href: "/sessions/" + string(r.ID)}, Where: x.Station,
		People: web.Count(len(r.Trainees), "trainee", "trainees"), State: stateWords(r.State), Step: v.moveStep(r)}
	var staff []string
	for _, p := range r.Instructors {
		staff = append(staff, shortName(v.ref.StaffName(p)))
	}
	if len(staff) > 0 {
		out.People += " with " + web.List(staff)
	}
	style := v.styleOf(h.Slice)
	for _, f := range x.Findings {
		out.Why = append(out.Why, verdict.RuleName(f.Rule)+": "+f.Found.In(style)+".")
	}
	if x.Soon {
		out.Why = append(out.Why, "It starts within the notice time: tell its people first.")
	}
	return out
}

// startMend makes a repair draft.
func startMend(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	from, until := dayField(f, "from", bad), dayField(f, "until", bad)
	seconds, convErr := strconv.Atoi(f.Get("seconds"))
	if convErr != nil {
		bad.Add("seconds", "Choose how long to search.")
	}
	if err = bad.Err(); err == nil {
		made, err := v.Drafts.Mend(v.r.Context(), v.actor, from, until, seconds, v.key())
		if fields, ok := formErrors(err); ok {
			return v.mendRefused(f, fields)
		}
		if err != nil {
			return err
		}
		return v.goTo("/drafts/"+string(made), "")
	}
	return v.mendRefused(f, bad)
}

// mendRefused shows the page again; a message about the days, which the form
// only carries along, stands above it.
func (v *visit) mendRefused(f url.Values, bad fault.Fields) error {
	for _, name := range []string{"from", "until"} {
		if m := bad[name]; m != "" {
			bad.Add("", "%s", m)
		}
	}
	return v.mend(http.StatusUnprocessableEntity, sent{"repair", f, bad})
}
