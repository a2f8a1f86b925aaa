package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/arriving"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// arrivalRoutes are people coming onto the yard.
func arrivalRoutes() []route {
	return []route{
		{get, "/intakes/{intake}/arrivals", access.SeeArrivals, arrivalsPage},
		{post, "/intakes/{intake}/arrivals", access.RecordArrival, noteArrival},
		{get, "/intakes/{intake}/arrivals/{trainee}/replace", access.ChangeRecords, replaceForm},
		{post, "/intakes/{intake}/arrivals/{trainee}/replace", access.ChangeRecords, replaceTrainee},
		{get, "/yard/here", access.SeeArrivals, herePage},
		{post, "/yard/here", access.RecordArrival, signInOnYard},
		{post, "/yard/here/out", access.RecordArrival, signOutOfYard},
		{get, "/yard/here/{person}/kit", access.RecordArrival, personKitPage},
		{post, "/yard/here/{person}/kit", access.RecordArrival, takeKitBack},
	}
}

// paperWords says what is ticked off.
var paperWords = map[arrival.Paper]string{
	arrival.Identity: "Identity seen, with a picture", arrival.Number: "Number at the scheme seen", arrival.Prerequisites: "Papers that must come first seen",
	arrival.Fitness: "Fitness statement handed over, signed", arrival.Induction: "Site induction done", arrival.Language: "Understands the language of the course",
}

// lackWords says what is missing before a session.
var lackWords = map[arrival.Lack]string{
	arrival.LacksArrival: "that they came", arrival.LacksIdentity: "identity", arrival.LacksFitness: "fitness statement", arrival.LacksInduction: "site induction",
	arrival.LacksAnew: "identity at this part", arrival.LacksSignedNew: "fitness statement at this part",
}

func arrivalsPage(v *visit) error { return v.arrivals(http.StatusOK, sent{}) }

func (v *visit) arrivals(status int, s sent) error {
	in, err := v.Arriving.Arrivals(v.r.Context(), v.actor, id.Intake(v.param("intake")))
	if err != nil {
		return err
	}
	name := in.Ref.Text(in.Intake.Name)
	here := "/intakes/" + string(in.Intake.ID)
	p := page.Arrivals{Shell: v.page("Arrivals, "+name, "intakes"), Title: "Arrivals", Over: ui.Link{Text: name, Href: here}}
	came, lacking, unknown := 0, 0, 0
	for _, r := range in.Rows {
		row := page.ArrivalRow{Name: personLink(r.Trainee.Person, r.Name)}
		switch r.Arrival.State {
		case arrival.Came:
			came++
			row.State = "came " + v.words.Moment(r.Arrival.At)
			if lacks := r.Lacks; len(lacks) > 0 {
				lacking++
				row.Level, row.Lacks = verdict.Stops, "lacks "+lackList(lacks)
			}
		case arrival.DidNotCome:
			row.State = "did not come"
		case arrival.Replaced:
			row.State = "replaced by " + v.traineeOf(in.Rows, r.Arrival.By)
		default:
			unknown++
			row.State = "not noted yet"
		}
		row.Facts = v.arrivalFacts(r)
		v.arrivalKit(&row, r)
		if access.May(v.actor, access.RecordArrival) && r.Arrival.State != arrival.Replaced {
			row.Actions = []page.Action{v.arrivalAction(s, r, here)}
			if r.Arrival.State != arrival.Came && access.May(v.actor, access.ChangeRecords) {
				row.Instead = here + "/arrivals/" + string(r.Trainee.ID) + "/replace"
			}
		}
		p.Rows = append(p.Rows, row)
	}
	p.Finding = fmt.Sprintf("%d of %s came", came, web.Count(len(in.Rows), "trainee", "trainees"))
	if lacking > 0 {
		p.Finding += fmt.Sprintf("; %s something that stops their sessions", web.Count(lacking, "lacks", "lack"))
	}
	if unknown > 0 {
		p.Finding += "; nothing is noted of " + web.Number(int64(unknown))
	}
	p.Finding += "."
	p.Shell.TakeOut = formatLinks(here+"/arrivals", nil)
	return v.show(status, page.ArrivalsPage(p))
}

func (v *visit) traineeOf(rows []arriving.Row, of id.Trainee) string {
	i := slices.IndexFunc(rows, func(r arriving.Row) bool { return r.Trainee.ID == of })
	if i < 0 {
		return "somebody else"
	}
	return rows[i].Name
}

