package httpd

import (
	"net/http"
	"strings"

	"rungbook/internal/records"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func searchPage(v *visit) error {
	query := strings.TrimSpace(v.r.URL.Query().Get("q"))
	hits, err := v.Records.Search(v.r.Context(), v.actor, query, 60)
	if err != nil {
		return err
	}
	v.shell.Query = query
	p := page.Search{Shell: v.page("Search", ""), Query: query, Finding: web.Count(len(hits), "thing", "things") + " found for “" + query + "”."}
	names := map[string]string{"person": "People", "certificate": "Certificates", "station": "Stations", "exercise": "Exercises", "session": "Sessions"}
	for _, h := range hits {
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Name != names[h.Kind] {
			p.Groups = append(p.Groups, page.SearchGroup{Name: names[h.Kind]})
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Hits = append(g.Hits, page.SearchHit{Link: ui.Link{Text: h.Text, Href: v.hitHref(h)}, Note: h.Detail})
	}
	return v.show(http.StatusOK, page.SearchPage(p))
}

// hitHref leads to what was found; to an exercise only those who may book it.
func (v *visit) hitHref(h records.Hit) string {
	switch h.Kind {
	case "person":
		return "/people/" + h.ID
	case "certificate":
		return "/certificates/" + h.ID
	case "station":
		return "/stations/" + h.ID
	case "exercise":
		if !v.mayOpen("book") {
			return ""
		}
		return "/book?exercise=" + h.ID
	}
	return "/sessions/" + h.ID
}
