package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func accountPages() map[string]templ.Component {
	token := TokenRow{Name: "Week on the screen in the hall", Can: "May read", Made: "Made Tue 2 Mar 09:00", Last: "never used", State: "until Mon 31 May",
		Revoke: ui.Form{Action: "/account/tokens/t1/revoke", Key: "k9", Button: "Revoke", Unseen: "Week on the screen in the hall", Grave: true}}
	roles := ui.Field{Name: "role", Label: "Roles", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "instructor", Label: "Instructor", Note: "books and runs sessions", Chosen: true}, {Value: "auditor", Label: "Auditor"}}}
	return map[string]templ.Component{
		"archive": ArchivePage(Archive{Shell: sampleShell("set-up", "Archive"), Over: link("Set up the yard", "/set-up"), Take: link("Download the archive", "/archive/whole.zip"),
			Holds: []ArchivePart{{"records/", "What stands now."}}, Lacks: []ArchivePart{{"Who is signed in", "Everybody signs in again."}}}),
		"accounts": AccountsPage(Accounts{Shell: sampleShell("accounts", "Accounts"), Line: "2 accounts. 1 has no password yet.", Invite: link("Invite a person", "/accounts/invite"), Rows: []AccountRow{
			{Name: link("Ngozi Adébáyọ̀-Lindqvist", "/accounts/a1"), Email: "ngozi@example.org", Roles: "instructor and administrator", Last: "Tue 2 Mar 08:12", State: "in use"},
			{Name: link("maximiliana.theodoropoulou-vandenbergh@example.org", "/accounts/a2"), Email: "maximiliana.theodoropoulou-vandenbergh@example.org", Roles: "auditor", Last: "never", Level: verdict.Cautions, State: "invited, link has ended"},
		}}),
		"account": AccountPage(Account{Shell: sampleShell("accounts", "Ngozi"), Title: "Ngozi", Over: link("Accounts", "/accounts"), Facts: []ui.Fact{{Label: "E-mail", Value: link("ngozi@example.org", "")}},
			Roles: ui.Form{Action: "/accounts/a1/roles", Key: "k1", Button: "Save the roles"}, Fields: []ui.Field{roles},
			Actions: []Action{{Title: "Disable this account", Note: "Nobody can sign in to it.", Form: ui.Form{Action: "/accounts/a1/disable", Key: "k2", Button: "Disable the account", Grave: true}}},
			Tokens:  []TokenRow{token}, History: []ThingStep{{When: "2027-03-02T09:00+00:00", What: "invited", By: "by Brennan"}}}),
		"tokens": TokensPage(Tokens{Shell: sampleShell("", "Tokens"), Rows: []TokenRow{token}, Form: ui.Form{Action: "/account/tokens", Key: "k3", Button: "Make the token"},
			Fields: []ui.Field{{Name: "name", Label: "What it is for", Required: true}}}),
		"tokens-none": TokensPage(Tokens{Shell: sampleShell("", "Tokens"), Form: ui.Form{Action: "/account/tokens", Key: "k3", Button: "Make the token"}}),
		"once": OncePage(Once{Shell: sampleShell("", "Invitation"), Title: "Invitation for ngozi@example.org", Over: link("Accounts", "/accounts"), Line: "Shown this once.",
			Field: ui.Field{Name: "link", Label: "Link", Value: "https://yard.example/welcome?link=ABC"}, Notes: []string{"It works once."}}),
		"once-over": OncePage(Once{Shell: sampleShell("", "Shown already"), Title: "Shown already", Missing: "What stood here is shown once and kept nowhere."}),
		"welcome": FillPage(Fill{Shell: ui.Shell{Title: "Set your password", Yard: "Carrowmoyle"}, Title: "Set your password", Line: "For ngozi@example.org.", Form: ui.Form{Action: "/welcome", Key: "k4", Button: "Set the password and sign in"},
			Fields: []ui.Field{{Name: "password", Label: "New password", Kind: ui.Password, Required: true, Complete: "new-password"}}}),
	}
}
