package httpd

import (
	"net/http"
	"strconv"

	"rungbook/internal/bringing"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func alikePage(v *visit) error { return v.alike(http.StatusOK, "") }

func (v *visit) alike(status int, bad string) error {
	pairs, joins, err := v.Bringing.Alike(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p := page.Alike{Shell: v.page("People who may be one", "set-up"), Bad: bad}
	p.Line = capital(web.Count(len(pairs), "pair", "pairs")) + " to decide; " + web.Count(len(joins), "person", "people") + " joined."
	for _, x := range pairs {
		p.Pairs = append(p.Pairs, page.AlikePair{A: alikePerson(x.A), B: alikePerson(x.B), KeepA: v.keepForm(x.A, x.B), KeepB: v.keepForm(x.B, x.A)})
	}
	for _, j := range joins {
		p.Joins = append(p.Joins, page.AlikeJoin{What: ui.Link{Text: j.Other + " is " + j.Kept.Name, Href: "/people/" + string(j.Kept.ID)},
			Who: "joined " + v.words.Moment(j.At) + " by " + j.By,
			Part: ui.Form{Action: "/import/alike/part", Key: v.freshKey(), Button: "They are two after all", Unseen: j.Other,
				Hidden: []ui.Value{{Name: "join", Value: strconv.FormatInt(j.Entry, 10)}}}})
	}
	return v.show(status, page.AlikePage(p))
}

func alikePerson(s bringing.Somebody) page.AlikePerson {
	out := page.AlikePerson{Name: personLink(s.ID, s.Name), Born: "no birth date", Number: "no number"}
	if s.Born != 0 {
		out.Born = "born " + web.FullDay(s.Born)
	}
	if s.Number != "" {
		out.Number = "number " + s.Number
	}
	return out
}

func (v *visit) keepForm(kept, other bringing.Somebody) ui.Form {
	return ui.Form{Action: "/import/alike", Key: v.freshKey(), Button: "One person: keep " + kept.Name, Unseen: "and join " + other.Name,
		Hidden: []ui.Value{{Name: "kept", Value: string(kept.ID)}, {Name: "other", Value: string(other.ID)}}}
}

func joinAlike(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	err = v.Bringing.Join(v.r.Context(), v.actor, bringing.Joining{Kept: id.Person(f.Get("kept")), Other: id.Person(f.Get("other"))}, v.key())
	switch fault.Of(err) {
	case fault.Conflict:
		return v.alike(http.StatusConflict, fault.Message(err))
	case fault.Invalid:
		return v.alike(http.StatusUnprocessableEntity, fault.Message(err))
	}
	if err != nil {
		return err
	}
	return v.goTo("/import/alike", "Joined. It can be undone below.")
}

func partAlike(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	if err := v.Bringing.Part(v.r.Context(), v.actor, numberField(f, "join"), v.key()); err != nil {
		return err
	}
	return v.goTo("/import/alike", "They are two again.")
}
