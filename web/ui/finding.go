package ui

import (
	"slices"
	"strings"

	"rungbook/internal/verdict"
)

// Finding is one answer of one rule, ready to read.
type Finding struct {
	Level    verdict.Level
	Rule     string // in people's words: "Daily rest"
	Who      Link   // the person, session or thing it speaks of
	Also     []Link // others of whom the same was found
	Found    string
	Required string
	Cause    Link    // the record behind it; zero for none
	Change   *Change // the nearest change; nil where none is known
}

// Change is the nearest change that clears a finding. Without Action it is only
// told, since it can't be made from here.
type Change struct {
	Say    string // "Tue 2 Mar 09:30 on the same station"
	Action string // where the form goes
	Get    bool   // the change only shows a new proposal
	Values []Value
}

// Value is a hidden field of a form.
type Value struct{ Name, Value string }

// FindingOf words a finding in a page's style. rule is the rule's name in
// people's words and action where its nearest change is asked for, "" if nowhere.
func FindingOf(f verdict.Finding, style verdict.Style, rule string, values func(verdict.Nearest) (action string, values []Value)) Finding {
	out := Finding{
		Level: f.Level, Rule: rule, Who: Link{Text: style.Ref(f.Who)},
		Found: f.Found.In(style), Required: f.Required.In(style),
	}
	if f.Nearest != nil {
		out.Change = &Change{Say: f.Nearest.Say.In(style), Get: true}
		if values != nil {
			out.Change.Action, out.Change.Values = values(*f.Nearest)
		}
	}
	return out
}

func method(get bool) string {
	if get {
		return "get"
	}
	return "post"
}

func hyphened(s string) string { return strings.ReplaceAll(s, " ", "-") }

// Alike reports whether two findings differ in nothing but whom they speak of. One with
// a change of its own is like no other.
func (f Finding) Alike(x Finding) bool {
	return x.Level == f.Level && x.Rule == f.Rule && x.Found == f.Found && x.Required == f.Required && x.Cause == f.Cause && x.Change == nil && f.Change == nil
}

// Together puts findings that differ only in whom they speak of into one, in the place
// of the first of them.
func Together(list []Finding) []Finding {
	var out []Finding
	for _, f := range list {
		i := slices.IndexFunc(out, f.Alike)
		if i < 0 {
			out = append(out, f)
		} else if f.Who != out[i].Who && !slices.Contains(out[i].Also, f.Who) {
			out[i].Also = append(slices.Clip(out[i].Also), f.Who)
		}
	}
	return out
}
