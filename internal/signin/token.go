package signin

import (
	"context"
	"crypto/rand"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Token is what a program shows in the name of an account.
type Token = store.Token

// TokenDays is the longest that a token lasts, and TokenUsual what is offered.
const TokenDays, TokenUsual = 366, 90

// maxTokens is how many tokens of one account may stand at a time.
const maxTokens = 20

// NewToken is the form that makes a token.
type NewToken struct {
	Key, Name string
	Scope     access.Scope
	LastDay   civil.Day
}

// MakeToken makes a token of the actor's own. The secret is "" where the form was
// sent twice: it is shown once and kept nowhere.
func (d *Door) MakeToken(ctx context.Context, actor access.Actor, n NewToken) (secret string, err error) {
	n.Name = strings.TrimSpace(n.Name)
	fields := fault.Fields{}
	if l := len([]rune(n.Name)); l == 0 || l > 80 {
		fields.Add("name", "Say in 1 to 80 characters what it is for.")
	}
	if !slices.Contains(access.Scopes(), n.Scope) {
		fields.Add("scope", "Choose what it may do.")
	}
	err = d.act(ctx, actor, access.MakeToken, Change{Account: actor.Account, Key: n.Key}, "token-made", n, func(tx *store.Tx, a *access.Account) error {
		if n.LastDay < tx.Today() || n.LastDay > tx.Today()+TokenDays {
			fields.Add("last", "Give a last day from today to %s.", tx.Today()+TokenDays)
		}
		if err := fields.Err(); err != nil {
			return err
		}
		list, err := tx.View().TokensOf(a.ID)
		if err != nil {
			return err
		}
		list = slices.DeleteFunc(list, func(t Token) bool { return t.Ended(tx.Today()) })
		if len(list) >= maxTokens {
			return fault.Field("name", "%d tokens stand. Revoke one that is not used any more.", len(list))
		}
		secret = "rungbook-" + strings.ToLower(rand.Text())
		return tx.AddToken(Token{ID: id.Token(tx.ID()), Account: a.ID, Name: n.Name, Scope: n.Scope, LastDay: n.LastDay}, secret)
	})
	return secret, err
}

// Tokens returns the actor's own tokens.
func (d *Door) Tokens(ctx context.Context, actor access.Actor) (out []Token, err error) {
	if _, err := access.Require(actor, access.MakeToken); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error { out, err = v.TokensOf(actor.Account); return err })
	return out, err
}

// RevokeToken ends a token: one's own, or any by who may change accounts.
func (d *Door) RevokeToken(ctx context.Context, actor access.Actor, of id.Token, key string) error {
	var t Token
	err := d.store.Read(ctx, func(v *store.View) (err error) { t, err = v.Token(of); return err })
	if err != nil {
		return err
	}
	action := access.MakeToken
	if t.Account != actor.Account {
		action = access.ChangeAccounts
	}
	return d.act(ctx, actor, action, Change{Account: t.Account, Key: key}, "token-revoked", of, func(tx *store.Tx, _ *access.Account) error {
		return tx.EndToken(of)
	})
}

// OpenToken returns the visit of a token's owner, narrowed to the token's scope.
// A token that is unknown, revoked or over, or whose account has ended, is nobody.
func (d *Door) OpenToken(ctx context.Context, secret string) (out Visit, t Token, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		t, err = v.TokenBySecret(secret)
		if fault.Of(err) == fault.NotFound || err == nil && t.Ended(v.Today()) {
			t = Token{}
		} else if err != nil {
			return err
		}
		err = out.open(v, t.Account)
		out.Actor.Scope = t.Scope
		return err
	})
	if err == nil && out.Actor.Account != "" {
		err = d.store.NoteTokenUse(ctx, t)
		if kind := fault.Of(err); err != nil && (kind == fault.Unusable || kind == fault.Busy) {
			err = nil // what can't be written, as on a full disk, keeps nobody from reading
		}
	}
	return out, t, err
}
