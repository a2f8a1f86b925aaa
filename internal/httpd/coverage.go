package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/coverage"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func coveragePage(v *visit) error {
	q := v.r.URL.Query()
	m, bad, err := v.coverageAsked(q)
	if err != nil {
		return err
	}
	p := page.Coverage{Shell: v.page("Coverage", "coverage"), Filter: ui.Form{Action: "/coverage", Get: true, Button: "Show", Swap: "page"}}
	p.Fields = append(v.coverageFields(m, q), dayAsked("day", "On", m.Day, q, bad))
	p.Filter.Errors = ui.Errors(p.Fields)
	chosen := id.Programme(q.Get("programme"))
	p.Finding = capital(v.words.Day(m.Day)) + ": " + coverageFinding(m)
	p.Rigs = v.coverageRigs(m)
	single := map[id.Station][]string{}
	for _, prog := range m.Programmes {
		if chosen != "" && prog.ID != chosen {
			continue
		}
		for _, u := range prog.Units {
			g := page.CoverageGroup{Programme: prog.Name, Unit: u.Name, Span: strconv.Itoa(len(m.Stations) + 3)}
			for _, r := range u.Rows {
				g.Rows = append(g.Rows, v.coverageRow(m, r))
				if r.Only != "" && !slices.Contains(single[r.Only], r.Name) {
					single[r.Only] = append(single[r.Only], r.Name)
				}
			}
			p.Groups = append(p.Groups, g)
		}
	}
	for _, c := range m.Stations {
		if list := single[c.Station.ID]; len(list) > 0 {
			p.Singles = append(p.Singles, page.CoverageSingle{Station: v.stationLink(c.Station), Count: web.Count(len(list), "outcome", "outcomes"), Outcomes: list})
		}
	}
	if m.Day == v.today { // a dossier is asked as it stands today
		if p.Shut, err = v.coverageShut(); err != nil {
			return err
		}
	}
	if m.Without != "" {
		p.Loss = v.coverageLoss(m)
	}
	p.Shell.TakeOut = v.takeOut("coverage")
	status := http.StatusOK
	if len(bad) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return v.show(status, page.CoveragePage(p))
}

// coverageAsked reads the coverage of the day asked for. A day that is none is told
// and today's is shown.
func (v *visit) coverageAsked(q url.Values) (coverage.Map, fault.Fields, error) {
	bad := fault.Fields{}
	day := dayField(q, "day", bad)
	m, err := v.Coverage.Map(v.r.Context(), v.actor, day, id.Rig(q.Get("without")))
	return m, bad, err
}

func coverageFinding(m coverage.Map) string {
	text := web.Count(m.Single, "outcome hangs", "outcomes hang") + " on one station"
	if m.Lost > 0 {
		text += "; " + web.Count(m.Lost, "outcome", "outcomes") + " can't be trained anywhere"
	}
	return capital(text) + "."
}

func (v *visit) coverageFields(m coverage.Map, q url.Values) []ui.Field {
	programmes := []ui.Option{{Label: "All programmes"}}
	for _, p := range m.Programmes {
		programmes = append(programmes, ui.Option{Value: string(p.ID), Label: p.Name, Chosen: string(p.ID) == q.Get("programme")})
	}
	rigs := []ui.Option{{Label: "No rig left out"}}
	for _, r := range m.Rigs {
		rigs = append(rigs, ui.Option{Value: string(r.ID), Label: "Without " + v.ref.Text(r.Name), Chosen: r.ID == m.Without})
	}
	return []ui.Field{
		{Name: "programme", Label: "Programme", Kind: ui.Select, Options: programmes},
		{Name: "without", Label: "Think a rig away", Kind: ui.Select, Options: rigs},
	}
}

