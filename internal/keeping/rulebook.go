package keeping

import (
	"context"
	"fmt"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Confirm records that a field's limits are right for this centre, by its
// responsible person; planning is confirmed by an administrator.
func (k *Keeper) Confirm(ctx context.Context, actor access.Actor, version id.RuleBook, field verdict.Field, key string) error {
	if _, err := access.Require(actor, access.ConfirmField); err != nil {
		return err
	}
	role, err := access.RequireConfirm(actor, field) // the one that the entry names
	if err != nil {
		return err
	}
	return k.actAs(ctx, actor, role, access.ConfirmField, key, []string{string(version), string(field)}, func(tx *store.Tx, ref *store.Reference) error {
		v, ok := ref.RuleBooks.On(version, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no such version of the rule book.")
		}
		if !slices.Contains(v.Confirmed(nil, tx.Today()), field) {
			return fault.New(fault.Conflict, "This field is confirmed already.")
		}
		v.Confirmations = append(slices.Clone(v.Confirmations), rulebook.Confirmation{Field: field, Person: actor.Person, Day: tx.Today()})
		_, err := tx.Put("confirmed", v.From, v)
		return err
	})
}

// Change is one line of the next version.
type Change struct {
	Line   string
	Value  int64
	Source rulebook.Source // where the new value stands; for one's own, the decision it rests on
}

// NextVersion writes a dated new version: the latest one with lines changed. It
// is not confirmed; each field it changes is to be confirmed before its first day.
func (k *Keeper) NextVersion(ctx context.Context, actor access.Actor, from civil.Day, changes []Change, key string) error {
	return k.act(ctx, actor, access.ChangeRuleBook, key, []any{from, changes}, func(tx *store.Tx, ref *store.Reference) error {
		before := ref.RuleBooks.All(civil.LastDay)
		last, ok := rulebook.InForce(before, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no rule book yet.")
		}
		next := last
		next.ID, next.From, next.Confirmations = id.RuleBook(tx.ID()), from, nil
		next.Lines = slices.Clone(last.Lines)
		if len(changes) == 0 {
			return fault.Field("value", "Nothing changes. Give at least one line a new value.")
		}
		for _, c := range changes {
			i := slices.IndexFunc(next.Lines, func(l rulebook.Line) bool { return l.ID == c.Line })
			if i < 0 {
				return fault.Field("line", "There is no line %s.", c.Line)
			}
			next.Lines[i].Value, next.Lines[i].Source = c.Value, c.Source
		}
		if err := rulebook.CheckNew(next, before, tx.Today()); err != nil {
			return fmt.Errorf("next version of the rule book: %w", err)
		}
		_, err := tx.Put("written", from, next)
		return err
	})
}
