package httpd

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"rungbook/internal/access"
	"rungbook/internal/sheets"
	"rungbook/internal/store"
)

// listPages are the pages that show lists, and which of these they offer as files.
var listPages = map[string][]string{
	"/": {"stations", "due"}, "/rigs/{rig}": {"inspections"}, "/rigs/{rig}/dossier": {"dossiers"}, "/stations/{station}": {"sessions", "attendance", "results", "hours", "inspections"},
	"/coverage": {"coverage"}, "/rule-book": {"rule-book"}, "/attention": {"attention", "due"}, "/mend": {"losses", "shuts"},
	"/week/{week}": {"sessions"}, "/day/{day}": {"sessions"}, "/sessions": {"sessions", "attendance", "results", "hours"},
	"/people": {"people"}, "/people/{person}": {"record"}, "/path": {"own-record"}, "/certificates": {"certificates"}, "/proposals": {"proposals"}, "/reports": {"reports"},
	"/intakes": {"intakes"}, "/intakes/{intake}": {"trainees", "sessions", "attendance", "results", "hours"},
	"/accounts": {"accounts"}, "/incidents": {"incidents"}, "/complaints": {"complaints"}, "/yard/weather": {"readings"}, "/intakes/{intake}/arrivals": {"arrivals"}, "/circuits": {"isolations", "authorities"}, "/kits": {"kit-states"}, "/kits/{kit}": {"items", "inspections"}, "/items/{item}": {"inspections"}, "/import": {"batches"},
	"/set-up/yard": {"yard"}, "/set-up/rigs": {"rigs"}, "/set-up/stations": {"stations"}, "/set-up/zones": {"zones"}, "/set-up/circuits": {"circuits"}, "/set-up/kits": {"kits"}, "/set-up/items": {"items", "quarantines"},
	"/rescue": {"rescue-plans", "drills", "written-plans"}, "/rescue/{plan}": {"rescue-plans", "drills"},
	"/set-up/exercises": {"exercises"}, "/set-up/programmes": {"programmes"}, "/set-up/outcomes": {"outcomes"}, "/set-up/people": {"people"}, "/set-up/employers": {"employers"}, "/set-up/intakes": {"intakes"},
}

// Why a page offers no list as a file.
const (
	aForm     = "a form: what it records stands in a list"
	leadsOn   = "it only leads to another page"
	aProposal = "a draft is a proposal and no record: once accepted, its sessions are on the list of sessions"
	oneRecord = "one record, which stands in a list with others of its kind"
	printed   = "made to be printed: the list of the same sessions is offered on the day's page"
	ownKeys   = "one's own ways in, which are nobody's list"
	ownFiled  = "one's own complaints with what was answered, which are nobody else's list"
)

