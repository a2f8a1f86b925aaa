package planning

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// ground is the part of a problem that follows from the slowly changing records
// alone: hours, light, limits, rigs, exercises and what staff may do.
type ground struct {
	problem  plan.Problem
	causes   map[string]Cause
	policies map[id.Profile]bool
	staff    map[string]bool
	register *rig.Register
	book     rulebook.Version   // in force on the first day of the change
	books    []rulebook.Version // in force on any of its days
	reach    civil.Period       // the horizon as instants
}

// groundCache keeps the grounds last used, newest first.
type groundCache struct {
	mu   sync.Mutex
	kept []keptGround
}

type keptGround struct {
	ref         *store.Reference // by pointer: a write that was undone leaves no ground behind
	from, until civil.Day
	day         civil.Day
	ground      *ground
}

const groundsKept = 16

func (c *groundCache) get(ref *store.Reference, yard rig.Yard, zone civil.Zone, scope Scope) *ground {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, k := range c.kept {
		if k.ref == ref && k.from == scope.From && k.until == scope.Until && k.day == scope.Day {
			return k.ground
		}
	}
	g := layGround(ref, yard, zone, scope)
	c.kept = append([]keptGround{{ref, scope.From, scope.Until, scope.Day, g}}, c.kept[:min(len(c.kept), groundsKept-1)]...)
	return g
}

// problemCopy returns the ground's problem with the lists that a slice extends
// copied, so that the ground stays as it is.
func (g *ground) problemCopy() *plan.Problem {
	p := g.problem
	p.People = slices.Clone(p.People)
	p.Exercises = slices.Clone(p.Exercises)
	return &p
}

// groundwork lays a ground; its methods each build one part.
type groundwork struct {
	*ground
	ref   *store.Reference
	yard  rig.Yard
	zone  civil.Zone
	day   civil.Day // versions of this day count
	first civil.Day // first day on which a change may fall
	last  civil.Day // last day on which a change may fall
}

func layGround(ref *store.Reference, yard rig.Yard, zone civil.Zone, scope Scope) *ground {
	w := groundwork{
		ground: &ground{causes: map[string]Cause{}, policies: map[id.Profile]bool{}, staff: map[string]bool{}},
		ref:    ref, yard: yard, zone: zone, day: scope.Day, first: scope.From, last: scope.Until,
	}
	unconfirmed := w.limits()
	reach := civil.Day(check.GreatestReach(w.problem.RestPolicies...))
	from := anchor(scope.From - reach)
	w.problem.Zone, w.problem.Grid = zone, yard.Grid
	w.problem.From, w.problem.Days = from, int(scope.Until+reach+1-from)
	w.reach = civil.Period{Start: zone.StartOfDay(from), End: zone.StartOfDay(scope.Until + reach + 1)}
	w.register = register(ref, zone)
	w.hours()
	w.light()
	w.rigs()
	w.stations(unconfirmed)
	w.kits()
	w.exercises()
	w.people()
	for _, c := range counting(&w, &ref.Circuits) {
		w.problem.Circuits = append(w.problem.Circuits, plan.Circuit{ID: string(c.ID), Changeover: c.Changeover})
	}
	for _, in := range counting(&w, &ref.Intakes) {
		w.problem.Intakes = append(w.problem.Intakes, plan.Intake{ID: string(in.ID), Alone: in.Alone})
	}
	return w.ground
}

// anchor returns the latest Monday on or before d that begins a fixed fortnight,
// so that rests counted in blocks of 7 or 14 days fall alike in every slice.
func anchor(d civil.Day) civil.Day {
	monday := d.Monday()
	return monday - (monday/7)%2*7
}

func pointer(list string, i int) string { return fmt.Sprintf("/%s/%d", list, i) }

func (w *groundwork) setCause(at string, c Cause) { w.causes[at] = c }

func (w *groundwork) hours() {
	for _, o := range w.yard.Open {
		w.problem.Open = append(w.problem.Open, plan.Window{Weekdays: o.Weekdays, From: o.From, To: o.To})
	}
	for _, c := range w.yard.ClosedDays {
		if text := w.ref.Text(c.Reason); text != "" {
			w.setCause(pointer("closed_days", len(w.problem.ClosedDays)), Cause{Say: verdict.Say("the yard is closed on ", c.Day, ": ", text)})
		}
		w.problem.ClosedDays = append(w.problem.ClosedDays, c.Day)
	}
}

