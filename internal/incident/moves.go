package incident

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Classed returns the incident as classed. Error: fault.Fields; a stop may grow
// and never shrink, because the written release alone lifts it.
func (i Incident) Classed(c Class, load Load) (Incident, error) {
	kit := load.Kit
	bad := fault.Fields{}
	if c.Significant && !c.Shared && len(c.Programmes) == 0 {
		bad.Add("programme", "Name the programmes that stop, or say that the cause is shared.")
	}
	if i.Kind.LoadsKit() && kit == "" && !c.NoKit {
		bad.Add("kit", "Name the kit that took the load, or say that none of the yard's did.")
	}
	if before := i.Class; before != nil && before.Significant {
		switch {
		case !c.Significant:
			bad.Add("significant", "It is significant, and stops until the written release is on file. It can't be made less.")
		case before.Shared && !c.Shared:
			bad.Add("programme", "Its cause was called shared. It can't be made less; the written release ends the stop.")
		case !c.Shared && !containsAll(c.Programmes, before.Programmes):
			bad.Add("programme", "A programme that stops goes on when the written release is on file, not before.")
		}
	}
	if i.Class != nil && i.Kit != "" && load != i.Load() {
		bad.Add("kit", "What took the load was named already. It is in use again only after a competent person looked at it.")
	}
	if i.Release != nil {
		bad.Add("significant", "The written release is on file already. Record a new incident for a new one.")
	}
	if err := bad.Err(); err != nil {
		return i, err
	}
	c.Programmes = slices.Compact(slices.Sorted(slices.Values(c.Programmes)))
	if !c.Significant || c.Shared {
		c.Shared, c.Programmes = c.Significant && c.Shared, nil
	}
	if kit != "" {
		i = i.Took(load)
	}
	c.NoKit = c.NoKit && i.Kit == ""
	i.Class = &c
	return i, nil
}

func containsAll(all, want []id.Programme) bool {
	return !slices.ContainsFunc(want, func(p id.Programme) bool { return !slices.Contains(all, p) })
}

// Released returns the incident with its written release. today is the day of the
// act.
func (i Incident) Released(r Release, today civil.Day, happened civil.Day) (Incident, error) {
	bad := fault.Fields{}
	switch {
	case i.Class == nil:
		bad.Add("day", "Nobody has classed it yet. Class it first.")
	case !i.Class.Significant:
		bad.Add("day", "It is not significant and stops nothing.")
	case i.Release != nil:
		bad.Add("day", "The written release is on file already.")
	case r.Day == 0:
		bad.Add("day", "Give the day of the release.")
	case r.Day > today:
		bad.Add("day", "%s is still to come. The release counts when it is on file.", r.Day)
	case r.Day < happened:
		bad.Add("day", "The release is older than the incident.")
	}
	if r.Text == "" {
		bad.Add("text", "Say who released it and under which reference.")
	}
	if err := bad.Err(); err != nil {
		return i, err
	}
	i.Release = &r
	return i, nil
}

// ToldScheme returns the incident as reported to the scheme.
func (i Incident) ToldScheme(s Signed) (Incident, error) {
	switch {
	case i.Class == nil:
		return i, fault.New(fault.Conflict, "Nobody has classed it yet. Class it first.")
	case i.Told != nil:
		return i, fault.New(fault.Conflict, "It was reported already.")
	}
	i.Told = &s
	return i, nil
}

// GaveKitBack returns the incident with its kit in use again.
func (i Incident) GaveKitBack(s Signed) (Incident, error) {
	if _, out := i.KitOut(); !out {
		return i, fault.New(fault.Conflict, "No kit is out of use for it.")
	}
	i.KitBack = &s
	return i, nil
}