// noList are the other pages, each with its reason.
var noList = map[string]string{
	"/sign-in": aForm, "/first-administrator": aForm, "/welcome": aForm, "/book": aForm, "/sessions/{session}/move": aForm, "/sessions/{session}/people": aForm,
	"/sessions/{session}/stand-down": aForm, "/sessions/{session}/again": aForm, "/plan": aForm, "/accounts/invite": aForm, "/set-up/rule-book": aForm, "/set-up/team": aForm, "/rule-book/confirm": aForm, "/set-up/appointments": aForm,
	"/set-up/appointments/{appointment}": aForm, "/set-up/rescue-plans": aForm, "/set-up/trainees/{trainee}": aForm, "/set-up/starter": aForm, "/set-up/drills": aForm,
	"/set-up/inspections": aForm, "/set-up/people/{person}/qualifications": aForm, "/set-up/people/{person}/times": aForm, "/set-up/intakes/{intake}/trainees": aForm,
	"/import/files/{file}": aForm, "/week": leadsOn, "/certificates/{certificate}": oneRecord, "/once/{ticket}": ownKeys, "/account": ownKeys, "/account/tokens": ownKeys,
	"/drafts/{draft}": aProposal, "/drafts/{draft}/progress": aProposal, "/drafts/{draft}/accept": aProposal, "/drafts/{draft}/why": aProposal, "/drafts/{draft}/against/{other}": aProposal,
	"/book/proposal": aProposal, "/sessions/{session}": oneRecord, "/sessions/{session}/sheet": oneRecord, "/yard/sessions/{session}": oneRecord, "/yard/sessions/{session}/trainees/{trainee}": aForm, "/yard/sessions/{session}/sign": aForm, "/yard/sessions/{session}/type-up": aForm, "/sessions/{session}/trainees/{trainee}/correct": aForm, "/intakes/{intake}/arrivals/{trainee}/replace": aForm, "/sessions/{session}/rescue-card": oneRecord, "/day/{day}/sheets": printed, "/accounts/{account}": oneRecord, "/import/batches/{batch}": oneRecord,
	"/set-up/check-lists": aForm, "/yard/sessions/{session}/pre-use": aForm, "/yard/sessions/{session}/rescue-brief": aForm, "/yard/sessions/{session}/cautions": aForm,
	"/yard/sessions/{session}/warm-up": aForm, "/yard/sessions/{session}/recheck": aForm, "/yard/sessions/{session}/rating": aForm,
	"/proposals/{trainee}": oneRecord, "/sessions/{session}/trainees/{trainee}/countersign": aForm, "/sessions/{session}/trainees/{trainee}/own-code": aForm,
	"/complaints/new": aForm, "/complaints/came": aForm, "/complaints/mine": ownFiled, "/complaints/{complaint}": oneRecord, "/yard/weather/readings/{reading}": oneRecord,
	"/incidents/new": aForm, "/yard/here/{person}/kit": aForm, "/incidents/{incident}/noted": aForm, "/incidents/{incident}": oneRecord, "/circuits/{circuit}": oneRecord, "/rigs/{rig}/dossier/{point}": oneRecord, "/quarantines/{quarantine}": oneRecord, "/circuits/{circuit}/permit": oneRecord,
	"/rescue/new": aForm, "/rescue/{plan}/write": aForm, "/rescue/written/{written}/change": aForm, "/rescue/written/{written}": oneRecord,
	"/yard/here": "who is here at this moment: made to be printed, and gone with it",
	"/sums":      leadsOn, "/sums/{sum}": "worked out from what is typed, and not kept",
	"/search":                   "an answer to a question: the lists of what it finds are narrowed by the same words",
	"/lists":                    "it offers every list itself",
	"/backups":                  "what lies in a folder of the server, which is no record of the yard",
	"/archive":                  "it offers the whole record as one file",
	"/yard":                     "one's own day: the person's page has its files",
	"/set-up":                   "it tells what is missing until a yard is set up",
	"/import/files/{file}/rows": "rows of a file that is not brought in: whoever sent it has the file",
	"/import/alike":             "pairs that wait for a decision: both people stand on the list of people",
}

// noPage are addresses that answer with no page: files and parts.
func noPage(pattern string) bool {
	if strings.HasSuffix(pattern, "/file") || strings.HasSuffix(pattern, "/calendar.ics") || strings.HasSuffix(pattern, ".zip") {
		return true
	}
	return slices.ContainsFunc(takenLists(), func(l takenList) bool { return strings.HasPrefix(pattern, l.pattern()+".") })
}

func TestEveryPageOffersItsListAsFilesOrHasAReasonNotTo(t *testing.T) {
	s := open(t)
	places, offered := s.places(), map[string]bool{}
	for _, rt := range routes() {
		names, lists := listPages[rt.pattern]
		_, reason := noList[rt.pattern]
		form := strings.HasPrefix(rt.pattern, "/set-up/") && (strings.HasSuffix(rt.pattern, "/new") || listPages[rt.pattern[:strings.LastIndex(rt.pattern, "/")]] != nil)
		switch {
		case rt.method != get || noPage(rt.pattern):
			continue
		case form && !lists:
			continue // of one thing of the list above it
		case lists == reason:
			t.Errorf("%s: offers files: %v, has a reason not to: %v; want one of both", rt.pattern, lists, reason)
			continue
		case reason:
			continue
		}
		role := access.Administrator
		if rt.action == access.SeeOwnPath {
			role = access.TraineeRole
		}
		page := s.as(role).get(fill(rt.pattern, places))
		for _, name := range names {
			offered[name] = true
			i := slices.IndexFunc(takenLists(), func(l takenList) bool { return l.name == name })
			if i < 0 {
				t.Errorf("%s: there is no list %q", rt.pattern, name)
				continue
			}
			l := takenLists()[i]
			for _, format := range sheets.Formats() {
				if link := `href="` + fill(l.pattern(), places) + "." + format; page.Code != http.StatusOK || !strings.Contains(page.Body.String(), link) {
					t.Errorf("%s: %d, does not lead to %s", rt.pattern, page.Code, link)
				}
			}
		}
	}
	all := s.as(access.Administrator).get("/lists").Body.String()
	for _, l := range takenLists() {
		if !offered[l.name] && !strings.Contains(all, `href="/lists/`+l.name+`.csv"`) {
			t.Errorf("no page leads to the list %q", l.name)
		}
	}
	for pattern := range listPages {
		if !slices.ContainsFunc(routes(), func(rt route) bool { return rt.method == get && rt.pattern == pattern }) {
			t.Errorf("there is no page %s", pattern)
		}
	}
}

