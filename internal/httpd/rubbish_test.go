package httpd

import (
	"bufio"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
)

// rubbish are values that nobody's form sends; worse are more of them, for
// addresses.
var (
	rubbish = []string{"", "-1", "12x", "99999999999999999999", "2027-02-30", "0001-01-01", "9999-12-31", "25:61", "\x00", "\xff\xfe", "<script>", strings.Repeat("a", 5000)}
	worse   = []string{" ", "0", "9223372036854775807", "-9223372036854775808", "1e9", "NaN", "0000-00-00", "99999-01-01", "-001-01-01", "2027-W53", "2027-W00",
		"9999-W52", "0001-W01", "24:00", "\u202e", "null", "../../etc", "' OR 1=1 --", "%zz", "a,b", "[]", "no-such-thing"}
)

// asked are the routes that read fields, and which.
var asked = []struct {
	method, path string
	fields       []string
}{
	{get, "/week/{}", nil}, {get, "/day/{}", nil}, {get, "/rigs/{}", nil}, {get, "/stations/{}", nil}, {get, "/sessions/{}", nil}, {get, "/people/{}", nil},
	{get, "/intakes/{}", nil}, {get, "/certificates/{}", nil}, {get, "/sessions/{}/move", nil}, {get, "/sessions/{}/people", nil}, {get, "/sessions/{}/stand-down", nil}, {get, "/sessions/{}/again", nil},
	{get, "/week/2027-W15", []string{"rig", "intake", "instructor"}},
	{get, "/coverage", []string{"without", "programme"}},
	{get, "/rule-book", []string{"version"}},
	{get, "/people", []string{"q", "employer", "intake", "after"}},
	{get, "/certificates", []string{"employer", "programme", "lapsed", "after"}},
	{get, "/people/{person}", []string{"exercise", "rig"}},
	{get, "/sessions", []string{"from", "until", "rig", "station", "intake", "instructor", "after"}}, {get, "/lists/sessions.csv", []string{"from", "until", "rig", "station", "intake", "instructor"}},
	{get, "/lists/hours.json", []string{"from", "until", "intake"}}, {get, "/lists/people.xlsx", []string{"q", "employer", "intake"}}, {get, "/lists/rule-book.csv", []string{"version"}},
	{get, "/lists/inspections.csv", []string{"subject"}}, {get, "/lists/coverage.csv", []string{"without", "programme"}},
	{get, "/people/{}/record.json", nil}, {get, "/intakes/{}/list.csv", nil}, {get, "/week/{}/calendar.ics", nil}, {get, "/stations/{}/calendar.ics", nil},
	{get, "/search", []string{"q"}},
	{get, "/sign-in", []string{"next"}},
	{get, "/book", []string{"exercise", "intake", "station", "from", "until", "at", "of", "trainee"}},
	{get, "/sessions/{session}/move", []string{"from", "until", "at", "station"}},
	{get, "/book/proposal", []string{"exercise", "station", "start", "trainee", "instructor", "rescuer", "session", "rev", "act", "intake", "seen"}},
	{post, "/book", []string{"exercise", "station", "start", "trainee", "instructor", "rescuer", "session", "seen", "reason", "key"}},
	{post, "/sessions/{session}/move", []string{"exercise", "station", "start", "trainee", "instructor", "rescuer", "rev", "act", "seen", "reason"}},
	{post, "/sessions/{session}/stand-down", []string{"rev", "reason", "note"}},
	{post, "/sessions/{session}/others", []string{"rev", "seen", "person", "visitor", "as", "leave"}},
	{post, "/certificates/{}/corrected", []string{"rev", "completed", "from", "until", "why"}}, {post, "/certificates/{}/{}", []string{"rev", "why"}},
	{post, "/sessions/{session}/accept", []string{"subject", "reason", "own"}},
	{post, "/stations/{station}/shut", []string{"reason", "from", "from_time", "to", "to_time", "note"}},
	{post, "/inspections", []string{"subject", "line", "done", "result", "note"}},
	{post, "/rescue-plans/{plan}", []string{"station", "author", "text", "in_force", "review_by", "target"}},
	{post, "/rule-book/next", []string{"line", "value", "source", "from"}},
	{get, "/rule-book/confirm", []string{"version"}}, {post, "/rule-book/confirm", []string{"version", "lines_energy", "lines_planning"}},
	{post, "/rigs/{rig}/state", []string{"state"}}, {get, "/rigs/{}/dossier", nil}, {get, "/rigs/{rig}/dossier/{}", nil}, {post, "/rigs/{rig}/dossier/{}", []string{"file"}}, {get, "/evidence/{}/file", nil},
	{post, "/evidence/{}/accept", []string{"looked"}}, {post, "/evidence/{}/refuse", []string{"why"}}, {post, "/evidence/{}/revoke", []string{"why"}},
	{post, "/shuts/{}/open", []string{"station"}},
	{post, "/theme", []string{"theme", "back"}},
	{get, "/drafts/{}", nil}, {get, "/drafts/{}/progress", nil}, {get, "/drafts/{draft}", []string{"week"}},
	{get, "/plan", []string{"intakes", "trainees", "from", "until", "soon", "few_days", "spare_staff", "seconds", "choose"}},
	{post, "/plan", []string{"intakes", "trainees", "from", "until", "soon", "few_days", "spare_staff", "seconds", "choose"}},
	{post, "/drafts/{draft}/told", []string{"person"}}, {get, "/drafts/{}/accept", nil}, {get, "/drafts/{draft}/against/{}", nil}, {get, "/drafts/{draft}/why", []string{"trainee", "exercise"}},
	{get, "/mend", []string{"from", "until", "week", "do"}}, {post, "/mend", []string{"from", "until", "seconds"}}, {post, "/mend/losses/{}/end", []string{"kind", "also"}},
	{get, "/import/files/{}", nil}, {get, "/import/files/{}/rows", nil}, {get, "/import/batches/{}", nil}, {post, "/import", []string{"list", "file"}},
	{get, "/import/files/{file}", []string{"draw", "sheet", "encoding", "separator", "column_name", "order", "serial", "rest"}}, {get, "/import/files/{file}/rows", []string{"show", "after"}},
	{post, "/import/alike", []string{"kept", "other"}}, {post, "/import/alike/part", []string{"join"}},
	{post, "/import/files/{file}", []string{"sheet", "encoding", "separator", "column_name", "order", "serial", "rest"}},
	{post, "/import/files/{file}/rows", []string{"taken", "cautions", "refused", "vouch"}}, {post, "/import/batches/{batch}/take-back", []string{"rev"}},
	{post, "/mend/losses", []string{"kind", "scope", "station", "person", "reason", "from", "from_time", "until", "to", "to_time"}},
}

