package drafting

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Hits is what losses and other later facts have come to in some days.
type Hits struct {
	From, Until civil.Day // both counted
	Sessions    []Hit     // by start
	// Days are findings about a person's days and not about one session.
	Days   []verdict.Finding
	Notice civil.Minutes // how long before its start a session that could stay is not changed; 0 = not stated
	Slice  *planning.Slice
	Zone   civil.Zone
}

// Hit is a session to come that a rule stops as it stands.
type Hit struct {
	Session  session.Session
	Exercise string // name
	Station  string // name
	Findings []verdict.Finding
	Soon     bool // it starts within the notice time
}

// Hit returns the sessions of some days that can't run as they stand.
func (d *Desk) Hit(ctx context.Context, actor access.Actor, from, until civil.Day) (out Hits, err error) {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return Hits{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		bad := fault.Fields{}
		if checkSpan(bad, from, until, v.Today()); bad.Err() != nil {
			return bad.Err()
		}
		s, err := d.builder.Build(v, scopeOf(ForMend, from, until, nil))
		if err != nil {
			return err
		}
		out = Hits{From: from, Until: until, Slice: s, Zone: v.Zone()}
		out.Notice, _ = s.Notice()
		out.gather(v.Now())
		return nil
	})
	return out, err
}

func (h *Hits) gather(now civil.Instant) {
	at := map[id.Session]int{}
	for _, f := range h.Slice.All().At(verdict.Stops) {
		named := false
		for _, r := range f.Refs() {
			rec, ok := h.Slice.Session(r.ID)
			if r.Kind != verdict.Session || !ok {
				continue
			}
			named = true
			if day := h.Zone.DayOf(rec.Start); rec.Start <= now || day < h.From || h.Until < day || !stands(rec) {
				continue
			}
			i, known := at[rec.ID]
			if !known {
				i = len(h.Sessions)
				at[rec.ID] = i
				h.Sessions = append(h.Sessions, Hit{Session: rec, Soon: rec.Start < now.Add(h.Notice),
					Exercise: h.Slice.Name(verdict.Ref{Kind: verdict.Exercise, ID: string(rec.Exercise)}),
					Station:  h.Slice.Name(verdict.Ref{Kind: verdict.Station, ID: string(rec.Station)})})
			}
			if !slices.ContainsFunc(h.Sessions[i].Findings, func(x verdict.Finding) bool { return x.Subject() == f.Subject() }) {
				h.Sessions[i].Findings = append(h.Sessions[i].Findings, f)
			}
		}
		if !named {
			h.Days = append(h.Days, f)
		}
	}
	slices.SortFunc(h.Sessions, func(a, b Hit) int {
		return cmp.Or(cmp.Compare(a.Session.Start, b.Session.Start), cmp.Compare(a.Session.ID, b.Session.ID))
	})
}

// Mend builds a repair of what is booked in some days and puts it in the queue:
// what is hit finds a new place, time or people where there is any, with few
// changes to the rest; what starts within the notice time stays unless it is hit.
// Errors: fault.Invalid with the field, fault.Conflict where nothing is hit that
// could be moved.
func (d *Desk) Mend(ctx context.Context, actor access.Actor, from, until civil.Day, seconds int, key string) (id.Draft, error) {
	return d.start(ctx, actor, key, ForMend, Wish{From: from, Until: until, Soon: Middle, FewDays: Middle, SpareStaff: Middle, Seconds: seconds})
}
