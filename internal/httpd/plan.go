package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// planForm asks what to plan. A link may name the intake.
func planForm(v *visit) error {
	q, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	wish := wishOf(q, bad)
	status := http.StatusOK
	if len(bad) > 0 {
		status = http.StatusUnprocessableEntity
	}
	return v.planning(status, wish, q, bad)
}

// startPlan puts a draft in the queue.
func startPlan(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	wish := wishOf(f, bad)
	if f.Get("choose") != "" { // the trainees stand for their intakes
		wish.Intakes = nil
	}
	var made id.Draft
	if err = bad.Err(); err == nil {
		made, err = v.Drafts.Start(v.r.Context(), v.actor, wish, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.planning(http.StatusUnprocessableEntity, wishOf(f, fault.Fields{}), f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/drafts/"+string(made), "")
}

// wishOf reads the form; what it lacks stays empty.
func wishOf(f url.Values, bad fault.Fields) drafting.Wish {
	w := drafting.Wish{Intakes: ids[id.Intake](f["intakes"]), Trainees: ids[id.Trainee](f["trainees"]), From: dayField(f, "from", bad), Until: dayField(f, "until", bad),
		Soon: drafting.Level(f.Get("soon")), FewDays: drafting.Level(f.Get("few_days")), SpareStaff: drafting.Level(f.Get("spare_staff"))}
	if text := f.Get("seconds"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			bad.Add("seconds", "Choose how long to search.")
		}
		w.Seconds = n
	}
	return w
}

func ids[T ~string](texts []string) []T {
	var out []T
	for _, x := range texts {
		if x != "" {
			out = append(out, T(x))
		}
	}
	return out
}

func (v *visit) planning(status int, w drafting.Wish, f url.Values, bad fault.Fields) error {
	c, err := v.Drafts.Choices(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	list, err := v.Drafts.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	w = usual(w, c)
	p := page.Planning{Shell: v.page("Plan an intake", "plan"), Finding: draftsFinding(list),
		Form:    ui.Form{Action: "/plan", Key: v.freshKey(), Lead: "Not started. To mend:", Button: "Start the search"},
		Intakes: v.intakeChoices(c, w.Intakes, bad),
		From:    dayAsked("from", "From", w.From, f, bad), Until: dayAsked("until", "Until", w.Until, f, bad),
		Wishes: []ui.Field{
			level("soon", "Finish soon", w.Soon, c.Levels, bad), level("few_days", "Few days for each trainee", w.FewDays, c.Levels, bad), level("spare_staff", "Spare the staff", w.SpareStaff, c.Levels, bad)},
		Seconds: ui.Field{Name: "seconds", Label: "How long to search", Kind: ui.Select, Short: true, Hint: "It can be stopped early.", Error: bad["seconds"]},
	}
	for _, n := range c.Searches {
		p.Seconds.Options = append(p.Seconds.Options, ui.Option{Value: strconv.Itoa(n), Label: searchLength(n), Chosen: n == w.Seconds})
	}
	if f.Get("choose") != "" && len(w.Intakes) > 0 {
		p.Trainees = traineeChoices(c, w, bad)
		p.Form.Hidden = []ui.Value{{Name: "choose", Value: "trainees"}}
	} else if m := bad["trainees"]; m != "" {
		p.Intakes.Error = m
	}
	p.Form.Errors = ui.Errors(slices.Concat([]ui.Field{p.Intakes}, fieldsOf(p.Trainees), []ui.Field{p.From, p.Until}, p.Wishes, []ui.Field{p.Seconds}))
	if m := bad[""]; m != "" {
		p.Form.Errors = append(p.Form.Errors, ui.FieldError{Text: m})
	}
	for _, d := range list {
		p.Drafts = append(p.Drafts, v.draftRow(d))
	}
	return v.show(status, page.PlanningPage(p))
}

// usual fills in what was not asked for. The days are those of the intakes chosen.
func usual(w drafting.Wish, c drafting.Choices) drafting.Wish {
	u := c.Usual
	if len(w.Intakes) == 0 && len(w.Trainees) == 0 && w.From == 0 && w.Until == 0 {
		w.Intakes = u.Intakes
	}
	for _, in := range c.Intakes {
		if w.From == 0 && w.Until == 0 && slices.Contains(w.Intakes, in.Intake) {
			u.From, u.Until = max(in.From, c.Today), in.Until
		}
	}
	if w.From == 0 && w.Until == 0 {
		w.From, w.Until = u.From, u.Until
	}
	if w.Soon == "" && w.FewDays == "" && w.SpareStaff == "" {
		w.Soon, w.FewDays, w.SpareStaff = u.Soon, u.FewDays, u.SpareStaff
	}
	if w.Seconds == 0 {
		w.Seconds = u.Seconds
	}
	return w
}

func (v *visit) intakeChoices(c drafting.Choices, chosen []id.Intake, bad fault.Fields) ui.Field {
	field := ui.Field{Name: "intakes", Label: "Intakes", Kind: ui.Checkboxes, Error: bad["intakes"]}
	if len(c.Intakes) == 0 {
		field.Hint = "No intake runs or is to come."
	}
	list := slices.Clone(c.Intakes)
	slices.SortStableFunc(list, func(a, b drafting.IntakeChoice) int { return cmp.Compare(min(1, b.Open), min(1, a.Open)) })
	for _, in := range list { // those with something to plan come first
		rec, _ := v.ref.Intakes.On(in.Intake, max(v.today, in.From))
		programme, _ := v.ref.Programmes.On(rec.Programme, v.today)
		o := ui.Option{Value: string(in.Intake), Label: in.Name, Chosen: slices.Contains(chosen, in.Intake)}
		o.Note = strings.Join([]string{web.Count(len(in.Trainees), "trainee", "trainees") + ", " + openWords(in.Open), v.ref.Text(programme.Name), v.words.Days(in.From, in.Until)}, " · ")
		o.Shut = in.Open == 0 && !o.Chosen
		field.Options = append(field.Options, o)
	}
	return field
}

func openWords(n int) string {
	if n == 0 {
		return "nothing left to plan"
	}
	return web.Count(n, "exercise", "exercises") + " to plan"
}

// traineeChoices lists the trainees of the intakes chosen; all are ticked until
// some were chosen.
func traineeChoices(c drafting.Choices, w drafting.Wish, bad fault.Fields) *ui.Field {
	field := &ui.Field{Name: "trainees", Label: "Trainees", Kind: ui.Checkboxes, Error: bad["trainees"]}
	for _, in := range c.Intakes {
		if !slices.Contains(w.Intakes, in.Intake) {
			continue
		}
		for _, t := range in.Trainees {
			o := ui.Option{Value: string(t.Trainee), Label: t.Name, Note: openWords(t.Open), Shut: t.Open == 0}
			o.Chosen = !o.Shut && (len(w.Trainees) == 0 || slices.Contains(w.Trainees, t.Trainee))
			field.Options = append(field.Options, o)
		}
	}
	return field
}

func fieldsOf(f *ui.Field) []ui.Field {
	if f == nil {
		return nil
	}
	return []ui.Field{*f}
}

// dayAsked keeps what was typed even if it is no day.
func dayAsked(name, label string, d civil.Day, f url.Values, bad fault.Fields) ui.Field {
	field := ui.Field{Name: name, Label: label, Kind: ui.Date, Required: true, Short: true, Error: bad[name]}
	if d != 0 {
		field.Value = d.String()
	}
	if text := f.Get(name); text != "" {
		field.Value = text
	}
	return field
}

func level(name, label string, chosen drafting.Level, levels []drafting.Level, bad fault.Fields) ui.Field {
	field := ui.Field{Name: name, Label: label, Kind: ui.Radio, Error: bad[name]}
	for _, l := range levels {
		field.Options = append(field.Options, ui.Option{Value: string(l), Label: string(l), Chosen: l == chosen})
	}
	return field
}

// searchLength says how long a search lasts: "30 s", "5 min".
func searchLength(n int) string {
	if n >= 120 && n%60 == 0 {
		return fmt.Sprintf("%d min", n/60)
	}
	return fmt.Sprintf("%d s", n)
}
