package httpd

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// draftFigures are the numbers of a draft, each with what it is made of.
func (v *visit) draftFigures(d drafting.Draft) []page.DraftFigure {
	f := d.Figures
	out := []page.DraftFigure{v.daysFigure(d), {Label: "Staff hours", Value: web.Hours(f.StaffMinutes) + " h", Note: "For the sessions that are new or changed, from setting up to clearing away.",
		Heads: []ui.Column{{Head: "Person"}, {Head: "Hours", Unit: "h", Num: true}, {Head: "Sessions", Num: true}}}}
	for _, s := range f.Staff {
		out[1].Rows = append(out[1].Rows, page.DraftFigureRow{Name: personLink(s.Person, s.Name), Cells: []string{web.Hours(s.Minutes), fmt.Sprint(s.Sessions)}})
	}
	if len(f.Intakes) > 0 {
		out = append(out, v.lastFigure(f))
	}
	return append(out, v.stationFigure(f))
}

func (v *visit) daysFigure(d drafting.Draft) page.DraftFigure {
	out := page.DraftFigure{Label: "Days per trainee", Note: "In the days planned, with what was booked before.", Heads: []ui.Column{{Head: "Trainee"}, {Head: "Days", Num: true}, {Head: "Which"}}}
	most := 0
	for _, t := range d.Figures.Trainees {
		most = max(most, len(t.Days))
		var which []string
		for _, day := range t.Days {
			which = append(which, v.words.Day(day))
		}
		out.Rows = append(out.Rows, page.DraftFigureRow{Name: v.traineeLink(d.Slice, t.Trainee, t.Name), Cells: []string{fmt.Sprint(len(t.Days)), strings.Join(which, " · ")}})
	}
	out.Value = "none"
	if n := len(d.Figures.Trainees); n > 0 {
		out.Value = fmt.Sprintf("%s on average, at most %d", tenths(int64((d.Figures.TraineeDays*10+n/2)/n)), most)
	}
	return out
}

func (v *visit) lastFigure(f drafting.Figures) page.DraftFigure {
	out := page.DraftFigure{Label: "Last day", Heads: []ui.Column{{Head: "Intake"}, {Head: "Last session"}, {Head: "To be done by"}}}
	var last civil.Day
	for _, in := range f.Intakes {
		last = max(last, in.Last)
		said := v.words.Day(in.Last)
		if in.Last == 0 {
			said = "none in these days"
		}
		out.Rows = append(out.Rows, page.DraftFigureRow{Name: ui.Link{Text: in.Name, Href: "/intakes/" + string(in.Intake)}, Cells: []string{said, v.words.Day(in.Deadline)}})
	}
	out.Value = v.words.Day(last)
	if last == 0 {
		out.Value = "none"
	}
	return out
}

func (v *visit) stationFigure(f drafting.Figures) page.DraftFigure {
	out := page.DraftFigure{Label: "Use of stations", Note: "Of the hours in which each can be used, in the days planned.",
		Heads: []ui.Column{{Head: "Station"}, {Head: "Open", Unit: "h", Num: true}, {Head: "Booked", Unit: "h", Num: true}, {Head: "Draft", Unit: "h", Num: true}, {Head: "In use", Unit: "%", Num: true}}}
	var open, used civil.Minutes
	for _, s := range f.Stations {
		open, used = open+s.Open, used+s.Booked+s.Plan
		out.Rows = append(out.Rows, page.DraftFigureRow{Name: ui.Link{Text: s.Name, Href: "/stations/" + string(s.Station)},
			Cells: []string{web.Hours(s.Open), web.Hours(s.Booked), web.Hours(s.Plan), share(s.Booked+s.Plan, s.Open)}})
	}
	out.Value = share(used, open) + " % of the open hours"
	return out
}

// share is a part in whole percent, rounded down; "–" of nothing.
func share(part, whole civil.Minutes) string {
	if whole == 0 {
		return "–"
	}
	return fmt.Sprint(int(part * 100 / whole))
}

// draftUnplaced groups the needs without a place by exercise and cause.
func (v *visit) draftUnplaced(d drafting.Draft) []page.DraftUnplaced {
	var out unplacedGroups
	for _, u := range d.Unplaced {
		one := page.DraftUnplaced{Exercise: u.Title}
		need := page.DraftNeed{Name: v.traineeLink(d.Slice, u.Trainee, u.Name)}
		if u.Never != nil {
			one.Never, one.Why = true, []string{capital(u.Never.Say.In(v.styleOf(d.Slice)))}
		} else {
			one.Why, one.Clears = v.unplacedWords(d.Slice, u)
			need.Why = ui.Link{Text: "Why?", Href: "/drafts/" + string(d.ID) + "/why?" + url.Values{"trainee": {string(u.Trainee)}, "exercise": {string(u.Exercise)}}.Encode()}
		}
		out.add(one, need)
	}
	return out.list
}

