package httpd

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// TestTheGroundUnderARigIsDrawnByItsForm gives a rig a second zone, sees it drawn
// before it is saved, and takes it off again.
func TestTheGroundUnderARigIsDrawnByItsForm(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	ref := s.reference()
	var of id.Rig
	var was []rig.GroundZone
	for _, x := range ref.Rigs.All(monday) {
		if len(x.Drawing.Ground) == 1 {
			of, was = x.ID, x.Drawing.Ground
		}
	}
	zone := ref.Zones.All(monday)[0].ID
	if zone == was[0].Zone {
		zone = ref.Zones.All(monday)[1].ID
	}
	at := "/set-up/rigs/" + string(of)
	form := filledIn(formOn(parse(t, r.get(at)), at))
	form.Set("ground_zone_1", string(zone))
	form.Set("ground_from_1", "-3,5")
	form.Set("ground_to_1", "-4")
	form.Set("ground_height_1", "6")
	refused := r.post(at, form)
	if refused.Code != http.StatusUnprocessableEntity || !strings.Contains(firstAlert(parse(t, refused)), "right of its start") {
		t.Fatalf("an end left of its start: %d, %q", refused.Code, firstAlert(parse(t, refused)))
	}
	form.Set("ground_to_1", "-1")
	typed := url.Values{"draw": {"yes"}}
	for name, list := range form {
		if name != "key" {
			typed[name] = list
		}
	}
	plain, drawn := r.get(at).Body.String(), r.get(at+"?"+typed.Encode()).Body.String()
	if strings.Count(drawn, "<polygon")+strings.Count(drawn, "<path") <= strings.Count(plain, "<polygon")+strings.Count(plain, "<path") {
		t.Error("the drawing does not show the zone that is typed")
	}
	ground := func() []rig.GroundZone {
		x, _ := s.reference().Rigs.On(of, monday)
		return x.Drawing.Ground
	}
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, firstAlert(parse(t, w)))
	}
	want := rig.GroundZone{Zone: zone, From: -35, To: -10, TopFrom: -35, TopTo: -10, Height: 60}
	if got := ground(); len(got) != 2 || got[0] != was[0] || got[1] != want {
		t.Errorf("the ground is %+v, want %+v and %+v", got, was[0], want)
	}
	// The first row is emptied: what stands in the second stays.
	form = filledIn(formOn(parse(t, r.get(at)), at))
	form.Set("ground_zone_0", "")
	if w := r.post(at, form); w.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", w.Code, firstAlert(parse(t, w)))
	}
	if got := ground(); len(got) != 1 || got[0] != want {
		t.Errorf("the ground is %+v, want %+v", got, want)
	}
}
