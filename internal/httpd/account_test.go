package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
)

const longEnough = "a rung above the harness"

// once opens the page a form led to and returns the secret on it, "" for none.
func (r *reader) once(to string) string {
	r.Helper()
	n := find(parse(r, r.get(to)), func(n *html.Node) bool { return n.Data == "textarea" })
	if n == nil {
		return ""
	}
	return value(n)
}

// invites makes an invitation and returns its link as a path, and the page that showed it.
func (r *reader) invites(email string, roles ...string) (link, shown string) {
	r.Helper()
	w := r.post("/accounts/invite", url.Values{"key": {"invite " + email}, "email": {email}, "role": roles})
	if w.Code != http.StatusSeeOther {
		r.Fatalf("inviting: %d %s", w.Code, text(parse(r, w)))
	}
	shown = w.Header().Get("Location")
	return strings.TrimPrefix(r.once(shown), "http://yard.example"), shown
}

// arrives sets a password by a link.
func (s *site) arrives(link, name, key string) *reader {
	s.Helper()
	r := s.visitor()
	u, err := url.Parse(link)
	if err != nil {
		s.Fatal(err)
	}
	w := r.post("/welcome", url.Values{"key": {key}, "link": {u.Query().Get("link")}, "name": {name}, "password": {longEnough}, "again": {longEnough}})
	if w.Code != http.StatusSeeOther {
		s.Fatalf("arriving: %d %s", w.Code, text(parse(s, w)))
	}
	return r
}

func TestALinkIsShownOnceToWhoMadeItAndLooksHarmless(t *testing.T) {
	s := open(t)
	admin := s.as(access.Administrator)
	w := admin.post("/accounts/invite", url.Values{"key": {"k"}, "email": {"new@carrowmoyle.example"}, "role": {"administrator"}})
	to := w.Header().Get("Location")
	if got := s.as(access.Instructor).once(to); got != "" {
		t.Errorf("another person is shown %q", got)
	}
	link := admin.once(to)
	if !strings.HasPrefix(link, "http://yard.example/welcome?link=") {
		t.Fatalf("the page shows %q", link)
	}
	if got := admin.once(to); got != "" {
		t.Errorf("shown again: %q", got)
	}
	if again := admin.post("/accounts/invite", url.Values{"key": {"k"}, "email": {"new@carrowmoyle.example"}, "role": {"administrator"}}); admin.once(again.Header().Get("Location")) != "" {
		t.Error("the form sent twice shows a link again")
	}
	path := strings.TrimPrefix(link, "http://yard.example")
	for range 3 { // whoever only looks uses nothing up: a messenger's preview
		if w := s.visitor().get(path); w.Code != http.StatusOK {
			t.Fatalf("looking: %d", w.Code)
		}
	}
	r := s.arrives(path, "Ruadhán Ó Maoil", "w")
	if w := r.get("/accounts"); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Ruadhán Ó Maoil") {
		t.Errorf("after arriving: %d", w.Code)
	}
	if w := s.visitor().get(path); w.Code != http.StatusGone {
		t.Errorf("the link again: %d, want gone", w.Code)
	}
}

