//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestAPersonIsInvitedResetAndGivenAnotherRole hands a link from an administrator
// to a new colleague, who sets a password with it, forgets it, and is helped.
func TestAPersonIsInvitedResetAndGivenAnotherRole(t *testing.T) {
	t.Parallel()
	const first, second = "a rung above the harness", "a harness below the rung"
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			demo := FreshDemo(t)
			head := demo.Open(t, look)
			head.SignIn("administrator")
			head.menu("Accounts")
			head.WantSound()
			head.Shot("accounts " + look.Name)
			head.Click("link", "Invite a person")
			head.Fill("E-mail", "ruadhan@carrowmoyle.example")
			head.Click("button", "Make the invitation")
			head.WantStatus(422)
			head.WantText("Tick at least one role")
			head.WantSound()
			head.Check("Instructor")
			head.Check("Administrator")
			head.Click("button", "Make the invitation")
			head.WantText("Shown this once", "ruadhan@carrowmoyle.example", "It works once, until ")
			head.WantSound()
			head.WantAccessible()
			head.Shot("invitation " + look.Name)
			link := afterHost(t, head.Value("Link"))
			head.Reload()
			head.WantText("is shown once and kept nowhere")

			guest := demo.Open(t, look)
			guest.Go(link)
			guest.WantText("ruadhan@carrowmoyle.example")
			guest.Fill("Your name", "Ruadhán Ó Maoil")
			guest.Fill("New password", first)
			guest.Fill("New password, once more", second)
			guest.Click("button", "Set the password and sign in")
			guest.WantStatus(422)
			guest.WantFieldError("New password, once more", "differ")
			guest.WantSound()
			guest.Fill("New password", first)
			guest.Fill("New password, once more", first)
			guest.Click("button", "Set the password and sign in")
			guest.WantText("you are signed in", "Ruadhán Ó Maoil")

			other := demo.Open(t, look)
			other.Expect(410)
			other.Go(link)
			other.WantStatus(410)
			other.WantText("has been used, replaced or has ended")

			head.Go("/accounts")
			if row := head.Within("row", "Ruadhán").Text(); !strings.Contains(row, "instructor and administrator") || !strings.Contains(row, "in use") {
				t.Errorf("the list says %q", row)
			}
			head.Click("link", "Ruadhán Ó Maoil")
			head.Unfold("Make a link that sets a new password")
			head.Click("button", "Make the link")
			link = afterHost(t, head.Value("Link"))
			guest.Go("/account")
			guest.WantText("ruadhan@carrowmoyle.example")
			guest.WantSound()
			other.Go(link)
			other.Fill("New password", second)
			other.Fill("New password, once more", second)
			other.Click("button", "Set the password and sign in")
			other.WantText("you are signed in")
			guest.Go("/accounts")
			guest.WantPath(SignInPath) // the reset ended what was signed in

			head.Go("/accounts")
			head.Click("link", "Ruadhán Ó Maoil")
			head.Uncheck("Administrator")
			head.Click("button", "Save the roles")
			head.WantText("Roles saved")
			head.WantSound()
			head.WantAccessible()
			head.Shot("account " + look.Name)
			other.Expect(403)
			other.Go("/accounts")
			other.WantStatus(403)
		})
	}
}

// TestTheLastAdministratorIsNotRemoved tries, by role and by disabling.
func TestTheLastAdministratorIsNotRemoved(t *testing.T) {
	t.Parallel()
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := FreshDemo(t).Open(t, look)
			p.SignIn("administrator")
			p.Go("/accounts")
			own := p.Within("row", "administrator@").First("link", "")
			p.Within("row", "administrator@").Click("link", own)
			p.Unfold("Disable this account")
			p.Click("button", "Disable the account")
			p.WantStatus(409)
			p.WantText("This is the last administrator who can sign in")
			p.Go("/accounts")
			p.Within("row", "administrator@").Click("link", own)
			p.Uncheck("Administrator")
			p.Check("Instructor")
			p.Click("button", "Save the roles")
			p.WantStatus(409)
			p.WantText("This is the last administrator who can sign in")
			p.Go("/accounts")
			p.WantH1("Accounts")
		})
	}
}

// TestATokenIsMadeShownOnceAndRevoked walks the page of one's own tokens.
func TestATokenIsMadeShownOnceAndRevoked(t *testing.T) {
	t.Parallel()
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := FreshDemo(t).Open(t, look)
			p.SignIn("instructor")
			p.Go("/account/tokens")
			p.Fill("What it is for", "Week in the hall")
			p.Click("button", "Make the token")
			if !strings.HasPrefix(p.Value("Token"), "rungbook-") {
				t.Errorf("the page shows %q", p.Value("Token"))
			}
			p.Go("/account/tokens")
			p.WantText("Week in the hall", "never used")
			p.WantSound()
			p.Shot("tokens " + look.Name)
			p.Click("button", "Revoke Week in the hall")
			p.WantText("Token revoked", "revoked ")
		})
	}
}

// afterHost returns the path and query of an address.
func afterHost(t *testing.T, address string) string {
	t.Helper()
	_, rest, ok := strings.Cut(address, "://")
	i := strings.IndexByte(rest, '/')
	if !ok || i < 0 {
		t.Fatalf("%q is no address", address)
	}
	return rest[i:]
}
