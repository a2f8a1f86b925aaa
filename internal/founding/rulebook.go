package founding

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// Profiles writes the rule book's first version from the shipped lines of the
// profiles chosen, counting from today; or, where there is one, a next version
// from a later day, in which lines of a profile that stays keep their values.
// Nothing is confirmed by it.
func (f *Founder) Profiles(ctx context.Context, actor access.Actor, chosen []id.Profile, from civil.Day, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRuleBook, key, "rule-book", Of{}, []any{chosen, from}, func(d *desk) error {
		before := d.ref.RuleBooks.All(civil.LastDay)
		next := rulebook.Version{ID: id.RuleBook(d.id), From: d.Today(), Profiles: chosen}
		last, any := rulebook.InForce(before, civil.LastDay)
		if any {
			next.From = from
			if slices.Equal(last.Profiles, chosen) {
				return fault.Field("profiles", "These are the profiles of the latest version; nothing would change.")
			}
		}
		for _, p := range chosen {
			lines := rulebook.Examples(p)
			if any && last.Selected(p) {
				lines = nil
				for _, l := range last.Lines {
					if l.Profile == p {
						lines = append(lines, l)
					}
				}
			}
			next.Lines = append(next.Lines, lines...)
		}
		if err := rulebook.CheckNew(next, before, d.Today()); err != nil {
			return err
		}
		_, err := d.Put("written", next.From, next)
		return err
	})
	return err
}
