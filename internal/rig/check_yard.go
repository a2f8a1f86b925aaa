package rig

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// The Check methods judge a record by itself before it is written. Each returns
// a form error with one sentence per field: what was found and what is required.

// Kinds lists the kinds of rig in the order forms show them.
func Kinds() []Kind { return []Kind{TowerPlatform, BladeFace, NacelleHouse, Classroom, Workshop} }

// The bounds of what a form takes. They keep out slips of the hand, such as a
// height in millimetres, and limit nothing that a yard may be.
const (
	mostLength  = 3000 // decimetres: 300 m
	mostPeople  = 500
	mostPlaces  = 100
	mostMinutes = civil.Minutes(24 * 60)
)

// Check judges a yard.
func (y Yard) Check() error {
	bad := fault.Fields{}
	if y.Name == "" {
		bad.Add("name", "The yard has no name. Give the one that people use.")
	}
	if _, err := civil.LoadZone(y.Zone); err != nil || y.Zone == "" {
		bad.Add("zone", "%q is not a time zone. Give one of the tz database, such as Europe/Dublin.", y.Zone)
	}
	if y.Latitude < -90_000_000 || y.Latitude > 90_000_000 {
		bad.Add("latitude", "The latitude lies outside −90 to 90 degrees.")
	}
	if y.Longitude < -180_000_000 || y.Longitude > 180_000_000 {
		bad.Add("longitude", "The longitude lies outside −180 to 180 degrees.")
	}
	if y.Latitude == 0 && y.Longitude == 0 {
		bad.Add("latitude", "Latitude and longitude are not stated. Stations that need daylight stop without them.")
	}
	if y.Grid < 1 || y.Grid > 60 {
		bad.Add("grid_minutes", "Sessions start on multiples of %d minutes; give 1 to 60.", int(y.Grid))
	}
	if len(y.Open) == 0 {
		bad.Add("weekdays", "No weekday is open. Tick those on which sessions may run.")
	}
	for _, w := range y.Open {
		if len(w.Weekdays) == 0 {
			bad.Add("weekdays", "No weekday is open. Tick those on which sessions may run.")
		}
		if w.From < 0 || w.To > mostMinutes || w.To <= w.From {
			bad.Add("to", "The yard closes at %s and opens at %s. Give a later time to close.", civil.ClockString(w.To), civil.ClockString(w.From))
		}
	}
	return bad.Err()
}

// Check judges a rig.
func (r Rig) Check() error {
	bad := fault.Fields{}
	if r.Name == "" {
		bad.Add("name", "The rig has no name.")
	}
	if !slices.Contains(Kinds(), r.Kind) {
		bad.Add("kind", "What the rig was made into is not stated. Choose it from the list.")
	}
	if r.PeopleMax < 1 || r.PeopleMax > mostPeople {
		bad.Add("people_max", "%d people at once; give 1 to %d, as its structural sign-off says.", r.PeopleMax, mostPeople)
	}
	r.Drawing.check(bad, r.Kind)
	return bad.Err()
}

func (d Drawing) check(bad fault.Fields, kind Kind) {
	length := func(field, what string, n, least int) {
		if n < least || n > mostLength {
			bad.Add(field, "%s is %s m; give %s to %s m.", what, metres(n), metres(least), metres(mostLength))
		}
	}
	length("height", "The height", d.Height, 1)
	length("width", "The width", d.Width, 1)
	if d.X < -mostLength || d.X > 10*mostLength {
		bad.Add("x", "The left edge lies %s m from the yard's left end; give −300 to 3000 m.", metres(d.X))
	}
	length("base", "The lower end", d.Base, 0)
	if d.Base >= d.Height && d.Height > 0 {
		bad.Add("base", "It begins at %s m and ends at %s m. Give a lower end below its top.", metres(d.Base), metres(d.Height))
	}
	if kind == BladeFace && d.OnRig == "" {
		bad.Add("on_rig", "A blade hangs on a tower. Choose which, and record the tower first.")
	}
	for _, deck := range d.Decks {
		if deck.Height < 1 || deck.Height > d.Height {
			bad.Add("decks", "A deck at %s m does not lie on a rig of %s m.", metres(deck.Height), metres(d.Height))
		}
	}
	for i, z := range d.Ground {
		if z.Zone != "" {
			z.check(bad, i)
		}
	}
}

// check judges the zone of a row of the form.
func (z GroundZone) check(bad fault.Fields, row int) {
	field := func(name string) string { return fmt.Sprintf("%s_%d", name, row) }
	if z.From >= z.To {
		bad.Add(field("ground_to"), "On the ground it reaches from %s m to %s m. Give an end right of its start.", metres(z.From), metres(z.To))
	}
	if z.TopFrom > z.TopTo {
		bad.Add(field("ground_top_to"), "At its height it reaches from %s m to %s m. Give an end that is not left of its start.", metres(z.TopFrom), metres(z.TopTo))
	}
	if z.Height < 1 || z.Height > mostLength {
		bad.Add(field("ground_height"), "It reaches up to %s m; give %s to %s m.", metres(z.Height), metres(1), metres(mostLength))
	}
	for name, x := range map[string]int{"ground_from": z.From, "ground_to": z.To, "ground_top_from": z.TopFrom, "ground_top_to": z.TopTo} {
		if x < -mostLength || x > mostLength {
			bad.Add(field(name), "It lies %s m from the rig's left edge; give −%s to %s m.", metres(x), metres(mostLength), metres(mostLength))
		}
	}
}

