package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// bookForm asks for a free time and, once enough is given, shows the answer.
func bookForm(v *visit) error { return v.book("", nil) }

// moveForm asks for another time for a session.
func moveForm(v *visit) error {
	var sheet booking.Sheet
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	return v.book(sheet.Value.ID, &sheet)
}

// book draws the booking page. With a sheet it moves that session: exercise and
// trainees are its own.
func (v *visit) book(move id.Session, sheet *booking.Sheet) error {
	q, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	ask := askOf(q, bad)
	p := page.Book{Shell: v.page("Book a session", "book"), Title: "Book a session"}
	if sheet == nil {
		askedInFull(q, bad)
	}
	asked := ask.Exercise != "" && (ask.Intake != "" || len(ask.Trainees) > 0 || ask.Trial != "" && !q.Has("choose"))
	action := "/book"
	if sheet != nil {
		ask.Move, ask.Exercise, ask.Trainees, ask.Intake = move, sheet.Value.Exercise, sheet.Value.Trainees, ""
		name := v.sessionLink(sheet.Value).Text
		p.Title = "Move " + name
		p.Shell = v.page(p.Title, "week")
		p.Over = ui.Link{Text: name, Href: "/sessions/" + string(move)}
		p.Line = "Now " + v.span(sheet.Value) + ", " + v.ref.Text(sheet.Station.Name)
		action, asked = "/sessions/"+string(move)+"/move", true
	}
	status := http.StatusOK
	if len(bad) > 0 {
		status = http.StatusUnprocessableEntity
	}
	if asked && len(bad) == 0 {
		answer, err := v.Desk.Options(v.r.Context(), v.actor, ask)
		if fields, ok := formErrors(err); ok {
			bad, status = fields, http.StatusUnprocessableEntity
		} else if err != nil {
			return err
		} else {
			p.Answer = v.answer(answer, sheet)
			ask.From, ask.Until = answer.Ask.From, answer.Ask.Until
		}
	}
	if p.Ask, err = v.askForm(action, ask, bad, sheet); err != nil {
		return err
	}
	return v.show(status, page.BookPage(p))
}

// askedInFull misses what the form was sent without. A link that leads here may
// leave open what it likes, and so may the button that asks for the trainees.
func askedInFull(q url.Values, bad fault.Fields) {
	if q.Has("choose") || !q.Has("exercise") || !q.Has("intake") || !q.Has("until") {
		return
	}
	if q.Get("exercise") == "" {
		bad.Add("exercise", "Choose an exercise.")
	}
	if q.Get("intake") == "" && len(q["trainee"]) == 0 && q.Get("trial") == "" {
		bad.Add("intake", "Choose an intake.")
	}
}

// askOf reads the question. Ticked trainees count only while the intake is still
// the one they were shown for.
func askOf(q url.Values, bad fault.Fields) booking.Ask {
	ask := booking.Ask{
		Exercise: id.Exercise(q.Get("exercise")), Intake: id.Intake(q.Get("intake")), Station: id.Station(q.Get("station")), Trial: session.Trial(q.Get("trial")),
		From: dayField(q, "from", bad), Until: dayField(q, "until", bad), At: civil.Instant(numberField(q, "at")),
	}
	if of := q.Get("of"); of == q.Get("intake") {
		ask.Trainees = planning.IDs[id.Trainee](q["trainee"])
		if of != "" && len(ask.Trainees) == 0 && q.Get("exercise") != "" && ask.Trial == "" {
			bad.Add("trainees", "Tick at least one trainee.")
		}
	}
	return ask
}

