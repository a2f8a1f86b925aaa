package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// proposalOf reads a proposed session from a form.
func proposalOf(f url.Values) booking.Proposal {
	return booking.Proposal{
		Session: id.Session(f.Get("session")), Exercise: id.Exercise(f.Get("exercise")), Station: id.Station(f.Get("station")),
		Start: civil.Instant(numberField(f, "start")), Trainees: planning.IDs[id.Trainee](f["trainee"]),
		Instructors: planning.IDs[id.Person](f["instructor"]), Rescuers: planning.IDs[id.Person](f["rescuer"]), Trial: session.Trial(f.Get("trial")),
	}
}

func (v *visit) send(f url.Values) booking.Send {
	return booking.Send{Key: v.key(), Seen: numberField(f, "seen"), Reason: strings.TrimSpace(f.Get("reason"))}
}

// proposalPage shows a proposed session with the people to choose from.
func proposalPage(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	p := proposalOf(f)
	if p.Session != "" && f.Get("rev") == "" {
		// A change that was only suggested names no revision: it is of the session
		// as it stands.
		sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, p.Session)
		if err != nil {
			return err
		}
		f.Set("rev", fmt.Sprint(sheet.Rev))
	}
	return v.proposal(http.StatusOK, f, p, nil, "", nil)
}

// peopleForm proposes a session as it stands, to change its people.
func peopleForm(v *visit) error {
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	s := planning.AsPlan(sheet.Value)
	values := proposalValues(string(sheet.Value.Exercise), s.Station, s.Start, s.Trainees, s.Instructors, s.Rescuers, sheet.Head)
	if sheet.Value.Trial {
		values = append(values, ui.Value{Name: "trial", Value: string(sheet.Value.TrialOf)})
	}
	values = append(values, ui.Value{Name: "session", Value: s.ID}, ui.Value{Name: "rev", Value: fmt.Sprint(sheet.Rev)}, ui.Value{Name: "act", Value: "people"})
	return v.goTo("/book/proposal?"+encode(values), "")
}

// bookSession books a proposal.
func bookSession(v *visit) error {
	return v.commit(func(f url.Values, p booking.Proposal) (booking.Done, error) {
		return v.Desk.Book(v.r.Context(), v.actor, p, v.send(f))
	})
}

// moveSession gives a session another time, place or other people.
func moveSession(v *visit) error {
	return v.commit(func(f url.Values, p booking.Proposal) (booking.Done, error) {
		p.Session = id.Session(v.param("session"))
		rev := numberField(f, "rev")
		if f.Get("act") == "people" {
			return v.Desk.ChangePeople(v.r.Context(), v.actor, p, rev, v.send(f))
		}
		return v.Desk.Move(v.r.Context(), v.actor, p, rev, v.send(f))
	})
}

// commit runs a change of sessions and answers: to the session when written, the
// same form with the findings when a rule stops it, the conflict page when
// somebody was first.
func (v *visit) commit(change func(url.Values, booking.Proposal) (booking.Done, error)) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	p := proposalOf(f)
	done, err := change(f, p)
	if fields, ok := formErrors(err); ok && p.Start > 0 && fields["exercise"] == "" && fields["station"] == "" {
		return v.proposal(http.StatusUnprocessableEntity, f, known(f), nil, "Not booked. "+first(fields), fields)
	}
	if err != nil {
		return err
	}
	if done.Refused == nil {
		flash := "Booked."
		if done.Waits > 0 {
			flash = "Pencilled. It is booked once its cautions are accepted."
		}
		return v.goTo("/sessions/"+string(done.Session), flash)
	}
	if done.Refused.Winner != nil {
		return v.conflict(f, p, done.Refused)
	}
	return v.proposal(http.StatusUnprocessableEntity, f, p, done.Refused, "Not booked. "+v.firstStop(done.Refused), nil)
}

// known is the proposal without people that the records may lack, so that it can
// be drawn again after a form error.
func known(f url.Values) booking.Proposal {
	p := proposalOf(f)
	p.Trainees, p.Instructors, p.Rescuers = nil, nil, nil
	return p
}

func first(fields fault.Fields) string {
	for _, name := range []string{"start", "trainees", "instructors", "rescuers", "reason"} {
		if fields[name] != "" {
			return fields[name]
		}
	}
	return ""
}

func (v *visit) firstStop(j *booking.Judged) string {
	for _, f := range j.Report.At(verdict.Stops) {
		style := v.styleOf(j.Slice)
		return "Stops: " + f.Found.In(style) + ". Required: " + f.Required.In(style) + "."
	}
	return ""
}

