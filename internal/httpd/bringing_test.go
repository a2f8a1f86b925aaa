package httpd

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/bringing"
)

// upload sends a list as a browser does.
func (r *reader) upload(list, name string, data []byte) *httptest.ResponseRecorder {
	r.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	if err := w.WriteField("list", list); err != nil {
		r.Fatal(err)
	}
	part, err := w.CreateFormFile("file", name)
	if err != nil {
		r.Fatal(err)
	}
	if _, err := part.Write(data); err != nil {
		r.Fatal(err)
	}
	if err := w.Close(); err != nil {
		r.Fatal(err)
	}
	return r.send("POST", "/import", &b, http.Header{"Content-Type": {w.FormDataContentType()}, "Sec-Fetch-Site": {"same-origin"}})
}

// judged waits until all rows of a file are judged and returns the page.
func (r *reader) judged(path string) string {
	r.Helper()
	for range 200 {
		w := r.get(path)
		if w.Header().Get("Refresh") == "" {
			return w.Body.String()
		}
		time.Sleep(10 * time.Millisecond)
	}
	r.Fatal("the rows are still not judged")
	return ""
}

func TestAListComesInByItsPagesAndIsTakenBack(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	data, err := os.ReadFile("../bringing/testdata/people.csv")
	if err != nil {
		t.Fatal(err)
	}
	before := s.head()
	w := r.upload("people", "people.csv", data)
	path := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(path, "/import/files/") {
		t.Fatalf("sending: %d to %q", w.Code, path)
	}
	if body := r.get(path).Body.String(); !strings.Contains(body, "B: Geburtsdatum") || !strings.Contains(body, "Such as Ottilie Vandersteen") {
		t.Error("the columns are not shown with their values")
	}
	form := url.Values{"key": {"k"}, "encoding": {"utf-8"}, "separator": {";"}, "column_name": {"A"}, "column_born": {"B"}, "column_number": {"C"}, "column_employer": {"D"}}
	if w := r.post(path, form); w.Code != http.StatusSeeOther || w.Header().Get("Location") != path+"/rows" {
		t.Fatalf("judging: %d to %q", w.Code, w.Header().Get("Location"))
	}
	body := r.judged(path + "/rows")
	if !strings.Contains(body, "Bring in 6 rows") || !strings.Contains(body, "is not a day of the calendar") {
		t.Errorf("the rows are not judged: %.2000s", body)
	}
	if body := r.judged(path + "/rows?show=caution"); !strings.Contains(body, "Somebody else called") || strings.Contains(body, "is not a day of the calendar") {
		t.Error("the rows are not narrowed to those with caution")
	}
	seen := url.Values{"key": {"k2"}, "taken": {"6"}, "cautions": {"1"}, "refused": {"11"}}
	if w := r.post(path+"/rows", seen); w.Code != http.StatusUnprocessableEntity || s.head() != before {
		t.Errorf("without vouching: %d, %d entries", w.Code, s.head()-before)
	}
	seen.Set("vouch", "yes")
	w = r.post(path+"/rows", seen)
	batch := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(batch, "/import/batches/") {
		t.Fatalf("bringing in: %d to %q", w.Code, batch)
	}
	if w := r.get(path); w.Code != http.StatusNotFound {
		t.Errorf("the file is still kept: %d", w.Code)
	}
	if body := r.get(batch).Body.String(); !strings.Contains(body, "6 taken, 11 refused") || !strings.Contains(body, "Take the whole file back") {
		t.Errorf("the batch: %.1500s", body)
	}
	if w := r.post(batch+"/take-back", url.Values{"key": {"k3"}, "rev": {"1"}}); w.Code != http.StatusSeeOther {
		t.Errorf("taking back: %d", w.Code)
	}
	if body := r.get(batch).Body.String(); !strings.Contains(body, "taken back") {
		t.Error("the batch does not say that it was taken back")
	}
	if w := r.post(batch+"/take-back", url.Values{"key": {"k4"}, "rev": {"2"}}); w.Code != http.StatusConflict {
		t.Errorf("taking back twice: %d, want a conflict", w.Code)
	}
}

