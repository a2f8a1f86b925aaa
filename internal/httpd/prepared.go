package httpd

import (
	"fmt"
	"strings"

	"rungbook/internal/booking"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/signing"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// preparedFacts say on paper what was done before the session; nothing is said of
// what was not done, which is to be written by hand.
func (v *visit) preparedFacts(p signing.Paper) (out []ui.Fact) {
	by := func(d session.Done) string { return p.Persons[d.By] + ", " + v.words.Moment(d.At) }
	add := func(name, said string, d session.Done) { out = append(out, fact(name, said+by(d))) }
	done := p.Prepared
	if c := done.PreUse; c != nil {
		add("Check before use", checkWords(c), c.Done)
	}
	if b := done.Brief; b != nil {
		add("Rescue brief", fmt.Sprintf("version %d, ", b.Version), b.Done)
	}
	if done.Seen != nil {
		add("Cautions read", "", done.Seen.Done)
	}
	if done.WarmUp != nil {
		add("Warm-up", "", *done.WarmUp)
	}
	if r := done.Recheck; r != nil {
		add("Theory asked again", web.Count(len(r.Trainees), "trainee", "trainees")+", ", r.Done)
	}
	return out
}

func checkWords(c *session.PreUse) string {
	if failed := len(c.Failed()); failed > 0 {
		return fmt.Sprintf("failed for %d of %d, ", failed, len(c.Things))
	}
	return "passed, "
}

// preparedSteps are what was done before a session, as its history tells it.
func (v *visit) preparedSteps(sheet booking.Sheet) (out []page.SessionEntry) {
	for _, h := range sheet.Preparations {
		e := page.SessionEntry{Act: strings.ReplaceAll(h.Act, "-", " "), By: byLink(h.Actor, sheet.Persons[h.Actor]), When: v.words.Moment(h.RecordedAt), Entry: web.Number(h.Entry)}
		switch p := h.Value; {
		case h.Act == "checked" && p.PreUse != nil:
			e.Act, e.What = "checked before use", checkWords(p.PreUse)[:len(checkWords(p.PreUse))-2]
		case h.Act == "briefed" && p.Brief != nil:
			e.Act, e.What = "rescue brief held", fmt.Sprintf("version %d of the plan", p.Brief.Version)
		case h.Act == "photographed" && len(p.Photos) > 0:
			x := p.Photos[len(p.Photos)-1]
			e.Link = ui.Link{Text: "Photo (" + sizeWords(x.Bytes) + ")", Href: photoHref(p.Session, x)}
		case h.Act == "theory-rechecked" && p.Recheck != nil:
			e.Act, e.What = "theory asked again", web.Count(len(p.Recheck.Trainees), "trainee", "trainees")
		}
		out = append(out, e)
	}
	return out
}

// byLink is who wrote an entry; nobody did what the program saw by itself.
func byLink(p id.Person, name string) ui.Link {
	if p == "" {
		return ui.Link{Text: "the program"}
	}
	return personLink(p, name)
}
