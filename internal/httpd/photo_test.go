package httpd

import (
	"bytes"
	"image"
	"image/jpeg"
	"net/http"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/rig"
)

// somePhoto is a picture; others are of other sizes.
func somePhoto(t *testing.T, wide int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, wide, 5)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestAPhotoOfWhatWasCheckedIsKeptAndHandedOutAsItWasTaken(t *testing.T) {
	s := open(t)
	booked := s.canStart()
	sid := booked.ID
	r := s.as(access.Instructor)
	at := "/yard/sessions/" + string(sid)
	page := parse(t, r.get(at+"/pre-use"))
	form := formTo(t, page, at+"/photo", false)
	fields := map[string]string{"rev": form.Get("rev")}
	choice := find(page, func(n *html.Node) bool { return n.Data == "select" && attr(n, "name") == "of" })
	if choice == nil {
		t.Fatal("nobody asks what the photo shows")
	}
	before := s.head()
	for says, send := range map[string]func() (string, []byte){
		"Choose what the picture shows": func() (string, []byte) { delete(fields, "of"); return "a.jpg", somePhoto(t, 9) },
		"This is a PDF":                 func() (string, []byte) { return "a.jpg", somePDF("no picture") },
		"no PDF, PNG or JPEG":           func() (string, []byte) { return "a.jpg", []byte("<html>") },
		"The file is empty":             func() (string, []byte) { return "", nil },
		"more than 10 MB":               func() (string, []byte) { return "a.jpg", append(somePhoto(t, 9), make([]byte, rig.MaxFile+maxForm)...) },
	} {
		name, data := send()
		w := r.sendFile(at+"/photo", fields, name, data)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), says) {
			t.Errorf("%d, want %q: %s", w.Code, says, text(parse(t, w)))
		}
	}
	if s.head() != before {
		t.Error("a photo that was refused wrote something")
	}

	fields["of"] = string(booked.Station)
	photo := somePhoto(t, 12)
	if w := r.sendFile(at+"/photo", fields, "IMG 0007.JPG", photo); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, text(parse(t, w)))
	}
	link := find(parse(t, r.get(at+"/pre-use")), func(n *html.Node) bool { return n.Data == "a" && strings.Contains(attr(n, "href"), "/photos/") })
	if link == nil {
		t.Fatal("the page of the check does not lead to the photo")
	}
	auditor := s.as(access.Auditor)
	if find(parse(t, auditor.get("/sessions/"+string(sid))), func(n *html.Node) bool { return n.Data == "a" && attr(n, "href") == attr(link, "href") }) == nil {
		t.Error("the session's history does not lead to the photo")
	}
	w := auditor.get(attr(link, "href"))
	h := w.Header()
	if !bytes.Equal(w.Body.Bytes(), photo) || h.Get("Content-Type") != "image/jpeg" || !strings.HasPrefix(h.Get("Content-Disposition"), "attachment") || h.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%d bytes with %v", w.Body.Len(), h)
	}
	fields["rev"] = formTo(t, parse(t, r.get(at+"/pre-use")), at+"/photo", false).Get("rev")
	alone := somePhoto(t, 31)
	if w := r.sendFile(at+"/photo", fields, "IMG 0008.JPG", append(bytes.Clone(alone), "\x00\x00\x00\x18ftypmp42 PK\x05\x06<script>"...)); w.Code != http.StatusSeeOther {
		t.Fatalf("a picture with more behind it: %d: %s", w.Code, text(parse(t, w)))
	}
	after := parse(t, r.get(at+"/pre-use"))
	if said := text(after); !strings.Contains(said, "25 bytes behind the picture were left out") {
		t.Errorf("nobody says that something was left out: %s", said)
	}
	kept := 0
	for a := range after.Descendants() {
		if a.Data != "a" || !strings.Contains(attr(a, "href"), "/photos/") {
			continue
		}
		got := auditor.get(attr(a, "href")).Body.Bytes()
		if bytes.Contains(got, []byte("<script>")) {
			t.Error("what stood behind the picture is handed out")
		}
		if bytes.Equal(got, alone) {
			kept++
		}
	}
	if kept != 1 {
		t.Errorf("the picture alone is kept %d times", kept)
	}
	if w := s.as(access.TraineeRole).get(attr(link, "href")); w.Code != http.StatusForbidden {
		t.Errorf("a trainee opens it: %d", w.Code)
	}
	if w := auditor.get("/sessions/" + string(sid) + "/photos/" + strings.Repeat("0", 64) + "/file"); w.Code != http.StatusNotFound {
		t.Errorf("one that is none: %d", w.Code)
	}
}
