package drafting

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Again puts the same problem in the queue once more, with the same seed and as
// much work as the plan kept took: a new draft, whose Same then says whether the
// plan is the same to the byte. It is, unless another version of the program
// makes it. Errors: fault.Conflict for a draft without a plan or still searched,
// or where too many wait.
func (d *Desk) Again(ctx context.Context, actor access.Actor, of id.Draft, key string) (made id.Draft, err error) {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return "", err
	}
	var row store.Draft
	var files store.DraftFiles
	err = d.store.Read(ctx, func(v *store.View) error {
		if made, err = v.DraftOfForm(key); made != "" || err != nil {
			return err
		}
		if err := room(v); err != nil {
			return err
		}
		if row, err = v.Draft(of); err != nil {
			return err
		}
		if row.State == string(Queued) || row.State == string(Searching) || !row.HasPlan {
			return fault.New(fault.Conflict, "There is no plan yet that could be made again.")
		}
		files, err = v.DraftFiles(row.ID)
		row.MadeAt = v.Now()
		return err
	})
	if err != nil || made != "" {
		return made, err
	}
	if row.Repeats == "" { // all repetitions name the first
		row.Repeats = row.ID
	}
	row.State, row.Why, row.MadeBy, row.Version = string(Queued), "", actor.Person, d.version
	row.Seconds, row.Effort = 0, row.Rounds
	made, err = d.store.AddDraft(ctx, key, row, files)
	d.wake()
	return made, err
}
