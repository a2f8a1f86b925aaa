package httpd

import (
	"context"
	"fmt"
	"net/http"
	"strings"

	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// reloads is after how many seconds a page that follows a search asks again by
// itself, where no script does.
const reloads = "3"

func (v *visit) draftAsked() (drafting.Draft, error) {
	return v.Drafts.Draft(v.r.Context(), v.actor, id.Draft(v.param("draft")))
}

func (v *visit) draftLink(d drafting.Brief) ui.Link {
	return ui.Link{Text: v.draftTitle(d), Href: "/drafts/" + string(d.ID)}
}

// draftOver leads to where drafts of its kind are listed.
func draftOver(d drafting.Brief) (link ui.Link, section string) {
	if d.Kind == drafting.ForMend {
		return ui.Link{Text: "Mend", Href: "/mend"}, "mend"
	}
	return ui.Link{Text: "Drafts", Href: "/plan"}, "plan"
}

// draftPage follows a search under way, and shows what was found.
func draftPage(v *visit) error {
	d, err := v.draftAsked()
	if err != nil {
		return err
	}
	over, section := draftOver(d.Brief)
	here := "/drafts/" + string(d.ID)
	p := page.Draft{Name: v.draftTitle(d.Brief), Over: over, State: string(d.Progress.State), Why: v.draftWhy(d),
		Line: "For " + v.words.Days(d.From, d.Until) + ", made " + v.words.Moment(d.MadeAt) + " by " + d.MadeBy}
	p.Shell = v.page("Draft: "+p.Name+", "+v.words.Moment(d.MadeAt), section)
	if !d.Progress.Ended() {
		p.Shell.Reload = reloads
		p.Live = &page.DraftLive{Look: v.draftLook(d.Progress, lookAt(d.Points, d.Progress)), Follow: here + "/progress", Note: "You may leave this page: the search goes on, and others may look at it.",
			Stop:  ui.Form{Action: here + "/stop", Key: v.freshKey(), Button: "Stop and keep the best so far"},
			Never: v.draftNever(d)}
		if d.Progress.State == drafting.Queued {
			p.Live.Stop.Button = "Take it out of the queue"
		}
		return v.show(http.StatusOK, page.DraftPage(p))
	}
	if err := v.fillDraft(&p, d); err != nil {
		return err
	}
	return v.show(http.StatusOK, page.DraftPage(p))
}

// fillDraft shows a draft whose search has ended.
func (v *visit) fillDraft(p *page.Draft, d drafting.Draft) error {
	if here := "/drafts/" + string(d.ID); !decided(d.Progress.State) {
		p.Discard = ui.Form{Action: here + "/discard", Key: v.freshKey(), Button: "Discard", Grave: true}
		if d.HasPlan && len(d.Changes) > 0 {
			p.Accept = ui.Link{Text: "Accept this draft …", Href: here + "/accept"}
		}
	}
	p.Search = v.draftSearch(d)
	if !d.HasPlan {
		return nil
	}
	p.Found, p.Verdict, p.Better = true, draftVerdict(d), betterWords(d.Progress)
	if len(d.Unplaced) > 0 {
		p.Level = verdict.Cautions
	}
	p.Figures, p.Unplaced = v.draftFigures(d), v.draftUnplaced(d)
	p.Changes, p.Told = v.draftChanges(d), v.draftTold(d)
	var err error
	if p.Board, err = v.draftBoard(d, v.r.URL.Query()); err != nil {
		return err
	}
	p.Others, err = v.otherDrafts(d)
	return err
}

// draftSearch says how a draft was found, and how to find it again.
func (v *visit) draftSearch(d drafting.Draft) page.DraftSearch {
	p := d.Progress
	out := page.DraftSearch{Note: "The same problem, seed and rounds give the same plan to the byte."}
	if len(d.Points) > 0 {
		out.Gap = v.draftGap(p, d.Points)
	}
	wishes := []string{"finish soon: " + string(d.Wish.Soon), "few days: " + string(d.Wish.FewDays), "spare the staff: " + string(d.Wish.SpareStaff)}
	out.Facts = []ui.Fact{fact("Asked for", strings.Join(wishes, " · ")), fact("Search", tenths(p.Tenths)+" s, "+web.Count(int(p.Rounds), "round", "rounds")+", "+web.Count(int(p.Steps), "step", "steps")),
		fact("Cost", costWords(p.Cost)), fact("Bound", costWords(p.Bound)), fact("Seed", fmt.Sprint(d.Seed)), fact("Version", d.Version), fact("Problem, SHA-256", d.ProblemSHA)}
	if d.FromSHA != "" {
		out.Facts = append(out.Facts, fact("What it mends, SHA-256", d.FromSHA))
	}
	if d.HasPlan {
		out.Again = ui.Form{Action: "/drafts/" + string(d.ID) + "/again", Key: v.freshKey(), Button: "Run it again"}
	}
	return out
}

// draftProgress tells a page that follows a search how it goes.
func draftProgress(v *visit) error {
	d, err := v.draftAsked()
	if err != nil {
		return err
	}
	looks, err := v.Drafts.Watch(v.r.Context(), v.actor, d.ID)
	if err != nil {
		return err
	}
	e, ctx, end, err := v.events()
	defer end()
	if err == nil {
		err = v.follow(ctx, e, looks, d.Points)
	}
	if err != nil {
		v.log.Debug("a reader of a search left", "draft", d.ID, "err", err)
	}
	return nil
}

// follow sends each look until the search or the stream ends. Where the server
// itself ends, the reader is not told so: its browser comes back by itself.
func (v *visit) follow(ctx context.Context, e events, looks <-chan drafting.Progress, points []drafting.Point) error {
	for first := true; ; first = false {
		select {
		case <-ctx.Done():
			return nil
		case p, open := <-looks:
			if !open {
				return nil
			}
			if p.Ended() {
				if p.Why == drafting.Restart && !first {
					return nil
				}
				return e.send("end", string(p.State))
			}
			points = lookAt(points, p)
			if err := e.draw(ctx, "look", page.DraftLookAt(v.draftLook(p, points))); err != nil {
				return err
			}
		}
	}
}

// lookAt adds how a search stands to the points kept of it.
func lookAt(points []drafting.Point, p drafting.Progress) []drafting.Point {
	if p.Steps == 0 || len(points) > 0 && points[len(points)-1].Steps >= p.Steps {
		return points
	}
	return append(points, drafting.Point{Tenths: p.Tenths, Steps: p.Steps, Cost: p.Cost, Bound: p.Bound, Unplaced: p.Unplaced})
}

// stopDraft ends a search. One that has ended meanwhile is what was asked for.
func stopDraft(v *visit) error {
	said := "Its search ends; the best plan so far is kept."
	return v.act(said, func(d id.Draft) error {
		err := v.Drafts.Stop(v.r.Context(), v.actor, d)
		if fault.Of(err) == fault.Conflict {
			return nil
		}
		return err
	})
}

// act does something to a draft and shows it again.
func (v *visit) act(said string, do func(id.Draft) error) error {
	d := id.Draft(v.param("draft"))
	if err := do(d); err != nil {
		return err
	}
	return v.goTo("/drafts/"+string(d), said)
}

// toldDraft notes all who are ticked.
func toldDraft(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	d := id.Draft(v.param("draft"))
	people := ids[id.Person](f["person"])
	if len(people) == 0 {
		return fault.New(fault.Invalid, "Nobody is ticked. Tick who was told, then save.")
	}
	if err := v.Drafts.Told(v.r.Context(), v.actor, d, people...); err != nil {
		return err
	}
	return v.goTo("/drafts/"+string(d)+"#people", capital(web.Count(len(people), "person", "people"))+" noted as told.")
}
