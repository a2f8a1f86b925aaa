package drafting_test

import (
	"context"
	"testing"

	"rungbook/internal/drafting"
)

func TestADraftIsSearchedToItsEnd(t *testing.T) {
	o := open(t)
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range c.Intakes {
		t.Logf("%s %s..%s %d trainees open %d", in.Name, in.From, in.Until, len(in.Trainees), in.Open)
	}
	of, err := o.Start(context.Background(), o.admin, o.usual(), "k")
	if err != nil {
		t.Fatal(err)
	}
	last := o.wait(of)
	t.Logf("%+v", last)
	if last.State != drafting.Done || last.Rounds == 0 {
		t.Errorf("%+v", last)
	}
}
