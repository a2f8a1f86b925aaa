package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/planning"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func ruleBookPage(v *visit) error { return v.ruleBook(http.StatusOK, sent{}) }

// ruleBook shows the version asked for, the one in force where none is.
func (v *visit) ruleBook(status int, s sent) error {
	versions, at, ok := v.ruleBookShown()
	p := page.RuleBook{Shell: v.page("Rule book", "rule-book")}
	p.Do = v.changeLinks(ui.Link{Text: "Choose its profiles", Href: "/set-up/rule-book"})
	if !ok {
		p.Level, p.Version, p.Answer = verdict.Stops, "No version is in force", "Every booking stops until a rule book stands and is confirmed."
		return v.show(status, page.RuleBookPage(p))
	}
	shown := versions[at]
	p.Version = fmt.Sprintf("Version %d, from %s", at+1, web.FullDay(shown.From))
	missing := shown.Confirmed(nil, v.today)
	p.Answer = "Confirmed for all fields"
	if len(missing) > 0 {
		p.Level, p.Answer = verdict.Stops, "Not confirmed: "+fieldList(missing)+". Every booking in its time stops."
	}
	for _, f := range shown.Fields() {
		p.Fields = append(p.Fields, v.ruleField(shown, f, missing))
	}
	for _, pr := range shown.Profiles {
		p.Profiles = append(p.Profiles, v.ruleProfile(versions[:at], shown, pr))
	}
	for i, x := range slices.Backward(versions) {
		p.Versions = append(p.Versions, v.ruleVersion(versions, i, x, x.ID == shown.ID))
	}
	if access.May(v.actor, access.ChangeRuleBook) {
		p.Actions = append(p.Actions, v.nextAction(s, versions[len(versions)-1]))
	}
	p.Shell.TakeOut = v.takeOut("rule-book")
	return v.show(status, page.RuleBookPage(p))
}

func fieldList(fields []verdict.Field) string {
	var words []string
	for _, f := range fields {
		words = append(words, planning.FieldName(f))
	}
	return strings.Join(words, ", ")
}

func (v *visit) ruleField(shown rulebook.Version, f verdict.Field, missing []verdict.Field) page.RuleField {
	out := page.RuleField{Name: capital(planning.FieldName(f))}
	for _, c := range shown.Confirmations {
		if c.Field == f {
			out.By, out.On = v.ref.StaffName(c.Person), web.FullDay(c.Day)
		}
	}
	if slices.Contains(missing, f) {
		out.Level = verdict.Stops
		if access.MayConfirm(v.actor, f) {
			out.Do = ui.Link{Text: "Read and confirm " + planning.FieldName(f), Href: "/rule-book/confirm?version=" + string(shown.ID) + "#lines_" + string(f)}
		}
	}
	return out
}

// ruleProfile shows the lines of one profile. before are the versions up to the
// one shown, from which each line has its history.
func (v *visit) ruleProfile(before []rulebook.Version, shown rulebook.Version, pr id.Profile) page.RuleProfile {
	out := page.RuleProfile{ID: string(pr), Name: rulebook.Title(pr), Note: profileNote(pr)}
	unchecked := 0
	for _, l := range shown.Lines {
		if l.Profile != pr {
			continue
		}
		m, _ := l.Quantity.Meaning()
		line := page.RuleLine{ID: l.ID, What: capital(l.Label()), Value: l.ValueText(), Source: strings.TrimSpace(l.Source.Document + " " + l.Source.Version),
			Clause: l.Source.Clause, Mark: markWords(l.Source.Mark), Was: lineHistory(append(slices.Clone(before), shown), l.ID)}
		if m.Checked() {
			line.Judged = strings.ToLower(verdict.RuleName(m.JudgedBy))
		} else {
			unchecked++
		}
		out.Lines = append(out.Lines, line)
	}
	out.Count = web.Count(len(out.Lines), "limit", "limits")
	if unchecked > 0 {
		out.Count += fmt.Sprintf(", %d of them not checked by Rungbook", unchecked)
	}
	return out
}

// lineHistory says what a line was in earlier versions and until when, the latest
// first.
func lineHistory(versions []rulebook.Version, line string) []string {
	var out []string
	for i := len(versions) - 1; i > 0; i-- {
		was, had := versions[i-1].Line(line)
		if is, ok := versions[i].Line(line); ok && had && was.Value != is.Value {
			out = append(out, was.ValueText()+" before "+web.FullDay(versions[i].From))
		}
	}
	return out
}