// sound fills a form as far as the rubbish leaves it.
func (s *site) sound() url.Values {
	ref := s.reference()
	e := ref.Exercises.All(monday)[0]
	return url.Values{
		"exercise": {string(e.ID)}, "station": {string(e.Stations[0])}, "start": {strconv.FormatInt(int64(eight.Add(24*60+60)), 10)},
		"instructor": {string(ref.Staff.Keys()[0])}, "rev": {"1"}, "seen": {"1"}, "reason": {"fault"}, "from": {monday.String()}, "from_time": {"09:00"},
		"until": {(monday + 3).String()}, "intake": {string(ref.Intakes.All(monday)[0].ID)}, "done": {monday.String()}, "result": {"passed"},
	}
}

// TestRubbishNeverBreaksAPage puts each piece of rubbish into each field of each
// route: whatever the answer, it is never our fault, and it is a whole page.
func TestRubbishNeverBreaksAPage(t *testing.T) {
	s := open(t)
	places, sound := s.places(), s.sound()
	readers := []*reader{s.as(access.Instructor), s.as(access.Administrator)}
	n := 0
	try := func(r *reader, method, path string, form url.Values) {
		n++
		if method == get {
			if len(form) > 0 {
				path += "?" + form.Encode()
			}
			form = nil
		} else if form.Get("key") == "" {
			form.Set("key", "rubbish "+strconv.Itoa(n))
		}
		w := r.do(method, path, form, http.Header{"Sec-Fetch-Site": {"same-origin"}})
		switch {
		case w.Code >= 500:
			t.Errorf("%s %.300s with %.300v: %d", method, path, form, w.Code)
		case w.Code == http.StatusSeeOther && strings.HasPrefix(w.Header().Get("Location"), "//"):
			t.Errorf("%s %.300s leads away, to %q", method, path, w.Header().Get("Location"))
		}
	}
	for _, a := range asked {
		r := readers[0]
		if slices.ContainsFunc([]string{"/rule-book/", "/plan", "/drafts/", "/mend", "/import"}, func(p string) bool { return strings.HasPrefix(a.path, p) }) {
			r = readers[1]
		}
		path := fill(a.path, places)
		if strings.Contains(path, "{}") {
			for _, bad := range slices.Concat(rubbish, worse) {
				try(r, a.method, strings.ReplaceAll(path, "{}", url.PathEscape(bad)), url.Values{})
			}
			continue
		}
		for _, bad := range rubbish {
			for _, field := range a.fields {
				form := url.Values{field: {bad}}
				if a.method == post || strings.HasPrefix(a.path, "/book") {
					form = with(sound, form)
				}
				try(r, a.method, path, form)
			}
		}
	}
	if n < 1000 {
		t.Errorf("only %d requests were made", n)
	}
}

// FuzzAnAddress follows any path and query as an instructor.
func FuzzAnAddress(f *testing.F) {
	for _, path := range []string{"/", "/week/2027-W15?rig=x", "/day/2027-04-12", "/book?exercise=a&intake=b&from=2027-04-12", "/book/proposal?start=1", "/people?after=%00", "/search?q=%ff", "/certificates?after=1|2"} {
		f.Add(path)
	}
	signedIn := open(f).as(access.Instructor)
	f.Fuzz(func(t *testing.T, path string) {
		r, here := *signedIn, *signedIn.site
		here.TB, r.site = t, &here
		u, err := url.Parse("http://yard.example/" + strings.TrimLeft(path, "/"))
		if err != nil {
			return // no address: nobody would be asked
		}
		line := "GET " + u.RequestURI() + " HTTP/1.1\r\nHost: yard.example\r\n\r\n"
		if _, err := http.ReadRequest(bufio.NewReader(strings.NewReader(line))); err != nil {
			return
		}
		if w := r.get(u.RequestURI()); w.Code >= 500 {
			t.Errorf("%q: %d", u.RequestURI(), w.Code)
		}
	})
}
