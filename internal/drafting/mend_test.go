package drafting_test

import (
	"context"
	"testing"

	"rungbook/internal/drafting"
	"rungbook/internal/id"
)

func TestALostStationIsMendedWithFewChanges(t *testing.T) {
	o := open(t)
	ctx := context.Background()
	before := o.findings(monday, monday+13)
	ahead := o.between(monday+2, monday+2)
	station := ahead[0].Station
	if err := o.Lose(ctx, o.admin, drafting.Loss{Kind: drafting.WeatherDays, Stations: []id.Station{station}, From: monday + 2, Until: monday + 2}, o.key()); err != nil {
		t.Fatal(err)
	}
	hit, err := o.Hit(ctx, o.admin, monday, monday+13)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("before %d findings; %d hit of %d in the fortnight, %d about days, notice %s", len(before), len(hit.Sessions), len(o.between(monday, monday+13)), len(hit.Days), hit.Notice)
	of, err := o.Mend(ctx, o.admin, monday, monday+13, 2, o.key())
	if err != nil {
		t.Fatal(err)
	}
	last := o.wait(of)
	t.Logf("%+v", last)
	d, err := o.Draft(ctx, o.admin, of)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range d.Changes {
		t.Logf("%s %s %s", c.Kind, c.Session.ID, d.Zone.Format(c.Session.Start))
	}
	for _, u := range d.Unplaced {
		t.Logf("%+v", u)
	}
	out, err := o.Accept(ctx, o.admin, of, o.key())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v", out)
	t.Logf("after %d", len(o.findings(monday, monday+13)))
}
