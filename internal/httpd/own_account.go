package httpd

import (
	"net/http"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/signin"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func ownAccount(v *visit) error { return v.ownAccount(http.StatusOK, nil) }

func (v *visit) ownAccount(status int, bad fault.Fields) error {
	email, err := v.Door.EmailOf(v.r.Context(), v.actor.Account)
	if err != nil {
		return err
	}
	fields := append([]ui.Field{{Name: "current", Label: "Present password", Kind: ui.Password, Required: true, Complete: "current-password"}}, passwordFields()...)
	for i := range fields {
		fields[i].Error = bad[fields[i].Name]
	}
	p := page.Fill{Shell: v.page("My account", ""), Title: "My account", Line: "You sign in with " + email + ". Changing the password ends your sign-ins elsewhere; tokens stay.", Fields: fields,
		Form:  ui.Form{Action: "/account/password", Key: v.freshKey(), Button: "Change the password", Errors: ui.Errors(fields)},
		Press: []ui.Form{{Action: "/account/sign-out", Key: v.freshKey(), Button: "Sign out everywhere and end all tokens", Grave: true}}}
	if access.May(v.actor, access.MakeToken) {
		p.Links = []ui.Link{{Text: "Tokens for programs", Href: "/account/tokens"}}
	}
	return v.show(status, page.FillPage(p))
}

func changePassword(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	email, err := v.Door.EmailOf(v.r.Context(), v.actor.Account)
	if err != nil {
		return err
	}
	err = v.few(email, func() error {
		return v.Door.ChangePassword(v.r.Context(), v.actor, signin.NewPassword{Key: v.key(), Current: f.Get("current"), Password: f.Get("password"), Again: f.Get("again")})
	})
	if fields, ok := formErrors(err); ok {
		return v.ownAccount(http.StatusUnprocessableEntity, fields)
	}
	if err != nil {
		return err
	}
	if err := v.enter(v.actor.Account); err != nil {
		return err
	}
	return v.goTo("/account", "Your password is changed.")
}

func signOutEverywhere(v *visit) error {
	if err := v.Door.SignOutEverywhere(v.r.Context(), v.actor, v.actor.Account, v.key()); err != nil {
		return err
	}
	return signOut(v)
}

func tokensPage(v *visit) error { return v.tokens(http.StatusOK, nil, nil) }

func (v *visit) tokens(status int, typed url.Values, bad fault.Fields) error {
	list, err := v.Door.Tokens(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	last, scope := (v.today + signin.TokenUsual).String(), access.ScopeRead
	if typed != nil {
		last, scope = typed.Get("last"), access.Scope(typed.Get("scope"))
	}
	fields := []ui.Field{
		{Name: "name", Label: "What it is for", Value: typed.Get("name"), Required: true, Hint: "Such as: week on the screen in the hall."},
		{Name: "scope", Label: "It may", Kind: ui.Radio, Options: []ui.Option{
			{Value: string(access.ScopeRead), Label: scopeWords(access.ScopeRead), Chosen: scope == access.ScopeRead},
			{Value: string(access.ScopeBook), Label: scopeWords(access.ScopeBook), Chosen: scope == access.ScopeBook},
		}},
		{Name: "last", Label: "Last day", Kind: ui.Date, Value: last, Required: true, Short: true, Hint: "At most a year from today."},
	}
	for i := range fields {
		fields[i].Error = bad[fields[i].Name]
	}
	p := page.Tokens{Shell: v.page("Tokens", ""), Fields: fields, Form: ui.Form{Action: "/account/tokens", Key: v.freshKey(), Button: "Make the token", Errors: ui.Errors(fields)}}
	for _, t := range list {
		p.Rows = append(p.Rows, v.tokenRow(t, "/account/tokens/"+string(t.ID)+"/revoke"))
	}
	return v.show(status, page.TokensPage(p))
}

func scopeWords(s access.Scope) string {
	if s == access.ScopeBook {
		return "read, book and change sessions"
	}
	return "read"
}

func (v *visit) tokenRow(t signin.Token, revoke string) page.TokenRow {
	row := page.TokenRow{Name: t.Name, Can: "May " + scopeWords(t.Scope), Made: "Made " + v.words.Moment(t.MadeAt), Last: "never used", State: "until " + v.words.Day(t.LastDay)}
	if t.LastUsed != 0 {
		row.Last = "used " + v.words.Moment(t.LastUsed)
	}
	switch {
	case t.EndedAt != 0:
		row.State = "revoked " + v.words.Moment(t.EndedAt)
	case t.Ended(v.today):
		row.State = "ended " + v.words.Day(t.LastDay)
	default:
		row.Revoke = ui.Form{Action: revoke, Key: v.freshKey(), Button: "Revoke", Unseen: t.Name, Grave: true}
		if t.LastDay < v.today+7 {
			row.Level = verdict.Cautions
		}
	}
	return row
}

func makeToken(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	n := signin.NewToken{Key: v.key(), Name: f.Get("name"), Scope: access.Scope(f.Get("scope")), LastDay: dayField(f, "last", bad)}
	if len(bad) > 0 {
		return v.tokens(http.StatusUnprocessableEntity, f, bad)
	}
	secret, err := v.Door.MakeToken(v.r.Context(), v.actor, n)
	if fields, ok := formErrors(err); ok {
		return v.tokens(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	p := page.Once{Title: "Token: " + n.Name, Over: ui.Link{Text: "Tokens", Href: "/account/tokens"}, Line: "Shown this once. Copy it to where the program keeps its secrets.",
		Field: ui.Field{Name: "token", Label: "Token", Value: secret}, Notes: []string{"Whoever has it may " + scopeWords(n.Scope) + " in your name until " + v.words.Day(n.LastDay) + ". Programs send it as: Authorization: Bearer TOKEN"}}
	return v.toOnce(p)
}

func revokeToken(v *visit) error {
	if _, err := v.form(); err != nil {
		return err
	}
	if err := v.Door.RevokeToken(v.r.Context(), v.actor, id.Token(v.param("token")), v.key()); err != nil {
		return err
	}
	if account := v.param("account"); account != "" {
		return v.goTo("/accounts/"+account, "Token revoked.")
	}
	return v.goTo("/account/tokens", "Token revoked.")
}
