package httpd

import (
	"fmt"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/web/ui"
)

// limitLink leads to what a stop is measured by: a line of the rule book, or a version
// of a rescue plan that is held to its own word. Zero where neither is known, or the
// rule book in force does not hold the line.
func (v *visit) limitLink(line string, plan id.RescuePlan, version int) ui.Link {
	switch {
	case line != "":
		if _, held := v.ruleBookNow().Line(line); !held {
			return ui.Link{}
		}
		return ui.Link{Text: "rule book", Href: "/rule-book#" + line}
	case version > 0:
		return ui.Link{Text: fmt.Sprintf("version %d of the rescue plan", version), Href: versionHref(plan, version)}
	}
	return ui.Link{}
}

// lineLabel is what a line of the rule book limits, in words, by the newest version
// that holds it.
func (v *visit) lineLabel(of string) string {
	line := rulebook.Line{ID: of}
	label := line.Subject()
	for _, b := range v.ref.RuleBooks.All(civil.LastDay) {
		if l, held := b.Line(of); held {
			label = l.Label()
		}
	}
	return label
}

// costLink leads to the line by which a failure costs something; zero where the
// reader may not open the rule book, or it does not hold the line any more.
func (v *visit) costLink(c credential.Cost) ui.Link {
	if c.Line == "" || !access.May(v.actor, access.SeeRuleBook) {
		return ui.Link{}
	}
	link := v.limitLink(c.Line, "", 0)
	if link.Href != "" {
		link.Text = "Open this line of the rule book"
	}
	return link
}

func (v *visit) limitOf(c rig.Cause) ui.Link { return v.limitLink(c.Line, c.Plan, c.Version) }

// versionMark names the place of a version on its plan's page.
func versionMark(version int) string { return fmt.Sprintf("version-%d", version) }

func versionHref(plan id.RescuePlan, version int) string {
	return "/rescue/" + string(plan) + "#" + versionMark(version)
}