func (v *visit) askForm(action string, ask booking.Ask, bad fault.Fields, sheet *booking.Sheet) (page.BookAsk, error) {
	form, err := v.Desk.Form(v.r.Context(), v.actor, ask.Intake)
	if err != nil {
		return page.BookAsk{}, err
	}
	c := page.BookChoices{
		Action: action, From: ask.From.String(), Until: ask.Until.String(), Errors: bad, Intake: string(ask.Intake),
		Intakes: []ui.Option{{Label: "Choose an intake"}}, Stations: []ui.Option{{Label: "Any that fits"}},
	}
	c.Exercises = v.exerciseGroups(form, ask.Exercise, sheet)
	for _, in := range form.Intakes {
		c.Intakes = append(c.Intakes, ui.Option{Value: string(in.ID), Label: in.Name, Note: v.words.Days(in.From, in.Until), Chosen: in.ID == ask.Intake})
		if in.ID == ask.Intake {
			for _, m := range in.Trainees {
				c.Trainees = append(c.Trainees, ui.Option{Value: string(m.Trainee), Label: m.Name,
					Chosen: len(ask.Trainees) == 0 || slices.Contains(ask.Trainees, m.Trainee)})
			}
		}
	}
	if sheet != nil {
		c.Fixed = true
		c.Intakes = []ui.Option{{Label: "The session's trainees", Chosen: true}}
	}
	if sheet == nil {
		c.Trials = trialOptions(ask.Trial)
	}
	for _, st := range form.Stations {
		c.Stations = append(c.Stations, ui.Option{Value: string(st.ID), Label: v.ref.Text(st.Name), Chosen: st.ID == ask.Station})
	}
	return page.NewBookAsk(c), nil
}