func TestTwoPeopleAlikeAreJoinedOnTheirPage(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	send := func(name, text string) {
		t.Helper()
		path := r.upload("people", name, []byte(text)).Header().Get("Location")
		r.post(path, url.Values{"encoding": {"utf-8"}, "separator": {","}, "column_name": {"A"}})
		r.judged(path + "/rows")
		if w := r.post(path+"/rows", url.Values{"key": {name}, "vouch": {"yes"}, "taken": {"1"}, "cautions": {"0"}, "refused": {"0"}}); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d", name, w.Code)
		}
	}
	send("a.csv", "Name\nRosalind Umber\n")
	send("b.csv", "Name\nRosalynde Umber\n")
	pairs, _, err := bringing.New(s.store).Alike(t.Context(), s.actorOf(access.Administrator))
	if err != nil || len(pairs) == 0 {
		t.Fatalf("got %v, %v", pairs, err)
	}
	pair := pairs[len(pairs)-1]
	if body := r.get("/import/alike").Body.String(); !strings.Contains(body, "One person: keep "+pair.A.Name) {
		t.Errorf("the pair is not offered: %.2000s", body)
	}
	if w := r.post("/import/alike", url.Values{"key": {"j"}, "kept": {string(pair.A.ID)}, "other": {string(pair.A.ID)}}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("with oneself: %d", w.Code)
	}
	if w := r.post("/import/alike", url.Values{"key": {"k"}, "kept": {string(pair.A.ID)}, "other": {string(pair.B.ID)}}); w.Code != http.StatusSeeOther {
		t.Errorf("joining: %d", w.Code)
	}
	if body := r.get("/import/alike").Body.String(); !strings.Contains(body, pair.B.Name+" is "+pair.A.Name) || !strings.Contains(body, "They are two after all") {
		t.Error("the join is not shown")
	}
}

func TestAFileThatCantBeReadIsRefusedOnItsPage(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	for name, c := range map[string]struct {
		list string
		data []byte
		want string
	}{
		"a broken workbook": {"people", []byte("PK\x03\x04rubbish"), "can’t be unpacked"},
		"nothing":           {"people", nil, "The file is empty."},
		"no such list":      {"ghosts", []byte("a,b\n"), "What the file lists was not said."},
		"too large":         {"people", bytes.Repeat([]byte("a,b\n"), 9<<20), "The file has more than 32 MB."},
	} {
		w := r.upload(c.list, "a.csv", c.data)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(strings.ReplaceAll(w.Body.String(), "&#39;", "’"), c.want) {
			t.Errorf("%s: %d %.600s", name, w.Code, w.Body.String())
		}
	}
}

func TestAnothersFileIsNotThere(t *testing.T) {
	s := open(t)
	path := s.as(access.Administrator).upload("people", "a.csv", []byte("Name\nA Quillon\n")).Header().Get("Location")
	if w := s.as(access.Instructor).get(path); w.Code != http.StatusForbidden {
		t.Errorf("an instructor: %d, want forbidden", w.Code)
	}
	actor := s.actorOf(access.Administrator)
	actor.Account = "spare-account"
	if _, err := s.tray.Look(actor, eight, strings.TrimPrefix(path, "/import/files/")); err == nil {
		t.Error("another administrator sees the file")
	}
	if _, err := s.tray.Look(s.actorOf(access.Administrator), eight.Add(61), strings.TrimPrefix(path, "/import/files/")); err == nil {
		t.Error("the file is kept for more than an hour")
	}
}

func TestWhatWasBroughtInSaysThatItIsNotFirstHand(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	bring := func(list, name, text string, seen url.Values, columns url.Values) {
		t.Helper()
		path := r.upload(list, name, []byte(text)).Header().Get("Location")
		columns.Set("encoding", "utf-8")
		columns.Set("separator", ",")
		if w := r.post(path, columns); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d", name, w.Code)
		}
		body := r.judged(path + "/rows")
		if w := r.post(path+"/rows", seen); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d %.3000s", name, w.Code, body)
		}
	}
	seen := func(cautions string) url.Values {
		return url.Values{"key": {"seen" + cautions}, "vouch": {"yes"}, "taken": {"1"}, "cautions": {cautions}, "refused": {"0"}}
	}
	bring("people", "crew.csv", "Name,Born\nOttilie Vandersteen,1991-03-02\n", seen("0"), url.Values{"column_name": {"A"}, "column_born": {"B"}})
	bring("certificates", "papers.csv", "Name,What,From,Until\nOttilie Vandersteen,first aid,2025-03-02,2027-03-01\n", seen("1"),
		url.Values{"column_name": {"A"}, "column_what": {"B"}, "column_from": {"C"}, "column_until": {"D"}})
	found := r.get("/people?q=Vandersteen").Body.String()
	at := strings.Index(found, `href="/people/`)
	if at < 0 {
		t.Fatal("the person is not listed")
	}
	address, _, _ := strings.Cut(found[at+len(`href="`):], `"`)
	body := r.get(address).Body.String()
	for _, want := range []string{"Not first-hand: row 2 of crew.csv", "Not first-hand: row 2 of papers.csv"} {
		if !strings.Contains(body, want) {
			t.Errorf("%s does not say %q", address, want)
		}
	}
}
