package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// sent is a form that came back with messages: which one, what was typed.
type sent struct {
	form   string
	values url.Values
	bad    fault.Fields
}

// field fills a field with what was typed and its message, if its form was the
// one sent.
func (s sent) field(form string, f ui.Field) ui.Field {
	f.ID = form + "-" + f.Name
	if s.form != form {
		return f
	}
	f.Value, f.Error = s.values.Get(f.Name), s.bad[f.Name]
	for i := range f.Options {
		f.Options[i].Chosen = f.Options[i].Value == f.Value || f.Kind == ui.Checkboxes && slices.Contains(s.values[f.Name], f.Options[i].Value)
	}
	return f
}

// action is a folded form; its message summary stands above it.
func (v *visit) action(s sent, form, title, note, address, button string, fields ...ui.Field) page.Action {
	a := page.Action{Title: title, Note: note, Open: v.r.URL.Query().Get("do") == form, Form: ui.Form{Action: address, Key: v.freshKey(), Button: button}}
	for _, f := range fields {
		a.Fields = append(a.Fields, s.field(form, f))
	}
	a.Form.Errors = ui.Errors(a.Fields)
	if s.form == form && s.bad[""] != "" {
		a.Form.Errors = append(a.Form.Errors, ui.FieldError{Text: s.bad[""]})
	}
	return a
}

func rigPage(v *visit) error { return v.rigSheet(http.StatusOK, id.Rig(v.param("rig")), sent{}) }

func (v *visit) rigSheet(status int, rid id.Rig, s sent) error {
	r, err := v.Yard.Rig(v.r.Context(), v.actor, rid)
	if err != nil {
		return err
	}
	name := v.ref.Text(r.Rig.Name)
	p := page.Rig{Shell: v.page(name, "yard"), Name: name, Line: rigLine(r.Rig, name)}
	if len(r.Why) > 0 {
		p.Level, p.Causes = verdict.Stops, v.stopCauses(r.Why)
	}
	p.Do = append(v.changeLinks(ui.Link{Text: "Change this rig", Href: "/set-up/rigs/" + string(rid)}), ui.Link{Text: "Conversion dossier", Href: dossierHref(rid)}, ui.Link{Text: "Engineering sums", Href: "/sums"})
	p.Facts = []ui.Fact{fact("State", rigState(r.Rig.State)), fact("People at once", headCount(r.Rig.PeopleMax))}
	p.Facts = append(p.Facts, v.rigCircuits(r)...)
	t, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p.Map, p.MapSay = chart.Elevation(v.elevation(t), chart.Options{Width: elevationMap}), "The yard from the side, stations by their numbers."
	marks := marksOf(t)
	for _, st := range r.Stations {
		p.Stations = append(p.Stations, v.rigStation(r, st, marks[st.Station.ID]))
	}
	p.Inspections = v.inspections(r, r.Checks)
	p.States = v.rigStates(rid)
	p.Kits = v.kits(r)
	if asked := planning.Required(v.ref, string(rid), v.today); access.May(v.actor, access.RecordInspection) && len(asked) > 0 {
		p.Actions = append(p.Actions, v.inspectionAction(s, string(rid), asked))
	}
	if access.May(v.actor, access.ChangeRigState) {
		p.Actions = append(p.Actions, v.rigStateAction(s, r.Rig))
	}
	p.Quarantine, p.Quarantines = v.quarantines(s, verdict.Ref{Kind: verdict.Rig, ID: string(rid)}, r.Names)
	p.Shell.TakeOut = v.takeOut("inspections", "subject", string(rid))
	return v.show(status, page.RigPage(p))
}

// rigLine says of what kind a rig is, unless its name does, how high and in what
// state.
func rigLine(r rig.Rig, name string) string {
	kind := capital(strings.ReplaceAll(string(r.Kind), "-", " ")) + ", "
	if strings.EqualFold(kind, name+", ") {
		kind = ""
	}
	return kind + web.Metres(r.Drawing.Height) + " m high, " + rigState(r.State)
}

func headCount(n int) string {
	if n == 0 {
		return "not stated"
	}
	return "at most " + web.Count(n, "person", "people")
}

func (v *visit) rigStation(r yardday.RigPage, st yardday.StationPage, mark string) page.RigStation {
	out := page.RigStation{Mark: mark, Name: v.stationLink(st.Station), State: "may be used", Places: fmt.Sprint(st.Station.Places)}
	for _, x := range st.Causes {
		if x.Holds(r.Now) {
			out.Level, out.State = verdict.Stops, v.stopWords(x.Cause)
			break
		}
	}
	return out
}