func lackList(lacks []arrival.Lack) string {
	var words []string
	for _, l := range lacks {
		words = append(words, lackWords[l])
	}
	return strings.Join(words, ", ")
}

// arrivalFacts says what was seen, by whom.
func (v *visit) arrivalFacts(r arriving.Row) []ui.Fact {
	var out []ui.Fact
	for _, p := range arrival.Papers() {
		if s := *r.Arrival.Of(p); s != nil {
			says := v.words.Moment(s.At)
			if by := r.Seen[p]; by != "" {
				says += " by " + shortName(by)
			}
			if p == arrival.Fitness {
				says = "signed " + v.words.Moment(r.Arrival.FitnessAt) + ", seen " + says
			}
			out = append(out, fact(paperWords[p], says))
		}
	}
	out = append(out, v.kitFacts(r.Kit)...)
	if r.Contact != "" {
		out = append(out, fact("In an emergency call", r.Contact))
	}
	return out
}

// arrivalAction is the form of one trainee.
func (v *visit) arrivalAction(s sent, r arriving.Row, here string) page.Action {
	a, form := r.Arrival, string(r.Trainee.ID)
	papers := ui.Field{Name: "seen", Label: "Seen", Kind: ui.Checkboxes}
	for _, p := range arrival.Papers() {
		papers.Options = append(papers.Options, ui.Option{Value: string(p), Label: paperWords[p], Chosen: *a.Of(p) != nil})
	}
	again := ui.Field{Name: "again", Label: "As a new part of a split course begins", Kind: ui.Checkboxes,
		Options: []ui.Option{{Value: "yes", Label: "Identity seen again", Note: "A fitness statement is signed anew too: give its time below."}}}
	at, signed := cmp.Or(a.At, v.now), cmp.Or(a.FitnessAt, v.now)
	z := v.words.Zone
	fields := []ui.Field{
		{Name: "came", Label: "Did they come?", Kind: ui.Radio, Options: []ui.Option{{Value: "yes", Label: "Yes", Chosen: a.State == arrival.Came}, {Value: "no", Label: "No", Chosen: a.State == arrival.DidNotCome}}},
		{Name: "at_day", Label: "Came on", Kind: ui.Date, Value: z.DayOf(at).String(), Short: true},
		{Name: "at", Label: "At", Kind: ui.Time, Value: v.words.Clock(at), Short: true},
		papers, again,
		{Name: "fitness_day", Label: "Fitness statement signed on", Kind: ui.Date, Value: z.DayOf(signed).String(), Short: true},
		{Name: "fitness_at", Label: "Signed at", Kind: ui.Time, Value: v.words.Clock(signed), Short: true, Hint: "Counts only where it is ticked above. Signed before they attend."},
		{Name: "issued", Label: "Kit handed out now, by serial", Hint: "Serials with a comma between. What they hold already stands above and is not given again."}, sortField(),
		{Name: "contact", Label: "Whom to call in an emergency", Value: r.Contact},
	}
	title := "Note"
	if r.Rev > 0 {
		title = "Change"
	}
	out := v.action(s, form, title, "", here+"/arrivals", "Keep "+r.Name, fields...)
	rev := strconv.FormatInt(r.Rev, 10)
	if was := s.values.Get("rev"); was != "" && s.form == form {
		rev = was
	}
	out.Form.Label = r.Name
	out.Form.Hidden = []ui.Value{{Name: "trainee", Value: form}, {Name: "rev", Value: rev}}
	return out
}