// proposal draws a proposed session. judged is the judgement that refused it,
// nil to have it judged now.
func (v *visit) proposal(status int, f url.Values, p booking.Proposal, judged *booking.Judged, refused string, bad fault.Fields) error {
	if judged == nil {
		j, err := v.Desk.Judge(v.r.Context(), v.actor, p)
		if err != nil {
			return err
		}
		judged = &j
	}
	choices, err := v.Desk.Choices(v.r.Context(), v.actor, p, id.Intake(f.Get("intake")))
	if err != nil {
		return err
	}
	when := v.words.Moment(p.Start)
	exercise := v.exerciseName(p.Exercise, v.words.Zone.DayOf(p.Start))
	title := exercise + ", " + when
	shell := v.page(title, "book")
	form := ui.Form{Action: "/book", Key: v.freshKey(), Hidden: fixedValues(f, v.head)}
	if p.Session != "" {
		form.Action = "/sessions/" + string(p.Session) + "/move"
	}
	own := ownAcceptance(v.actor, judged)
	out := page.NewProposal(shell, title, form, v.people(choices, bad), own, f.Get("reason"))
	out.Refused, out.Facts = refused, v.proposalFacts(p, judged)
	out.Over = ui.Link{Text: "Book a session", Href: "/book?" + url.Values{"exercise": {string(p.Exercise)}, "intake": {f.Get("intake")}}.Encode()}
	if p.Session != "" {
		out.Over = ui.Link{Text: exercise, Href: "/sessions/" + string(p.Session)}
	}
	out.Verdict = v.verdictOf(judged)
	out.Press, out.Waits = press(f, p, judged, when)
	if out.Verdict.Changes == nil && judged.Report.Level() == verdict.Stops {
		out.Verdict.Changes, err = v.changes(f, p, judged)
		if err != nil {
			return err
		}
	}
	return v.show(status, page.ProposalPage(out))
}

// freshKey is a new client key: a form shown again stands for a new command.
func (v *visit) freshKey() string { return v.ids.New() }

// fixedValues are what the proposal page does not ask.
func fixedValues(f url.Values, seen int64) []ui.Value {
	var out []ui.Value
	for _, name := range []string{"exercise", "station", "start", "session", "rev", "act", "intake", "trial"} {
		if f.Get(name) != "" {
			out = append(out, ui.Value{Name: name, Value: f.Get(name)})
		}
	}
	return append(out, ui.Value{Name: "seen", Value: fmt.Sprint(seen)})
}

func (v *visit) people(c booking.Choices, bad fault.Fields) page.ProposalPeople {
	out := page.ProposalPeople{Errors: bad}
	staff := func(list []booking.Candidate) []ui.Option {
		var options []ui.Option
		for _, x := range list {
			options = append(options, ui.Option{Value: string(x.Person), Label: x.Name, Chosen: x.In, Note: stopNote(x.Rules)})
		}
		return options
	}
	out.Instructors, out.Rescuers = staff(c.Instructors), staff(c.Rescuers)
	for _, m := range c.Trainees {
		var rules []string
		for _, f := range m.Why {
			rules = append(rules, f.Rule)
		}
		out.Trainees = append(out.Trainees, ui.Option{Value: string(m.Trainee), Label: m.Name, Chosen: m.In, Note: stopNote(rules)})
	}
	return out
}

func stopNote(rules []string) string {
	if len(rules) == 0 {
		return ""
	}
	words := make([]string, len(rules))
	for i, r := range rules {
		words[i] = strings.ToLower(verdict.RuleName(r))
	}
	slices.Sort(words)
	return "stops: " + strings.Join(slices.Compact(words), ", ")
}

func (v *visit) proposalFacts(p booking.Proposal, j *booking.Judged) []ui.Fact {
	day := v.words.Zone.DayOf(p.Start)
	st := v.stationAt(p.Station, day)
	out := []ui.Fact{
		fact("When", v.words.Period(civil.Period{Start: j.Session.Start, End: j.Session.End})),
		{Label: "Station", Value: st},
		fact("Length", j.Session.End.Sub(j.Session.Start).String()),
	}
	if p.Trial != "" {
		out = append(out, fact("For", trialWords(p.Trial)+": credits nobody with anything"))
	}
	return out
}