func TestDisablingRolesAndSigningOutCountAtOnce(t *testing.T) {
	s := open(t)
	admin := s.as(access.Administrator)
	link, _ := admin.invites("ruadhan@carrowmoyle.example", "instructor", "administrator")
	them := s.arrives(link, "Ruadhán Ó Maoil", "w1")
	n := find(parse(t, admin.get("/accounts")), func(n *html.Node) bool { return n.Data == "a" && text(n) == "Ruadhán Ó Maoil" })
	at := attr(n, "href")
	if w := admin.post(at+"/roles", url.Values{"key": {"r1"}, "role": {"instructor"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("roles: %d %s", w.Code, text(parse(t, w)))
	}
	if w := them.get("/accounts"); w.Code != http.StatusForbidden {
		t.Errorf("without the role: %d, want forbidden", w.Code)
	}
	if w := admin.post(at+"/roles", url.Values{"key": {"r2"}}); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "Tick at least one role") {
		t.Errorf("no role: %d", w.Code)
	}
	if w := admin.post(at+"/sign-out", url.Values{"key": {"s1"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("signing out: %d", w.Code)
	}
	if w := them.get("/week"); !strings.HasPrefix(w.Header().Get("Location"), "/sign-in") {
		t.Errorf("signed out everywhere: %d to %q, want the door", w.Code, w.Header().Get("Location"))
	}
	in := func() int {
		return them.post("/sign-in", url.Values{"email": {"ruadhan@carrowmoyle.example"}, "password": {longEnough}}).Code
	}
	if got := in(); got != http.StatusSeeOther {
		t.Fatalf("signing in anew: %d", got)
	}
	if w := admin.post(at+"/disable", url.Values{"key": {"d1"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("disabling: %d", w.Code)
	}
	if w := them.get("/week"); !strings.HasPrefix(w.Header().Get("Location"), "/sign-in") {
		t.Errorf("disabled: %d to %q, want the door", w.Code, w.Header().Get("Location"))
	}
	if got := in(); got != http.StatusUnprocessableEntity {
		t.Errorf("signing in to a disabled account: %d", got)
	}
	if w := admin.post(at+"/enable", url.Values{"key": {"e1"}}); w.Code != http.StatusSeeOther || in() != http.StatusSeeOther {
		t.Errorf("enabling: %d", w.Code)
	}
}

func TestAChangeOfAnAccountThatMovedOnIsAConflict(t *testing.T) {
	s := open(t)
	s.places()
	admin := s.as(access.Administrator)
	rev := attr(find(parse(t, admin.get("/accounts/spare-account")), func(n *html.Node) bool { return n.Data == "input" && attr(n, "name") == "rev" }), "value")
	for i, want := range []int{http.StatusSeeOther, http.StatusConflict} {
		w := admin.post("/accounts/spare-account/roles", url.Values{"key": {"c" + string(rune('0'+i))}, "rev": {rev}, "role": []string{"auditor", "instructor"}[:2-i]})
		if w.Code != want {
			t.Errorf("change %d from revision %s: %d, want %d", i+1, rev, w.Code, want)
		}
	}
}

func TestOneChangesOnesOwnPasswordAndStaysSignedIn(t *testing.T) {
	s := open(t)
	here, elsewhere := s.as(access.Instructor), s.as(access.Instructor)
	bad := url.Values{"key": {"p1"}, "current": {"not the password"}, "password": {longEnough}, "again": {longEnough}}
	if w := here.post("/account/password", bad); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "That is not your password") {
		t.Errorf("a wrong one: %d", w.Code)
	}
	good := url.Values{"key": {"p2"}, "current": {"carrowmoyle-demo"}, "password": {longEnough}, "again": {longEnough}}
	if w := here.post("/account/password", good); w.Code != http.StatusSeeOther {
		t.Fatalf("changing: %d %s", w.Code, text(parse(t, w)))
	}
	if w := here.get("/account"); w.Code != http.StatusOK {
		t.Errorf("here: %d, want still signed in", w.Code)
	}
	if w := elsewhere.get("/account"); w.Code != http.StatusSeeOther {
		t.Errorf("elsewhere: %d, want the door", w.Code)
	}
	if w := here.post("/account/sign-out", url.Values{"key": {"o"}}); w.Code != http.StatusSeeOther || here.get("/account").Code != http.StatusSeeOther {
		t.Errorf("signing out everywhere: %d", w.Code)
	}
}

func TestGuessingOnesPresentPasswordMustWait(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	for i := range failuresAllowed + 1 {
		w := r.post("/account/password", url.Values{"key": {"g" + string(rune('a'+i))}, "current": {"guess"}, "password": {longEnough}, "again": {longEnough}})
		if waits := strings.Contains(text(parse(t, w)), "Too many failed attempts"); waits != (i == failuresAllowed) {
			t.Errorf("guess %d: told to wait %t", i+1, waits)
		}
	}
}

func TestAnAuditorSeesAccountsAndChangesNone(t *testing.T) {
	s := open(t)
	r := s.as(access.Auditor)
	page := parse(t, r.get("/accounts"))
	if !strings.Contains(text(page), "administrator@carrowmoyle.example") {
		t.Error("the auditor does not see the accounts")
	}
	if find(page, func(n *html.Node) bool { return n.Data == "a" && strings.HasPrefix(attr(n, "href"), "/accounts/") }) != nil {
		t.Error("the auditor is led to a form")
	}
}

// A person who is not on the staff is invited from their own page, as a trainee.
func TestAPersonIsInvitedFromTheirRecord(t *testing.T) {
	s := open(t)
	admin := s.as(access.Administrator)
	person := s.places()["{person}"]
	for _, p := range []string{person} {
		w := admin.get("/accounts/invite?person=" + p)
		n := find(parse(t, w), func(n *html.Node) bool { return n.Data == "select" && attr(n, "name") == "person" })
		if w.Code != http.StatusOK || value(n) != p {
			t.Errorf("%s: %d, chosen %q", p, w.Code, value(n))
		}
	}
	if w := admin.get("/accounts/invite?person=none"); w.Code != http.StatusNotFound {
		t.Errorf("nobody: %d, want not found", w.Code)
	}
}
