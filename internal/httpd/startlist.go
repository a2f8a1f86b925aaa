package httpd

import (
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// missingListed is how many missing things of one part stand on the list.
const missingListed = 6

// parts names the parts of the start list and leads to their forms.
var parts = map[founding.Part]struct {
	name  string
	links []ui.Link
}{
	founding.ThePlace:   {"Yard", []ui.Link{{Text: "The yard", Href: "/set-up/yard"}}},
	founding.TheRules:   {"Rule book", []ui.Link{{Text: "Choose profiles", Href: "/set-up/rule-book"}, {Text: "Read and confirm", Href: "/rule-book/confirm"}}},
	founding.ThePeople:  {"People and what they may do", []ui.Link{{Text: "People", Href: "/set-up/people"}, {Text: "Several people at once", Href: "/set-up/team"}, {Text: "Appointments", Href: "/set-up/appointments"}}},
	founding.TheRigs:    {"Rigs and stations", []ui.Link{{Text: "Rigs", Href: "/set-up/rigs"}, {Text: "Stations", Href: "/set-up/stations"}, {Text: "Inspections", Href: "/set-up/inspections"}, {Text: "Check lists before use", Href: "/set-up/check-lists"}}},
	founding.TheMeans:   {"Zones, circuits, kits", []ui.Link{{Text: "Zones", Href: "/set-up/zones"}, {Text: "Circuits", Href: "/set-up/circuits"}, {Text: "Kits", Href: "/set-up/kits"}, {Text: "Items", Href: "/set-up/items"}}},
	founding.TheTaught:  {"What is taught", []ui.Link{{Text: "Exercises", Href: "/set-up/exercises"}, {Text: "Outcomes", Href: "/set-up/outcomes"}, {Text: "Programmes", Href: "/set-up/programmes"}, {Text: "Example curriculum", Href: "/set-up/starter"}}},
	founding.TheRescue:  {"Rescue plans and drills", []ui.Link{{Text: "Approve a rescue plan", Href: "/set-up/rescue-plans"}, {Text: "Rescue plans", Href: "/rescue"}, {Text: "Record a drill", Href: "/set-up/drills"}}},
	founding.TheIntakes: {"Intakes and trainees", []ui.Link{{Text: "Intakes", Href: "/set-up/intakes"}, {Text: "Employers", Href: "/set-up/employers"}}},
}

// setUpBeside returns the lists that stand beside one of a kind, and what comes next.
func (v *visit) setUpBeside(path string) (also []ui.Link, next ui.Link) {
	order := founding.Parts()
	for i, part := range order {
		own := slices.ContainsFunc(parts[part].links, func(l ui.Link) bool { return l.Href == "/set-up/"+path })
		if !own {
			continue
		}
		for _, l := range parts[part].links {
			if l.Href != "/set-up/"+path {
				also = append(also, l)
			}
		}
		next = ui.Link{Text: "Back to the start list", Href: "/set-up"}
		if i+1 < len(order) {
			next = ui.Link{Text: "Next: " + strings.ToLower(parts[order[i+1]].name[:1]) + parts[order[i+1]].name[1:], Href: v.firstOpen(parts[order[i+1]].links)}
		}
	}
	return also, next
}

// afterSaving is where one goes on after a thing was recorded.
func afterSaving(path, made string, a answers) string {
	switch {
	case path == "yard", path == "intakes" && a.text(rowName("name", 0)) != "":
		return "/set-up"
	case path == "intakes":
		return "/set-up/intakes/" + made + "/trainees"
	}
	return "/set-up/" + path
}

func startListPage(v *visit) error {
	list, err := v.Founder.StartList(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p := page.StartList{Shell: v.page("Set up", "set-up")}
	open := 0
	for _, part := range founding.Parts() {
		row := v.startPart(part, list.Of(part))
		if row.Level == verdict.Stops {
			open++
		}
		p.Parts = append(p.Parts, row)
	}
	p.Finding = "Nothing is missing."
	if open > 0 {
		p.Finding = web.Count(open, "part lacks something", "parts lack something") + ". Leave it at any time; it stays as far as it came."
	}
	if p.First, err = v.startFirst(list, open); err != nil {
		return err
	}
	if v.ref.Programmes.Len() == 0 {
		p.Starter = ui.Link{Text: "See the example curriculum", Href: "/set-up/starter"}
	}
	return v.show(http.StatusOK, page.StartListPage(p))
}

func (v *visit) startPart(part founding.Part, missing []founding.Missing) page.StartPart {
	out := page.StartPart{Name: parts[part].name, Have: v.counted(part), Answer: "Nothing is missing."}
	if len(missing) > 0 {
		out.Level, out.Answer = verdict.Stops, capital(web.Count(len(missing), "thing is missing", "things are missing"))+"."
	}
	for i, m := range missing {
		if i == missingListed {
			out.More = len(missing) - i
			break
		}
		out.Missing = append(out.Missing, page.StartMissing{Say: capital(v.say(m.Say)), Do: v.within(v.mendMissing(m))})
	}
	return out
}

// counted are the links of a part with how many of each there are.
func (v *visit) counted(part founding.Part) []ui.Link {
	count := map[string]int{"/set-up/people": v.ref.Staff.Len(), "/set-up/rigs": v.ref.Rigs.Len(), "/set-up/stations": v.ref.Stations.Len(), "/set-up/zones": v.ref.Zones.Len(),
		"/set-up/circuits": v.ref.Circuits.Len(), "/set-up/kits": v.ref.Kits.Len(), "/set-up/items": v.ref.Items.Len(), "/set-up/exercises": v.ref.Exercises.Len(), "/set-up/outcomes": v.ref.Outcomes.Len(),
		"/set-up/programmes": v.ref.Programmes.Len(), "/set-up/intakes": v.ref.Intakes.Len(), "/set-up/employers": v.ref.Employers.Len()}
	var out []ui.Link
	for _, l := range parts[part].links {
		if n, ok := count[l.Href]; ok {
			l.Text += " (" + web.Number(int64(n)) + ")"
		}
		out = append(out, v.within(l))
	}
	return out
}

// within is a link that the reader may follow; else it says who may.
func (v *visit) within(l ui.Link) ui.Link {
	if l.Href == "/set-up/rescue-plans" && !access.May(v.actor, access.ApproveRescuePlan) {
		return ui.Link{Text: l.Text + ": whoever answers for height and rescue does"}
	}
	return l
}

// firstOpen is the address of the first link that the reader may follow.
func (v *visit) firstOpen(links []ui.Link) string {
	for _, l := range links {
		if to := v.within(l).Href; to != "" {
			return to
		}
	}
	return "/set-up"
}

// mendMissing leads to the form that mends what is missing.
func (v *visit) mendMissing(m founding.Missing) ui.Link {
	for _, t := range things() {
		if t.kind == m.Make {
			at := "/set-up/" + t.path
			if t.kind != "person" { // the list of people begins with the reader
				at += "/new"
			}
			return ui.Link{Text: "Record " + article(t.one), Href: at}
		}
	}
	switch m.Cause {
	case rig.NotInService:
		return ui.Link{Text: "Put it in service", Href: "/rigs/" + m.Subject.ID + "?do=state#change"}
	case rig.InspectionMissing, rig.InspectionOverdue, rig.InspectionFailed:
		return ui.Link{Text: "Record it", Href: "/set-up/inspections"}
	case rig.NoRescuePlan, rig.RescuePlanLapsed, rig.RescuePlanWithdrawn:
		return ui.Link{Text: "Approve one", Href: "/set-up/rescue-plans"}
	case rig.DrillMissing, rig.DrillOverdue, rig.DrillFailed, rig.DrillSlow:
		return ui.Link{Text: "Record a drill", Href: "/set-up/drills"}
	case rig.EvidenceMissing, rig.EvidenceLapsed, rig.EvidenceRevoked:
		return ui.Link{Text: "Open its dossier", Href: dossierHref(id.Rig(m.Subject.ID))}
	case rig.IsShut:
		return ui.Link{Text: "Open it", Href: "/stations/" + m.Subject.ID}
	}
	switch m.Part {
	case founding.TheRules:
		if m.Field != "" {
			return ui.Link{Text: "Read and confirm", Href: "/rule-book/confirm"}
		}
	case founding.ThePeople:
		if m.Field != "" {
			return ui.Link{Text: "Appoint", Href: "/set-up/appointments"}
		}
	case founding.TheIntakes:
		if m.Subject.Kind == verdict.Intake {
			return ui.Link{Text: "Add trainees", Href: "/set-up/intakes/" + m.Subject.ID + "/trainees"}
		}
	}
	lists := map[verdict.RefKind]string{verdict.Rig: "rigs", verdict.Station: "stations", verdict.Kit: "kits", verdict.Exercise: "exercises", verdict.Person: "people"}
	if at, ok := lists[m.Subject.Kind]; ok && m.Part != founding.ThePeople {
		return ui.Link{Text: "Open its form", Href: "/set-up/" + at + "/" + m.Subject.ID}
	}
	if m.Part == founding.ThePeople {
		return ui.Link{Text: "Record papers", Href: "/set-up/people"}
	}
	return parts[m.Part].links[0]
}

// startFirst asks the booking desk whether a first session can be booked: the same
// question as the form to book asks, for what intakes need first.
func (v *visit) startFirst(list founding.StartList, open int) (page.StartFirst, error) {
	if list.Booked {
		return page.StartFirst{Plain: true, Answer: "Sessions are booked. The yard works.", Book: ui.Link{Text: "Open the week", Href: "/week"}}, nil
	}
	out := page.StartFirst{Level: verdict.Stops, Answer: "No session can be booked yet.", Note: "Here will stand the first time that the rules allow, once there is an intake with trainees, an exercise they need, a station and staff for it."}
	for _, ask := range list.Asks {
		for _, e := range ask.Exercises {
			o, err := v.Desk.Options(v.r.Context(), v.actor, booking.Ask{Exercise: e, Intake: ask.Intake})
			if fault.Of(err) == fault.Invalid || fault.Of(err) == fault.NotFound {
				continue
			}
			if err != nil {
				return out, err
			}
			if len(o.Offers) > 0 {
				first := o.Offers[0].Session
				name := v.exerciseName(e, v.today)
				out = page.StartFirst{Answer: "A first session can be booked: " + v.words.Moment(first.Start) + " " + name + ".",
					Book: ui.Link{Text: "Book " + name, Href: "/book?exercise=" + string(e) + "&intake=" + string(ask.Intake)}}
				if open > 0 {
					out.Note = "Not everything can: what is missing stands on the list."
				}
				return out, nil
			}
			if len(out.Why) == 0 {
				out.Why, out.Note = v.startRefusals(o), "The rules were asked for "+v.exerciseName(e, v.today)+":"
			}
		}
	}
	return out, nil
}

// startRefusals are what the rules say of the first time that was tried, and of
// trainees who may not take part.
func (v *visit) startRefusals(o booking.Options) []ui.Finding {
	var list []verdict.Finding
	seen := map[string]bool{}
	add := func(of []verdict.Finding) {
		for _, f := range of {
			if words := f.Rule + f.Found.In(v.styleOf(o.Slice)); !seen[words] && len(list) < missingListed {
				seen[words] = true
				list = append(list, f)
			}
		}
	}
	for _, m := range o.Group {
		add(m.Why)
	}
	if len(o.Refused) > 0 {
		add(o.Refused[0].Report.At(verdict.Stops))
	}
	return v.findings(o.Slice, list)
}

// waitingSetUp leads to the start list as long as a whole kind of record lacks
// without which nothing is booked.
func (v *visit) waitingSetUp() []page.YardWaiting {
	ref := v.ref
	whole := ref.RuleBooks.Len() > 0 && ref.Stations.Len() > 0 && ref.Exercises.Len() > 0 && ref.Staff.Len() > 0 && ref.Intakes.Len() > 0
	if whole || !v.mayOpen("set-up") {
		return nil
	}
	return []page.YardWaiting{{Text: ui.Link{Text: "The yard is not set up yet", Href: "/set-up"}, Note: "The start list says what is missing."}}
}
