package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/dossiers"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/safekeeping"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// dossierRoutes are a converted rig's way to service.
func dossierRoutes() []route {
	return []route{
		{get, "/rigs/{rig}/dossier", access.SeeStation, dossierPage},
		{get, "/rigs/{rig}/dossier/{point}", access.SeeStation, evidencePage},
		{post, "/rigs/{rig}/dossier/{point}", access.PutInEvidence, putInEvidence},
		{get, "/evidence/{evidence}/file", access.SeeStation, evidenceFile},
		{post, "/evidence/{evidence}/accept", access.AcceptEvidence, acceptEvidence},
		{post, "/evidence/{evidence}/refuse", access.AcceptEvidence, refuseEvidence},
		{post, "/evidence/{evidence}/revoke", access.AcceptEvidence, revokeEvidence},
	}
}

func dossierHref(r id.Rig) string { return "/rigs/" + string(r) + "/dossier" }

func pointHref(r id.Rig, i rig.Point) string { return dossierHref(r) + "/" + string(i) }

func dossierPage(v *visit) error {
	all, err := v.Dossiers.One(v.r.Context(), v.actor, id.Rig(v.param("rig")))
	if err != nil {
		return err
	}
	v.standAt(all.Head, all.Ref)
	one := all.Dossiers[0]
	name := v.ref.Text(one.Rig.Name)
	p := page.Dossier{Shell: v.page("Conversion dossier of "+name, "yard"), Over: ui.Link{Text: name, Href: "/rigs/" + string(one.Rig.ID)}, State: v.dossierState(one)}
	next := false
	for _, i := range one.Points {
		row := v.dossierItem(one.Rig.ID, i)
		if i.State != rig.PointStands && !next {
			next, row.Do = true, nextStep(i)
		}
		p.Points = append(p.Points, row)
	}
	p.Unlocks, p.Gives = v.unlocks(all.Unlocks)
	p.Shell.TakeOut = v.takeOut("dossiers")
	return v.show(http.StatusOK, page.DossierPage(p))
}

// dossierItem is a point with how it stands and what waits there.
func (v *visit) dossierItem(of id.Rig, i dossiers.Point) page.DossierItem {
	row := page.DossierItem{Name: ui.Link{Text: capital(i.Point.Name()), Href: pointHref(of, i.Point)}}
	row.Level, row.State = v.pointState(i)
	if n := len(i.Waiting()); n > 0 {
		row.Waits = capital(web.Count(n, "paper waits", "papers wait")) + " for acceptance."
	}
	return row
}