// listFile is a list as JSON.
type listFile struct {
	Title string
	About []string
	Heads []string
	Rows  []map[string]any
	Parts []struct {
		Name  string
		Heads []string
		Rows  []map[string]any
	}
}

func (t listFile) rows() int {
	n := len(t.Rows)
	for _, p := range t.Parts {
		n += len(p.Rows)
	}
	return n
}

func (r *reader) taken(path string) (out listFile) {
	r.Helper()
	got := r.get(path)
	if err := json.Unmarshal(got.Body.Bytes(), &out); err != nil || got.Code != http.StatusOK {
		r.Fatalf("%s: %d, %v: %.300s", path, got.Code, err, got.Body.String())
	}
	return out
}

// whole gives lists the days that hold all of the test's yard.
const whole = "?from=2026-01-01&until=2027-12-31"

func TestEveryListIsTakenOutWholeInEveryFormat(t *testing.T) {
	s := open(t)
	places := s.places()
	places["{person}"] = string(s.actorOf(access.Instructor).Person)
	for _, l := range takenLists() {
		t.Run(l.name, func(t *testing.T) {
			role := access.Administrator
			if l.action == access.SeeOwnPath {
				role = access.TraineeRole
			}
			r := s.as(role)
			at, query := fill(l.pattern(), places), ""
			if slices.Contains(l.asks, "from") {
				query = whole
			}
			list := r.taken(at + ".json" + query)
			if list.rows() == 0 && l.name != "due" || len(list.About) < 3 || !strings.Contains(list.About[0], "entry ") || !strings.HasPrefix(list.About[1], "Taken out by ") {
				t.Errorf("%d rows; about %q", list.rows(), list.About)
			}
			head := r.get(at + ".csv" + query)
			if d := head.Header().Get("Content-Disposition"); !strings.Contains(d, "attachment") || !strings.Contains(d, ".csv") {
				t.Errorf("sent as %q", d)
			}
			rows := csv.NewReader(strings.NewReader(strings.TrimPrefix(head.Body.String(), "\ufeff")))
			rows.FieldsPerRecord = -1
			lists := max(1, len(list.Parts))
			want := 1 + len(list.About) + list.rows() + lists + len(list.Parts)
			if all, err := rows.ReadAll(); err != nil || len(all) != want {
				t.Errorf("%d lines, %v, want %d", len(all), err, want)
			}
			book, err := excelize.OpenReader(bytes.NewReader(r.get(at + ".xlsx" + query).Body.Bytes()))
			if err != nil {
				t.Fatal(err)
			}
			defer book.Close()
			n := 0
			for _, name := range book.GetSheetList() {
				all, err := book.GetRows(name)
				if err != nil {
					t.Fatal(err)
				}
				if name != "About" {
					n += len(all)
				}
			}
			if n != list.rows()+lists {
				t.Errorf("%d rows of the workbook, want %d and heads", n, list.rows())
			}
		})
	}
}

