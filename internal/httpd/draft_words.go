package httpd

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/drafting"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// How a search and its drafts read.

// draftsFinding counts what is searched and what waits for somebody.
func draftsFinding(list []drafting.Brief) string {
	under, waits := 0, 0
	for _, d := range list {
		switch d.Progress.State {
		case drafting.Queued, drafting.Searching:
			under++
		case drafting.Done, drafting.Stopped:
			if d.HasPlan {
				waits++
			}
		}
	}
	var parts []string
	if under > 0 {
		parts = append(parts, web.Count(under, "draft is searched", "drafts are searched"))
	}
	if waits > 0 || under == 0 {
		parts = append(parts, web.Count(waits, "draft waits for a decision", "drafts wait for a decision"))
	}
	return capital(strings.Join(parts, ", ")) + "."
}

// draftTitle tells a repair by its days.
func (v *visit) draftTitle(d drafting.Brief) string {
	if d.Kind == drafting.ForMend {
		return d.Title + ", " + v.words.Days(d.From, d.Until)
	}
	return d.Title
}

func (v *visit) draftRow(d drafting.Brief) page.DraftRow {
	out := page.DraftRow{Name: ui.Link{Text: v.draftTitle(d), Href: "/drafts/" + string(d.ID)}, State: string(d.Progress.State),
		Window: v.words.Days(d.From, d.Until), Made: v.words.Moment(d.MadeAt) + " by " + shortName(d.MadeBy)}
	if d.HasPlan {
		out.Found, out.Better = placedWords(d.Progress.Unplaced), betterWords(d.Progress)
	}
	return out
}

func placedWords(unplaced int) string {
	if unplaced == 0 {
		return "Every exercise has a place."
	}
	return capital(web.Count(unplaced, "exercise has no place.", "exercises have no place."))
}

// betterWords says in a sentence how much better any plan could be.
func betterWords(p drafting.Progress) string {
	b := p.Better
	switch {
	case !b.Known:
		return "How much better is possible is not known yet."
	case b.MorePlaced > 0:
		return "At most " + web.Count(b.MorePlaced, "more could be placed.", "more could be placed.")
	case b.Permille >= 1000: // a bound that says nothing
		return "How much better is possible is not proven yet."
	case b.Permille == 0 && p.Unplaced > 0:
		return "No plan can place more, or do better."
	case b.Permille == 0:
		return "Nothing better is possible."
	case p.Unplaced > 0:
		return "No plan can place more; in days and hours at most " + percent(b.Permille) + " better is possible."
	}
	return "At most " + percent(b.Permille) + " better is possible."
}

// percent writes thousandths as a percentage with one decimal, none where it is 0.
func percent(permille int) string {
	if permille%10 == 0 {
		return fmt.Sprintf("%d %%", permille/10)
	}
	return fmt.Sprintf("%d.%d %%", permille/10, permille%10)
}

// draftLook is one look at a search under way.
func (v *visit) draftLook(p drafting.Progress, points []drafting.Point) page.DraftLook {
	if p.State == drafting.Queued {
		say := "Waits: it begins in a moment."
		if p.Ahead > 0 {
			say = "Waits: " + web.Count(p.Ahead, "other search is before it.", "other searches are before it.")
		}
		return page.DraftLook{Say: say}
	}
	out := page.DraftLook{Say: fmt.Sprintf("Searching, %d s", p.Tenths/10)}
	if p.Seconds > 0 {
		out.Say = fmt.Sprintf("Searching, %d of %d s", p.Tenths/10, p.Seconds)
		out.Done, out.Of = fmt.Sprint(min(p.Tenths/10, int64(p.Seconds))), fmt.Sprint(p.Seconds)
	}
	if len(points) > 0 {
		out.Placed = placedWords(p.Unplaced) // how much better is possible stands over the drawing
		out.Facts = []ui.Fact{fact("Cost", costWords(p.Cost)), fact("Bound", costWords(p.Bound)), fact("Steps", web.Number(p.Steps))}
		out.Gap = v.draftGap(p, points)
		out.Gap.Rows = nil
	}
	return out
}

// costWords writes a cost: a point is what the weights charge.
func costWords(n int64) string { return web.Number(n) + " points" }

// Widths of the drawing of cost and bound, in pixels.
const gapWide, gapNarrow = 560, 288

