package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/signin"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// accountRoutes are who may sign in, one's own account and its tokens.
func accountRoutes() []route {
	return []route{
		{get, "/accounts", access.SeeAccounts, accountsPage},
		{get, "/accounts/invite", access.ChangeAccounts, inviteForm},
		{post, "/accounts/invite", access.ChangeAccounts, invite},
		{get, "/accounts/{account}", access.ChangeAccounts, accountPage},
		{post, "/accounts/{account}/roles", access.ChangeAccounts, setRoles},
		{post, "/accounts/{account}/link", access.ChangeAccounts, makeLink},
		{post, "/accounts/{account}/disable", access.ChangeAccounts, disableAccount},
		{post, "/accounts/{account}/enable", access.ChangeAccounts, enableAccount},
		{post, "/accounts/{account}/sign-out", access.ChangeAccounts, signOutAccount},
		{post, "/accounts/{account}/tokens/{token}/revoke", access.ChangeAccounts, revokeToken},
		{get, "/once/{ticket}", access.ChangeOwnPassword, oncePage},
		{get, "/account", access.ChangeOwnPassword, ownAccount},
		{post, "/account/password", access.ChangeOwnPassword, changePassword},
		{post, "/account/sign-out", access.ChangeOwnPassword, signOutEverywhere},
		{get, "/account/tokens", access.MakeToken, tokensPage},
		{post, "/account/tokens", access.MakeToken, makeToken},
		{post, "/account/tokens/{token}/revoke", access.MakeToken, revokeToken},
		{get, "/welcome", "", welcomeForm},
		{post, "/welcome", "", welcome},
	}
}

