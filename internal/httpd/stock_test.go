package httpd

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/rig"
)

// stockRows are the names of the page's rows, by the state that stands beside each.
func stockRows(t *testing.T, page *html.Node) map[string]string {
	t.Helper()
	out := map[string]string{}
	for n := range page.Descendants() {
		if n.Data != "tr" || find(n, func(x *html.Node) bool { return x.Data == "th" && attr(x, "scope") == "row" }) == nil {
			continue
		}
		head := find(n, func(x *html.Node) bool { return x.Data == "th" })
		name, _, _ := strings.Cut(text(head), " ") // of what is not on record: its serial
		if a := find(head, func(x *html.Node) bool { return x.Data == "a" }); a != nil {
			name = text(a)
		}
		out[name] = text(n)
	}
	return out
}

func TestKitsAndItemsStandInOneListWithTheirStateAndWhoHoldsThem(t *testing.T) {
	g := open(t).atGate()
	g.handOut(0, http.StatusSeeOther, "CM-H101", "")
	g.handOut(0, http.StatusSeeOther, "Z-9", "lanyard")
	name := g.row(0).Name
	item := func(serial string) (out rig.Item) {
		for _, i := range g.reference().Items.All(monday) {
			if g.reference().Text(i.Serial) == serial {
				out = i
			}
		}
		return out
	}
	if w := g.r.post("/quarantines", vals("key", "stock q", "subject", string(item("CM-H102").ID))); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	all := stockRows(t, parse(t, g.r.get("/kits")))
	for row, wants := range map[string][]string{
		"Harness CM-H101": {"in service", name, "since Mon 12 Apr 08:00", "Inspection due by Mon 5 Jul (harness in arduous use), with its kit"}, "Harness CM-H102": {"in quarantine"}, "Harness CM-H124": {"overdue", "is past its last day since"},
		"Harness set of six": {"in service", "2 of 4 may be used"}, "Z-9": {"not known", "isn’t on record", name},
	} {
		for _, want := range wants {
			if !strings.Contains(all[row], want) {
				t.Errorf("%s does not say %q: %s", row, want, all[row])
			}
		}
	}
	if n := len(g.reference().Kits.All(monday)) + len(g.reference().Items.All(monday)); len(all) < n {
		t.Errorf("%d rows for %d kits and items", len(all), n)
	}
	for query, want := range map[string][]string{
		"?state=in-quarantine": {"Harness CM-H102"}, "?state=overdue": {"Evacuation device, nacelle roof", "Harness CM-H124"}, "?q=cm-h+101": {"Harness CM-H101"}, "?q=cm-h101&state=overdue": nil,
	} {
		page := parse(t, g.r.get("/kits"+query))
		var got []string
		for row := range stockRows(t, page) {
			got = append(got, row)
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", query, got, want)
		}
		var taken []string
		for _, row := range g.r.taken("/lists/kit-states.json" + query).Rows {
			taken = append(taken, row["Kit or item"].(string))
		}
		if !slices.Equal(taken, want) {
			t.Errorf("%s as a file: %q, want %q", query, taken, want)
		}
	}
	out := stockRows(t, parse(t, g.r.get("/kits?state=out")))
	for row, says := range out {
		if !strings.Contains(says, "since") {
			t.Errorf("%s is listed as out: %s", row, says)
		}
	}
	if out["Harness CM-H101"] == "" || out["Z-9"] == "" || out["Harness CM-H102"] != "" {
		t.Errorf("out are %v", out)
	}

	if w := g.r.post("/quarantines", vals("key", "stock kit", "subject", string(g.kitNamed("Harness set of six")))); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	if row := stockRows(t, parse(t, g.r.get("/kits")))["Harness CM-H103"]; !strings.Contains(row, "in quarantine") {
		t.Errorf("an item of a kit in quarantine reads %s", row)
	}
}

func TestTheListOfKitStandsWhereAnInstructorLooks(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	at := "/yard/sessions/" + string(s.canStart().ID) + "/pre-use"
	for _, path := range []string{"/", "/yard", at, "/kits/" + string(s.kitNamed("Harness set of six"))} {
		if find(parse(t, r.get(path)), func(n *html.Node) bool { return n.Data == "a" && attr(n, "href") == "/kits" }) == nil {
			t.Errorf("%s does not lead to it", path)
		}
	}
	if w := s.as(access.TraineeRole).get("/kits"); w.Code != http.StatusForbidden {
		t.Errorf("a trainee opens it: %d", w.Code)
	}
}
