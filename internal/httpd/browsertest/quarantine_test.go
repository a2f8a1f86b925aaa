//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestAStationIsQuarantinedInOnePressAndLiftedOnAnInspection puts a station that has
// a session later today in quarantine, reads whom it hits, and lifts it.
func TestAStationIsQuarantinedInOnePressAndLiftedOnAnInspection(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/")
		station, next := p.inspectedStation()
		at := p.Path()
		p.Click("button", "Put "+station+" in quarantine")
		p.WantText("In quarantine.", station+" is in quarantine. Nobody uses it.", strings.SplitN(next, " ", 2)[0])
		p.WantSound()
		p.WantAccessible()
		p.Shot("quarantine " + look.Name)
		sheet := p.Path()

		p.menu("Needs attention")
		p.WantText("A rule stops them now", station)
		p.Go(at)
		p.WantText("may not be used now", "in quarantine")
		p.record("Passed", "09:40", "Looked at by hand, nothing loose")
		p.Go(sheet)
		p.Fill("Why it may be used again", "The report was of another deck.")
		p.Click("button", "Lift the quarantine")
		p.WantText("The quarantine is lifted.", "was in quarantine until")
		p.WantSound()
		p.Go(at)
		p.WantText("Clear may be used")
	})
}

// TestKitIsHandedOutBySerialAndWhatIsTooOldIsRefused notes serials at the gate.
func TestKitIsHandedOutBySerialAndWhatIsTooOldIsRefused(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard/here")
		for _, intake := range p.Within("main", "").Names("link") {
			if !hasDigit(intake) {
				continue
			}
			p.Click("link", intake)
			break
		}
		p.WantH1("Arrivals")
		who := p.Names("heading")[1] // below the title: the first trainee
		p.unfoldAfter(who, "Change")
		p.unfoldAfter(who, "Note")
		form := p.Within("form", who)
		for _, c := range []struct{ serial, says string }{
			{"CM-H999", "No item with the serial CM-H999 is on record"},
			{"CM-H124", "CM-H124 may not be handed out: harness CM-H124 is past its last day since"},
		} {
			form.Check("Yes")
			form.Fill("Kit handed out now, by serial", c.serial)
			form.Click("button", "Keep "+who)
			p.WantStatus(422)
			p.WantText(c.says)
			p.WantSound()
		}
		p.Shot("serial refused " + look.Name)
		form.Fill("Kit handed out now, by serial", "CM-H101")
		form.Click("button", "Keep "+who)
		p.WantText("Kept.", "CM-H101")
	})
}

// TestKitsAndItemsAreNarrowedByTheirState opens the list of kit from an instructor's day.
func TestKitsAndItemsAreNarrowedByTheirState(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.Click("link", "Kits and items")
		p.WantH1("Kits and items")
		p.WantText("Harness CM-H101", "Harness CM-H124")
		p.WantSound()
		p.WantAccessible()
		p.Choose("State", firstWith(p.Options("State"), "Overdue"))
		p.Click("button", "Show")
		p.WantText("Harness CM-H124", "is past its last day since")
		p.WantNoText("Harness CM-H101")
		p.WantSound()
		p.Shot("kits overdue " + look.Name)
		p.Fill("Serial or name, or a part", "no such serial")
		p.Click("button", "Show")
		p.WantText("Nothing has that serial, name and state.")
	})
}
