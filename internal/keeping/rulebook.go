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

// Reading is a field that somebody answers for, with the lines they say they read.
type Reading struct {
	Field verdict.Field
	Lines []string // ids; Unchanged where no line is to be read
}

// Unchanged is ticked in a field of which no line changed since it was confirmed.
const Unchanged = "unchanged"

// Confirm records that fields' limits are right for this centre, by the
// responsible person of each; planning is confirmed by an administrator. Each
// limit that is to be read must be ticked: messages are in "lines_FIELD".
func (k *Keeper) Confirm(ctx context.Context, actor access.Actor, version id.RuleBook, read []Reading, key string) error {
	if _, err := access.Require(actor, access.ConfirmField); err != nil {
		return err
	}
	read = slices.DeleteFunc(slices.Clone(read), func(r Reading) bool { return len(r.Lines) == 0 })
	if len(read) == 0 {
		return fault.Field("lines", "No limit is ticked. Read those of a field, and tick each.")
	}
	role := access.Administrator // the one that the entry names
	for _, r := range read {
		one, err := access.RequireConfirm(actor, r.Field)
		if err != nil {
			return err
		}
		if r.Field != verdict.Planning {
			role = one
		}
	}
	return k.actAs(ctx, actor, role, access.ConfirmField, key, []any{string(version), read}, func(tx *store.Tx, ref *store.Reference) error {
		v, ok := ref.RuleBooks.On(version, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no such version of the rule book.")
		}
		v.Confirmations = slices.Clone(v.Confirmations)
		bad := fault.Fields{}
		for _, r := range read {
			if !slices.Contains(v.Confirmed(nil, tx.Today()), r.Field) {
				return fault.New(fault.Conflict, "This field is confirmed already.")
			}
			if n := unread(rulebook.ToRead(ref.RuleBooks.All(civil.LastDay), v, r.Field), r.Lines); n > 0 {
				bad.Add("lines_"+string(r.Field), "%d more of its limits are to be read and ticked. A field is confirmed as a whole, or left for later without a tick.", n)
			}
			v.Confirmations = append(v.Confirmations, rulebook.Confirmation{Field: r.Field, Person: actor.Person, Day: tx.Today()})
		}
		if err := bad.Err(); err != nil {
			return err
		}
		_, err := tx.Put("confirmed", v.From, v)
		return err
	})
}

// unread counts the lines that are not ticked.
func unread(lines []rulebook.Line, ticked []string) (n int) {
	for _, l := range lines {
		if !slices.Contains(ticked, l.ID) {
			n++
		}
	}
	return n
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
