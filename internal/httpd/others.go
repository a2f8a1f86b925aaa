package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// trialWords says what a trial is for.
func trialWords(t session.Trial) string {
	switch t {
	case session.TrialDrill:
		return "trial: drill"
	case session.TrialAudit:
		return "trial: mock for an audit"
	}
	return "trial"
}

// trialSay heads a trial session; "" for one that credits.
func trialSay(s session.Session) string {
	if !s.Trial {
		return ""
	}
	return strings.Replace(capital(trialWords(s.TrialOf)), "Trial", "Trial session", 1)
}

func trialOptions(chosen session.Trial) []ui.Option {
	out := []ui.Option{{Label: "Training"}}
	for _, t := range session.Trials() {
		out = append(out, ui.Option{Value: string(t), Label: capital(trialWords(t)), Chosen: t == chosen})
	}
	return out
}

// takenSay says how many places of a station a session takes: "6 of 8 places, 1 of
// them for an observer".
func takenSay(s session.Session, places int) string {
	out := fmt.Sprintf("%d of %s", len(s.Trainees)+len(s.Others), web.Count(places, "place", "places"))
	if n := len(s.Others); n > 0 {
		out += ", " + strconv.Itoa(n) + " for others"
	}
	return out
}

// placesWord is who takes the places of a station.
func placesWord(f planning.Figures) string {
	if f.Others == 0 {
		return "Trainees"
	}
	return "Trainees and others"
}

// peopleThere counts who may have to be brought down.
func peopleThere(s session.Session) string {
	out := []string{web.Count(len(s.Trainees), "trainee", "trainees")}
	if n := len(s.Others); n > 0 {
		out = append(out, web.Count(n, "other", "others"))
	}
	return web.List(append(out, fmt.Sprintf("%d of the staff", len(s.Instructors)+len(s.Rescuers))))
}

// othersForm is the form about the others that was sent and refused.
type othersForm struct {
	refused string
	values  url.Values
	bad     fault.Fields
}

// sessionOthers offers to let others join and leave a session that is still to run.
func (v *visit) sessionOthers(sheet booking.Sheet, sent othersForm) page.SessionOthers {
	s := sheet.Value
	if !booking.Waiting(s) || s.Start <= v.now || !access.May(v.actor, access.ChangePeople) {
		return page.SessionOthers{}
	}
	form := func(button string, more ...ui.Value) ui.Form {
		return ui.Form{Action: "/sessions/" + string(s.ID) + "/others", Key: v.freshKey(), Button: button,
			Hidden: append([]ui.Value{{Name: "rev", Value: fmt.Sprint(sheet.Rev)}, {Name: "seen", Value: fmt.Sprint(v.head)}}, more...)}
	}
	var out page.SessionOthers
	for _, p := range s.Others {
		out.Leave = append(out.Leave, form("Take out "+sheet.Persons[p], ui.Value{Name: "leave", Value: string(p)}))
	}
	in := slices.Concat(s.Instructors, s.Rescuers, s.Others)
	out.Fields = v.otherFields(in, sent.values, sent.bad)
	add := form("Let them join")
	if add.Errors = ui.Errors(out.Fields); sent.refused != "" {
		add.Errors = append(add.Errors, ui.FieldError{Text: sent.refused})
	}
	out.Join, out.Open = &add, len(add.Errors) > 0
	return out
}

// otherFields ask who joins, and in what part.
func (v *visit) otherFields(in []id.Person, typed url.Values, bad fault.Fields) []ui.Field {
	who := ui.Field{Name: "person", ID: "other-person", Label: "One of the staff", Kind: ui.Select, Options: []ui.Option{{Label: "Nobody"}}, Error: bad["person"]}
	for _, st := range v.ref.Staff.All(v.today) {
		if !slices.Contains(in, st.ID) {
			who.Options = append(who.Options, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID), Chosen: typed.Get("person") == string(st.ID)})
		}
	}
	name := ui.Field{Name: "visitor", ID: "other-name", Label: "Or somebody else, by name", Value: typed.Get("visitor"), Error: bad["visitor"]}
	as := ui.Field{Name: "as", ID: "other-as", Label: "As", Kind: ui.Select, Required: true, Error: bad["as"]}
	for _, x := range session.OtherParts() {
		as.Options = append(as.Options, ui.Option{Value: string(x), Label: otherWords[x], Chosen: typed.Get("as") == string(x)})
	}
	return []ui.Field{who, name, as}
}