// draftNever groups what no plan can place, as it is known before a search.
func (v *visit) draftNever(d drafting.Draft) []page.DraftUnplaced {
	var out unplacedGroups
	for _, n := range d.Never {
		out.add(page.DraftUnplaced{Exercise: n.Title, Never: true, Why: []string{capital(n.Say.In(v.styleOf(d.Slice)))}}, page.DraftNeed{Name: v.traineeLink(d.Slice, n.Trainee, n.Name)})
	}
	return out.list
}

func (v *visit) traineeLink(names *planning.Slice, t id.Trainee, name string) ui.Link {
	rec, _ := names.Trainee(t)
	return personLink(rec.Person, name)
}

// unplacedGroups puts needs together that say the same.
type unplacedGroups struct {
	list []page.DraftUnplaced
	at   map[string]int
}

func (g *unplacedGroups) add(one page.DraftUnplaced, need page.DraftNeed) {
	key := strings.Join(slices.Concat([]string{one.Exercise}, one.Why, one.Clears), "\n")
	i, known := g.at[key]
	if !known {
		if g.at == nil {
			g.at = map[string]int{}
		}
		i = len(g.list)
		g.at[key] = i
		g.list = append(g.list, one)
	}
	g.list[i].Who = append(g.list[i].Who, need)
}

// unplacedWords says what the nearest attempt met, or where none was made the
// planner's reason, and what would clear it.
func (v *visit) unplacedWords(names *planning.Slice, u drafting.Unplaced) (why, clears []string) {
	style := v.styleOf(names)
	for _, f := range u.Why {
		why = append(why, verdict.RuleName(f.Rule)+": "+f.Found.In(style))
		if f.Nearest != nil {
			clears = append(clears, capital(f.Nearest.Say.In(style)))
		} else if r := f.Required.In(style); r != "" {
			clears = append(clears, capital(r))
		}
	}
	if len(why) == 0 {
		why = []string{capital(ruleWords.Replace(u.Say.In(style)))}
	}
	if u.Clear != nil {
		clears = append([]string{capital(u.Clear.Say.In(style))}, clears...)
	}
	return why, clears
}

// ruleWords puts people's words for the names of rules. Names of one word are left:
// they may be only words.
var ruleWords = func() *strings.Replacer {
	var pairs []string
	rules, _ := planning.Asked()
	for _, r := range rules {
		if strings.Contains(r, "-") {
			pairs = append(pairs, r, "“"+verdict.RuleName(r)+"”")
		}
	}
	return strings.NewReplacer(pairs...)
}()

// draftTold lists the people whose sessions change.
func (v *visit) draftTold(d drafting.Draft) page.DraftTold {
	out := page.DraftTold{}
	told := 0
	for _, c := range d.Concerned {
		row := page.DraftPerson{ID: string(c.Person), Name: personLink(c.Person, c.Name), Before: v.parts(d.Slice, c.Before), After: v.parts(d.Slice, c.After)}
		if c.Told != nil {
			told++
			row.Told = v.words.Moment(c.Told.At) + ", by " + shortName(c.Told.By)
		}
		out.Rows = append(out.Rows, row)
	}
	out.Line = capital(web.Count(len(out.Rows), "person", "people")) + "; " + toldWords(told)
	switch d.Progress.State {
	case drafting.Accepted:
		out.Form = ui.Form{Action: "/drafts/" + string(d.ID) + "/told", Key: v.freshKey(), Button: "Save who was told"}
	case drafting.Discarded:
		out.Line = capital(web.Count(len(out.Rows), "person would have been concerned.", "people would have been concerned."))
	default:
		out.Line = capital(web.Count(len(out.Rows), "person is", "people are")) + " to be told once the draft is accepted."
	}
	return out
}

func (v *visit) parts(names *planning.Slice, list []drafting.Part) []string {
	var out []string
	for _, p := range list {
		s := v.proposed(names, p)
		line := s.When + " " + s.Exercise.Text + ", " + s.Where
		if p.As != session.AsTrainee {
			line += ", as " + string(p.As)
		}
		out = append(out, line)
	}
	return out
}

func toldWords(n int) string {
	if n == 0 {
		return "nobody is noted as told."
	}
	return web.Count(n, "was told", "were told") + "."
}
