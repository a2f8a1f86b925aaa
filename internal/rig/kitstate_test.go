package rig

import (
	"testing"

	"rungbook/internal/civil"
)

func TestAnyCauseKeepsKitFromUseAndTheQuarantineIsNamedFirst(t *testing.T) {
	const day = civil.Day(1000)
	due := func(left, notice int) []Due { return []Due{{Last: day + civil.Day(left), Notice: notice}} }
	why := func(kinds ...CauseKind) (out []Cause) {
		for _, k := range kinds {
			out = append(out, Cause{Kind: k})
		}
		return out
	}
	for name, c := range map[string]struct {
		causes []Cause
		due    []Due
		want   KitState
	}{
		"nothing is the matter":                {nil, due(15, 14), KitInService},
		"a clock on the first day of notice":   {nil, due(14, 14), KitDueSoon},
		"a clock without notice":               {nil, due(0, 0), KitInService},
		"an inspection that was never done":    {why(InspectionMissing), due(3, 14), KitOverdue},
		"past its last day":                    {why(ItemTooOld), nil, KitOverdue},
		"a kit past its last day":              {why(KitOutOfDate), nil, KitOverdue},
		"an inspection that failed":            {why(InspectionFailed), nil, KitNotFit},
		"its first use is not stated":          {why(NotStated), nil, KitNotFit},
		"out of use for good":                  {why(Retired), nil, KitNotFit},
		"an open incident":                     {why(ByIncident), due(3, 14), KitNotFit},
		"in quarantine, and overdue meanwhile": {why(InspectionOverdue, Quarantined), nil, KitHeld},
		"failed, and another overdue":          {why(InspectionFailed, InspectionOverdue), nil, KitOverdue},
	} {
		if got := KitStateOf(c.causes, c.due, day); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
