package httpd

import (
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/ui"
)

// say words a sentence with this yard's names and times.
func (v *visit) say(t verdict.Text) string { return t.In(v.words.Style()) }

// styleOf words values with the names that a slice knows too: its trainees.
func (v *visit) styleOf(s *planning.Slice) verdict.Style {
	words := v.words
	words.Name = s.Name
	return words.Style()
}

// finding words one finding. cause leads to the record behind it.
func (v *visit) finding(s *planning.Slice, f verdict.Finding, change func(verdict.Nearest) (string, []ui.Value)) ui.Finding {
	out := ui.FindingOf(f, v.styleOf(s), verdict.RuleName(f.Rule), change)
	out.Found = capital(out.Found)
	out.Who.Href = v.refHref(s, f.Who)
	c, _ := s.Cause(f)
	switch {
	case c.Dossier != "":
		out.Cause = ui.Link{Text: "conversion dossier", Href: dossierHref(c.Dossier)}
	default:
		out.Cause = v.limitLink(c.Line, c.Plan, c.Version)
	}
	return out
}

func (v *visit) findings(s *planning.Slice, list []verdict.Finding) []ui.Finding {
	out := make([]ui.Finding, len(list))
	for i, f := range list {
		out[i] = v.finding(s, f, nil)
	}
	return out
}

func capital(s string) string {
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// refHref is the page of a thing that a finding names, "" where it has none.
func (v *visit) refHref(s *planning.Slice, r verdict.Ref) string {
	switch r.Kind {
	case verdict.Person, verdict.Body:
		return "/people/" + r.ID
	case verdict.Trainee:
		if t, ok := s.Trainee(id.Trainee(r.ID)); ok {
			return "/people/" + string(t.Person)
		}
	case verdict.Station:
		return "/stations/" + r.ID
	case verdict.Rig:
		return "/rigs/" + r.ID
	case verdict.Kit, verdict.Item:
		return thingPath[r.Kind] + r.ID
	case verdict.Session:
		if _, ok := s.Session(r.ID); ok {
			return "/sessions/" + r.ID
		}
	case verdict.Intake:
		return "/intakes/" + r.ID
	}
	return ""
}

func (v *visit) rigLink(r rig.Rig) ui.Link {
	return ui.Link{Text: v.ref.Text(r.Name), Href: "/rigs/" + string(r.ID)}
}

func (v *visit) stationLink(st rig.Station) ui.Link {
	return ui.Link{Text: v.ref.Text(st.Name), Href: "/stations/" + string(st.ID)}
}

// stationAt names a station as it was on a day.
func (v *visit) stationAt(st id.Station, d civil.Day) ui.Link {
	rec, _ := v.ref.Stations.On(st, d)
	rec.ID = st
	return v.stationLink(rec)
}

func (v *visit) exerciseName(e id.Exercise, d civil.Day) string {
	rec, _ := v.ref.Exercises.On(e, d)
	return v.ref.Text(rec.Name)
}

func (v *visit) sessionLink(s session.Session) ui.Link {
	return ui.Link{Text: v.exerciseName(s.Exercise, v.words.Zone.DayOf(s.Start)), Href: "/sessions/" + string(s.ID)}
}

func (v *visit) span(s session.Session) string {
	return v.words.Period(civil.Period{Start: s.Start, End: s.End})
}

func personLink(p id.Person, name string) ui.Link {
	return ui.Link{Text: name, Href: "/people/" + string(p)}
}

// shortName is a name without its first word, by which colleagues know each
// other: "Mac Suibhne", "Okafor". A name of one word is itself.
func shortName(name string) string {
	words := strings.Fields(name)
	if len(words) > 1 {
		words = words[1:]
	}
	return strings.Join(words, " ")
}

func short[T ~string](names map[T]string, ids []T) string {
	var out []string
	for _, p := range ids {
		out = append(out, shortName(names[p]))
	}
	return strings.Join(out, ", ")
}

// peopleWords says who is in a session: "6 trainees with Okafor".
func peopleWords(s session.Session, names map[id.Person]string) string {
	text := web.Count(len(s.Trainees), "trainee", "trainees")
	if len(s.Instructors) > 0 {
		text += " with " + short(names, s.Instructors)
	}
	return text
}

// fact is a labelled value without a link.
func fact(label, text string) ui.Fact { return ui.Fact{Label: label, Value: ui.Link{Text: text}} }
