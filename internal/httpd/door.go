package httpd

import (
	"net"
	"net/http"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/signin"
	"rungbook/web/page"
)

func signInForm(v *visit) error {
	none, err := v.Door.NeedsSetUp(v.r.Context())
	if err != nil {
		return err
	}
	if none {
		return v.goTo("/first-administrator", "")
	}
	return v.show(http.StatusOK, page.SignInPage(page.NewSignIn(v.page("Sign in", ""), "", v.r.URL.Query().Get("next"), "")))
}

func signIn(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	again := func(status int, message string) error {
		return v.show(status, page.SignInPage(page.NewSignIn(v.page("Sign in", ""), f.Get("email"), f.Get("next"), message)))
	}
	host, _, err := net.SplitHostPort(v.r.RemoteAddr)
	if err != nil {
		host = v.r.RemoteAddr
	}
	key := host + " " + strings.ToLower(f.Get("email"))
	if under, _, err := v.throttle.Status(key); err != nil || !under {
		return again(http.StatusTooManyRequests, "Too many failed attempts. Wait a minute, then try again.")
	}
	account, err := v.Door.In(v.r.Context(), f.Get("email"), f.Get("password"))
	if fault.Of(err) == fault.Invalid {
		v.throttle.OnLimit(v.w, v.r, key) // counts the failure; the answer is ours
		return again(http.StatusUnprocessableEntity, fault.Message(err))
	}
	if err != nil {
		return err
	}
	if err := v.sessions.RenewToken(v.r.Context()); err != nil {
		return err
	}
	v.sessions.Put(v.r.Context(), accountKey, string(account.ID))
	return v.goTo(local(f.Get("next")), "")
}

// local returns an address of this site, the home page for any other.
func local(next string) string {
	if !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n") {
		return "/"
	}
	return next
}

func signOut(v *visit) error {
	if err := v.sessions.Destroy(v.r.Context()); err != nil {
		return err
	}
	return v.goTo("/sign-in", "")
}

func setTheme(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	c := &http.Cookie{Name: "theme", Value: f.Get("theme"), Path: "/", MaxAge: 365 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteLaxMode}
	if c.Value != "light" && c.Value != "dark" {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(v.w, c)
	return v.goTo(local(f.Get("back")), "")
}

func firstAdministratorForm(v *visit) error {
	none, err := v.Door.NeedsSetUp(v.r.Context())
	if err != nil {
		return err
	}
	if !none {
		return v.goTo("/sign-in", "")
	}
	return v.show(http.StatusOK, page.FirstAdministratorPage(page.NewFirstAdministrator(v.page("First administrator", ""), signin.MinPassword, v.key(), "", "", "", nil)))
}

func firstAdministrator(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	first := signin.First{Key: v.key(), Code: f.Get("code"), Name: f.Get("name"), Email: f.Get("email"), Password: f.Get("password"), Again: f.Get("again")}
	account, err := v.Door.SetUp(v.r.Context(), first)
	if fields, ok := formErrors(err); ok {
		return v.show(http.StatusUnprocessableEntity, page.FirstAdministratorPage(page.NewFirstAdministrator(
			v.page("First administrator", ""), signin.MinPassword, v.key(), first.Code, first.Name, first.Email, fields)))
	}
	if err != nil {
		return err
	}
	if err := v.sessions.RenewToken(v.r.Context()); err != nil {
		return err
	}
	v.sessions.Put(v.r.Context(), accountKey, string(account))
	return v.goTo("/", "You are the first administrator.")
}
