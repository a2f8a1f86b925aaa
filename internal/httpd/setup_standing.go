package httpd

import (
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/founding"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// showStanding puts on a form how the thing came to be as it is, and what speaks of it.
func (v *visit) showStanding(p *page.Thing, t thing, s founding.Standing) {
	labels := map[string]string{}
	for _, g := range p.Groups {
		for _, f := range g.Fields {
			labels[f.Name] = strings.ToLower(f.Label[:1]) + f.Label[1:]
		}
	}
	for _, step := range s.History {
		row := page.ThingStep{When: v.words.Moment(step.At), What: strings.ReplaceAll(step.Act, "-", " ")}
		if step.By != "" {
			row.By = "by " + step.By
		}
		if step.From != v.words.Zone.DayOf(step.At) {
			row.Counts = "counts from " + web.FullDay(step.From)
		}
		var changed []string
		for _, member := range step.Changed {
			words := labels[member]
			if words == "" {
				words = strings.ReplaceAll(member, "_", " ")
			}
			changed = append(changed, words)
		}
		if len(changed) > 0 {
			row.Changed = "Changed: " + strings.Join(changed, ", ")
		}
		p.History = append(p.History, row)
	}
	v.showUses(p, s.Uses)
}

// showUses lists what speaks of the thing, and counts what there is much of.
func (v *visit) showUses(p *page.Thing, uses []founding.Use) {
	p.UsesSay = "Nothing else speaks of it."
	var counts []string
	many, named := map[string]int{}, 0
	for _, u := range uses {
		if u.ID == "" {
			counts = append(counts, countUses(u.Kind, u.Count))
			continue
		}
		if slices.Contains(countedUses, u.Kind) {
			many[u.Kind]++
			continue
		}
		named++
		if len(p.Uses) < usesListed {
			p.Uses = append(p.Uses, page.ThingUse{What: useWords(u.Kind), Name: v.useLink(u.Kind, u.ID)})
		}
	}
	for _, kind := range countedUses {
		if many[kind] > 0 {
			counts = append(counts, countUses(kind, many[kind]))
		}
	}
	switch {
	case named > usesListed:
		counts = append(counts, web.Count(named, "record", "records")+" name it, of which these")
	case named > 0:
		counts = append(counts, "these name it")
	}
	if len(counts) > 0 {
		p.UsesSay = capital(web.List(counts)) + "."
		if len(p.Uses) > 0 {
			p.UsesSay = strings.TrimSuffix(p.UsesSay, ".") + ":"
		}
	}
}

// countedUses are kinds of which only the number is told: there are many.
var countedUses = []string{"inspection", "shut", "drill"}

// usesListed is how many records that speak of a thing stand on its form.
const usesListed = 12

func countUses(kind string, n int) string {
	switch kind {
	case "session":
		return web.Count(n, "session still to run", "sessions still to run")
	case "past-session":
		return web.Count(n, "session that was held", "sessions that were held")
	case "trainee":
		return web.Count(n, "enrolment", "enrolments")
	case "shut":
		return web.Count(n, "time shut", "times shut")
	case "person":
		return web.Count(n, "person", "people")
	}
	return web.Count(n, kind, kind+"s")
}

func useWords(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// useLink names a record and leads to its form, where it has one.
func (v *visit) useLink(kind, of string) ui.Link {
	refs := map[string]verdict.RefKind{"rig": verdict.Rig, "station": verdict.Station, "kit": verdict.Kit, "exercise": verdict.Exercise, "programme": verdict.Course, "intake": verdict.Intake, "rescue-plan": verdict.RescuePlan}
	out := ui.Link{Text: useWords(kind)}
	if k, ok := refs[kind]; ok {
		out.Text = planning.Name(v.ref, verdict.Ref{Kind: k, ID: of}, v.today)
		if out.Text == of {
			out.Text = planning.Name(v.ref, verdict.Ref{Kind: k, ID: of}, civil.LastDay)
		}
	}
	if kind == "rule-book" {
		out.Href = "/rule-book?version=" + of
	}
	for _, t := range things() {
		if t.kind == kind {
			out.Href = t.href(of)
		}
	}
	return out
}