func noteArrival(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	n := arriving.Noted{Trainee: id.Trainee(f.Get("trainee")), Rev: numberField(f, "rev"), Came: f.Get("came") == "yes", Contact: f.Get("contact"), Again: f.Get("again") == "yes"}
	for _, p := range arrival.Papers() {
		if slices.Contains(f["seen"], string(p)) {
			n.Seen = append(n.Seen, p)
		}
	}
	switch {
	case f.Get("came") == "":
		bad.Add("came", "Say whether they came.")
	case n.Came:
		n.At = v.momentFields(f, "at_day", "at", bad)
		if slices.Contains(n.Seen, arrival.Fitness) {
			n.FitnessAt = v.momentFields(f, "fitness_day", "fitness_at", bad)
		}
		for _, serial := range strings.Split(f.Get("issued"), ",") {
			if serial = strings.TrimSpace(serial); serial != "" {
				n.HandOut = append(n.HandOut, serial)
			}
		}
		n.Sort = rig.Sort(f.Get("sort"))
	}
	if err = bad.Err(); err == nil {
		err = v.Arriving.Note(v.r.Context(), v.actor, n, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.arrivals(http.StatusUnprocessableEntity, sent{string(n.Trainee), f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/intakes/"+v.param("intake")+"/arrivals", "Kept.")
}

func herePage(v *visit) error { return v.here(http.StatusOK, sent{}) }

func (v *visit) here(status int, s sent) error {
	h, err := v.Arriving.Here(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p := page.YardHere{Shell: v.page("Who is here", "yard"), Line: fmt.Sprintf("%s, %s.", web.Count(len(h.Bodies), "person", "people"), v.words.Moment(h.Now))}
	may := access.May(v.actor, access.RecordArrival)
	for _, b := range h.Bodies {
		row := page.HereRow{Name: cmp.Or(b.Name, "a name that was erased"), Part: b.Part, Seen: string(b.How) + " " + v.seenAt(b.At)}
		if b.How == arrival.InSession {
			row.Seen = "in a session since " + v.seenAt(b.At)
		}
		if b.Where != "" {
			row.Where = ui.Link{Text: "Open the session", Href: "/sessions/" + string(b.Where)}
		}
		v.hereKit(&row, b, may)
		if may && b.How != arrival.InSession && len(b.Kit) == 0 {
			row.Out = ui.Form{Action: "/yard/here/out", Key: v.freshKey(), Button: "Leaves", Unseen: row.Name, Hidden: []ui.Value{{Name: "who", Value: b.Who}}}
		}
		p.Rows = append(p.Rows, row)
	}
	if may {
		staff := ui.Field{Name: "staff", Label: "One of the staff", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}}
		for _, n := range h.Staff {
			staff.Options = append(staff.Options, ui.Option{Value: string(n.Person), Label: n.Name})
		}
		p.Fields = []ui.Field{s.field("in", ui.Field{Name: "visitor", Label: "Or a visitor: name, and whom they visit", Hint: "Left empty for one of the staff."}), s.field("in", staff)}
		slices.Reverse(p.Fields)
		p.SignIn = ui.Form{Action: "/yard/here", Key: v.freshKey(), Button: "Sign in", Errors: ui.Errors(p.Fields)}
	}
	p.Away = v.awayKit(h, may)
	for _, in := range h.Ref.Intakes.All(v.today) {
		if in.From <= v.today && v.today <= in.Until {
			p.Arrives = append(p.Arrives, ui.Link{Text: h.Ref.Text(in.Name), Href: "/intakes/" + string(in.ID) + "/arrivals"})
		}
	}
	return v.show(status, page.YardHerePage(p))
}

// seenAt is a time of today, or a day and a time.
func (v *visit) seenAt(at civil.Instant) string {
	if v.words.Zone.DayOf(at) == v.today {
		return v.words.Clock(at)
	}
	return v.words.Moment(at)
}

func signInOnYard(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	err = v.Arriving.SignIn(v.r.Context(), v.actor, id.Person(f.Get("staff")), f.Get("visitor"), v.key())
	if fields, ok := formErrors(err); ok {
		return v.here(http.StatusUnprocessableEntity, sent{"in", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/yard/here", "Signed in.")
}

func signOutOfYard(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	if err := v.Arriving.SignOut(v.r.Context(), v.actor, f.Get("who"), v.key()); err != nil {
		return err
	}
	return v.goTo("/yard/here", "Signed out.")
}

// arrivalList is what was seen of an intake's trainees; whom to call stands on the
// page alone.
func arrivalList(v *visit, t *taking) error {
	in, err := v.Arriving.Arrivals(v.r.Context(), v.actor, id.Intake(v.param("intake")))
	if err != nil {
		return err
	}
	heads := []string{"Name", "State", "Came"}
	for _, p := range arrival.Papers() {
		heads = append(heads, paperWords[p])
	}
	return v.plain(t, append(heads, "Fitness statement signed", "Kit handed out", "Trainee"), func(*records.Lists) error {
		return each(t, in.Rows, func(r arriving.Row) []any {
			row := []any{r.Name, spaced(r.Arrival.State), v.at(r.Arrival.At)}
			for _, p := range arrival.Papers() {
				at := civil.Instant(0)
				if s := *r.Arrival.Of(p); s != nil {
					at = s.At
				}
				row = append(row, v.at(at))
			}
			return append(row, v.at(r.Arrival.FitnessAt), heldList(r.Kit), string(r.Trainee.ID))
		})
	})
}