func TestAPagesFilterHoldsForItsFilesAndStandsInThem(t *testing.T) {
	s := open(t)
	r, ref := s.as(access.Auditor), s.reference()
	rg, in := ref.Rigs.All(monday)[0], ref.Intakes.All(monday)[0]
	st := ref.Stations.All(monday)[0]
	for _, c := range []struct{ list, query, says string }{
		{"people", "?q=vaughan", "Part of a name: vaughan"},
		{"people", "?intake=" + string(in.ID), "Intake: " + ref.Text(in.Name)},
		{"people", "?employer=no-such", "Employer: unknown (no-such)"},
		{"certificates", "?lapsed=yes", "Lapsed ones: shown too"},
		{"sessions", whole + "&rig=" + string(rg.ID), "Rig: " + ref.Text(rg.Name)},
		{"attendance", whole + "&station=" + string(st.ID), "Station: " + ref.Text(st.Name)},
		{"results", whole + "&intake=" + string(in.ID), "Intake: " + ref.Text(in.Name)},
		{"hours", whole + "&intake=" + string(in.ID), "From: Thu 1 Jan 2026"},
		{"coverage", "?programme=" + string(ref.Programmes.Keys()[0]), "Programme: "},
		{"inspections", "?subject=" + string(rg.ID), "Of: " + ref.Text(rg.Name)},
		{"entries", "?first=100", "From entry: 100"},
	} {
		t.Run(c.list+c.query, func(t *testing.T) {
			query := ""
			if strings.HasPrefix(c.query, whole) {
				query = whole
			}
			all, some := r.taken("/lists/"+c.list+".json"+query), r.taken("/lists/"+c.list+".json"+c.query)
			if c.query != whole && c.list != "certificates" && len(some.Rows) >= len(all.Rows) {
				t.Errorf("%d rows under the filter, %d without", len(some.Rows), len(all.Rows))
			}
			if !slices.ContainsFunc(some.About, func(line string) bool { return strings.HasPrefix(line, c.says) }) {
				t.Errorf("about %q does not say %q", some.About, c.says)
			}
		})
	}
	if page := r.get("/people?q=vaughan&after=x").Body.String(); !strings.Contains(page, `href="/lists/people.csv?q=vaughan"`) {
		t.Error("the page does not lead to its list with its filter")
	}
	if n := len(r.taken("/lists/people.json").Rows); n <= 100 { // a page holds 50
		t.Errorf("%d people are taken out; the list goes on after its first page", n)
	}
	for _, bad := range []string{"?from=2027-02-30", "?from=2027-03-02&until=2027-03-01", "?until=x"} {
		for _, at := range []string{"/sessions", "/lists/sessions.csv", "/lists/hours.json"} {
			if got := r.get(at + bad); got.Code != http.StatusUnprocessableEntity {
				t.Errorf("%s%s: %d", at, bad, got.Code)
			}
		}
	}
}

// persons are all on record.
func (s *site) persons() (out []store.PersonRow) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) (err error) {
		out, _, err = v.Persons(store.PersonFilter{Limit: 100_000})
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

func TestListsOfSessionsAgreeWithThePagesTheyCameFrom(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	minutes := map[string]int64{}
	for _, row := range r.taken("/lists/hours.json" + whole).Rows {
		minutes[row["Person id"].(string)] += int64(row["Minutes credited"].(float64))
	}
	people := s.persons()
	checked := 0
	for _, p := range people {
		record := r.taken("/people/" + string(p.Person.ID) + "/record.json")
		var sum int64
		for _, part := range record.Parts {
			if part.Name == "Hours" {
				for _, row := range part.Rows {
					sum += int64(row["Minutes credited"].(float64))
				}
			}
		}
		if sum > 0 {
			checked++
		}
		if sum != minutes[string(p.Person.ID)] {
			t.Errorf("%s has %d minutes on their record, %d on the list of hours", p.Name, sum, minutes[string(p.Person.ID)])
		}
	}
	if checked < 10 {
		t.Errorf("only %d people with hours", checked)
	}
	week := r.taken("/lists/sessions.json?from=" + monday.String() + "&until=" + (monday + 6).String())
	board := r.get("/week/" + monday.WeekString()).Body.String()
	for _, row := range week.Rows {
		if !strings.Contains(board, "/sessions/"+row["Session"].(string)) {
			t.Errorf("session %v is on the list and not on the week's page", row["Session"])
		}
	}
	if len(week.Rows) < 10 || len(r.taken("/lists/sessions.json"+whole).Rows) <= len(week.Rows) {
		t.Errorf("%d sessions in a week", len(week.Rows))
	}
}

func TestTheListOfSessionsGoesOnPageByPage(t *testing.T) {
	s := open(t)
	r := s.as(access.Auditor)
	want := len(r.taken("/lists/sessions.json" + whole).Rows)
	seen, path := map[string]bool{}, "/sessions"+whole
	for path != "" {
		page := parse(t, r.get(path))
		path = ""
		for a := range page.Descendants() {
			if of, ok := strings.CutPrefix(attr(a, "href"), "/sessions/"); ok {
				seen[of] = true
			}
			if a.Data == "a" && text(a) == "Next page" {
				path = attr(a, "href")
			}
		}
	}
	if len(seen) != want || want <= sessionsShown {
		t.Errorf("%d sessions on the pages, %d in the file", len(seen), want)
	}
}