// draftGap draws how cost and bound went. Precondition: there is a point.
func (v *visit) draftGap(p drafting.Progress, points []drafting.Point) *page.DraftGap {
	looks := make([]chart.Look, len(points))
	for i, x := range points {
		looks[i] = chart.Look{Steps: x.Steps, Cost: x.Cost, Bound: x.Bound}
	}
	out := &page.DraftGap{Finding: betterWords(p), Say: fmt.Sprintf("Cost %s and bound %s after %s", web.Number(p.Cost), web.Number(p.Bound), web.Count(int(p.Steps), "step", "steps")),
		Wide: chart.NewGap(looks, gapWide), Narrow: chart.NewGap(looks, gapNarrow),
		Heads: []ui.Column{{Head: "Time", Unit: "s", Num: true}, {Head: "Steps", Num: true}, {Head: "Cost", Unit: "points", Num: true}, {Head: "Bound", Unit: "points", Num: true}, {Head: "Without a place", Num: true}}}
	out.Scale = fmt.Sprintf("What the plan costs and the bound that none can go below, in points. The scale runs from %s to %s.", out.Wide.From, out.Wide.To)
	if out.Wide.From != "0" {
		out.Scale = strings.TrimSuffix(out.Scale, ".") + ", not from 0."
	}
	if out.Wide.Cut {
		out.Scale += " What lies beyond stands at its edge."
	}
	for _, x := range changesOnly(points) {
		out.Rows = append(out.Rows, []string{tenths(x.Tenths), web.Number(x.Steps), web.Number(x.Cost), web.Number(x.Bound), fmt.Sprint(x.Unplaced)})
	}
	return out
}

func tenths(n int64) string { return fmt.Sprintf("%d.%d", n/10, n%10) }

// changesOnly leaves out points at which nothing became better, but for the last.
func changesOnly(points []drafting.Point) []drafting.Point {
	var out []drafting.Point
	for i, x := range points {
		if n := len(out); n == 0 || i == len(points)-1 || x.Cost != out[n-1].Cost || x.Bound != out[n-1].Bound {
			out = append(out, x)
		}
	}
	return out
}

// why says what became of a draft, where its state alone does not.
func (v *visit) draftWhy(d drafting.Draft) ui.Notice {
	p := d.Progress
	by := " by " + d.EndedBy + ", " + v.words.Moment(d.EndedAt) + "."
	kept := " This is the best it had found till then."
	if !d.HasPlan {
		kept = " It had found no plan till then; run it again."
	}
	switch {
	case p.State == drafting.Accepted:
		return ui.Notice{Plain: true, Text: "Accepted" + by}
	case p.State == drafting.Discarded:
		return ui.Notice{Plain: true, Text: "Discarded" + by + " Nothing of it was booked."}
	case p.Why == drafting.Restart:
		return ui.Notice{Level: verdict.Cautions, Text: "The server was restarted while it was searched." + kept}
	case p.Why == drafting.Failed:
		return ui.Notice{Level: verdict.Cautions, Text: "The search ended without a plan that holds."}
	case p.Why == drafting.ByPerson:
		return ui.Notice{Plain: true, Text: "Stopped before its time was up" + by + kept}
	case d.Same != nil && *d.Same:
		return ui.Notice{Plain: true, Text: "It repeats another draft, and its plan is the same to the byte.", Link: ui.Link{Text: "The other draft", Href: "/drafts/" + string(d.Repeats)}}
	case d.Same != nil:
		return ui.Notice{Level: verdict.Cautions, Text: "It repeats another draft, and its plan differs. Another version of the program made the other.", Link: ui.Link{Text: "The other draft", Href: "/drafts/" + string(d.Repeats)}}
	}
	return ui.Notice{}
}

// verdict says in a sentence what a draft comes to.
func draftVerdict(d drafting.Draft) string {
	n := map[drafting.ChangeKind]int{}
	for _, c := range d.Changes {
		n[c.Kind]++
	}
	var parts []string
	add := func(n int, one, many string) {
		if n > 0 {
			parts = append(parts, web.Count(n, one, many))
		}
	}
	add(n[drafting.Added], "new session", "new sessions")
	add(n[drafting.Moved], "session moves", "sessions move")
	add(n[drafting.PeopleChanged], "gets other people", "get other people")
	add(n[drafting.Gone], "is given up", "are given up")
	if d.Kind == drafting.ForMend {
		add(d.Figures.Kept, "stays as it is", "stay as they are")
	}
	if len(parts) == 0 {
		parts = []string{"nothing changes"}
	}
	return placedWords(len(d.Unplaced)) + " " + capital(web.List(parts)) + "."
}

// decided reports whether a draft can't become anything else.
func decided(s drafting.State) bool {
	return slices.Contains([]drafting.State{drafting.Accepted, drafting.Discarded}, s)
}
