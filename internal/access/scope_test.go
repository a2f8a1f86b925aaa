package access

import (
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/people"
	"rungbook/internal/verdict"
)

// anybody is an actor with any roles and appointments.
func anybody(t *rapid.T) Actor {
	a := actor(rapid.SliceOfDistinct(rapid.SampledFrom(Roles()), rapid.ID[Role]).Draw(t, "roles")...)
	for _, f := range rapid.SliceOfDistinct(rapid.SampledFrom(verdict.Fields()), rapid.ID[verdict.Field]).Draw(t, "fields") {
		a.Appointments = append(a.Appointments, people.Appointment{Person: "me", Field: f, From: today, Until: today})
	}
	return a
}

func TestATokenNeverMayWhatItsOwnerMayNot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		owner := anybody(t)
		token := owner
		token.Scope = rapid.SampledFrom([]Scope{ScopeRead, ScopeBook, "everything"}).Draw(t, "scope")
		for _, r := range Table() {
			may := May(token, r.Action)
			if may && !May(owner, r.Action) {
				t.Errorf("a token may %s, its owner may not", r.Say)
			}
			if may && r.Writes && token.Scope != ScopeBook {
				t.Errorf("a token of scope %q may %s", token.Scope, r.Say)
			}
			if own, err := Require(owner, r.Action); may && err == nil {
				if role, _ := Require(token, r.Action); role != own {
					t.Errorf("to %s a token acts as %s, its owner as %s", r.Say, role, own)
				}
			}
		}
		for _, f := range verdict.Fields() {
			if MayAccept(token, f) && (!MayAccept(owner, f) || token.Scope != ScopeBook) {
				t.Errorf("a token of scope %q accepts cautions of %s", token.Scope, f)
			}
			if MayConfirm(token, f) {
				t.Errorf("a token confirms limits of %s", f)
			}
			if _, err := RequireConfirm(token, f); err == nil {
				t.Errorf("a token is let to confirm limits of %s", f)
			}
		}
		if MaySeePerson(token, "you") && !MaySeePerson(owner, "you") {
			t.Error("a token sees a person its owner does not")
		}
	})
}

func TestAScopeLeavesItsOwnAndNoMore(t *testing.T) {
	for name, c := range map[string]struct {
		scope  Scope
		action Action
		want   bool
	}{
		"reading reads":                   {ScopeRead, SeeWeek, true},
		"reading does not book":           {ScopeRead, BookSession, false},
		"booking reads":                   {ScopeBook, SeeWeek, true},
		"booking books":                   {ScopeBook, BookSession, true},
		"booking stands down":             {ScopeBook, StandDown, true},
		"booking shuts no station":        {ScopeBook, ShutStation, false},
		"booking makes no other token":    {ScopeBook, MakeToken, false},
		"booking changes no account":      {ScopeBook, ChangeAccounts, false},
		"an unknown scope reads nothing":  {"all", SeeWeek, false},
		"an unknown action is left out":   {ScopeBook, "launch-rocket", false},
		"somebody who signed in is whole": {Unscoped, ChangeAccounts, true},
	} {
		if got := c.scope.Leaves(c.action); got != c.want {
			t.Errorf("%s: %t", name, got)
		}
	}
}
