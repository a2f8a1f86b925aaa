package httpd

import (
	"net/http"
	"strings"

	"rungbook/internal/drafting"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// whyPage looks closer into why a draft leaves a need without a place. It says
// what was tried and no more.
func whyPage(v *visit) error {
	q, err := v.form()
	if err != nil {
		return err
	}
	d, err := v.draftAsked()
	if err != nil {
		return err
	}
	e, err := v.Drafts.Explain(v.r.Context(), v.actor, d.ID, id.Trainee(q.Get("trainee")), id.Exercise(q.Get("exercise")))
	if err != nil {
		return err
	}
	_, section := draftOver(d.Brief)
	p := page.DraftWhy{Title: "Why " + e.Title + " has no place", Over: v.draftLink(d.Brief), Trainee: v.traineeLink(e.Slice, e.Trainee, e.Name)}
	p.Shell = v.page(p.Title+", "+e.Name, section)
	v.explain(&p, e)
	return v.show(http.StatusOK, page.DraftWhyPage(p))
}

// explain words an explanation.
func (v *visit) explain(p *page.DraftWhy, e drafting.Explanation) {
	tried := "All days of this draft were searched, with all else where it lies in it. Another plan may find a place."
	switch {
	case e.Standing != nil:
		at := v.proposed(e.Slice, drafting.Part{Session: *e.Standing})
		p.Answer, p.Limit = "It has a place: "+at.When+" on "+at.Where+".", tried
	case e.Fits != nil:
		at := v.proposed(e.Slice, drafting.Part{Session: *e.Fits})
		p.Answer, p.Limit = "It fits as this draft is: "+at.When+" on "+at.Where+".", "The search ended before it came there. Run it longer, or book it by itself."
		p.Book = ui.Link{Text: "Book it by itself", Href: "/book?exercise=" + string(e.Exercise) + "&trainee=" + string(e.Trainee)}
	case len(e.Causes) > 0:
		p.Answer = capital(web.Count(len(e.Causes), "cause keeps it out.", "causes together keep it out."))
		style := v.styleOf(e.Slice)
		for _, c := range e.Causes {
			p.Causes = append(p.Causes, ruleNames(c.Rules)+": "+c.Say.In(style))
		}
		if e.Place != nil {
			at := v.proposed(e.Slice, drafting.Part{Session: *e.Place})
			p.Fits = "With all of that lifted it fits " + at.When + " on " + at.Where + "; with any one put back, the search found no place."
			if len(e.Causes) == 1 {
				p.Fits = "Without that it fits " + at.When + " on " + at.Where + "."
			}
		}
		p.Limit = tried
	default:
		p.Answer, p.Limit = "No set of causes was found that could be lifted.", tried
		if len(e.Nearest) > 0 {
			p.Causes = append(p.Causes, "The nearest try breaks: "+ruleNames(e.Nearest))
		}
	}
}

// ruleNames are rules in people's words.
func ruleNames(rules []string) string {
	var names []string
	for _, r := range rules {
		names = append(names, verdict.RuleName(r))
	}
	return strings.Join(names, ", ")
}