// light lists the usable daylight of each day. A day without sunrise or sunset
// is not listed, and a station that needs light can't be used on it.
func (w *groundwork) light() {
	for _, l := range rig.Daylights(w.yard, w.zone, w.first, int(w.last-w.first)+1) {
		w.problem.Daylight = append(w.problem.Daylight, plan.Daylight{Day: l.Day, From: l.From, To: l.To})
	}
}

// limits builds the rest policies of every profile that the rule book holds,
// the stricter ones where versions of the book share the days of the change, and
// returns a cause if no confirmed rule book covers them.
func (w *groundwork) limits() (stopped *Cause) {
	standing, covered := rulebook.Standing(w.ref.RuleBooks.All(civil.LastDay), w.first, w.last)
	if !covered {
		return &Cause{Say: verdict.Say("no rule book is in force on ", w.first)}
	}
	w.book, w.books = standing[0], standing
	for _, pr := range w.book.Profiles {
		policy, ok := w.book.Policy(pr)
		for _, later := range standing[1:] {
			if other, stated := later.Policy(pr); stated {
				policy, ok = rulebook.Stricter(policy, other), true
			}
		}
		if ok {
			w.policies[pr] = true
			w.problem.RestPolicies = append(w.problem.RestPolicies, planPolicy(pr, policy))
		}
	}
	slices.SortFunc(w.problem.RestPolicies, func(a, b plan.RestPolicy) int { return strings.Compare(a.Name, b.Name) })
	for _, v := range standing {
		if missing := v.Confirmed(nil, w.first); len(missing) > 0 {
			return &Cause{Say: verdict.Say("the rule book of ", v.From, " is not confirmed for ", fieldWords(missing))}
		}
	}
	return nil
}

func planPolicy(name id.Profile, p rulebook.Policy) plan.RestPolicy {
	return plan.RestPolicy{
		Name: string(name), DailyRest: p.DailyRest, WeeklyRest: p.WeeklyRest,
		WeeklyRestDays: p.WeeklyRestDays, WeeklyRestCount: p.WeeklyRestCount, RunDays: p.RunDays,
		DayMinutes: p.DayMinutes, DaySpan: p.DaySpan, WeekMinutes: p.WeekMinutes,
		HeightDay: p.HeightDay, Stretch: p.Stretch, Break: p.Break,
	}
}

// counting returns what counts on the slice's day and, of records that do not,
// one version: sessions on other days may stand on them, and must be seen.
func counting[K ~string, T any](w *groundwork, t *store.Table[K, T]) []T {
	out := t.All(w.day)
	for _, k := range t.Keys() {
		if _, ok := t.On(k, w.day); ok {
			continue
		}
		versions := t.Versions(k)
		i := slices.IndexFunc(versions, func(v store.Dated[T]) bool { return v.From > w.day })
		if i < 0 {
			i = len(versions) - 1
		}
		out = append(out, versions[i].Value)
	}
	return out
}

func (w *groundwork) rigs() {
	for _, r := range counting(w, &w.ref.Rigs) {
		w.problem.Rigs = append(w.problem.Rigs, plan.Rig{ID: string(r.ID), PeopleMax: r.PeopleMax})
	}
}

// exercises takes each exercise in the version of the slice's day. The ratio is
// the smaller of its own and the rule book's for its setting; where neither is
// stated, or it is not taught on that day, it fits no station.
func (w *groundwork) exercises() {
	for _, e := range counting(w, &w.ref.Exercises) {
		at := pointer("exercises", len(w.problem.Exercises))
		limit, line, ok := w.ratio(e.Setting)
		out := planExercise(e, limit)
		who := verdict.Ref{Kind: verdict.Exercise, ID: out.ID}
		_, recorded := w.ref.Exercises.On(e.ID, w.day)
		nowhere := func(say verdict.Text) {
			out.Stations = []string{}
			w.setCause(at+"/stations", Cause{Say: say})
		}
		switch {
		case !recorded:
			nowhere(verdict.Say(who, " is not in the records on ", w.day))
		case e.Retired != 0 && e.Retired <= w.day:
			nowhere(verdict.Say(who, " is not taught since ", e.Retired))
		case !ok:
			nowhere(verdict.Say("the rule book states no ratio for ", string(e.Setting), ", which ", who, " needs"))
		case e.Ratio == 0 || limit < e.Ratio:
			w.setCause(at+"/ratio", Cause{Line: line.ID})
		}
		for _, other := range w.ref.Exercises.Versions(e.ID) {
			if other.From <= w.last+2 && (other.Until == 0 || w.first-2 < other.Until) {
				out.Setup, out.Strike = max(out.Setup, other.Value.Setup), max(out.Strike, other.Value.Strike)
			}
		}
		w.problem.Exercises = append(w.problem.Exercises, out)
	}
}

