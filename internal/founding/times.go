package founding

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// Times are days on which a person is away, From to Until, both counted, and work
// declared elsewhere, from Start to End; either may be left out.
type Times struct {
	From, Until civil.Day
	Start, End  civil.Instant
}

// AddTimes records days away, on which a person is not available, and time that
// they work elsewhere, a last shift before a course too: it counts for rest and
// clashes. Why somebody is away is not asked.
func (f *Founder) AddTimes(ctx context.Context, actor access.Actor, who id.Person, t Times, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRecords, key, "away", Of{}, []any{who, t}, func(d *desk) error {
		if _, err := d.View().Person(who); err != nil {
			return err
		}
		bad := fault.Fields{}
		if t.From != 0 || t.Until != 0 {
			if err := d.away(who, t, bad); err != nil {
				return err
			}
		}
		if t.Start != 0 || t.End != 0 {
			if err := d.elsewhere(who, t, bad); err != nil {
				return err
			}
		}
		return bad.Err()
	})
	return err
}

func (d *desk) away(who id.Person, t Times, bad fault.Fields) error {
	if t.Until == 0 {
		t.Until = t.From
	}
	switch {
	case t.From == 0:
		bad.Add("away_from", "The first day away is not stated.")
	case t.Until < t.From:
		bad.Add("away_until", "The last day away, %s, lies before the first, %s.", t.Until, t.From)
	case t.Until < d.Today():
		bad.Add("away_until", "%s is past. Give days to come.", t.Until)
	default:
		zone := d.View().Zone()
		_, err := d.Put("recorded", 0, people.Away{ID: id.Away(d.id), Person: who, Start: zone.StartOfDay(t.From), End: zone.StartOfDay(t.Until + 1)})
		return err
	}
	return nil
}

// longestShift keeps a slip of the hand, such as a wrong month, out of the rests.
const longestShift civil.Minutes = 24 * 60

func (d *desk) elsewhere(who id.Person, t Times, bad fault.Fields) error {
	switch {
	case t.Start == 0:
		bad.Add("duty_day", "When the work begins is not stated.")
	case t.End == 0:
		bad.Add("duty_to", "When the work ends is not stated.")
	case t.End <= t.Start:
		bad.Add("duty_to", "It ends before it begins. Give a later time, or the day on which it ends.")
	case t.End.Sub(t.Start) > longestShift:
		bad.Add("duty_to", "It lasts %s. Give one shift at a time, of at most %s.", t.End.Sub(t.Start), longestShift)
	default:
		_, err := d.Put("recorded", 0, people.Duty{ID: id.Duty(d.ID()), Person: who, Kind: people.ElsewhereDuty, Start: t.Start, End: t.End})
		return err
	}
	return nil
}

// Time is a span in which somebody is away or works elsewhere.
type Time struct {
	Kind, ID   string // "away" or "duty"
	Start, End civil.Instant
}

// lookAround is how far back and ahead a person's times are shown.
const lookAround civil.Minutes = 366 * 24 * 60

// Times returns the spans of a person that stand, those of the last days too.
func (f *Founder) Times(ctx context.Context, actor access.Actor, who id.Person) (out []Time, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return nil, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		from := v.Zone().StartOfDay(v.Today() - 14)
		away, err := v.AwayOf([]id.Person{who}, from, v.Now().Add(lookAround))
		if err != nil {
			return err
		}
		for _, a := range away {
			if !a.Ended {
				out = append(out, Time{"away", string(a.ID), a.Start, a.End})
			}
		}
		duties, err := v.Duties([]id.Person{who}, from, v.Now().Add(lookAround))
		if err != nil {
			return err
		}
		for _, d := range duties {
			if !d.Ended && d.Kind == people.ElsewhereDuty {
				out = append(out, Time{"duty", string(d.ID), d.Start, d.End})
			}
		}
		return nil
	})
	return out, err
}

// TakeBack ends days away or work elsewhere: they count no more, and stay in the
// record.
func (f *Founder) TakeBack(ctx context.Context, actor access.Actor, kind, of, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRecords, key, kind, Of{}, of, func(d *desk) error {
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