// attentionDossiers lists the points that ask something of somebody, by rig.
func (v *visit) attentionDossiers() ([]page.AttentionDossier, error) {
	all, err := v.Dossiers.Asking(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	var out []page.AttentionDossier
	for _, one := range all.Dossiers {
		d := page.AttentionDossier{Rig: ui.Link{Text: v.ref.Text(one.Rig.Name), Href: dossierHref(one.Rig.ID)}, Says: dossierInLine(v.dossierState(one))}
		for _, i := range one.Points {
			if i.Asks(all.Today) {
				d.Points = append(d.Points, v.dossierItem(one.Rig.ID, i))
			}
		}
		out = append(out, d)
	}
	return out, nil
}

// dossierInLine is a dossier's state as one line of text.
func dossierInLine(n ui.Notice) string {
	if n.Word == "" {
		return n.Text
	}
	return n.Word + ": " + n.Text
}

// coverageShut lists the rigs that are not in service with what each would give.
func (v *visit) coverageShut() ([]page.CoverageShut, error) {
	list, err := v.Dossiers.NotInService(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	var out []page.CoverageShut
	for _, x := range list {
		_, gives := v.unlocks(x.Unlocks)
		out = append(out, page.CoverageShut{Rig: ui.Link{Text: v.ref.Text(x.Rig.Name), Href: dossierHref(x.Rig.ID)}, Says: dossierInLine(v.dossierState(x.Dossier)), Gives: gives})
	}
	return out, nil
}

// dossierState says what the dossier and the rig's recorded state come to.
func (v *visit) dossierState(d dossiers.Dossier) ui.Notice {
	n := ui.Notice{Level: verdict.Stops, Word: "In conversion"}
	switch {
	case len(d.Points) == 0:
		return ui.Notice{Plain: true, Text: "No dossier is asked. It is " + rigState(d.Rig.State) + "."}
	case d.Says == rig.InConversion:
		n.Text = fmt.Sprintf("%d of %d points "+plural(d.Open(), "lacks", "lack")+" accepted evidence. Every booking on its stations stops.", d.Open(), len(d.Points))
	case d.Says == rig.Withdrawn:
		var open []string
		for _, i := range d.Points {
			if i.State != rig.PointStands {
				open = append(open, i.Point.Name())
			}
		}
		n.Word, n.Text = "Withdrawn", fmt.Sprintf("%d of %d points lapsed or were revoked: %s. Every booking on its stations stops.", len(open), len(d.Points), web.List(open))
	case d.Rig.State == rig.InConversion || d.Rig.State == rig.Withdrawn:
		n.Word, n.Text = capital(rigState(d.Rig.State)), "The dossier is complete. A responsible person decides whether it goes into service."
		n.Link = ui.Link{Text: "Put in or out of service", Href: "/rigs/" + string(d.Rig.ID) + "?do=state#change"}
	default:
		return ui.Notice{Plain: true, Text: fmt.Sprintf("%s: all %d points stand.", capital(rigState(d.Rig.State)), len(d.Points))}
	}
	return n
}

// pointState is how a point stands, in words.
func (v *visit) pointState(i dossiers.Point) (verdict.Level, string) {
	until := v.words.Day(i.PointStanding.Evidence.Until)
	switch {
	case i.State == rig.PointLapsed:
		return verdict.Stops, "lapsed on " + v.words.Day(i.Since)
	case i.State == rig.PointRevoked:
		return verdict.Stops, "revoked on " + v.words.Day(i.Since)
	case i.State == rig.PointMissing:
		return verdict.Stops, "nothing accepted"
	case i.Soon(v.today):
		return verdict.Cautions, "stands until " + until + ", " + v.words.Due(i.PointStanding.Evidence.Until)
	}
	return verdict.Clear, "stands until " + until
}

func nextStep(i dossiers.Point) string {
	if len(i.Waiting()) > 0 {
		return "somebody who did not put it in looks at the paper and accepts it."
	}
	return "put in evidence."
}

// unlocks lists what a rig gives, and says it in one line.
func (v *visit) unlocks(list []dossiers.Unlock) (rows []page.DossierUnlock, says string) {
	all, only := map[id.Outcome]bool{}, 0
	for _, u := range list {
		rows = append(rows, page.DossierUnlock{Station: v.stationLink(u.Station), Exercise: v.ref.Text(u.Exercise.Name),
			Says: fmt.Sprintf("%s, %d of them nowhere else; at most %s a week", web.Count(len(u.Exercise.Outcomes), "outcome", "outcomes"), len(u.Only), web.Count(u.Places, "place", "places"))})
		for _, o := range u.Exercise.Outcomes {
			all[o] = true
		}
	}
	seen := map[id.Outcome]bool{}
	for _, u := range list {
		for _, o := range u.Only {
			if !seen[o] {
				seen[o], only = true, only+1
			}
		}
	}
	return rows, capital(web.Count(len(all), "outcome", "outcomes")) + ", " + web.Number(int64(only)) + " of them nowhere else today."
}

func evidencePage(v *visit) error {
	return v.evidenceSheet(http.StatusOK, id.Rig(v.param("rig")), rig.Point(v.param("point")), sent{})
}

func (v *visit) evidenceSheet(status int, of id.Rig, point rig.Point, s sent) error {
	all, err := v.Dossiers.One(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	v.standAt(all.Head, all.Ref)
	one, ok := all.Dossiers[0].Point(point)
	if !ok {
		return fault.New(fault.NotFound, "The dossier of this rig does not ask for that.")
	}
	name := v.ref.Text(all.Dossiers[0].Rig.Name)
	p := page.Evidence{Shell: v.page(capital(point.Name())+", "+name, "yard"), Title: capital(point.Name()),
		Over: ui.Link{Text: "Conversion dossier of " + name, Href: dossierHref(of)}, Holds: point.Holds()}
	level, state := v.pointState(one)
	p.State = ui.Notice{Level: level, Plain: level == verdict.Clear, Text: capital(state) + "."}
	for _, e := range one.Evidence {
		p.Papers = append(p.Papers, v.evidencePaper(all, one, e, s))
	}
	if access.May(v.actor, access.PutInEvidence) {
		p.Add = v.evidenceForm(of, point, s)
	}
	return v.show(status, page.EvidencePage(p))
}

func (v *visit) evidencePaper(all dossiers.Page, i dossiers.Point, e rig.Evidence, s sent) page.EvidencePaper {
	text := func(c id.Commitment) string { return cmp.Or(v.ref.Text(c), "erased") }
	p := page.EvidencePaper{Title: "Done " + v.words.Day(e.Done), File: ui.Link{Text: "Download " + cmp.Or(v.ref.Text(e.File.Name), "the file"), Href: "/evidence/" + string(e.ID) + "/file"},
		Size: strings.TrimPrefix(e.File.Type.Ending(), ".") + ", " + safekeeping.InBytes(int64(e.File.Bytes))}
	p.Level, p.State = v.paperState(all, i, e)
	p.Facts = []ui.Fact{fact("Done by", text(e.By)), fact("By authority of", text(e.Authority)), fact("Good until", v.words.Day(e.Until))}
	for _, f := range e.Facts {
		p.Facts = append(p.Facts, fact(f.Asked, text(f.Text)))
	}
	p.Facts = append(p.Facts, fact("Put in", v.words.Moment(e.PutIn.At)+" by "+all.Names[e.PutIn.By]), fact("File", text(e.File.Name)), fact("SHA-256", e.File.Hash[:16]+"…"))
	for _, w := range []*rig.EvidenceWord{e.Refused, e.Revoked} {
		if w != nil {
			p.Facts = append(p.Facts, fact("Why", text(w.Why)))
		}
	}
	if !access.May(v.actor, access.AcceptEvidence) {
		return p
	}
	here := "/evidence/" + string(e.ID)
	decide := func(act, title, note, button string, fields ...ui.Field) {
		a := v.action(s, act+string(e.ID), title, note, here+"/"+act, button, fields...)
		p.Decide = append(p.Decide, a)
	}
	why := ui.Field{Name: "why", Label: "Why", Kind: ui.Area, Required: true}
	switch {
	case e.Waits() && e.PutIn.By == v.actor.Person:
		p.Note = "You put it in: somebody else who answers for a field accepts it."
		if s.form == "accept"+string(e.ID) {
			p.Level, p.State = verdict.Stops, "not accepted. "+s.bad["looked"]
		}
		decide("refuse", "Refuse it", "It stays on record as refused.", "Refuse it", why)
	case e.Waits():
		decide("accept", "Accept it", "You say that it shows what this point asks.", "Accept it", tick("looked", "I opened the file, and it shows what is written here"))
		decide("refuse", "Refuse it", "It stays on record as refused.", "Refuse it", why)
	case e.Stands() && e.Revoked == nil:
		decide("revoke", "Revoke it", "Every booking on this rig’s stations stops from today on.", "Revoke it", why)
	}
	return p
}

// paperState is what became of one paper.
func (v *visit) paperState(all dossiers.Page, i dossiers.Point, e rig.Evidence) (verdict.Level, string) {
	by := func(w *rig.EvidenceWord) string { return v.words.Moment(w.At) + " by " + all.Names[w.By] }
	switch {
	case e.Refused != nil:
		return verdict.Clear, "refused " + by(e.Refused)
	case e.Revoked != nil:
		return verdict.Stops, "revoked " + by(e.Revoked)
	case e.Accepted == nil:
		return verdict.Cautions, "waits for acceptance"
	case !e.Stands():
		return verdict.Stops, "accepted by the one who put it in: it counts nowhere"
	case i.PointStanding.Evidence.ID != e.ID:
		return verdict.Clear, "accepted " + by(e.Accepted) + "; a newer one stands in its place"
	case i.State == rig.PointLapsed:
		return verdict.Stops, "lapsed on " + v.words.Day(i.Since) + "; accepted " + by(e.Accepted)
	}
	return verdict.Clear, "accepted " + by(e.Accepted)
}

// evidenceForm is the form that puts a paper in.
func (v *visit) evidenceForm(of id.Rig, point rig.Point, s sent) *page.EvidenceForm {
	fields := []ui.Field{
		{Name: "done", Label: "Done on", Kind: ui.Date, Required: true, Short: true},
		{Name: "until", Label: "Good until", Kind: ui.Date, Required: true, Short: true, Hint: "The last day. From the next day on the rig stops."},
		{Name: "by", Label: "Who did it", Required: true},
		{Name: "authority", Label: "By which authority", Required: true, Hint: "A title, a registration, an appointment."},
	}
	for n, asked := range point.Asks() {
		fields = append(fields, ui.Field{Name: dossiers.Field(n), Label: asked, Required: true})
	}
	f := &page.EvidenceForm{Largest: fmt.Sprintf("%d MB", rig.MaxFile>>20), FileError: s.bad["file"], Open: v.r.URL.Query().Get("do") == "add",
		Form: ui.Form{Action: pointHref(of, point), Key: v.freshKey(), Button: "Put it in"}}
	for _, field := range fields {
		f.Fields = append(f.Fields, s.field("add", field))
	}
	f.Form.Errors = ui.Errors(f.Fields)
	if s.form == "add" && f.FileError != "" {
		f.Form.Errors = append(f.Form.Errors, ui.FieldError{Field: "file", Text: f.FileError + " Choose the file again."})
	}
	return f
}

func dossierList(v *visit, t *taking) error {
	all, err := v.Dossiers.All(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Rig", "Point", "State", "Since", "Done", "Good until", "Done by", "Authority", "Accepted", "Accepted by", "Waiting", "SHA-256 of the file"}, func(*records.Lists) error {
		for _, d := range all.Dossiers {
			if err := each(t, d.Points, func(i dossiers.Point) []any {
				e := i.PointStanding.Evidence
				row := []any{v.ref.Text(d.Rig.Name), i.Point.Name(), string(i.State), i.Since, e.Done, e.Until, v.ref.Text(e.By), v.ref.Text(e.Authority), "", "", len(i.Waiting()), e.File.Hash}
				if e.Accepted != nil {
					row[8], row[9] = v.at(e.Accepted.At), all.Names[e.Accepted.By]
				}
				return row
			}); err != nil {
				return err
			}
		}
		return nil
	})
}
