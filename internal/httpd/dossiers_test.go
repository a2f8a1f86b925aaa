package httpd

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/dossiers"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// somePDF is a PDF as small as one can be; say tells two apart.
func somePDF(say string) []byte {
	return []byte("%PDF-1.4\n% " + say + "\ntrailer\n<< /Size 1 >>\nstartxref\n0\n%%EOF\n")
}

// answersTo gives sound answers to all that a form of evidence asks.
func answersTo(point rig.Point) map[string]string {
	out := map[string]string{"done": (monday - 3).String(), "until": (monday + 300).String(), "by": "Wioletta Brzozowicz", "authority": "test house"}
	for n := range point.Asks() {
		out[dossiers.Field(n)] = "answer " + strconv.Itoa(n)
	}
	return out
}

var uploads int

// sendEvidence sends the form of a point with a file.
func (r *reader) sendEvidence(of id.Rig, point rig.Point, fields map[string]string, name string, data []byte) *httptest.ResponseRecorder {
	r.Helper()
	return r.sendFile(pointHref(of, point), fields, name, data)
}

// sendFile sends a form with a file; no name sends none.
func (r *reader) sendFile(to string, fields map[string]string, name string, data []byte) *httptest.ResponseRecorder {
	r.Helper()
	uploads++
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	put := func(name, value string) {
		if err := m.WriteField(name, value); err != nil {
			r.Fatal(err)
		}
	}
	put("key", "upload "+strconv.Itoa(uploads))
	for name, value := range fields {
		put(name, value)
	}
	if name != "" {
		w, err := m.CreateFormFile("file", name)
		if err == nil {
			_, err = w.Write(data)
		}
		if err != nil {
			r.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		r.Fatal(err)
	}
	return r.send("POST", to, &body, http.Header{"Content-Type": {m.FormDataContentType()}, "Sec-Fetch-Site": {"same-origin"}})
}

// spareEvidence puts in evidence that nobody has decided on.
func (s *site) spareEvidence() string {
	s.Helper()
	g := dossiers.Given{Rig: s.reference().Rigs.All(monday)[0].ID, Point: rig.PointStructure, Done: monday, Until: monday + 30, By: "Somebody", Authority: "engineer",
		Answers: []string{"a", "b"}, Name: "spare.pdf", Data: somePDF("spare")}
	if err := dossiers.New(s.store).PutIn(context.Background(), s.actorOf(access.Administrator), g, "spare evidence"); err != nil {
		s.Fatal(err)
	}
	return string(s.waiting(g.Rig, g.Point).ID)
}

// waiting is the evidence of a point that nobody has decided on.
func (s *site) waiting(of id.Rig, point rig.Point) (found rig.Evidence) {
	s.Helper()
	for _, e := range s.reference().Evidence.All(monday) {
		if e.Rig == of && e.Point == point && e.Waits() {
			found = e
		}
	}
	return found
}

// makeResponsible gives somebody a field to answer for.
func (s *site) makeResponsible(p id.Person, of id.Appointment) {
	s.Helper()
	cmd := store.Command{Key: "appoint " + string(of), Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("appointed", 0, people.Appointment{ID: of, Person: p, Field: verdict.Lifting, From: monday, Until: monday + 365})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
}

func TestEvidenceCountsOnceSomebodyElseAcceptsItAndStopsWhenRevoked(t *testing.T) {
	s := open(t)
	tower, point := s.reference().Rigs.All(monday)[0].ID, rig.PointAnchors
	s.makeResponsible(s.actorOf(access.Administrator).Person, "admin-too")
	admin, boss := s.as(access.Administrator), s.as(access.Instructor)
	find := func() string { return text(parse(t, admin.get(pointHref(tower, point)))) }

	// What stands is revoked: the rig stops, and names the point, and the booking too.
	var old rig.Evidence
	for _, e := range s.reference().Evidence.All(monday) {
		if e.Rig == tower && e.Point == point {
			old = e
		}
	}
	if w := boss.post("/evidence/"+string(old.ID)+"/revoke", vals("key", "r1", "why", " ")); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("revoked without a reason: %d", w.Code)
	}
	if w := boss.post("/evidence/"+string(old.ID)+"/revoke", vals("key", "r2", "why", "The load cell was out of date.")); w.Code != http.StatusSeeOther {
		t.Fatalf("revoke: %d %s", w.Code, text(parse(t, w)))
	}
	if said := text(parse(t, boss.get("/rigs/"+string(tower)))); !strings.Contains(said, "anchor load test was revoked on") {
		t.Errorf("the rig's page does not name what was revoked: %.400s", said)
	}
	st := s.stationOn(tower)
	if said := text(parse(t, boss.get("/stations/"+string(st)))); !strings.Contains(said, "anchor load test was revoked on") || !strings.Contains(said, "its dossier is complete again") {
		t.Errorf("the station's page does not name it, or leads nowhere: %.600s", said)
	}

	if w := admin.sendEvidence(tower, point, answersTo(point), "C:\\scans\\pull <test>.pdf", somePDF("pull test")); w.Code != http.StatusSeeOther {
		t.Fatalf("put in: %d %s", w.Code, text(parse(t, w)))
	}
	e := s.waiting(tower, point)
	if w := admin.post("/evidence/"+string(e.ID)+"/accept", vals("key", "a1", "looked", "yes")); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "You put this in") {
		t.Errorf("accepted by the one who put it in: %d", w.Code)
	}
	if !strings.Contains(find(), "You put it in: somebody else") || strings.Contains(find(), "I opened the file") {
		t.Error("the page offers acceptance to the one who put it in")
	}
	if w := boss.post("/evidence/"+string(e.ID)+"/accept", vals("key", "a2")); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("accepted without a look: %d", w.Code)
	}
	if w := boss.post("/evidence/"+string(e.ID)+"/accept", vals("key", "a3", "looked", "yes")); w.Code != http.StatusSeeOther {
		t.Fatalf("accept: %d %s", w.Code, text(parse(t, w)))
	}
	if w := boss.post("/evidence/"+string(e.ID)+"/refuse", vals("key", "a4", "why", "late")); w.Code != http.StatusConflict {
		t.Errorf("refused after it was accepted: %d", w.Code)
	}
	if said := text(parse(t, boss.get("/rigs/"+string(tower)))); strings.Contains(said, "anchor load test") {
		t.Errorf("the rig still stops: %.400s", said)
	}

	w := boss.get("/evidence/" + string(e.ID) + "/file")
	h := w.Header()
	if !bytes.Equal(w.Body.Bytes(), somePDF("pull test")) || h.Get("Content-Type") != "application/pdf" || h.Get("X-Content-Type-Options") != "nosniff" ||
		!strings.HasPrefix(h.Get("Content-Disposition"), "attachment") || !strings.Contains(h.Get("Content-Security-Policy"), "sandbox") || strings.Contains(h.Get("Content-Disposition"), "<") {
		t.Errorf("the file: %d, %v", w.Code, h)
	}
	if w := s.as(access.TraineeRole).get("/evidence/" + string(e.ID) + "/file"); w.Code != http.StatusForbidden {
		t.Errorf("a trainee reads it: %d", w.Code)
	}
}

