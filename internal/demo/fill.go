package demo

import (
	"context"
	"fmt"
	"slices"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// hashing is modest: the demo's password is printed on the terminal.
var hashing = &argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// evening is the time of day at which past facts are said to have been written
// down.
const evening = 17*clock + 45

// Fill writes the demo into an empty store whose clock stands on the config's
// day, or ends a filling for the same day that was broken off. Every entry is
// recorded now; happened_at and the effective days carry the past. Errors are the
// store's and the context's.
func Fill(ctx context.Context, s *store.Store, c Config) error {
	scenario, err := New(c)
	if err != nil {
		return err
	}
	for _, p := range scenario.papers { // before the entries that name them
		if _, err := s.KeepFile(p); err != nil {
			return fmt.Errorf("keep a file of the demo: %w", err)
		}
	}
	pen := &pen{scenario: scenario, sealed: map[text3]id.Commitment{}}
	for i, batch := range scenario.batches() {
		if err := ctx.Err(); err != nil {
			return err
		}
		cmd := store.Command{
			Key:     commandKey(c.Today, i),
			Content: map[string]any{"demo": c.Today.String(), "seed": c.Seed, "batch": i},
			Actor:   access.Actor{Person: batch.by, Roles: []access.Role{batch.role}, Today: c.Today},
			Role:    batch.role,
		}
		if last := batch.facts[len(batch.facts)-1].Day; last < c.Today {
			cmd.HappenedAt = scenario.Zone.At(last, evening)
		}
		_, err := s.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) { return "demo", pen.put(tx, batch.facts) })
		if err != nil {
			return fmt.Errorf("write the demo's facts up to %s: %w", batch.facts[len(batch.facts)-1].Day, err)
		}
	}
	if err := scenario.putUnderWay(ctx, s); err != nil {
		return fmt.Errorf("start a session of the demo: %w", err)
	}
	return scenario.openAccounts(ctx, s)
}

// openAccounts gives the demo's accounts their e-mail addresses and password.
func (s *Scenario) openAccounts(ctx context.Context, into *store.Store) error {
	hash, err := argon2id.CreateHash(demoPassword, hashing)
	if err != nil {
		return fmt.Errorf("hash the demo's password: %w", err)
	}
	cmd := store.Command{
		Key: fmt.Sprintf("%s%s accounts", keyStart, s.Today), Content: "accounts",
		Actor: access.Actor{Person: s.administrator, Roles: []access.Role{access.Administrator}, Today: s.Today}, Role: access.Administrator,
	}
	_, err = into.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		for _, l := range s.logins {
			if err := tx.SetSecret(l.account, l.email, hash); err != nil {
				return "", err
			}
		}
		return "demo", nil
	})
	return err
}

// batch is facts that one person wrote down in one go.
type batch struct {
	by    id.Person
	role  access.Role
	facts []Fact
}

// batches parts the facts by month, and within a month by who wrote them: first
// what the administrator prepared, then what others signed, last the
// certificates that rest on it. One commit a day would be truer and slower.
func (s *Scenario) batches() []batch {
	var out []batch
	for _, month := range months(s.Facts) {
		var prepared, certified batch
		var signed []batch
		for _, f := range month {
			switch {
			case f.By != s.administrator:
				i := slices.IndexFunc(signed, func(b batch) bool { return b.by == f.By })
				if i < 0 {
					i = len(signed)
					signed = append(signed, batch{by: f.By, role: access.Instructor})
				}
				signed[i].facts = append(signed[i].facts, f)
			case f.stage == certifying:
				certified.facts = append(certified.facts, f)
			default:
				prepared.facts = append(prepared.facts, f)
			}
		}
		for _, b := range slices.Concat([]batch{prepared}, signed, []batch{certified}) {
			if b.by == "" {
				b.by, b.role = s.administrator, access.Administrator
			}
			if len(b.facts) > 0 {
				out = append(out, b)
			}
		}
	}
	return out
}

// months cuts facts that are sorted by day at the ends of months.
func months(facts []Fact) (out [][]Fact) {
	var end civil.Day
	for _, f := range facts {
		if f.Day > end {
			out, end = append(out, nil), f.Day.MonthEnd()
		}
		out[len(out)-1] = append(out[len(out)-1], f)
	}
	return out
}
