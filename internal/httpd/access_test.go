package httpd

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/store"
)

// open to everybody, signed in or not.
var public = []string{"/sign-in", "/sign-out", "/theme", "/first-administrator", "/welcome"}

func TestEveryRouteNeedsAnActionOfTheTableOrIsPublic(t *testing.T) {
	seen := map[string]bool{}
	for _, rt := range routes() {
		if at := rt.method + " " + rt.pattern; seen[at] {
			t.Errorf("%s stands twice", at)
		} else {
			seen[at] = true
		}
		if rt.action == "" {
			if !slices.Contains(public, rt.pattern) {
				t.Errorf("%s %s declares no action", rt.method, rt.pattern)
			}
			continue
		}
		rule, ok := access.RuleOf(rt.action)
		if !ok {
			t.Errorf("%s %s declares %q, which the table lacks", rt.method, rt.pattern, rt.action)
		}
		if rt.method == post && !rule.Writes {
			t.Errorf("POST %s declares %q, which only shows", rt.pattern, rt.action)
		}
	}
}

// places gives each parameter of a route a thing that is there.
func (s *site) places() map[string]string {
	s.Helper()
	ref := s.reference()
	out := map[string]string{
		"{rig}": string(ref.Rigs.All(monday)[0].ID), "{station}": string(ref.Stations.All(monday)[0].ID), "{shut}": string(ref.Shuts.Keys()[0]),
		"{plan}": string(ref.RescuePlans.Keys()[0]), "{week}": monday.WeekString(), "{day}": monday.String(),
		"{intake}": string(ref.Intakes.All(monday)[0].ID), "{person}": string(ref.Staff.Keys()[0]),
		"{draft}": string(s.found()), "{loss}": string(ref.Shuts.Keys()[0]),
	}
	out["{other}"], out["{account}"], out["{token}"], out["{ticket}"] = out["{draft}"], "spare-account", "spare-token", "none"
	out["{photo}"] = "none"
	s.spareAccount()
	out["{complaint}"] = s.spareComplaint()
	out["{incident}"], out["{sum}"] = s.spareIncident(), "sling-tension"
	out["{authority}"] = s.spareAuthority()
	out["{item}"], out["{quarantine}"] = string(ref.Items.Keys()[0]), s.spareQuarantine()
	out["{written}"] = s.spareWritten()
	out["{point}"], out["{evidence}"] = "structure", s.spareEvidence()
	out["{file}"], out["{batch}"] = s.spareFile()
	for name, of := range map[string]string{
		"{yard}": string(ref.Yard.Keys()[0]), "{zone}": string(ref.Zones.Keys()[0]), "{circuit}": string(ref.Circuits.Keys()[0]), "{kit}": string(ref.Kits.Keys()[0]),
		"{exercise}": string(ref.Exercises.All(monday)[0].ID), "{programme}": string(ref.Programmes.Keys()[0]), "{outcome}": string(ref.Outcomes.Keys()[0]),
		"{employer}": string(ref.Employers.Keys()[0]), "{appointment}": string(ref.Appointments.Keys()[0]),
	} {
		out[name] = of
	}
	err := s.store.Read(context.Background(), func(v *store.View) error {
		certificates, _, err := v.Certificates(store.CertificateFilter{})
		if err != nil {
			return err
		}
		out["{certificate}"] = string(certificates[0].Certificate.ID)
		ahead, err := v.BookedAfter(v.Now())
		if err != nil {
			return err
		}
		read, err := v.Readings(0, v.Now())
		if err != nil {
			return err
		}
		out["{reading}"] = string(read[len(read)-1].ID)
		out["{session}"], out["{trainee}"] = string(ahead[len(ahead)-1].ID), string(ahead[len(ahead)-1].Trainees[0])
		return nil
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

// spareFile puts a file on the administrator's tray, and brings another one in.
func (s *site) spareFile() (file, brought string) {
	s.Helper()
	actor, ctx := s.actorOf(access.Administrator), context.Background()
	file, err := s.tray.Send(ctx, actor, eight, bringing.File{List: batch.People, Name: "walk.csv", Data: []byte("Name,Birth date\nQuillon Walker,1990-01-01\n")})
	if err != nil {
		s.Fatal(err)
	}
	desk, f := bringing.New(s.store), bringing.File{List: batch.People, Name: "spare.csv", Data: []byte("Name\nTamsin Overbrook\n")}
	_, m, err := desk.Guess(ctx, actor, f, bringing.Mapping{})
	if err != nil {
		s.Fatal(err)
	}
	made, err := desk.Bring(ctx, actor, f, m, bringing.Seen{Taken: 1}, "spare file")
	if err != nil {
		s.Fatal(err)
	}
	return file, string(made)
}

// spareAccount opens an account that a walk may change as it likes, with a token.
func (s *site) spareAccount() {
	s.Helper()
	cmd := store.Command{Key: "spare", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		if err := tx.AddToken(store.Token{ID: "spare-token", Account: "spare-account", Name: "hall", Scope: access.ScopeRead, LastDay: monday}, "spare secret"); err != nil {
			return "", err
		}
		_, err := tx.Put("opened", 0, access.Account{ID: "spare-account", Roles: []access.Role{access.Instructor}})
		return "", errors.Join(err, tx.SetSecret("spare-account", "spare@carrowmoyle.example", ""))
	})
	if err != nil {
		s.Fatal(err)
	}
}

func fill(pattern string, places map[string]string) string {
	for name, value := range places {
		pattern = strings.ReplaceAll(pattern, name, value)
	}
	return pattern
}

// actorOf is the demo's person of a role as the table sees them.
func (s *site) actorOf(role access.Role) access.Actor {
	ref := s.reference()
	var a access.Actor
	for _, x := range ref.Accounts.All(monday) {
		if slices.Contains(x.Roles, role) && x.Person != "" {
			a = access.Actor{Account: x.ID, Person: x.Person, Roles: x.Roles, Today: monday}
		}
	}
	for _, x := range ref.Appointments.All(monday) {
		if x.Person == a.Person && x.On(monday) {
			a.Appointments = append(a.Appointments, x)
		}
	}
	return a
}

// asksWhat are pages that say what their address lacks.
var asksWhat = []string{"/book/proposal", "/drafts/{draft}/why", "/incidents/{incident}/noted", "/proposals/{trainee}", "/sessions/{session}/trainees/{trainee}/countersign", "/sessions/{session}/photos/{photo}/file", "/sessions/{session}/trainees/{trainee}/own-code"}

// asksMore are routes on which the field of a caution or of a limit decides too.
// or whose the token is, or who teaches the session.
var asksMore = []string{"/rule-book/confirm", "/sessions/{session}/accept", "/complaints/{complaint}/decide", "/account/tokens/{token}/revoke", "/sessions/{session}/trainees/{trainee}/own-code"}

// endsTheWalk is the route after which a walker is signed in no more.
const endsTheWalk = "/account/sign-out"

func TestEveryRouteIsOpenToThoseTheTableNamesAndToNobodyElse(t *testing.T) {
	s := open(t)
	places := s.places()
	for _, role := range access.Roles() {
		actor, r := s.actorOf(role), s.as(role)
		for _, rt := range routes() {
			if slices.Contains(public, rt.pattern) || rt.pattern == endsTheWalk {
				continue
			}
			path := fill(rt.pattern, places)
			before := s.head()
			w := r.do(rt.method, path, formOf(rt.method), http.Header{"Sec-Fetch-Site": {"same-origin"}})
			may := access.May(actor, rt.action)
			home := role == access.TraineeRole && path == "/" // leads to their own page
			switch {
			case w.Code >= 500:
				t.Errorf("%s %s as %s: %d", rt.method, path, role, w.Code)
			case may && w.Code == http.StatusForbidden && !slices.Contains(asksMore, rt.pattern):
				t.Errorf("%s %s as %s: forbidden, though the table allows it", rt.method, path, role)
			case may && rt.method == get && w.Code != http.StatusOK && w.Code != http.StatusSeeOther && !slices.Contains(asksWhat, rt.pattern):
				t.Errorf("%s as %s: %d, want a page", path, role, w.Code)
			case !may && w.Code != http.StatusForbidden && !(home && w.Header().Get("Location") == "/path"):
				t.Errorf("%s %s as %s: %d, want forbidden", rt.method, path, role, w.Code)
			case !may && s.head() != before:
				t.Errorf("%s %s as %s wrote something", rt.method, path, role)
			}
			if role == access.Auditor && rt.method == post && !access.OfOneself(rt.action) && (may || s.head() != before) {
				t.Errorf("POST %s is open to an auditor", path)
			}
		}
	}
}

var keys int

func formOf(method string) url.Values {
	if method == get {
		return nil
	}
	keys++
	return url.Values{"key": {"walk " + strconv.Itoa(keys)}}
}

func TestAVisitorIsSentToTheDoorAndBack(t *testing.T) {
	s := open(t)
	places := s.places()
	before := s.head()
	for _, rt := range routes() {
		path := fill(rt.pattern, places)
		if rt.method == get {
			path += "?q=a+b"
		}
		w := s.visitor().do(rt.method, path, formOf(rt.method), http.Header{"Sec-Fetch-Site": {"same-origin"}})
		if rt.action == "" {
			if w.Code >= 500 || w.Code == http.StatusForbidden {
				t.Errorf("%s %s: %d", rt.method, path, w.Code)
			}
			continue
		}
		want := "/sign-in?next=" + url.QueryEscape(path)
		if rt.method == post {
			want = "/sign-in?next=%2F"
		}
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != want {
			t.Errorf("%s %s: %d to %q, want the door, %q", rt.method, path, w.Code, w.Header().Get("Location"), want)
		}
	}
	if s.head() != before {
		t.Error("a visitor wrote something")
	}
}

func TestATraineeSeesTheirOwnPathAndNobodyElse(t *testing.T) {
	s := open(t)
	r := s.as(access.TraineeRole)
	w := r.get("/path")
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Eluned Vaughan-Prys") {
		t.Fatalf("their own path: %d", w.Code)
	}
	me := s.actorOf(access.TraineeRole).Person
	err := s.store.Read(context.Background(), func(v *store.View) error {
		persons, _, err := v.Persons(store.PersonFilter{})
		for _, p := range persons {
			if p.Person.ID != me && strings.Contains(w.Body.String(), p.Name) && !p.Staff {
				t.Errorf("the page names %s", p.Name)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/people/" + string(me), "/people", "/week", "/search?q=a"} {
		if got := r.get(path); got.Code != http.StatusForbidden {
			t.Errorf("%s: %d, want forbidden", path, got.Code)
		}
	}
}

func TestAnAccountThatEndedIsNobody(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	if w := r.get("/week/" + monday.WeekString()); w.Code != http.StatusOK {
		t.Fatalf("signed in: %d", w.Code)
	}
	actor := s.actorOf(access.Instructor)
	account, _ := s.reference().Accounts.On(actor.Account, monday)
	account.Ended = true
	cmd := store.Command{Key: "end", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("ended", tx.Today(), account)
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	if w := r.get("/week/" + monday.WeekString()); w.Code != http.StatusSeeOther {
		t.Errorf("after the account ended: %d, want the door", w.Code)
	}
}
