package rig

import (
	"strings"
	"testing"

	"rungbook/internal/verdict"
)

func TestABriefCauseLeavesOutTheStationAndNothingElse(t *testing.T) {
	style := verdict.PlainStyle(dublin())
	deck := stationRef("deck")
	for _, c := range []struct {
		cause Cause
		want  string
	}{
		{Cause{Kind: IsShut, Subject: deck, Reason: "anchor-test", Start: 10, End: 20}, "anchor test"},
		{Cause{Kind: Retired, Subject: deck, Since: day("2027-05-03")}, "retired since 2027-05-03"},
		{Cause{Kind: InspectionMissing, Subject: deck, Line: ladder}, "no inspection recorded (ladder)"},
		{Cause{Kind: InspectionOverdue, Subject: deck, Since: day("2027-05-03"), Line: ladder}, "inspection overdue since 2027-05-03 (ladder)"},
		{Cause{Kind: InspectionFailed, Subject: deck, Since: day("2027-05-03"), Line: ladder}, "inspection failed on 2027-05-03 (ladder)"},
		{Cause{Kind: NoRescuePlan, Subject: deck}, "no rescue plan in force"},
		{Cause{Kind: RescuePlanLapsed, Subject: deck, Since: day("2027-05-03")}, "review of the rescue plan overdue since 2027-05-03"},
		{Cause{Kind: RescuePlanWithdrawn, Subject: deck, Since: day("2027-05-03")}, "rescue plan withdrawn since 2027-05-03"},
		{Cause{Kind: DrillMissing, Subject: deck}, "no accepted rescue drill"},
		{Cause{Kind: DrillOverdue, Subject: deck, Since: day("2027-05-03")}, "rescue drill overdue since 2027-05-03"},
		{Cause{Kind: NotStated, Subject: deck, Missing: MissingRescue}, "not stated: the rescue cover"},
	} {
		got := c.cause.Brief().In(style)
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.cause.Kind, got, c.want)
		}
		if strings.Contains(got, "deck") {
			t.Errorf("%s: %q names the station", c.cause.Kind, got)
		}
	}
}

// A cause that lies in the rig or a kit must name it: the reader sees the station only.
func TestABriefCauseNamesTheRigOrKitItLiesIn(t *testing.T) {
	style := verdict.PlainStyle(dublin())
	for _, c := range []Cause{
		{Kind: NotInService, Subject: rigRef("tower"), State: Withdrawn},
		{Kind: InspectionOverdue, Subject: rigRef("tower"), Since: day("2027-05-03"), Line: ladder},
		{Kind: KitOutOfDate, Subject: kitRef("tower"), Since: day("2027-05-03")},
	} {
		if got, want := c.Brief().In(style), c.Say().In(style); got != want {
			t.Errorf("%s: %q, want the whole sentence %q", c.Kind, got, want)
		}
	}
}
