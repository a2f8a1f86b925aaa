//go:build browser

package browsertest

import (
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
)

// cookies are what a browser keeps of a signed-in reader.
type cookies []*network.CookieParam

// SignInPath is the address of the page that asks for e-mail and password.
const SignInPath = "/sign-in"

// SignIn signs in with the demo account of the role, by the form, as a person
// does.
func (p *Page) SignIn(role string) {
	p.t.Helper()
	account, ok := p.program.Accounts[role]
	if !ok {
		p.t.Fatalf("the demo printed no account for the role %q", role)
	}
	p.Go(SignInPath)
	p.Fill("E-mail", account.Email)
	p.Fill("Password", account.Password)
	p.Click("button", "Sign in")
	if p.Status() >= 400 || Shape(p.Path()) == SignInPath {
		p.t.Fatalf("signing in as %s (%s) failed with status %d; the page says:\n%s", role, account.Email, p.Status(), short(p.Text()))
	}
}

// As makes the page a signed-in one of the role without walking through the
// form each time: the first test that asks signs in, later ones get its cookies.
func (p *Page) As(role string) {
	p.t.Helper()
	prog := p.program
	prog.mu.Lock()
	kept, ok := prog.cookies[role]
	prog.mu.Unlock()
	if ok {
		call(p, network.SetCookies, network.SetCookiesParams{Cookies: kept})
		return
	}
	p.SignIn(role)
	for _, c := range call(p, network.GetCookies, network.GetCookiesParams{URLs: []string{prog.Base}}).Cookies {
		kept = append(kept, &network.CookieParam{
			Name: c.Name, Value: c.Value, Domain: c.Domain, Path: c.Path, Secure: c.Secure, HTTPOnly: c.HTTPOnly, SameSite: c.SameSite,
		})
	}
	prog.mu.Lock()
	defer prog.mu.Unlock()
	prog.cookies[role] = kept
}

// SignOut forgets the page's cookies, as a browser that was closed does.
func (p *Page) SignOut() {
	p.t.Helper()
	call(p, network.ClearBrowserCookies, cdp.Empty{})
}