func (v *visit) verdictOf(j *booking.Judged) page.ProposalVerdict {
	out := page.ProposalVerdict{Level: j.Report.Level(), Findings: v.findings(j.Slice, j.Report.Findings)}
	stops, cautions := len(j.Report.At(verdict.Stops)), len(j.Report.At(verdict.Cautions))
	switch {
	case stops > 0:
		out.Say = web.Count(stops, "rule stops it.", "rules stop it.")
	case cautions > 0:
		out.Say = "Every rule holds; " + web.Count(cautions, "caution.", "cautions.")
	default:
		out.Say = "Every rule holds."
	}
	return out
}

// ownAcceptance reports whether the reader may accept all that waits.
func ownAcceptance(actor access.Actor, j *booking.Judged) bool {
	return len(j.Waits) > 0 && j.Report.Level() != verdict.Stops &&
		!slices.ContainsFunc(j.Waits, func(f verdict.Finding) bool { return !access.MayAccept(actor, f.Field) })
}

// press is what the button says and for whom a pencilled session waits.
func press(f url.Values, p booking.Proposal, j *booking.Judged, when string) (button, waits string) {
	switch {
	case j.Report.Level() == verdict.Stops:
		return "", ""
	case p.Session != "" && f.Get("act") == "people":
		button = "Change people"
	case p.Session != "":
		button = "Move to " + when
	case len(j.Waits) > 0:
		button = "Pencil " + when
	default:
		button = "Book " + when
	}
	var fields []string
	for _, w := range j.Waits {
		if name := planning.FieldName(w.Field); !slices.Contains(fields, name) {
			fields = append(fields, name)
		}
	}
	if len(fields) > 0 {
		waits = "Waits for: " + strings.Join(fields, ", ")
	}
	return button, waits
}

// changes offers what would clear a stopped proposal: the free times nearest to
// it.
func (v *visit) changes(f url.Values, p booking.Proposal, j *booking.Judged) ([]ui.Change, error) {
	near, err := v.Desk.Near(v.r.Context(), v.actor, p)
	if err != nil {
		return nil, err
	}
	var out []ui.Change
	for _, n := range near {
		s := n.Session
		values := proposalValues(s.Exercise, s.Station, s.Start, s.Trainees, s.Instructors, s.Rescuers, v.head)
		for _, name := range []string{"session", "rev", "act", "intake", "trial"} {
			if f.Get(name) != "" {
				values = append(values, ui.Value{Name: name, Value: f.Get(name)})
			}
		}
		say := v.words.Moment(s.Start)
		if s.Station != string(p.Station) {
			say += " on " + v.stationAt(id.Station(s.Station), v.words.Zone.DayOf(s.Start)).Text
		}
		if s.Start == p.Start && s.Station == string(p.Station) {
			say = "the same time with " + v.names(j.Slice, append(slices.Clone(s.Instructors), s.Rescuers...))
			if left := len(p.Trainees) - len(s.Trainees); left > 0 {
				say += ", " + web.Count(left, "trainee", "trainees") + " left out"
			}
		}
		out = append(out, ui.Change{Say: say, Action: "/book/proposal", Get: true, Values: values})
	}
	return out, nil
}

// conflict tells who was first and shows fresh free times.
func (v *visit) conflict(f url.Values, p booking.Proposal, j *booking.Judged) error {
	w := j.Winner
	rec, _ := j.Slice.Session(string(w.Session))
	day := v.words.Zone.DayOf(p.Start)
	out := page.Conflict{
		Shell: v.page("Taken meanwhile", "book"), Title: w.By + " was first",
		First:  fmt.Sprintf("%s booked %s, %s, at %s.", w.By, v.stationAt(rec.Station, v.words.Zone.DayOf(rec.Start)).Text, v.span(rec), v.words.Moment(w.At)),
		Theirs: v.sessionLink(rec),
		Wanted: "You asked for " + v.exerciseName(p.Exercise, day) + " with " + web.Count(len(p.Trainees), "trainee", "trainees") + ", " + v.words.Moment(p.Start) + ".",
		Again:  ui.Link{Text: "Ask again with other days", Href: "/book?" + url.Values{"exercise": {string(p.Exercise)}, "intake": {f.Get("intake")}}.Encode()},
	}
	ask := booking.Ask{Exercise: p.Exercise, Trainees: p.Trainees, From: day, Until: day + 6, Move: p.Session, Trial: p.Trial}
	var sheet *booking.Sheet
	if p.Session != "" {
		s, err := v.Desk.Sheet(v.r.Context(), v.actor, p.Session)
		if err != nil {
			return err
		}
		sheet = &s
	}
	options, err := v.Desk.Options(v.r.Context(), v.actor, ask)
	if err != nil {
		return err
	}
	out.Answer = v.answer(options, sheet)
	return v.show(http.StatusConflict, page.ConflictPage(out))
}