func TestWhatDossiersAskStandsWhereItIsLookedFor(t *testing.T) {
	s := open(t)
	tower, point := s.reference().Rigs.All(monday)[0].ID, rig.PointAnchors
	s.makeResponsible(s.actorOf(access.Administrator).Person, "admin-too")
	admin, boss := s.as(access.Administrator), s.as(access.Instructor)
	ask := func(path string) (said, body string) {
		w := boss.get(path)
		return text(parse(t, w)), w.Body.String()
	}
	link, whole := `href="`+pointHref(tower, point)+`"`, `href="`+dossierHref(tower)+`"`
	if _, body := ask("/attention"); strings.Contains(body, whole) || strings.Contains(body, link) {
		t.Fatal("a dossier of which all points stand is told of")
	}
	if said, body := ask("/coverage"); strings.Contains(body, whole) || !strings.Contains(said, "Base section In conversion: 3 of 10 points lack accepted evidence.") {
		t.Fatalf("of rigs not in service coverage says %.900s", said)
	}

	for _, e := range s.reference().Evidence.All(monday) {
		if e.Rig == tower && e.Point == point {
			boss.post("/evidence/"+string(e.ID)+"/revoke", vals("key", "gone"+string(e.ID), "why", "The load cell was out of date."))
		}
	}
	if said, body := ask("/attention"); !strings.Contains(said, "Conversion dossiers") || !strings.Contains(said, "revoked on") || !strings.Contains(body, link) {
		t.Errorf("what was revoked is not told with its link: %.900s", said)
	}
	if said, body := ask("/coverage"); !strings.Contains(said, "Rigs that are not in service") || !strings.Contains(said, "In service it gives: ") || !strings.Contains(body, whole) {
		t.Errorf("coverage does not lead to the dossier: %.900s", said)
	}
	if said, _ := ask("/coverage?day=" + (monday - 30).String()); strings.Contains(said, "Rigs that are not in service") {
		t.Error("the dossier of today is told of another day")
	}

	// A paper that lapses on the last day of the notice is told of, one day later not.
	for n, c := range []struct {
		point rig.Point
		until int
		soon  bool
	}{{point, 60, true}, {rig.PointStructure, 61, false}} {
		point, link := c.point, `href="`+pointHref(tower, c.point)+`"`
		a := answersTo(point)
		a["until"] = (monday + civil.Day(c.until)).String()
		admin.sendEvidence(tower, point, a, "pull.pdf", somePDF(a["until"]))
		if said, body := ask("/attention"); strings.Count(said, "1 paper waits for acceptance.") != 2 || !strings.Contains(body, link) { // the demo's other one waits all along
			t.Errorf("a paper that waits is not told of: %.900s", said)
		}
		e := s.waiting(tower, point)
		if w := boss.post("/evidence/"+string(e.ID)+"/accept", vals("key", "ok"+strconv.Itoa(n), "looked", "yes")); w.Code != http.StatusSeeOther {
			t.Fatalf("accept: %d %s", w.Code, text(parse(t, w)))
		}
		if _, body := ask("/attention"); strings.Contains(body, link) != c.soon {
			t.Errorf("a paper that lapses in %d days: told of %t", c.until, !c.soon)
		}
	}
	if _, body := ask("/coverage"); strings.Contains(body, whole) {
		t.Error("a rig that is in service again is told of as not")
	}
}