// stationCauses tells each cause that holds for a station now with the way back:
// those of the yard's records one by one, and of the rule book.
func (v *visit) stationCauses(st yardday.StationPage, now civil.Instant) []page.StopCause {
	out := v.stopCauses(st.Why)
	for _, x := range st.Causes {
		if x.Holds(now) && (x.Cause.Kind == "" || len(out) == 0) {
			out = append(out, page.StopCause{Say: capital(v.say(x.Cause.Say)), Back: ui.Link{Text: "the rule book is confirmed for its time", Href: "/rule-book"}})
		}
	}
	return out
}

func (v *visit) stopCauses(causes []rig.Cause) []page.StopCause {
	var out []page.StopCause
	for _, c := range causes {
		out = append(out, page.StopCause{Say: capital(v.say(c.Say())), Back: v.wayBack(c), By: v.limitOf(c)})
	}
	return out
}

// wayBack says what brings a rig or station back in use, and leads there where
// the reader may do it.
func (v *visit) wayBack(c rig.Cause) ui.Link {
	at := thingPath[c.Subject.Kind]
	may := func(a access.Action, text, href string) ui.Link {
		if at == "" || !access.May(v.actor, a) {
			return ui.Link{Text: text}
		}
		return ui.Link{Text: text, Href: at + c.Subject.ID + href}
	}
	switch c.Kind {
	case rig.IsShut:
		return may(access.OpenStation, "open it once its reason is gone", "#shut")
	case rig.NotInService:
		return may(access.ChangeRigState, "a responsible person puts it in service", "?do=state#change")
	case rig.InspectionMissing, rig.InspectionOverdue, rig.InspectionFailed:
		return may(access.RecordInspection, "record an inspection that passes", "?do=inspection&line="+url.QueryEscape(c.Line)+"#change")
	case rig.AfterStorm:
		return may(access.RecordInspection, "record an inspection, done after the storm, that passes", "?do=inspection&line="+rig.StormLine+"#change")
	case rig.NoRescuePlan, rig.RescuePlanLapsed, rig.RescuePlanWithdrawn:
		return may(access.ApproveRescuePlan, v.whoAccepts(verdict.HeightRescue)+" approves a version of the rescue plan", "?do=plan#change")
	case rig.DrillMissing, rig.DrillOverdue, rig.DrillFailed, rig.DrillSlow:
		if !access.May(v.actor, access.RecordDrill) {
			return ui.Link{Text: "an accepted drill of the rescue plan is recorded"}
		}
		return ui.Link{Text: "record an accepted drill of the rescue plan", Href: "/set-up/drills"}
	case rig.Quarantined:
		return ui.Link{Text: v.whoAccepts(verdict.HeightRescue) + " or another responsible person lifts the quarantine", Href: "/quarantines/" + string(c.Quarantine)}
	case rig.ItemTooOld:
		return ui.Link{Text: "never: it is taken out of use, and another item takes its place", Href: at + c.Subject.ID}
	case rig.NoItem, rig.NoPiece:
		return ui.Link{Text: "its items are on record, and each may be used", Href: at + c.Subject.ID}
	case rig.EvidenceMissing, rig.EvidenceLapsed, rig.EvidenceRevoked:
		return ui.Link{Text: "its dossier is complete again", Href: dossierHref(id.Rig(c.Subject.ID))}
	case rig.KitOutOfDate:
		return ui.Link{Text: "the kit is replaced or passed again, and its record has a later last day"}
	case rig.NotStated:
		return ui.Link{Text: "what is missing is stated in its record"}
	}
	return ui.Link{}
}

func (v *visit) inspections(r yardday.RigPage, checks []planning.Check) []page.Inspection {
	return v.checkRows(checks, r.Names)
}

func (v *visit) checkRows(checks []planning.Check, names map[id.Person]string) []page.Inspection {
	var out []page.Inspection
	for _, c := range checks {
		row := page.Inspection{What: capital(rulebook.Line{ID: c.LineID}.Subject()), Every: c.Interval, Last: "none recorded"}
		if c.Last.ID != "" {
			row.Last = v.words.Day(c.Last.Done) + ", " + passed(c.Last.Passed) + ", " + names[c.Last.By]
		}
		if c.Due != nil {
			row.Due, row.Left = v.words.Day(c.Due.Last), v.words.Due(c.Due.Last)
			if c.Due.Soon(v.today) {
				row.Level = verdict.Cautions
			}
		}
		if c.Cause != nil {
			row.Level, row.Left = verdict.Stops, v.say(c.Cause)
		}
		if access.May(v.actor, access.RecordInspection) {
			row.Record = ui.Link{Text: "Record", Href: "?do=inspection&line=" + url.QueryEscape(c.LineID) + "#change"}
		}
		out = append(out, row)
	}
	return out
}

func passed(ok bool) string {
	if ok {
		return "passed"
	}
	return "failed"
}

