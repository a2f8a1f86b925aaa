package httpd

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/signin"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func inviteForm(v *visit) error {
	q := v.r.URL.Query()
	if q.Get("person") != "" && !q.Has("role") {
		if _, staff := v.ref.Staff.On(id.Person(q.Get("person")), v.today); !staff {
			q.Set("role", string(access.TraineeRole))
		}
	}
	return v.invite(http.StatusOK, q, nil)
}

func (v *visit) invite(status int, f url.Values, bad fault.Fields) error {
	persons, err := v.invitable(id.Person(f.Get("person")))
	if err != nil {
		return err
	}
	fields := []ui.Field{
		{Name: "email", Label: "E-mail", Kind: ui.Email, Value: f.Get("email"), Error: bad["email"], Required: true, Hint: "They sign in with it. Nothing is sent to it."},
		{Name: "person", Label: "Person", Kind: ui.Select, Options: persons, Error: bad["person"],
			Hint: "Staff without an account. For anybody else on record, begin at their own page."},
		rolesField(rolesOf(f), bad["roles"]),
	}
	p := page.Fill{Shell: v.page("Invite a person", "accounts"), Title: "Invite a person", Over: ui.Link{Text: "Accounts", Href: "/accounts"}, Fields: fields,
		Line: "You are given a link to hand over. It works once, for 72 hours, and lets the person set a password.",
		Form: ui.Form{Action: "/accounts/invite", Key: v.freshKey(), Button: "Make the invitation", Errors: ui.Errors(fields)}}
	return v.show(status, page.FillPage(p))
}

// invitable lists the staff who have no account, and one person who was chosen.
func (v *visit) invitable(chosen id.Person) ([]ui.Option, error) {
	out := []ui.Option{{Label: "Somebody without a record: they give their name", Chosen: chosen == ""}}
	has := map[id.Person]bool{}
	for _, a := range v.ref.Accounts.All(v.today) {
		has[a.Person] = has[a.Person] || !a.Ended
	}
	var staff []ui.Option
	for _, st := range v.ref.Staff.All(v.today) {
		if !has[st.ID] {
			staff = append(staff, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID), Chosen: st.ID == chosen})
		}
	}
	slices.SortFunc(staff, func(a, b ui.Option) int { return strings.Compare(a.Label, b.Label) })
	if _, isStaff := v.ref.Staff.On(chosen, v.today); chosen != "" && (!isStaff || has[chosen]) {
		person, err := v.Records.Person(v.r.Context(), v.actor, chosen)
		if err != nil {
			return nil, err
		}
		staff = append(staff, ui.Option{Value: string(chosen), Label: person.Name, Chosen: true})
	}
	return append(out, staff...), nil
}

func invite(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	made, err := v.Door.Invite(v.r.Context(), v.actor, signin.Invitation{Key: v.key(), Email: f.Get("email"), Person: id.Person(f.Get("person")), Roles: rolesOf(f)})
	if fields, ok := taken(err); ok {
		return v.invite(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	return v.hand(made, "Invitation")
}

// taken is formErrors that counts an address somebody else uses among them.
func taken(err error) (fault.Fields, bool) {
	var one *fault.Error
	if errors.As(err, &one) && one.Kind == fault.Conflict && one.Field != "" {
		return fault.Fields{one.Field: one.Message}, true
	}
	return formErrors(err)
}

func makeLink(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	made, err := v.Door.MakeLink(v.r.Context(), v.actor, v.changeOf(f))
	if err != nil {
		return err
	}
	return v.hand(made, "Link")
}

// hand leads to the page that shows a link once.
func (v *visit) hand(made signin.Handed, title string) error {
	email, err := v.Door.EmailOf(v.r.Context(), made.Account)
	if err != nil {
		return err
	}
	p := page.Once{Title: title, Over: ui.Link{Text: "Accounts", Href: "/accounts"}, Line: "For " + email + ". Shown this once: copy it and hand it to the person yourself; nothing was sent.",
		Field: ui.Field{Name: "link", Label: "Link"}}
	if made.Secret != "" {
		p.Field.Value = v.origin() + "/welcome?" + url.Values{"link": {made.Secret}}.Encode()
		p.Notes = []string{fmt.Sprintf("It works once, until %s. Whoever opens it first can set the password, so send it by a way that only they read.", v.words.Moment(made.Ends))}
	}
	return v.toOnce(p)
}

// toOnce answers a form with a page that is shown once.
func (v *visit) toOnce(p page.Once) error {
	ticket := v.ids.New()
	v.once.hold(ticket, v.actor.Account, v.now, p)
	return v.goTo("/once/"+ticket, "")
}

func oncePage(v *visit) error {
	p, ok := v.once.take(v.param("ticket"), v.actor.Account)
	if !ok {
		p.Title = "Shown already"
		p.Over = ui.Link{Text: "My account", Href: "/account"}
	}
	p.Shell = v.page(p.Title, "")
	p.Missing = "What stood here is shown once and kept nowhere. If it was not copied, make a new one; the one made before is then useless, or can be revoked."
	return v.show(http.StatusOK, page.OncePage(p))
}

// origin is where this site is reached: as it was said, or as the reader's browser
// names it. A header of a proxy is believed only of one that was named (Front).
func (v *visit) origin() string {
	if v.Address != "" {
		return v.Address
	}
	return v.r.URL.Scheme + "://" + v.r.Host
}

func welcomeForm(v *visit) error {
	return v.welcome(http.StatusOK, v.r.URL.Query().Get("link"), "", nil)
}

func (v *visit) welcome(status int, secret, name string, bad fault.Fields) error {
	at, err := v.Door.Look(v.r.Context(), secret)
	if err != nil {
		return err
	}
	var fields []ui.Field
	if at.NeedsName {
		fields = append(fields, ui.Field{Name: "name", Label: "Your name", Value: name, Required: true, Complete: "name", Hint: "As it should stand in the record."})
	}
	fields = append(fields, passwordFields()...)
	for i := range fields {
		fields[i].Error = bad[fields[i].Name]
	}
	p := page.Fill{Shell: v.page("Set your password", ""), Title: "Set your password", Line: "For " + at.Email + ".", Fields: fields,
		Form: ui.Form{Action: "/welcome", Key: v.freshKey(), Hidden: []ui.Value{{Name: "link", Value: secret}}, Button: "Set the password and sign in", Errors: ui.Errors(fields)}}
	if at.Name != "" {
		p.Line = "For " + at.Name + ", " + at.Email + "."
	}
	return v.show(status, page.FillPage(p))
}

func passwordFields() []ui.Field {
	return []ui.Field{
		{Name: "password", Label: "New password", Kind: ui.Password, Required: true, Complete: "new-password", Hint: fmt.Sprintf("At least %d characters. A sentence is good.", signin.MinPassword)},
		{Name: "again", Label: "New password, once more", Kind: ui.Password, Required: true, Complete: "new-password"},
	}
}

func welcome(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	w := signin.Welcome{Key: v.key(), Secret: f.Get("link"), Name: f.Get("name"), Password: f.Get("password"), Again: f.Get("again")}
	var account id.Account
	err = v.few("", func() error {
		account, err = v.Door.Arrive(v.r.Context(), w)
		return err
	})
	if fields, ok := formErrors(err); ok {
		return v.welcome(http.StatusUnprocessableEntity, w.Secret, w.Name, fields)
	}
	if err != nil {
		return err
	}
	if err := v.enter(account); err != nil {
		return err
	}
	return v.goTo("/", "Your password is set, and you are signed in.")
}