// Compact returns the drawing without rows of ground that name no zone.
func (d Drawing) Compact() Drawing {
	d.Ground = slices.DeleteFunc(slices.Clone(d.Ground), func(z GroundZone) bool { return z.Zone == "" })
	return d
}

// metres writes decimetres as metres.
func metres(n int) string {
	sign := ""
	if n < 0 {
		sign, n = "−", -n
	}
	if n%10 == 0 {
		return fmt.Sprintf("%s%d", sign, n/10)
	}
	return fmt.Sprintf("%s%d.%d", sign, n/10, n%10)
}

// Check judges a station. What it leaves open stops the station later, so that
// nothing is clear because it was not stated.
func (s Station) Check() error {
	bad := fault.Fields{}
	if s.Name == "" {
		bad.Add("name", "The station has no name.")
	}
	if s.Rig == "" {
		bad.Add("rig", "On which rig it lies is not stated.")
	}
	if s.Places < 1 || s.Places > mostPlaces {
		bad.Add("places", "%d places for trainees; give 1 to %d.", s.Places, mostPlaces)
	}
	if s.Turnaround < 0 || s.Turnaround > mostMinutes {
		bad.Add("turnaround_minutes", "%d minutes between two sessions; give 0 to %d.", int(s.Turnaround), int(mostMinutes))
	}
	if s.StaffMin < 0 || s.StaffMin > mostPeople {
		bad.Add("staff_min", "%d of the staff at least; give 0 to %d.", s.StaffMin, mostPeople)
	}
	if s.FirstAiders == nil {
		bad.Add("first_aiders", "How many first aiders it needs is not stated; give 0 where it needs none.")
	} else if *s.FirstAiders < 0 || *s.FirstAiders > mostPeople {
		bad.Add("first_aiders", "%d first aiders; give 0 to %d.", *s.FirstAiders, mostPeople)
	}
	s.checkRescue(bad)
	return bad.Err()
}

func (s Station) checkRescue(bad fault.Fields) {
	r := s.Rescue
	if r == nil {
		if s.Height {
			bad.Add("rescuers", "A station at height needs rescuers: how many is not stated.")
		}
		return
	}
	if r.Rescuers < 0 || r.Rescuers > mostPeople || (s.Height && r.Rescuers < 1) {
		bad.Add("rescuers", "%d rescuers; a station at height needs at least 1.", r.Rescuers)
	}
	if r.StandbyMin < 0 || r.StandbyMin > r.Rescuers {
		bad.Add("standby_min", "%d of %d rescuers stand by and do nothing else; give 0 to %d.", r.StandbyMin, r.Rescuers, r.Rescuers)
	}
	if s.Height && r.Kit == "" {
		bad.Add("rescue_kit", "A station at height needs a rescue kit: which is not stated.")
	}
}

// Check judges a kit.
func (k Kit) Check() error {
	bad := fault.Fields{}
	if k.Name == "" {
		bad.Add("name", "The kit has no name.")
	}
	if k.Count < 1 || k.Count > mostPeople {
		bad.Add("count", "There are %d of it; give 1 to %d.", k.Count, mostPeople)
	}
	if k.LastValid == 0 {
		bad.Add("last_valid", "The last day on which it may be used is not stated. Take it from the examiner's report.")
	}
	if k.Rated != 0 && (k.Rated < 40 || k.Rated > 500) {
		bad.Add("rated_kg", "A rating of %d kg; give 40 to 500 as it is marked, or nothing.", k.Rated)
	}
	return bad.Err()
}

// Check judges ground that stations share.
func (z Zone) Check() error {
	bad := fault.Fields{}
	if z.Name == "" {
		bad.Add("name", "The zone has no name.")
	}
	return bad.Err()
}

// Check judges an energy supply.
func (c Circuit) Check() error {
	bad := fault.Fields{}
	if c.Name == "" {
		bad.Add("name", "The circuit has no name.")
	}
	if c.Changeover < 0 || c.Changeover > mostMinutes {
		bad.Add("changeover_minutes", "%d minutes from live to dead or back; give 0 to %d.", int(c.Changeover), int(mostMinutes))
	}
	return bad.Err()
}

// Check judges a drill that is to be recorded.
func (d Drill) Check(today civil.Day) error {
	bad := fault.Fields{}
	if d.Plan == "" {
		bad.Add("plan", "Which rescue plan was drilled is not stated.")
	}
	if d.Day == 0 {
		bad.Add("day", "The day of the drill is not stated.")
	} else if d.Day > today {
		bad.Add("day", "%s is still to come. Give the day on which it was drilled.", d.Day)
	}
	if d.Minutes < 1 || d.Minutes > mostMinutes {
		bad.Add("minutes", "%d minutes to a safe place; give 1 to %d.", int(d.Minutes), int(mostMinutes))
	}
	return bad.Err()
}
