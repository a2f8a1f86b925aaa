package curriculum

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Settings lists the settings in the order forms show them.
func Settings() []Setting { return []Setting{Theory, Practical, PracticalOnSite, RescuePractical} }

// Check judges an exercise's record by itself. It returns a form error with one
// sentence per field.
func (e Exercise) Check() error {
	bad := fault.Fields{}
	if e.ID == "" || e.Name == "" {
		bad.Add("name", "The exercise has no name.")
	}
	if !slices.Contains(Settings(), e.Setting) {
		bad.Add("setting", "%q is not a setting that the rule book has a ratio for.", e.Setting)
	}
	if e.Minutes < 1 {
		bad.Add("minutes", "The length is not stated.")
	}
	if e.Setup < 0 || e.Strike < 0 {
		bad.Add("setup_minutes", "Setting up and striking take no negative time.")
	}
	if len(e.Stations) == 0 {
		bad.Add("stations", "No station is named where it can be done.")
	}
	if e.GroupMin < 0 || (e.GroupMax != 0 && e.GroupMax < max(e.GroupMin, 1)) {
		bad.Add("group_max", "The group is smaller at most than at least.")
	}
	if e.Ratio < 1 {
		bad.Add("ratio", "How many trainees one instructor may take is not stated.")
	}
	if len(e.Outcomes) == 0 {
		bad.Add("outcomes", "It delivers no outcome.")
	}
	e.checkPauses(bad)
	e.checkLists(bad)
	return bad.Err()
}

// checkPauses wants pauses in order, apart, inside the exercise.
func (e Exercise) checkPauses(bad fault.Fields) {
	var end civil.Minutes
	for i, p := range e.Pauses {
		at := fmt.Sprintf("pauses.%d", i)
		switch {
		case p.Minutes < 1:
			bad.Add(at, "A pause has no length.")
		case p.After < end || (i == 0 && p.After < 1):
			bad.Add(at, "A pause begins before the exercise or within the pause before it.")
		case p.After+p.Minutes >= e.Minutes:
			bad.Add(at, "A pause of %s after %s does not end inside the exercise's %s.", p.Minutes, p.After, e.Minutes)
		}
		end = p.After + p.Minutes + 1
	}
}

func (e Exercise) checkLists(bad fault.Fields) {
	for _, r := range e.RatioAt {
		if r.Ratio < 1 || !slices.Contains(e.Stations, r.Station) {
			bad.Add("ratio_at", "A ratio is missing or for a station where the exercise is not done.")
		}
	}
	for _, a := range e.After {
		switch {
		case a.Exercise == "" || a.Exercise == e.ID:
			bad.Add("after", "An exercise can't come after itself.")
		case a.MinGap < 0 || (a.MaxGap != 0 && a.MaxGap < a.MinGap):
			bad.Add("after", "The longest gap is shorter than the shortest.")
		}
	}
	for _, u := range e.Uses {
		if u.Kit == "" || u.Count < 1 {
			bad.Add("uses", "A kit or its number is not stated.")
		}
	}
	states := map[id.Circuit]string{}
	for _, n := range e.Energy {
		if n.Circuit == "" || (n.State != "live" && n.State != "dead") {
			bad.Add("energy", "A circuit is needed live or dead; %q is neither.", n.State)
		}
		if before, twice := states[n.Circuit]; twice && before != n.State {
			bad.Add("energy", "The same circuit is needed live and dead.")
		}
		states[n.Circuit] = n.State
	}
	if repeated(e.Stations) || repeated(e.Outcomes) || repeated(e.Requires) {
		bad.Add("stations", "A station, outcome or requirement stands twice.")
	}
}

// Problem is something wrong between records: what it is about, and a sentence.
type Problem struct {
	Exercise  id.Exercise  // "" when it is about a programme
	Programme id.Programme // "" when it is about an exercise
	Say       string
}

// Check judges the catalogue as a whole: unknown ids, exercises that wait for
// each other, outcomes of a programme that nothing delivers, programmes that
// leave out what must be done first. The list is in the order of the records.
func (c *Catalogue) Check() []Problem {
	var out []Problem
	known := map[id.Outcome]bool{}
	for _, o := range c.Outcomes {
		known[o.ID] = true
	}
	for _, e := range c.Exercises {
		about := func(format string, args ...any) {
			out = append(out, Problem{Exercise: e.ID, Say: fmt.Sprintf(format, args...)})
		}
		for _, a := range e.After {
			if _, ok := c.Exercise(a.Exercise); !ok {
				about("comes after %s, which is not taught", a.Exercise)
			}
		}
		for _, o := range e.Outcomes {
			if !known[o] {
				about("delivers %s, which is not an outcome", o)
			}
		}
	}
	if cycle := c.cycle(); cycle != nil {
		names := make([]string, len(cycle))
		for i, e := range cycle {
			names[i] = string(e)
		}
		out = append(out, Problem{Exercise: cycle[0], Say: "waits for itself: " + strings.Join(names, " after ")})
	}
	for _, p := range c.Programmes {
		out = append(out, c.checkProgramme(p, known)...)
	}
	return out
}

func (c *Catalogue) checkProgramme(p Programme, known map[id.Outcome]bool) []Problem {
	var out []Problem
	about := func(format string, args ...any) {
		out = append(out, Problem{Programme: p.ID, Say: fmt.Sprintf(format, args...)})
	}
	if len(p.Exercises) == 0 {
		about("has no exercises")
	}
	if repeated(p.Exercises) {
		about("lists an exercise twice")
	}
	var contact civil.Minutes
	for i, e := range p.Exercises {
		exercise, ok := c.Exercise(e)
		if !ok {
			about("lists %s, which is not taught", e)
			continue
		}
		contact += exercise.Contact()
		for _, a := range exercise.After {
			if at := slices.Index(p.Exercises, a.Exercise); at < 0 || at > i {
				about("teaches %s before %s, which it comes after", e, a.Exercise)
			}
		}
	}
	for _, o := range p.Outcomes() {
		if !known[o] {
			about("asks for %s, which is not an outcome", o)
		}
	}
	for _, o := range c.Undelivered(p) {
		about("asks for %s, which none of its exercises delivers", o)
	}
	if contact < p.Hours {
		about("teaches %s and asks for %s", contact, p.Hours)
	}
	return out
}

// cycle returns exercises that wait for each other, the first one again at the
// end, or nil.
func (c *Catalogue) cycle() []id.Exercise {
	const (
		open = 1 + iota
		done
	)
	state := map[id.Exercise]int{}
	var path []id.Exercise
	var visit func(id.Exercise) []id.Exercise
	visit = func(e id.Exercise) []id.Exercise {
		path = append(path, e)
		state[e] = open
		exercise, _ := c.Exercise(e)
		for _, a := range exercise.After {
			switch state[a.Exercise] {
			case open:
				return append(slices.Clone(path[slices.Index(path, a.Exercise):]), a.Exercise)
			case 0:
				if found := visit(a.Exercise); found != nil {
					return found
				}
			}
		}
		state[e] = done
		path = path[:len(path)-1]
		return nil
	}
	for _, e := range c.Exercises {
		if state[e.ID] == 0 {
			if found := visit(e.ID); found != nil {
				return found
			}
		}
	}
	return nil
}

func repeated[T ~string](list []T) bool {
	seen := map[T]bool{}
	for _, v := range list {
		if seen[v] {
			return true
		}
		seen[v] = true
	}
	return false
}