func markWords(m rulebook.Mark) string {
	return map[rulebook.Mark]string{
		rulebook.Read: "read", rulebook.ReadSecond: "read on a second page", rulebook.Memory: "from memory",
		rulebook.CommonPractice: "common practice, no source",
	}[m]
}

func (v *visit) ruleVersion(versions []rulebook.Version, i int, x rulebook.Version, shown bool) page.RuleVersion {
	out := page.RuleVersion{Name: ui.Link{Text: fmt.Sprintf("Version %d", i+1), Href: "/rule-book?version=" + string(x.ID)}, From: web.FullDay(x.From), Now: shown, Answer: "confirmed for all fields"}
	if missing := x.Confirmed(nil, v.today); len(missing) > 0 {
		out.Level, out.Answer = verdict.Stops, "not confirmed: "+fieldList(missing)
	}
	if i == 0 {
		return out
	}
	for _, l := range x.Lines {
		was, had := versions[i-1].Line(l.ID)
		change := rulebook.Title(l.Profile) + ": " + l.Label()
		switch {
		case !had:
			change += ", new, " + l.ValueText()
		case was.Value != l.Value:
			change += ", " + was.ValueText() + " to " + l.ValueText()
		default:
			continue
		}
		out.Changes = append(out.Changes, ui.Link{Text: change, Href: out.Name.Href + "#" + l.ID})
	}
	for _, l := range versions[i-1].Lines {
		if _, kept := x.Line(l.ID); !kept {
			out.Changes = append(out.Changes, ui.Link{Text: rulebook.Title(l.Profile) + ": " + l.Label() + ", left out"})
		}
	}
	return out
}

// nextAction writes the next dated version: one line changed.
func (v *visit) nextAction(s sent, last rulebook.Version) page.Action {
	var lines []ui.Option
	for _, l := range last.Lines {
		if m, ok := l.Quantity.Meaning(); ok && last.Selected(l.Profile) {
			lines = append(lines, ui.Option{Value: l.ID, Label: fmt.Sprintf("%s: %s (%s)", rulebook.Title(l.Profile), l.Label(), l.ValueText()), Note: string(m.Unit)})
		}
	}
	return v.action(s, "next", "Write a new version", "It counts from its first day, and every booking in its time stops until each field confirms it.",
		"/rule-book/next", "Write the version",
		ui.Field{Name: "line", Label: "Limit", Kind: ui.Select, Options: lines, Required: true},
		ui.Field{Name: "value", Label: "New value", Kind: ui.Number, Required: true, Short: true, InputMode: "numeric", Hint: "A whole number in the limit's own unit: minutes, days, months, people."},
		ui.Field{Name: "source", Label: "Where it stands", Required: true, Hint: "Document and clause, or the decision it rests on."},
		ui.Field{Name: "from", Label: "First day", Kind: ui.Date, Required: true, Short: true, Hint: "After today."})
}

func nextRuleBook(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	from := dayField(f, "from", bad)
	if from == 0 {
		bad.Add("from", "Give the first day of the version.")
	}
	source := strings.TrimSpace(f.Get("source"))
	if source == "" {
		bad.Add("source", "Say where the value stands.")
	}
	value, err := strconv.ParseInt(strings.TrimSpace(f.Get("value")), 10, 64)
	if err != nil {
		bad.Add("value", "Give a whole number.")
	}
	err = bad.Err()
	if err == nil {
		change := keeping.Change{Line: f.Get("line"), Value: value, Source: rulebook.Source{Document: source, Mark: rulebook.Read}}
		err = v.Keeper.NextVersion(v.r.Context(), v.actor, from, []keeping.Change{change}, v.key())
	}
	if fields, ok := formErrors(err); ok {
		if m := fields["lines."+f.Get("line")]; m != "" {
			fields.Add("value", "%s", m)
		}
		return v.ruleBook(http.StatusUnprocessableEntity, sent{"next", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/rule-book", "A new version is written. It is to be confirmed before its first day.")
}

// profileNote is what a reader should know of a shipped profile.
func profileNote(pr id.Profile) string {
	for _, p := range rulebook.Profiles() {
		if p.ID == pr {
			return p.Note
		}
	}
	return ""
}