func (s *site) stationOn(r id.Rig) id.Station {
	s.Helper()
	for _, st := range s.reference().Stations.All(monday) {
		if st.Rig == r {
			return st.ID
		}
	}
	s.Fatal("no station on the rig")
	return ""
}

func TestAFileIsTakenByItsContentAlone(t *testing.T) {
	s := open(t)
	tower, point := s.reference().Rigs.All(monday)[0].ID, rig.PointStructure
	admin := s.as(access.Administrator)
	var picture, photo bytes.Buffer
	if err := png.Encode(&picture, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	sound := somePDF("a report")
	for _, c := range []struct {
		name, file string
		data       []byte
		says       string // "" = taken
	}{
		{"a PDF", "a.pdf", sound, ""},
		{"a PDF under another name", "a.exe", somePDF("b"), ""},
		{"a PNG", "a.png", picture.Bytes(), ""},
		{"a JPEG", "a.jpg", photo.Bytes(), ""},
		{"nothing", "a.pdf", nil, "The file is empty"},
		{"no file at all", "", nil, "The file is empty"},
		{"a page of the web", "a.pdf", []byte("<html><script>alert(1)</script></html>"), "no PDF, PNG or JPEG"},
		{"a program", "a.pdf", []byte("MZ\x90\x00"), "no PDF, PNG or JPEG"},
		{"one byte too many", "a.pdf", append([]byte("%PDF-1.4\n"), make([]byte, rig.MaxFile)...), "more than 10 MB"},
		{"far too many", "a.pdf", append([]byte("%PDF-1.4\n"), make([]byte, 2*rig.MaxFile)...), "more than 10 MB"},
		{"a picture with something behind it", "a.png", append(bytes.Clone(picture.Bytes()), "PK\x05\x06"...), "not whole, or holds something else"},
		{"half a photograph", "a.jpg", photo.Bytes()[:photo.Len()/2], "not whole, or holds something else"},
		{"a PDF that is a ZIP too", "a.pdf", append(append([]byte("%PDF-1.4\nPK\x05\x06"), sound...), "%%EOF"...), "not whole, or holds something else"},
		{"a PDF with a program in it", "a.pdf", somePDF("/JavaScript"), "holds a program"},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := s.head()
			w := admin.sendEvidence(tower, point, answersTo(point), c.file, c.data)
			said := text(parse(t, w))
			switch {
			case c.says == "" && (w.Code != http.StatusSeeOther || s.head() == before):
				t.Errorf("%d: %.300s", w.Code, said)
			case c.says != "" && (w.Code != http.StatusUnprocessableEntity || !strings.Contains(said, c.says) || s.head() != before):
				t.Errorf("%d, want %q: %.300s", w.Code, c.says, said)
			case c.says != "" && c.name != "far too many" && !strings.Contains(w.Body.String(), "Wioletta Brzozowicz"):
				t.Error("what was typed is gone")
			}
		})
	}
	for field, wrong := range map[string]string{"done": (monday + 1).String(), "until": (monday - 1).String(), "by": " ", "authority": "", "fact1": ""} {
		a := answersTo(point)
		a[field] = wrong
		if w := admin.sendEvidence(tower, point, a, "a.pdf", sound); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s %q: %d", field, wrong, w.Code)
		}
	}
	if w := admin.sendEvidence(tower, "no-such", answersTo("no-such"), "a.pdf", sound); w.Code != http.StatusNotFound {
		t.Errorf("a point that no dossier asks for: %d", w.Code)
	}
	if w := s.as(access.Auditor).sendEvidence(tower, point, answersTo(point), "a.pdf", sound); w.Code != http.StatusForbidden {
		t.Errorf("put in by an auditor: %d", w.Code)
	}
}
