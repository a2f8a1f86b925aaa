package founding

import (
	"context"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/ledger"
	"rungbook/internal/store"
)

// Standing is what somebody should see of a record before they change it: its
// revision, how it came to be as it is, and what speaks of it.
type Standing struct {
	Rev     int64
	History []Step // newest first
	Uses    []Use
}

// Use is a record that speaks of another one.
type Use = store.Use

// Step is one change of a record.
type Step struct {
	Act     string
	By      string // name, "" for nobody on record
	At      civil.Instant
	From    civil.Day
	Changed []string // members of the record that differ from the step before, as the ledger names them
}

// Standing returns what stands behind a record. Error: fault.NotFound.
func (f *Founder) Standing(ctx context.Context, actor access.Actor, kind, of string) (out Standing, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		entries, err := v.EntriesOf(kind, of)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			return fault.New(fault.NotFound, "There is no %s %s.", kind, of)
		}
		for i, e := range entries {
			names, err := v.PersonNames(e.Actor)
			if err != nil {
				return err
			}
			step := Step{Act: e.Act, By: names[e.Actor], At: e.Recorded(), From: e.EffectiveDay}
			if i > 0 {
				if step.Changed, err = changed(entries[i-1], e); err != nil {
					return err
				}
			}
			out.Rev, out.History = e.Rev, append(out.History, step)
		}
		slices.Reverse(out.History)
		out.Uses, err = v.Uses(of)
		return err
	})
	return out, err
}

// changed lists the members in which two states of a record differ, sorted.
func changed(was, is ledger.Entry) ([]string, error) {
	before, after := map[string]jsontext.Value{}, map[string]jsontext.Value{}
	if err := json.Unmarshal(was.Body, &before); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(is.Body, &after); err != nil {
		return nil, err
	}
	var out []string
	for name, v := range after {
		if string(before[name]) != string(v) {
			out = append(out, name)
		}
	}
	for name := range before {
		if _, kept := after[name]; !kept {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out, nil
}

// StaffRev returns the revision of a person's staff record, 0 for none.
func (f *Founder) StaffRev(ctx context.Context, actor access.Actor, person string) (rev int64, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return 0, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		entries, err := v.EntriesOf("staff", person)
		if err == nil && len(entries) > 0 {
			rev = entries[len(entries)-1].Rev
		}
		return err
	})
	return rev, err
}