func accountsPage(v *visit) error {
	list, err := v.Door.Accounts(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p := page.Accounts{Shell: v.page("Accounts", "accounts")}
	may := access.May(v.actor, access.ChangeAccounts)
	if may {
		p.Invite = ui.Link{Text: "Invite a person", Href: "/accounts/invite"}
	}
	waiting := 0
	for _, a := range list {
		row := page.AccountRow{Name: ui.Link{Text: accountName(a)}, Email: a.Email, Roles: roleList(a.Roles), Last: v.lastSignIn(a)}
		if may {
			row.Name.Href = "/accounts/" + string(a.ID)
		} else if a.Person != "" {
			row.Name.Href = "/people/" + string(a.Person)
		}
		row.Level, row.State = v.accountState(a)
		if a.Invited() {
			waiting++
		}
		p.Rows = append(p.Rows, row)
	}
	p.Line = web.Count(len(list), "account.", "accounts.")
	if waiting > 0 {
		p.Line += " " + strconv.Itoa(waiting) + plural(waiting, " has", " have") + " no password yet."
	}
	p.Shell.TakeOut = v.takeOut("accounts")
	return v.show(http.StatusOK, page.AccountsPage(p))
}

// hasAccount reports whether a person has an account that is not disabled.
func (v *visit) hasAccount(p id.Person) bool {
	return slices.ContainsFunc(v.ref.Accounts.All(v.today), func(a access.Account) bool { return a.Person == p && !a.Ended })
}

func accountName(a signin.Account) string {
	if a.Name == "" {
		return a.Email
	}
	return a.Name
}

func roleList(roles []access.Role) string {
	words := make([]string, len(roles))
	for i, r := range roles {
		words[i] = string(r)
	}
	return web.List(words)
}

func (v *visit) lastSignIn(a signin.Account) string {
	if a.LastSignIn == 0 {
		return "never"
	}
	return v.words.Moment(a.LastSignIn)
}

func (v *visit) accountState(a signin.Account) (verdict.Level, string) {
	link := ""
	if a.LinkEnds > v.now {
		link = "link ends " + v.words.Moment(a.LinkEnds)
	}
	switch {
	case a.Ended:
		return verdict.Clear, "disabled"
	case a.Invited() && link == "":
		return verdict.Cautions, "invited, link has ended"
	case a.Invited():
		return verdict.Clear, "invited, " + link
	case link != "":
		return verdict.Clear, "in use, " + link
	}
	return verdict.Clear, "in use"
}

// rolesField asks for the roles of an account.
func rolesField(chosen []access.Role, message string) ui.Field {
	f := ui.Field{Name: "role", Label: "Roles", Kind: ui.Checkboxes, Error: message}
	for _, r := range []struct {
		role access.Role
		note string
	}{
		{access.Instructor, "books and runs sessions, shuts stations, records inspections"},
		{access.Administrator, "plans, changes records and the yard, invites people"},
		{access.Auditor, "sees everything and changes nothing"},
		{access.TraineeRole, "sees their own path"},
	} {
		f.Options = append(f.Options, ui.Option{Value: string(r.role), Label: capital(string(r.role)), Note: r.note, Chosen: slices.Contains(chosen, r.role)})
	}
	return f
}

func rolesOf(f url.Values) []access.Role {
	roles := []access.Role{}
	for _, r := range f["role"] {
		roles = append(roles, access.Role(r))
	}
	return roles
}

func accountPage(v *visit) error { return v.account(http.StatusOK, nil, nil) }

// account shows one account; typed are roles that were refused, nil for none.
func (v *visit) account(status int, typed []access.Role, bad fault.Fields) error {
	sheet, err := v.Door.Account(v.r.Context(), v.actor, id.Account(v.param("account")))
	if err != nil {
		return err
	}
	title, at := accountName(sheet.Account), "/accounts/"+string(sheet.ID)
	_, state := v.accountState(sheet.Account)
	p := page.Account{Shell: v.page(title, "accounts"), Title: title, Over: ui.Link{Text: "Accounts", Href: "/accounts"}}
	p.Facts = []ui.Fact{fact("E-mail", sheet.Email), fact("State", state), fact("Last sign-in", v.lastSignIn(sheet.Account))}
	if sheet.Person != "" {
		p.Facts = append(p.Facts, ui.Fact{Label: "Person", Value: ui.Link{Text: sheet.Name, Href: "/people/" + string(sheet.Person)}})
	}
	hidden := []ui.Value{{Name: "rev", Value: strconv.FormatInt(sheet.Rev, 10)}}
	if !sheet.Ended {
		if typed == nil {
			typed = sheet.Roles
		}
		p.Fields = []ui.Field{rolesField(typed, bad["roles"])}
		p.Roles = ui.Form{Action: at + "/roles", Key: v.freshKey(), Hidden: hidden, Button: "Save the roles", Errors: ui.Errors(p.Fields)}
		for _, message := range []string{bad["account"], bad["person"]} {
			if message != "" {
				p.Roles.Errors = append(p.Roles.Errors, ui.FieldError{Text: message})
			}
		}
	}
	p.Actions = v.accountActions(sheet, at, hidden)
	for _, t := range sheet.Tokens {
		p.Tokens = append(p.Tokens, v.tokenRow(t, at+"/tokens/"+string(t.ID)+"/revoke"))
	}
	for _, s := range sheet.History {
		p.History = append(p.History, page.ThingStep{When: v.words.Moment(s.At), What: actWords(s.Act), By: byWords(s.By)})
	}
	return v.show(status, page.AccountPage(p))
}

func byWords(name string) string {
	if name == "" {
		return ""
	}
	return "by " + name
}

// actWords say what an entry of an account was.
func actWords(act string) string {
	words := map[string]string{
		"opened": "opened", "invited": "invited", "link-made": "link made", "password-set": "password set by the link", "password-changed": "password changed",
		"roles-changed": "roles changed", "disabled": "disabled", "enabled": "enabled", "signed-out": "signed out everywhere, tokens ended",
		"token-made": "token made", "token-revoked": "token revoked",
	}
	if say := words[act]; say != "" {
		return say
	}
	return act
}

func (v *visit) accountActions(s signin.Sheet, at string, hidden []ui.Value) []page.Action {
	form := func(path, button string) ui.Form {
		return ui.Form{Action: at + path, Key: v.freshKey(), Hidden: hidden, Button: button}
	}
	if s.Ended {
		return []page.Action{{Title: "Enable this account", Note: "Its old password is taken again. Tokens and links that ended stay so.", Form: form("/enable", "Enable the account")}}
	}
	link, note := "Make a link that sets a new password", "The password stands until the link is used. A link works once, for 72 hours; one made before is useless then."
	if s.Invited() {
		link, note = "Make a new invitation link", "A link works once, for 72 hours; one made before is useless then."
	}
	out := []page.Action{
		{Title: link, Note: note, Form: form("/link", "Make the link")},
		{Title: "Sign out everywhere", Note: "Ends every sign-in and every token of this account. The password stays.", Form: form("/sign-out", "Sign out everywhere")},
		{Title: "Disable this account", Note: "Nobody can sign in to it; its sign-ins, tokens and link end at once. What its person did stays in the record.", Form: form("/disable", "Disable the account")},
	}
	out[2].Form.Grave = true
	return out
}

func (v *visit) changeOf(f url.Values) signin.Change {
	return signin.Change{Account: id.Account(v.param("account")), Rev: numberField(f, "rev"), Key: v.key()}
}

// changeAccount reads a form about one account, has it done and goes back to it.
func (v *visit) changeAccount(said string, do func(signin.Change, url.Values) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	c := v.changeOf(f)
	err = do(c, f)
	if fields, ok := formErrors(err); ok {
		return v.account(http.StatusUnprocessableEntity, rolesOf(f), fields)
	}
	if err != nil {
		return err
	}
	to := "/accounts/" + string(c.Account)
	if c.Account == v.actor.Account {
		to = "/accounts" // where the door stands, if they took it from themselves
	}
	return v.goTo(to, said)
}

func setRoles(v *visit) error {
	return v.changeAccount("Roles saved.", func(c signin.Change, f url.Values) error {
		return v.Door.SetRoles(v.r.Context(), v.actor, c, rolesOf(f))
	})
}

func disableAccount(v *visit) error {
	return v.changeAccount("Disabled.", func(c signin.Change, _ url.Values) error { return v.Door.Disable(v.r.Context(), v.actor, c) })
}

func enableAccount(v *visit) error {
	return v.changeAccount("Enabled.", func(c signin.Change, _ url.Values) error { return v.Door.Enable(v.r.Context(), v.actor, c) })
}

func signOutAccount(v *visit) error {
	return v.changeAccount("Signed out everywhere.", func(c signin.Change, _ url.Values) error {
		return v.Door.SignOutEverywhere(v.r.Context(), v.actor, c.Account, c.Key)
	})
}