func (v *visit) coverageRigs(m coverage.Map) []page.CoverageRig {
	var out []page.CoverageRig
	last := id.Rig("")
	for _, c := range m.Stations {
		if len(out) == 0 || c.Rig.ID != last {
			out = append(out, page.CoverageRig{Name: v.ref.Text(c.Rig.Name), Out: c.Away})
			last = c.Rig.ID
		}
		r := &out[len(out)-1]
		r.Stations = append(r.Stations, page.CoverageStation{Name: v.ref.Text(c.Station.Name), Href: "/stations/" + string(c.Station.ID)})
		r.Span = strconv.Itoa(len(r.Stations))
	}
	return out
}

func (v *visit) coverageRow(m coverage.Map, r coverage.Row) page.CoverageRow {
	out := page.CoverageRow{Outcome: r.Name}
	var names, where []string
	for i, c := range r.Cells {
		col := m.Stations[i]
		cell := page.CoverageCell{Delivers: len(c.Exercises) > 0}
		var by []string
		for _, e := range c.Exercises {
			name := v.ref.Text(e.Name)
			by = append(by, name)
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
		if cell.Delivers {
			cell.Say = strings.Join(by, ", ")
			cell.Lost = col.Away || col.Out != nil
			cell.Only = r.Only == col.Station.ID
			if col.Out != nil {
				cell.Say += " (" + v.say(col.Out) + ")"
			}
			if !cell.Lost {
				where = append(where, v.ref.Text(col.Station.Name))
			}
		}
		out.Cells = append(out.Cells, cell)
	}
	out.Exercises = strings.Join(names, ", ")
	switch r.Stations {
	case 0:
		out.Level, out.Count = verdict.Stops, "lost"
	case 1:
		out.Level, out.Count = verdict.Cautions, v.stationAt(r.Only, v.today).Text+" only"
	default:
		out.Count, out.Where = web.Count(r.Stations, "station", "stations"), web.List(where)
	}
	return out
}

func (v *visit) coverageLoss(m coverage.Map) *page.CoverageLoss {
	i := slices.IndexFunc(m.Rigs, func(r rig.Rig) bool { return r.ID == m.Without })
	if i < 0 {
		return nil
	}
	out := &page.CoverageLoss{Rig: v.ref.Text(m.Rigs[i].Name)}
	seen := map[id.Outcome]bool{}
	for _, p := range m.Programmes {
		for _, u := range p.Units {
			for _, r := range u.Rows {
				if r.Stations == 0 && !seen[r.Outcome] {
					seen[r.Outcome] = true
					out.Outcomes = append(out.Outcomes, r.Name)
				}
			}
		}
	}
	for _, s := range m.Stuck {
		out.Stuck = append(out.Stuck, page.CoverageStuck{Trainee: personLink(s.Person, s.Name), Intake: s.Intake, Needs: strings.Join(s.Needs, ", ")})
	}
	for _, l := range m.Lapsing {
		out.Lapsing = append(out.Lapsing, page.CoverageLapsing{Certificate: ui.Link{Text: "Certificate " + strconv.Itoa(l.Certificate.Number), Href: "/certificates/" + string(l.Certificate.ID)},
			Person: personLink(l.Certificate.Person, l.Name), Until: v.words.Day(l.Certificate.Until)})
	}
	out.StuckCount = ui.Link{Text: capital(web.Count(len(out.Stuck), "trainee is stuck", "trainees are stuck")), Href: "#stuck"}
	if len(out.Outcomes) == 0 {
		out.StuckCount.Href = "" // the list stands beside the lost outcomes
	}
	out.LapsingCount = ui.Link{Text: capital(web.Count(len(out.Lapsing), "certificate of theirs lapses", "certificates of theirs lapse")) + " within 90 days", Href: "#lapsing"}
	out.Sentence = capital(fmt.Sprintf("%s can't be trained and %s stuck.",
		web.Count(len(out.Outcomes), "outcome", "outcomes"), web.Count(len(out.Stuck), "trainee is", "trainees are")))
	return out
}
