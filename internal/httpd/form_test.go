package httpd

import (
	"maps"
	"net/http"
	"net/url"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// A mistake is a form filled in wrong, and what must be said beside which field.
type mistake struct {
	name  string
	wrong url.Values // over the sound form
	field string     // at which the message stands
	say   string     // part of it
}

// A filling is a form of the site, filled in sound.
type filling struct {
	role     access.Role
	page     string // that shows the form
	action   string
	sound    url.Values
	mistakes []mistake
}

func with(sound, wrong url.Values) url.Values {
	out := maps.Clone(sound)
	for k, v := range wrong {
		out[k] = v
	}
	return out
}

func vals(pairs ...string) url.Values {
	out := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return out
}

func (s *site) fillings() []filling {
	s.Helper()
	ref := s.reference()
	deck := slices.IndexFunc(ref.Stations.All(monday), func(x rig.Station) bool { return len(x.Inspections) > 0 && x.Rescue != nil && x.Rescue.Rescuers > 0 })
	station := ref.Stations.All(monday)[deck]
	at := "/stations/" + string(station.ID)
	theRig := ref.Rigs.All(monday)[0]
	me := s.actorOf(access.Instructor).Person
	author := ref.Staff.Keys()[0]
	if author == me {
		author = ref.Staff.Keys()[1]
	}
	plan := ref.RescuePlans.Keys()[slices.IndexFunc(ref.RescuePlans.Keys(), func(p id.RescuePlan) bool {
		v, _ := ref.RescuePlans.On(p, monday)
		return slices.Contains(v.Stations, station.ID)
	})]
	line := ref.RuleBooks.All(monday)[0].Lines[0]
	var waits session.Session
	s.read(func(v *store.View) error {
		ahead, err := v.BookedAfter(v.Now())
		waits = ahead[len(ahead)-1]
		return err
	})
	long := strings.Repeat("long ", 40)
	return []filling{
		{access.Instructor, at, at + "/shut", vals("reason", "fault", "from", monday.String(), "from_time", "09:00", "to", (monday + 1).String(), "to_time", "10:00", "note", "typed <b>"), []mistake{
			{"no reason", vals("reason", ""), "reason", "Choose why"},
			{"a reason that is none", vals("reason", "whim"), "reason", "Choose why"},
			{"no first day", vals("from", "", "from_time", ""), "from", "Give the day"},
			{"a day that is none", vals("from", "2027-02-30"), "from", "2027-02-30"},
			{"a time that is none", vals("from_time", "25:61"), "from_time", "25:61"},
			{"a time without its day", vals("to", ""), "to", "Give the day"},
			{"an end before the start", vals("to", (monday - 1).String()), "to", "before it is shut"},
		}},
		{access.Instructor, at, "/inspections", vals("subject", string(station.ID), "line", station.Inspections[0], "done", monday.String(), "result", "passed", "note", "typed & kept"), []mistake{
			{"no result", vals("result", ""), "result", "passed or failed"},
			{"no day", vals("done", ""), "done", "Give the day"},
			{"a day to come", vals("done", (monday + 1).String()), "done", "still to come"},
			{"a day that is none", vals("done", "yesterday"), "done", "yesterday"},
			{"an inspection that is not asked for", vals("line", "inspection.unheard-of"), "line", "No such inspection"},
		}},
		{access.Instructor, "/rigs/" + string(theRig.ID), "/rigs/" + string(theRig.ID) + "/state", vals("state", "in-service"), []mistake{
			{"a state that is none", vals("state", "on-fire"), "state", "Choose a state"},
			{"no state", vals("state", ""), "state", "Choose a state"},
		}},
		{access.Instructor, at, "/rescue-plans/" + string(plan), vals("station", string(station.ID), "author", string(author), "on_paper", "yes", "text", "Alarm first. "+long, "in_force", monday.String(),
			"review_by", (monday + 300).String(), "target", "9"), []mistake{
			{"no text", vals("text", "  "), "text", "Write the plan"},
			{"their own plan", vals("author", string(me)), "author", "your own plan"},
			{"no author", vals("author", ""), "author", "Choose who wrote it"},
			{"a beginning that is past", vals("in_force", (monday - 1).String()), "in_force", "today or later"},
			{"a review before it", vals("review_by", monday.String()), "review_by", "before the first day"},
			{"no minutes", vals("target", "soon"), "target", "1 to 60"},
			{"too many minutes", vals("target", "61"), "target", "1 to 60"},
		}},
		{access.Administrator, "/rule-book", "/rule-book/next", vals("line", line.ID, "value", "3", "source", "Our own decision", "from", (monday + 30).String()), []mistake{
			{"no value", vals("value", ""), "value", "whole number"},
			{"a value that is no number", vals("value", "three"), "value", "whole number"},
			{"a value below nothing", vals("value", "-3"), "value", ""},
			{"no source", vals("source", ""), "source", "Say where"},
			{"no day", vals("from", ""), "from", "first day"},
			{"a day that is not to come", vals("from", monday.String()), "from", "after today"},
			{"a limit that is none", vals("line", "unheard.of"), "line", "no line"},
		}},
		{access.Instructor, "/sessions/" + string(waits.ID) + "/stand-down", "/sessions/" + string(waits.ID) + "/stand-down", vals("rev", "1", "reason", "rig", "note", "typed note"), []mistake{
			{"no reason", vals("reason", ""), "reason", "Choose why"},
			{"a reason that is none", vals("reason", "mood"), "reason", "Choose why"},
		}},
	}
}

func (s *site) read(do func(*store.View) error) {
	s.Helper()
	if err := s.store.Read(s.Context(), do); err != nil {
		s.Fatal(err)
	}
}

// TestAFormFilledInWrongSaysWhereAndKeepsWhatWasTyped sends each form of the site
// with one mistake: 422, the message beside its field and in the summary, what
// was typed still there, and nothing saved.
func TestAFormFilledInWrongSaysWhereAndKeepsWhatWasTyped(t *testing.T) {
	s := open(t)
	readers := map[access.Role]*reader{access.Instructor: s.as(access.Instructor), access.Administrator: s.as(access.Administrator)}
	n := 0
	for _, f := range s.fillings() {
		for _, m := range f.mistakes {
			t.Run(f.action[1:]+"/"+m.name, func(t *testing.T) {
				n++
				form := with(f.sound, m.wrong)
				form.Set("key", "mistake "+strconv.Itoa(n))
				before := s.head()
				w := readers[f.role].post(f.action, form)
				if w.Code != http.StatusUnprocessableEntity {
					t.Fatalf("%d, want 422", w.Code)
				}
				if s.head() != before {
					t.Error("something was saved")
				}
				page := parse(t, w)
				field := fieldOf(page, f.action, m.field)
				if field == nil {
					t.Fatalf("the form has no field %s", m.field)
				}
				said := saidOf(page, field)
				if said == "" || !strings.Contains(said, m.say) {
					t.Errorf("beside %s: %q, want %q", m.field, said, m.say)
				}
				if attr(field, "type") != "radio" && attr(field, "aria-invalid") != "true" { // a group of radio buttons has no such mark
					t.Error("the field is not marked invalid")
				}
				for name := range f.sound {
					if name == "rev" || name == "subject" || name == "station" {
						continue
					}
					kept(t, page, f.action, name, form.Get(name))
				}
			})
		}
		// The same form without a mistake is saved, so that the mistakes above are what
		// was refused.
		form := maps.Clone(f.sound)
		form.Set("key", "sound "+f.action)
		before := s.head()
		if w := readers[f.role].post(f.action, form); w.Code != http.StatusSeeOther || s.head() == before {
			t.Errorf("%s filled in sound: %d", f.action, w.Code)
		}
	}
}

func formOn(page *html.Node, action string) *html.Node {
	return find(page, func(n *html.Node) bool {
		return n.Data == "form" && attr(n, "action") == action && attr(n, "method") == "post"
	})
}

func fieldOf(page *html.Node, action, name string) *html.Node {
	form := formOn(page, action)
	if form == nil {
		return nil
	}
	return find(form, func(n *html.Node) bool { return attr(n, "name") == name && attr(n, "type") != "hidden" })
}

// saidOf is the text of what describes a field.
func saidOf(page, field *html.Node) string {
	var out []string
	for n := field; n != nil; n = n.Parent {
		for _, ref := range strings.Fields(attr(n, "aria-describedby")) {
			if d := find(page, func(x *html.Node) bool { return attr(x, "id") == ref }); d != nil && strings.HasSuffix(ref, "-error") {
				out = append(out, text(d))
			}
		}
	}
	return strings.Join(out, " ")
}

func kept(t *testing.T, page *html.Node, action, name, want string) {
	t.Helper()
	field := fieldOf(page, action, name)
	if field == nil {
		t.Errorf("the form has lost its field %s", name)
		return
	}
	got := value(field)
	if attr(field, "type") == "radio" {
		got = ""
		chosen := find(formOn(page, action), func(n *html.Node) bool { return attr(n, "name") == name && has(n, "checked") })
		if chosen != nil {
			got = attr(chosen, "value")
		}
	}
	if field.Data == "select" || attr(field, "type") == "radio" {
		if offered := find(formOn(page, action), func(n *html.Node) bool {
			return attr(n, "value") == want && (n.Data == "option" || attr(n, "name") == name)
		}); offered == nil {
			return // what was never offered can't be shown chosen
		}
	}
	if strings.Join(strings.Fields(got), " ") != strings.Join(strings.Fields(want), " ") {
		t.Errorf("%s now holds %q, typed was %q", name, got, want)
	}
}

func TestSigningInWrongKeepsTheAddress(t *testing.T) {
	s := open(t)
	w := s.visitor().post("/sign-in", vals("email", "some.body@carrowmoyle.example", "password", "wrong", "next", "/week"))
	if w.Code != http.StatusUnprocessableEntity {
		t.Fatalf("%d", w.Code)
	}
	page := parse(t, w)
	if email := fieldOf(page, "/sign-in", "email"); email == nil || value(email) != "some.body@carrowmoyle.example" {
		t.Error("the address is lost")
	}
	if password := fieldOf(page, "/sign-in", "password"); password == nil || value(password) != "" {
		t.Error("the password came back in the page")
	}
	if next := find(page, func(n *html.Node) bool { return attr(n, "name") == "next" }); next == nil || value(next) != "/week" {
		t.Error("where to go next is lost")
	}
	if !strings.Contains(text(page), "do not belong together") {
		t.Error("the page does not say what is wrong")
	}
}

func TestTheFirstAdministratorSetsUpOnceWithTheCode(t *testing.T) {
	s := serve(t, filepath.Join(t.TempDir(), "fresh"))
	code, err := s.store.SetupCode(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	r := s.visitor()
	if w := r.get("/sign-in"); w.Header().Get("Location") != "/first-administrator" {
		t.Errorf("the door of an empty yard leads to %q", w.Header().Get("Location"))
	}
	sound := vals("key", "first", "code", code, "name", "Ailbhe Ó Ríordáin", "email", "ailbhe@carrowmoyle.example", "password", "a long sentence as a password", "again", "a long sentence as a password")
	before := s.head()
	for field, wrong := range map[string]string{"code": "0000", "name": " ", "email": "nowhere", "password": "short", "again": "another"} {
		w := r.post("/first-administrator", with(sound, vals(field, wrong)))
		page := parse(t, w)
		f := fieldOf(page, "/first-administrator", field)
		if w.Code != http.StatusUnprocessableEntity || f == nil || saidOf(page, f) == "" {
			t.Errorf("with a wrong %s: %d, want a message beside it", field, w.Code)
		}
		for _, name := range []string{"name", "email"} {
			if want := with(sound, vals(field, wrong)).Get(name); fieldOf(page, "/first-administrator", name) != nil && value(fieldOf(page, "/first-administrator", name)) != want {
				t.Errorf("with a wrong %s the %s is lost", field, name)
			}
		}
	}
	if s.head() != before {
		t.Fatal("something was saved")
	}
	if w := r.post("/first-administrator", sound); w.Code != http.StatusSeeOther {
		t.Fatalf("in order: %d %s", w.Code, text(parse(t, w)))
	}
	if w := r.get("/"); w.Code != http.StatusOK || !strings.Contains(text(parse(t, w)), "Ailbhe Ó Ríordáin") {
		t.Errorf("the first page: %d", w.Code)
	}
	sound.Set("key", "second")
	if w := s.visitor().post("/first-administrator", sound); w.Code == http.StatusSeeOther && w.Header().Get("Location") == "/" {
		t.Error("a second administrator was set up with the same code")
	}
	if w := s.visitor().get("/first-administrator"); w.Header().Get("Location") != "/sign-in" {
		t.Errorf("the form is still there: %d", w.Code)
	}
}

// The caution's form stands on its session's page.
func TestACautionWithoutAReasonSaysSo(t *testing.T) {
	s := open(t)
	actor := s.actorOf(access.Instructor)
	if !access.MayAccept(actor, verdict.HeightRescue) {
		t.Fatal("the demo's instructor is not responsible for height and rescue")
	}
	r := s.as(access.Instructor)
	var ahead []session.Session
	s.read(func(v *store.View) (err error) { ahead, err = v.BookedAfter(v.Now()); return err })
	for _, x := range ahead {
		if x.State != session.Pencilled {
			continue
		}
		at := "/sessions/" + string(x.ID)
		form := formOn(parse(t, r.get(at)), at+"/accept")
		if form == nil {
			continue
		}
		subject := attr(find(form, func(n *html.Node) bool { return attr(n, "name") == "subject" }), "value")
		before := s.head()
		w := r.post(at+"/accept", vals("key", "reasonless", "subject", subject, "reason", " "))
		page := parse(t, w)
		if w.Code != http.StatusUnprocessableEntity || s.head() != before {
			t.Fatalf("%d, %d entries written", w.Code, s.head()-before)
		}
		if f := fieldOf(page, at+"/accept", "reason"); f == nil || !strings.Contains(saidOf(page, f), "Write why") {
			t.Error("nothing beside the field says that a reason is asked for")
		}
		w = r.post(at+"/accept", vals("key", "reasoned", "subject", subject, "reason", "Read on Friday.", "own", "yes"))
		if w.Code != http.StatusSeeOther || s.head() == before {
			t.Errorf("with a reason: %d", w.Code)
		}
		return
	}
	t.Fatal("no session waits for the demo's instructor")
}

// TestARefusalDoesNotTellWhatWasDoneBefore sends a form that is taken and, without
// looking at the page that it leads to, one that is refused.
func TestARefusalDoesNotTellWhatWasDoneBefore(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	ref := s.reference()
	i := slices.IndexFunc(ref.Stations.All(monday), func(x rig.Station) bool { return len(x.Inspections) > 0 })
	station := ref.Stations.All(monday)[i]
	form := vals("key", "first", "subject", string(station.ID), "line", station.Inspections[0], "done", monday.String(), "result", "passed")
	if w := r.post("/inspections", form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	form.Set("key", "second")
	form.Set("result", "")
	w := r.post("/inspections", form)
	if w.Code != http.StatusUnprocessableEntity || strings.Contains(w.Body.String(), "Inspection recorded.") {
		t.Errorf("%d, and the page says that an inspection was recorded", w.Code)
	}
}
