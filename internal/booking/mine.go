package booking

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Mine is the day of one of the staff at the rigs.
type Mine struct {
	Person id.Person
	Sheets []Sheet         // of sessions today in which they take part and that stand, by start
	Later  session.Session // the first after today; the zero value where there is none
}

// comingDays is how far ahead the next session of a person is looked for.
const comingDays = 60

// Mine returns the actor's own day. Each session that has not begun is judged by
// every rule as things stand now.
func (d *Desk) Mine(ctx context.Context, actor access.Actor) (out Mine, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Mine{}, err
	}
	out.Person = actor.Person
	if actor.Person == "" {
		return out, nil
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		today, zone := v.Today(), v.Zone()
		list, err := v.SessionsOf([]id.Person{actor.Person}, nil, zone.StartOfDay(today), zone.StartOfDay(today+comingDays))
		if err != nil {
			return err
		}
		list = slices.DeleteFunc(list, func(s session.Session) bool { return s.State == session.StoodDown || takesNoPart(s, actor.Person) })
		slices.SortFunc(list, func(a, b session.Session) int {
			return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.ID, b.ID))
		})
		for _, s := range list {
			if zone.DayOf(s.Start) > today {
				out.Later = s
				break
			}
			sheet, err := d.sheet(v, s.ID)
			if err != nil {
				return err
			}
			out.Sheets = append(out.Sheets, sheet)
		}
		return nil
	})
	return out, err
}

// takesNoPart reports whether somebody is in a session only as one who is trained.
func takesNoPart(s session.Session, p id.Person) bool {
	return s.PartOf(p) == session.AsOther && !slices.Contains(s.Others, p)
}

// Now reports whether a session's time has come and is not over.
func Now(s session.Session, at civil.Instant) bool { return s.Start <= at && at < s.End }