// ratio is the smallest of all rule books in force in the horizon; ok is false
// where one of them states none.
func (w *groundwork) ratio(setting curriculum.Setting) (limit int, line rulebook.Line, ok bool) {
	for _, b := range w.books {
		n, l, stated := b.Ratio(string(setting))
		if !stated {
			return 0, rulebook.Line{}, false
		}
		if !ok || n < limit {
			limit, line, ok = n, l, true
		}
	}
	return limit, line, ok
}

// planExercise copies an exercise; a limit of 0 is none.
func planExercise(e curriculum.Exercise, limit int) plan.Exercise {
	out := plan.Exercise{
		ID: string(e.ID), Minutes: e.Minutes, Setup: e.Setup, Strike: e.Strike, Stations: texts(e.Stations),
		GroupMin: e.GroupMin, GroupMax: e.GroupMax, Ratio: e.Ratio, Requires: e.Requires,
	}
	if limit > 0 && (out.Ratio == 0 || limit < out.Ratio) {
		out.Ratio = limit
	}
	out.Ratio = max(out.Ratio, 1)
	for _, p := range e.Pauses {
		out.Pauses = append(out.Pauses, plan.Pause{After: p.After, Minutes: p.Minutes})
	}
	for _, r := range e.RatioAt {
		out.RatioAt = append(out.RatioAt, plan.RatioAt{Station: string(r.Station), Ratio: r.Ratio})
	}
	for _, a := range e.After {
		out.After = append(out.After, plan.After{Exercise: string(a.Exercise), MinGap: a.MinGap, MaxGap: a.MaxGap})
	}
	for _, u := range e.Uses {
		out.Uses = append(out.Uses, plan.Use{Kit: string(u.Kit), Count: u.Count})
	}
	for _, n := range e.Energy {
		out.Energy = append(out.Energy, plan.Energy{Circuit: string(n.Circuit), State: plan.EnergyState(n.State)})
	}
	return out
}

// people lists the staff with what their certificates entitle them to.
func (w *groundwork) people() {
	for _, st := range w.ref.Staff.All(w.day) {
		i := len(w.problem.People)
		out := plan.Person{ID: string(st.ID), Rest: []string{}}
		may := credential.EntitlementsOf(w.ref.StaffCertificates[st.ID], w.books...)
		for _, t := range may.Teaches {
			out.Teaches = append(out.Teaches, plan.Teaches{Exercise: string(t.Exercise), Validity: plan.Validity(t.Span)})
		}
		for _, r := range may.Rescue {
			out.Rescuer = append(out.Rescuer, plan.Validity(r))
		}
		for _, f := range may.FirstAid {
			out.FirstAid = append(out.FirstAid, plan.Validity(f))
		}
		out.Available = w.workdays(st.Works)
		who := verdict.Ref{Kind: verdict.Person, ID: out.ID}
		if len(st.Rest) == 0 {
			out.Available = []civil.Period{}
			w.setCause(pointer("people", i)+"/available", Cause{Say: verdict.Say("it is not stated which rest rules bind ", who)})
		}
		for _, pr := range st.Rest {
			if !w.policies[pr] {
				out.Available = []civil.Period{}
				w.setCause(pointer("people", i)+"/available", Cause{Say: verdict.Say("the rule book in force does not hold the rest rules that bind ", who)})
				continue
			}
			out.Rest = append(out.Rest, string(pr))
		}
		w.staff[out.ID] = true
		w.problem.People = append(w.problem.People, out)
	}
}

// workdays returns the horizon's days on which works holds, as joined periods.
func (w *groundwork) workdays(works func(civil.Day) bool) []civil.Period {
	out := []civil.Period{}
	for d := w.problem.From; d < w.problem.From+civil.Day(w.problem.Days); d++ {
		if !works(d) {
			continue
		}
		span := w.zone.DayPeriod(d)
		if n := len(out); n > 0 && out[n-1].End == span.Start {
			out[n-1].End = span.End
			continue
		}
		out = append(out, span)
	}
	return out
}
