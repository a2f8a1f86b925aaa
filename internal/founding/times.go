package founding

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// Holiday records days on which a person is not available, both counted. Why is
// not asked.
func (f *Founder) Holiday(ctx context.Context, actor access.Actor, who id.Person, from, until civil.Day, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRecords, key, "away", Of{}, []any{who, from, until}, func(d *desk) error {
		if _, err := d.View().Person(who); err != nil {
			return err
		}
		bad := fault.Fields{}
		if from == 0 {
			bad.Add("from", "The first day away is not stated.")
		}
		if until == 0 {
			until = from
		}
		if until < from {
			bad.Add("until", "The last day away, %s, lies before the first, %s.", until, from)
		}
		if until < d.Today() {
			bad.Add("until", "These days are past. Give days to come.")
		}
		if err := bad.Err(); err != nil {
			return err
		}
		zone := d.View().Zone()
		r := people.Away{ID: id.Away(d.id), Person: who, Start: zone.StartOfDay(from), End: zone.StartOfDay(until + 1)}
		if err := r.Check(); err != nil {
			return err
		}
		return d.put(r)
	})
	return err
}

// Elsewhere records time that a person works elsewhere, a last shift before a
// course too: it counts for rest and clashes.
func (f *Founder) Elsewhere(ctx context.Context, actor access.Actor, who id.Person, start, end civil.Instant, key string) error {
	_, err := f.write(ctx, actor, access.RecordDuty, key, "duty", Of{}, []any{who, start, end}, func(d *desk) error {
		if _, err := d.View().Person(who); err != nil {
			return err
		}
		r := people.Duty{ID: id.Duty(d.id), Person: who, Kind: people.ElsewhereDuty, Start: start, End: end}
		if err := r.Check(); err != nil {
			return err
		}
		if end.Sub(start) > longestShift {
			return fault.Field("end", "It lasts %s. Give one shift at a time, of at most %s.", end.Sub(start), longestShift)
		}
		return d.put(r)
	})
	return err
}

// longestShift keeps a slip of the hand, such as a wrong month, out of the rests.
const longestShift civil.Minutes = 24 * 60

// TakeBack ends a holiday or a duty that was recorded: it counts no more, and
// stays in the record.
func (f *Founder) TakeBack(ctx context.Context, actor access.Actor, kind, of, key string) error {
	action := access.ChangeRecords
	if kind == "duty" {
		action = access.RecordDuty
	}
	_, err := f.write(ctx, actor, action, key, kind, Of{}, of, func(d *desk) error {
		if kind == "duty" {
			row, err := d.View().Duty(id.Duty(of))
			if err != nil {
				return err
			}
			row.Value.Ended = true
			_, err = d.Put("taken-back", 0, row.Value)
			return err
		}
		row, err := d.View().Away(id.Away(of))
		if err != nil {
			return err
		}
		row.Value.Ended = true
		_, err = d.Put("taken-back", 0, row.Value)
		return err
	})
	return err
}
