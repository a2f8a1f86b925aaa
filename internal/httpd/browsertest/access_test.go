//go:build browser

package browsertest

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestAnAuditorReadsEverythingAndChangesNothing visits each kind of page that an
// auditor meets: none has a form that changes anything, and what is sent anyway
// is refused.
func TestAnAuditorReadsEverythingAndChangesNothing(t *testing.T) {
	t.Parallel()
	p := Demo(t).Open(t, Desktop)
	p.Expect(403)
	p.SignIn("auditor")
	paths := survey(p)
	for _, want := range []string{"/people/*", "/sessions/*", "/stations/*", "/rigs/*", "/week/*", "/day/*", "/certificates", "/rule-book", "/coverage", "/attention", "/intakes/*"} {
		if !slices.ContainsFunc(paths, func(path string) bool { return Shape(path) == want }) {
			t.Errorf("no link leads an auditor to %s; they lead to %s", want, paths)
		}
	}
	for _, path := range paths {
		p.Go(path)
		for _, form := range Eval[[]string](p, `[...document.forms].filter(f => f.method === "post").map(f => new URL(f.action).pathname)`) {
			if form != "/sign-out" && form != "/theme" && !strings.HasPrefix(form, "/account/") { // their own password and tokens
				t.Errorf("%s has a form that sends to %s", path, form)
			}
		}
	}
	session := paths[slices.IndexFunc(paths, func(path string) bool { return Shape(path) == "/sessions/*" })]
	for _, to := range []string{"/book", session + "/move", session + "/stand-down", session + "/accept", "/inspections", "/rule-book/next", "/rule-book/confirm"} {
		if got := p.post(to, "reason=weather&rev=1&start=1&key=k"); got != 403 {
			t.Errorf("a form sent to %s is answered with %d", to, got)
		}
	}
	p.Go("/book")
	p.WantStatus(403)
	p.WantText("You may not look for free times; an instructor or an administrator may.")
	p.WantSound()
}

// post sends a form as a page of the program could, and returns the status.
func (p *Page) post(path, form string) int {
	p.t.Helper()
	return Eval[int](p, fmt.Sprintf(`fetch(%q, {method: "POST", redirect: "manual", body: new URLSearchParams(%q)}).then(async a => (await a.text(), a.status))`, path, form))
}

// TestATraineeSeesOnlyTheirOwnPath signs in as a trainee, whose home is their
// own page; nothing of anybody else is there or can be asked for.
func TestATraineeSeesOnlyTheirOwnPath(t *testing.T) {
	t.Parallel()
	staff := Demo(t).Open(t, DesktopNoScript)
	staff.As("instructor")
	staff.Go("/people")
	others := staff.Links()
	other := others[slices.IndexFunc(others, func(l string) bool { return Shape(l) == "/people/*" })]
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.Expect(403, 404)
			p.SignIn("trainee")
			p.WantPath("/path")
			p.WantText("outcomes", "Hours", "Certificates", "Coming sessions")
			p.WantSound()
			p.WantAccessible()
			if got := p.Within("navigation", "Main").Names("link"); len(got) != 1 {
				t.Errorf("a trainee is led to %s", got)
			}
			for _, path := range []string{other, "/people", "/week", "/sessions/0000000000000000", "/certificates", "/book", "/attention", "/search?q=a"} {
				p.Go(path)
				if got := p.Status(); got != 403 && got != 404 {
					t.Errorf("%s is answered with %d", path, got)
				}
				p.WantSound()
			}
		})
	}
}

// TestAVisitorIsLedBackToWhatTheyAskedFor asks for a page by its address, is
// asked to sign in, mistypes the password, and lands on the page asked for.
func TestAVisitorIsLedBackToWhatTheyAskedFor(t *testing.T) {
	t.Parallel()
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			demo := Demo(t)
			p := demo.Open(t, look)
			account := demo.Accounts["auditor"]
			p.Go("/certificates?lapsed=yes")
			p.WantPath(SignInPath)
			p.Fill("E-mail", account.Email)
			p.Fill("Password", "not-this-one")
			p.Click("button", "Sign in")
			p.WantStatus(422)
			p.WantText("Not signed in.")
			if got := p.Value("E-mail"); got != account.Email {
				t.Errorf("the e-mail is now %q", got)
			}
			p.Fill("Password", account.Password)
			p.Click("button", "Sign in")
			p.WantPath("/certificates?lapsed=yes")
			p.WantH1("Certificates")
		})
	}
}

// TestTheFirstAdministratorSetsUpAnEmptyBook starts the program on an empty
// folder and becomes its first administrator by the code on the terminal.
func TestTheFirstAdministratorSetsUpAnEmptyBook(t *testing.T) {
	t.Parallel()
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			program := Start(t, "serve", "--data", t.TempDir(), "--listen", "127.0.0.1:0")
			code := program.Await(t, `give this code once:\s+(\S+)`)[1]
			p := program.Open(t, look)
			p.Go("/")
			p.WantH1("First administrator")
			p.WantSound()
			p.WantAccessible()

			const password = "a rope has two ends"
			p.Fill("One-time code", strings.Repeat("0", len(code)))
			p.Fill("Your name", "Ngozi Ó Briain")
			p.Fill("E-mail", "ngozi@yard.example")
			p.Fill("Password", password)
			p.Fill("Password, once more", "another sentence altogether")
			p.Click("button", "Set up the first administrator")
			p.WantStatus(422)
			p.WantText("Not saved.")
			if got := p.Value("Your name"); got != "Ngozi Ó Briain" {
				t.Errorf("the name is now %q", got)
			}
			p.Fill("One-time code", code)
			p.Fill("Password", password)
			p.Fill("Password, once more", password)
			p.Click("button", "Set up the first administrator")
			p.Want("status", "You are the first administrator.")
			p.WantSound()
			p.WantAccessible()

			p.Click("button", "Sign out")
			p.Fill("E-mail", "ngozi@yard.example")
			p.Fill("Password", password)
			p.Click("button", "Sign in")
			p.WantText("Ngozi Ó Briain")
			p.Go("/first-administrator")
			p.WantNoText("One-time code")
		})
	}
}