var otherWords = map[session.OtherPart]string{session.Observer: "observer", session.Candidate: "candidate, learns to instruct",
	session.Auditor: "auditor", session.Visitor: "visitor"}

func changeOthers(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sid := id.Session(v.param("session"))
	c := booking.OtherChange{Join: id.Person(f.Get("person")), Leave: id.Person(f.Get("leave")), Visitor: strings.TrimSpace(f.Get("visitor")), As: session.OtherPart(f.Get("as"))}
	done, err := v.Desk.ChangeOthers(v.r.Context(), v.actor, sid, numberField(f, "rev"), c, v.send(f))
	fields, refused := formErrors(err)
	if err != nil && !refused {
		return err
	}
	if !refused && done.Refused == nil {
		return v.goTo("/sessions/"+string(sid)+"#others", map[bool]string{true: "Taken out.", false: "Joined: they take a place."}[c.Leave != ""])
	}
	sent := othersForm{values: f, bad: fields}
	if done.Refused != nil {
		sent.refused = "Not changed. " + v.firstStop(done.Refused)
	}
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, sid)
	if err != nil {
		return err
	}
	return v.session(http.StatusUnprocessableEntity, sheet, acceptForm{}, sent)
}

// others notes on the roll in what part each of them is there.
func others(s session.Session, list []page.RunPerson) []page.RunPerson {
	for i, p := range s.Others {
		list[i].Note = strings.TrimPrefix(strings.TrimSuffix(string(s.OtherPart(p))+", "+list[i].Note, ", "), ", ")
	}
	return list
}

// runAdd offers those who are not in the session: the staff, and whoever is known by
// name alone.
func (v *visit) runAdd(shown running.Shown, f ui.Form, sent ran) *page.RunFold {
	s := shown.Session
	who := ui.Field{Name: "person", Label: "Who", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}}
	for _, st := range v.ref.Staff.All(v.today) {
		if !slices.Contains(slices.Concat(s.Instructors, s.Rescuers, s.Others), st.ID) {
			who.Options = append(who.Options, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID), Chosen: sent.of("swap", "person") == string(st.ID)})
		}
	}
	name := ui.Field{Name: "visitor", ID: "swap-name", Label: "Or somebody who is not of the staff, by name", Value: sent.of("swap", "visitor"), Hint: "An observer, a candidate, an auditor or a visitor."}
	part := ui.Field{Name: "part", Label: "As", Kind: ui.Select, Required: true}
	option := func(value, label string) {
		part.Options = append(part.Options, ui.Option{Value: value, Label: label, Chosen: sent.of("swap", "part") == value})
	}
	option(string(session.AsInstructor), "instructor")
	option(string(session.AsRescuer), "standby rescuer")
	for _, x := range session.OtherParts() {
		option(string(session.AsOther)+":"+string(x), otherWords[x])
	}
	at := ui.Field{Name: "at", ID: "swap-at", Label: "Since", Kind: ui.Time, Short: true, Hint: "Empty for now.", Value: sent.of("swap", "at")}
	return fold("Somebody else takes part…", f, sent, "swap", who, name, part, at)
}

// comerOf reads who comes to the rig. What a phone kept before parts had names says
// only that they are one of the others.
func comerOf(f url.Values) running.Comer {
	part, as, said := strings.Cut(f.Get("part"), ":")
	if part == string(session.AsOther) && !said {
		as = string(session.Observer)
	}
	return running.Comer{Person: id.Person(f.Get("person")), Visitor: f.Get("visitor"), Part: session.Part(part), As: session.OtherPart(as)}
}