func (v *visit) rigStates(rid id.Rig) []page.RigState {
	var out []page.RigState
	versions := v.ref.Rigs.Versions(rid)
	for i := len(versions) - 1; i >= 0; i-- {
		if i > 0 && versions[i].Value.State == versions[i-1].Value.State {
			continue
		}
		out = append(out, page.RigState{State: rigState(versions[i].Value.State), From: v.words.Day(versions[i].From), Entry: web.Number(versions[i].Entry)})
	}
	return out
}

// kits lists the rescue kits of a rig's stations.
func (v *visit) kits(r yardday.RigPage) []page.Kit {
	var out []page.Kit
	seen := map[id.Kit]bool{}
	for _, st := range r.Stations {
		if st.Station.Rescue == nil || st.Station.Rescue.Kit == "" || seen[st.Station.Rescue.Kit] {
			continue
		}
		seen[st.Station.Rescue.Kit] = true
		k, _ := v.ref.Kits.On(st.Station.Rescue.Kit, v.today)
		out = append(out, v.kit(k, "rescue on this rig"))
	}
	return out
}

func (v *visit) kit(k rig.Kit, needed string) page.Kit {
	out := page.Kit{Name: v.kitLink(k.ID), Until: v.words.Day(k.LastValid), Left: v.words.DaysLeft(k.LastValid), Needed: needed}
	switch {
	case k.LastValid == 0:
		out.Level, out.Until, out.Left = verdict.Stops, "not stated", "stops"
	case k.LastValid < v.today:
		out.Level = verdict.Stops
	}
	return out
}

func (v *visit) inspectionAction(s sent, subject string, lines []string) page.Action {
	var options []ui.Option
	for _, l := range lines {
		options = append(options, ui.Option{Value: l, Label: capital(rulebook.Line{ID: l}.Subject()), Chosen: l == v.r.URL.Query().Get("line")})
	}
	a := v.action(s, "inspection", "Record an inspection", "A failed inspection stops what depends on it at once.", "/inspections", "Record the inspection",
		ui.Field{Name: "line", Label: "Inspection", Kind: ui.Select, Options: options, Required: true},
		ui.Field{Name: "done", Label: "Done on", Kind: ui.Date, Value: v.today.String(), Required: true, Short: true},
		ui.Field{Name: "done_time", Label: "Ended at", Kind: ui.Time, Value: v.words.Clock(v.now), Short: true, Hint: "Tells two of one day apart. Without it, one that failed counts as the later."},
		ui.Field{Name: "result", Label: "Result", Kind: ui.Radio, Required: true, Options: []ui.Option{{Value: "passed", Label: "Passed"}, {Value: "failed", Label: "Failed"}}},
		ui.Field{Name: "note", Label: "Note", Kind: ui.Area})
	a.Form.Hidden = []ui.Value{{Name: "subject", Value: subject}}
	return a
}

func (v *visit) rigStateAction(s sent, r rig.Rig) page.Action {
	var options []ui.Option
	for _, st := range keeping.RigStates() {
		options = append(options, ui.Option{Value: string(st), Label: capital(rigState(st)), Chosen: st == r.State})
	}
	return v.action(s, "state", "Put in or out of service", "Out of service stops every booking on this rig.", "/rigs/"+string(r.ID)+"/state", "Set the state",
		ui.Field{Name: "state", Label: "State", Kind: ui.Select, Options: options, Value: string(r.State), Required: true})
}

func setRigState(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	rid := id.Rig(v.param("rig"))
	err = v.Keeper.SetRigState(v.r.Context(), v.actor, rid, rig.State(f.Get("state")), v.key())
	if bad, ok := formErrors(err); ok {
		return v.rigSheet(http.StatusUnprocessableEntity, rid, sent{"state", f, bad})
	}
	if err != nil {
		return err
	}
	return v.goTo("/rigs/"+string(rid), "The state is set.")
}

// recordInspection records an inspection of a rig, station, kit or item.
func recordInspection(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	in := keeping.Inspecting{Subject: f.Get("subject"), Line: f.Get("line"), Done: dayField(f, "done", bad), Passed: f.Get("result") == "passed", Note: f.Get("note")}
	if f.Get("done_time") != "" {
		in.At = v.momentFields(f, "done", "done_time", bad)
	}
	if r := f.Get("result"); r != "passed" && r != "failed" {
		bad.Add("result", "Say whether it passed or failed.")
	}
	if err = bad.Err(); err == nil {
		err = v.Keeper.Inspect(v.r.Context(), v.actor, in, v.key())
	}
	of, known := planning.Thing(v.ref, in.Subject, v.today)
	if fields, ok := formErrors(err); ok {
		if !known {
			return fault.New(fault.NotFound, "There is no such rig, station, kit or item.")
		}
		return v.thingSheet(http.StatusUnprocessableEntity, of, sent{"inspection", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo(thingPath[of.Kind]+in.Subject, "Inspection recorded.")
}
