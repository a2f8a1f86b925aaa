package httpd

import (
	"errors"
	"net/http"
	"strings"
	"time"
	"unicode"

	"github.com/go-chi/httprate"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
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
	account, err := v.prove(f.Get("email"), f.Get("password"))
	if errors.Is(err, errTooMany) {
		return again(http.StatusTooManyRequests, fault.Message(err))
	}
	if fault.Of(err) == fault.Invalid {
		return again(http.StatusUnprocessableEntity, fault.Message(err))
	}
	if err != nil {
		return err
	}
	if err := v.enter(account.ID); err != nil {
		return err
	}
	return v.goTo(local(f.Get("next")), "")
}

// enter signs this browser in, under a new cookie.
func (v *visit) enter(account id.Account) error {
	if err := v.sessions.RenewToken(v.r.Context()); err != nil {
		return err
	}
	round, err := v.Door.Begin(v.r.Context(), account)
	if err != nil {
		return err
	}
	v.sessions.Put(v.r.Context(), accountKey, string(account))
	v.sessions.Put(v.r.Context(), roundKey, round)
	return nil
}

var errTooMany = fault.New(fault.Invalid, "Too many failed attempts. Wait a minute, then try again.")

// prove checks an e-mail address and password, a few at a time: a password costs
// memory on purpose. Failures are counted by place and address, and by place.
func (v *visit) prove(email, password string) (account access.Account, err error) {
	err = v.few(email, func() error {
		account, err = v.Door.In(v.r.Context(), email, password)
		return err
	})
	return account, err
}

// few runs what checks or makes a password, of which a few go on at a time.
func (v *visit) few(email string, do func() error) error {
	host := place(v.r)
	select {
	case v.proving <- struct{}{}:
		defer func() { <-v.proving }()
	case <-v.r.Context().Done():
		return v.r.Context().Err()
	}
	tries := []failures{{v.throttle, host + " " + signin.Address(email)}, {v.throttlePlace, host}}
	for _, t := range tries {
		if _, rate, err := t.limit.Status(t.key); err != nil || rate >= float64(t.limit.most) {
			return errTooMany
		}
	}
	err := do()
	if fault.Of(err) == fault.Invalid {
		for _, t := range tries {
			t.limit.OnLimit(v.w, v.r, t.key) // counts the failure; the answer is ours
		}
	}
	return err
}

// failures are those of one key.
type failures struct {
	limit limit
	key   string
}

// limit counts failures of a minute, of which at most so many are allowed.
type limit struct {
	*httprate.RateLimiter
	most int
}

func newLimit(most int) limit {
	silent := httprate.WithResponseHeaders(httprate.ResponseHeaders{})
	return limit{httprate.NewRateLimiter(most, time.Minute, silent), most}
}

// local returns an address of this site, the home page for any other. Control
// characters are refused, because browsers drop some of them: "/\t/" becomes "//".
func local(next string) string {
	outside := strings.HasPrefix(next, "//") || strings.Contains(next, "\\") || strings.ContainsFunc(next, unicode.IsControl)
	if !strings.HasPrefix(next, "/") || outside {
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
	if err := v.enter(account); err != nil {
		return err
	}
	return v.goTo("/set-up", "You are the first administrator.")
}
