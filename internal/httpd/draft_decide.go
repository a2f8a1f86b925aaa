package httpd

import (
	"net/http"
	"net/url"

	"rungbook/internal/drafting"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// What may become of a draft.

// acceptDraftForm asks once more and says what comes of it.
func acceptDraftForm(v *visit) error {
	d, err := v.draftAsked()
	if err != nil {
		return err
	}
	over, section := draftOver(d.Brief)
	link := v.draftLink(d.Brief)
	if !d.Progress.Ended() || decided(d.Progress.State) || len(d.Changes) == 0 {
		return v.goTo(link.Href, "") // which says why there is nothing to accept
	}
	p := page.DraftAccept{Shell: v.page("Accept "+link.Text, section), Name: link.Text, Over: link, Line: over.Text + ", " + v.words.Days(d.From, d.Until),
		People: v.concernedWords(d), Back: ui.Link{Text: "Back to the draft", Href: link.Href},
		Form: ui.Form{Action: link.Href + "/accept", Key: v.freshKey(), Button: acceptButton(d)}}
	n, waits := changeCounts(d)
	say := func(n int, one, many string) {
		if n > 0 {
			p.Says = append(p.Says, capital(web.Count(n, one, many)))
		}
	}
	say(n[drafting.Added], "new session is booked.", "new sessions are booked.")
	say(n[drafting.Moved], "session moves.", "sessions move.")
	say(n[drafting.PeopleChanged], "session gets other people.", "sessions get other people.")
	say(n[drafting.Gone], "session is stood down.", "sessions are stood down.")
	say(waits, "of them is only pencilled: a caution waits to be accepted.", "of them are only pencilled: cautions wait to be accepted.")
	say(len(d.Unplaced), "exercise stays without a place.", "exercises stay without a place.")
	return v.show(http.StatusOK, page.DraftAcceptPage(p))
}

// changeCounts counts the changes of a draft by kind, and those that would be
// pencilled.
func changeCounts(d drafting.Draft) (n map[drafting.ChangeKind]int, waits int) {
	n = map[drafting.ChangeKind]int{}
	for _, c := range d.Changes {
		n[c.Kind]++
		if len(c.Waits) > 0 {
			waits++
		}
	}
	return n, waits
}

// acceptButton says what happens: "Book 31 sessions, move 1, stand down 2".
func acceptButton(d drafting.Draft) string {
	n, _ := changeCounts(d)
	text := ""
	add := func(n int, verb string) {
		if n == 0 {
			return
		}
		if text == "" {
			text = capital(verb) + " " + web.Count(n, "session", "sessions")
		} else {
			text += ", " + verb + " " + web.Number(int64(n))
		}
	}
	add(n[drafting.Added], "book")
	add(n[drafting.Moved], "move")
	add(n[drafting.PeopleChanged], "change the people of")
	add(n[drafting.Gone], "stand down")
	return text
}

// concernedWords says whom a draft concerns.
func (v *visit) concernedWords(d drafting.Draft) string {
	staff := 0
	for _, c := range d.Concerned {
		if c.Staff {
			staff++
		}
	}
	return capital(web.Count(len(d.Concerned), "person is concerned: ", "people are concerned: ")) + web.Count(len(d.Concerned)-staff, "trainee", "trainees") +
		" and " + web.Count(staff, "of the staff", "of the staff") + ". Accepting tells nobody: tick afterwards who was told."
}

// acceptDraft books a draft, or says what came between.
func acceptDraft(v *visit) error {
	if _, err := v.form(); err != nil {
		return err
	}
	of := id.Draft(v.param("draft"))
	done, err := v.Drafts.Accept(v.r.Context(), v.actor, of, v.key())
	if err != nil {
		return err
	}
	if done.Changed != nil {
		return v.draftChanged(*done.Changed)
	}
	said := capital(web.Count(done.Booked, "session is booked", "sessions are booked"))
	if done.Pencilled > 0 {
		said += ", " + web.Count(done.Pencilled, "is pencilled until its cautions are accepted", "are pencilled until their cautions are accepted")
	}
	if done.StoodDown > 0 {
		said += ", " + web.Count(done.StoodDown, "is stood down", "are stood down")
	}
	return v.goTo("/drafts/"+string(of)+"#people", said+". Tell the people concerned.")
}

// draftChanged says what came between a draft and today.
func (v *visit) draftChanged(c drafting.Changed) error {
	d, err := v.draftAsked()
	if err != nil {
		return err
	}
	_, section := draftOver(d.Brief)
	link := v.draftLink(d.Brief)
	p := page.DraftChanged{Shell: v.page("Not accepted: "+link.Text, section), Name: link.Text, Over: link, Line: "Judged " + v.words.Moment(v.now) + ", made " + v.words.Moment(d.MadeAt) + ".",
		Findings: v.findings(c.Slice, c.Findings), Back: ui.Link{Text: "Back to the draft", Href: link.Href}}
	for _, s := range c.Sessions {
		p.Says = append(p.Says, v.exerciseName(s.Exercise, v.today)+", now "+v.span(s)+" on "+v.stationAt(s.Station, v.today).Text+", "+stateWords(s.State)+", was changed since.")
	}
	q := url.Values{"from": {max(d.From, v.today).String()}, "until": {d.Until.String()}}
	p.Again = ui.Link{Text: "Look at what is hit now", Href: "/mend?" + q.Encode()}
	if d.Kind == drafting.ForIntake {
		for _, in := range d.Wish.Intakes {
			q.Add("intakes", string(in))
		}
		p.Again = ui.Link{Text: "Plan it anew", Href: "/plan?" + q.Encode()}
	}
	return v.show(http.StatusConflict, page.DraftChangedPage(p))
}

func discardDraft(v *visit) error {
	return v.act("Discarded. Nothing of it was booked.", func(d id.Draft) error { return v.Drafts.Discard(v.r.Context(), v.actor, d) })
}

func againDraft(v *visit) error {
	if _, err := v.form(); err != nil {
		return err
	}
	made, err := v.Drafts.Again(v.r.Context(), v.actor, id.Draft(v.param("draft")), v.key())
	if err != nil {
		return err
	}
	return v.goTo("/drafts/"+string(made), "")
}

// othersListed is how many drafts are offered to compare with.
const othersListed = 8

// otherDrafts are those that a draft can be compared with, newest first.
func (v *visit) otherDrafts(d drafting.Draft) (out []ui.Link, err error) {
	list, err := v.Drafts.List(v.r.Context(), v.actor)
	if err != nil {
		return nil, err
	}
	for _, x := range list {
		if x.ID != d.ID && x.HasPlan && x.Kind == d.Kind && len(out) < othersListed {
			out = append(out, ui.Link{Text: v.draftTitle(x) + ", made " + v.words.Moment(x.MadeAt), Href: "/drafts/" + string(d.ID) + "/against/" + string(x.ID)})
		}
	}
	return out, nil
}
