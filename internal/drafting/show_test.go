package drafting_test

import (
	"context"
	"testing"
)

func TestADraftShowsWhatItProposes(t *testing.T) {
	o := open(t)
	of := o.made(o.usual())
	d, err := o.Draft(context.Background(), o.admin, of)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d changes %d unplaced %d concerned; %+v", len(d.Changes), len(d.Unplaced), len(d.Concerned), d.Figures)
}