// exerciseGroups lists what the chosen intake still needs first, then the
// exercises under the rig on which they are first done.
func (v *visit) exerciseGroups(form booking.Form, chosen id.Exercise, sheet *booking.Sheet) []ui.Group {
	offered := slices.DeleteFunc(slices.Clone(form.Exercises), func(e curriculum.Exercise) bool {
		return sheet != nil && e.ID != chosen || len(e.Stations) == 0 || e.Retired != 0 && e.Retired <= v.today
	})
	needed := ui.Group{Label: "Still needed by this intake"}
	for _, e := range offered {
		if n := form.Needed[e.ID]; n > 0 {
			needed.Options = append(needed.Options, v.exerciseOption(e, chosen, web.Count(n, "trainee needs it", "trainees need it")))
		}
	}
	var out []ui.Group
	if len(needed.Options) > 0 {
		out = append(out, needed)
	}
	for _, r := range v.ref.Rigs.All(v.today) {
		g := ui.Group{Label: v.ref.Text(r.Name)}
		for _, e := range offered {
			if st, ok := v.ref.Stations.On(e.Stations[0], v.today); ok && st.Rig == r.ID && form.Needed[e.ID] == 0 {
				g.Options = append(g.Options, v.exerciseOption(e, chosen, e.Minutes.String()))
			}
		}
		if len(g.Options) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func (v *visit) exerciseOption(e curriculum.Exercise, chosen id.Exercise, note string) ui.Option {
	return ui.Option{Value: string(e.ID), Label: v.ref.Text(e.Name), Note: note, Chosen: e.ID == chosen}
}

// answer fills the page's answer from the desk's.
func (v *visit) answer(o booking.Options, sheet *booking.Sheet) *page.BookAnswer {
	style := v.styleOf(o.Slice)
	a := &page.BookAnswer{Title: "No free time"}
	if n := len(o.Offers); n > 0 {
		a.Title = web.Count(n, "free time", "free times")
	}
	in := v.group(a, o)
	a.Line = fmt.Sprintf("%s for %s, %s", v.exerciseName(o.Ask.Exercise, o.Ask.From), web.Count(in, "trainee", "trainees"), v.words.Days(o.Ask.From, o.Ask.Until))
	if o.Ask.Trial != "" {
		a.Line = capital(trialWords(o.Ask.Trial)) + ", credits nobody: " + a.Line
	}
	if note := o.Slice.Note(); note != nil {
		a.Line += ". " + note.In(style)
	}
	if o.Cut != 0 {
		a.Line += ". Another version of the exercise begins on " + v.words.Day(o.Cut) + "; ask again for the days from then on."
	}
	for i, offer := range o.Offers {
		a.Offers = append(a.Offers, v.offer(o, i, offer, sheet))
	}
	for _, r := range o.Refused {
		a.Refused = append(a.Refused, v.refusal(o, r, style))
	}
	if len(o.Offers) == 0 {
		a.Blocked, a.Steps = v.blocked(o, in)
	}
	return a
}

// group tells who takes part, who is left for another group, who needs it no more
// and who may not do it yet. It returns how many take part.
func (v *visit) group(a *page.BookAnswer, o booking.Options) int {
	var rest []string
	for _, m := range o.Group {
		name := ui.Link{Text: m.Name, Href: v.refHref(o.Slice, verdict.Ref{Kind: verdict.Trainee, ID: string(m.Trainee)})}
		switch {
		case m.In:
			a.Group.Names = append(a.Group.Names, name)
		case len(m.Why) == 0:
			a.Left.Names = append(a.Left.Names, name)
			rest = append(rest, string(m.Trainee))
		case had(m):
			a.Had.Names = append(a.Had.Names, name)
		default:
			a.NotYet = v.addBarred(a.NotYet, o.Slice, m)
		}
	}
	count := func(n page.BookNames) string { return web.Count(len(n.Names), "trainee", "trainees") }
	a.Group.Say = count(a.Group) + plural(len(a.Group.Names), " takes part", " take part")
	a.Had.Say = count(a.Had) + plural(len(a.Had.Names), " needs", " need") + " it no more: done, booked already, or not in their programme"
	a.Left.Say = fmt.Sprintf("One session takes %d; left for another group: %s", o.AtOnce, count(a.Left))
	if len(rest) > 0 && o.Ask.Intake != "" && o.Ask.Move == "" {
		q := url.Values{"exercise": {string(o.Ask.Exercise)}, "intake": {string(o.Ask.Intake)}, "of": {string(o.Ask.Intake)}, "station": {string(o.Ask.Station)},
			"from": {o.Ask.From.String()}, "until": {o.Ask.Until.String()}, "trainee": rest, "trial": {string(o.Ask.Trial)}}
		a.Rest = ui.Link{Text: plural(len(rest), "Ask for the other one", fmt.Sprintf("Ask for the other %d", len(rest))), Href: "/book?" + q.Encode()}
	}
	return len(a.Group.Names)
}

// had reports whether a trainee needs the exercise no more.
func had(m booking.Member) bool { return len(m.Why) > 0 && m.Why[0].Rule == "needed-once" }

// addBarred puts a trainee beside those who are barred for the same reasons.
func (v *visit) addBarred(list []page.BookBarred, s *planning.Slice, m booking.Member) []page.BookBarred {
	name := ui.Link{Text: m.Name, Href: v.refHref(s, verdict.Ref{Kind: verdict.Trainee, ID: string(m.Trainee)})}
	why := v.findings(s, m.Why)
	for i := range why {
		why[i].Who = ui.Link{} // the names stand beneath
	}
	same := func(a, b ui.Finding) bool { return a.Rule == b.Rule && a.Found == b.Found && a.Required == b.Required }
	for i := range list {
		if slices.EqualFunc(list[i].Why, why, same) {
			list[i].Names = append(list[i].Names, name)
			return list
		}
	}
	return append(list, page.BookBarred{Names: []ui.Link{name}, Why: why, Late: !slices.ContainsFunc(m.Why, func(f verdict.Finding) bool { return f.Rule != "deadline" })})
}

// blocked says what stands in the way of every time, and what to ask next.
func (v *visit) blocked(o booking.Options, in int) (string, []ui.Link) {
	if in == 0 && o.Ask.Trial == "" && len(o.Group) > 0 && !slices.ContainsFunc(o.Group, func(m booking.Member) bool { return !had(m) }) {
		return "Nobody of this group needs it any more: each has done it, is booked for it, or does not have it in the programme.", nil
	}
	if in == 0 && len(o.Group) > 0 {
		return "None of the trainees may do this exercise in these days; below stands why.", nil
	}
	q, path := v.r.URL.Query(), v.r.URL.Path
	if strings.HasSuffix(path, "/again") { // the question is the answer's own
		q, path = url.Values{"exercise": {string(o.Ask.Exercise)}, "trainee": texts(o.Ask.Trainees)}, "/book"
	}
	q.Set("from", (o.Ask.Until + 1).String())
	q.Set("until", (o.Ask.Until + 14).String())
	return "Each day has something that stops it; below stands what.", []ui.Link{{Text: "Ask for the two weeks after", Href: path + "?" + q.Encode()}}
}

func (v *visit) offer(o booking.Options, i int, offer booking.Offer, sheet *booking.Sheet) page.BookOffer {
	s := offer.Session
	when := v.words.Moment(s.Start)
	st := v.stationAt(id.Station(s.Station), v.words.Zone.DayOf(s.Start))
	rec, _ := v.ref.Stations.On(id.Station(s.Station), v.today)
	rg, _ := v.ref.Rigs.On(rec.Rig, v.today)
	out := page.BookOffer{
		Rank: strconv.Itoa(i + 1), When: v.words.Period(civil.Period{Start: s.Start, End: s.End}), Station: st, Rig: v.ref.Text(rg.Name),
		People: []ui.Fact{fact(plural(len(s.Instructors), "Instructor", "Instructors"), v.names(o.Slice, s.Instructors))},
		Notes:  offerNotes(offer), Cautions: v.findings(o.Slice, offer.Report.At(verdict.Cautions)),
		Book: ui.Form{Action: "/book", Key: v.ids.New(), Button: "Book " + when, Unseen: "on " + st.Text},
	}
	if len(s.Rescuers) > 0 {
		out.People = append(out.People, fact("Rescue", v.names(o.Slice, s.Rescuers)+", standby"))
	}
	if len(out.Cautions) > 0 {
		out.Book.Button = "Pencil " + when
	}
	hidden := proposalValues(s.Exercise, s.Station, s.Start, s.Trainees, s.Instructors, s.Rescuers, o.Seen)
	target := "/book/proposal"
	if sheet != nil {
		out.Book.Action = "/sessions/" + string(sheet.Value.ID) + "/move"
		out.Book.Button = "Move to " + when
		hidden = append(hidden, ui.Value{Name: "session", Value: string(sheet.Value.ID)}, ui.Value{Name: "rev", Value: fmt.Sprint(sheet.Rev)})
	} else {
		hidden = append(hidden, staysAsked(o.Ask)...)
	}
	out.Book.Hidden = hidden
	out.Adjust = ui.Link{Text: "Adjust people", Href: target + "?" + encode(hidden)}
	return out
}

// staysAsked is what of a question stays with the session that is booked by its answer.
func staysAsked(ask booking.Ask) (out []ui.Value) {
	if ask.Intake != "" {
		out = append(out, ui.Value{Name: "intake", Value: string(ask.Intake)})
	}
	if ask.Trial != "" {
		out = append(out, ui.Value{Name: "trial", Value: string(ask.Trial)})
	}
	return out
}

func offerNotes(o booking.Offer) []string {
	var out []string
	switch o.TraineeDays {
	case 0:
		out = append(out, "no extra day for anyone")
	default:
		out = append(out, web.Count(o.TraineeDays, "extra trainee day", "extra trainee days"))
	}
	if o.Idle > 0 {
		out = append(out, o.Idle.String()+" idle")
	}
	return append(out, "staff "+o.StaffMinutes.String())
}

// names lists people by the names a slice knows.
func (v *visit) names(s *planning.Slice, who []string) string {
	text := ""
	for i, p := range who {
		if i > 0 {
			text += ", "
		}
		text += s.Name(verdict.Ref{Kind: verdict.Person, ID: p})
	}
	return text
}

func proposalValues(exercise, station string, start civil.Instant, trainees, instructors, rescuers []string, seen int64) []ui.Value {
	out := []ui.Value{{Name: "exercise", Value: exercise}, {Name: "station", Value: station},
		{Name: "start", Value: fmt.Sprint(int64(start))}, {Name: "seen", Value: fmt.Sprint(seen)}}
	for _, t := range trainees {
		out = append(out, ui.Value{Name: "trainee", Value: t})
	}
	for _, p := range instructors {
		out = append(out, ui.Value{Name: "instructor", Value: p})
	}
	for _, p := range rescuers {
		out = append(out, ui.Value{Name: "rescuer", Value: p})
	}
	return out
}

func encode(values []ui.Value) string {
	q := url.Values{}
	for _, x := range values {
		q.Add(x.Name, x.Value)
	}
	return q.Encode()
}
