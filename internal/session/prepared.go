package session

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
)

// Preparation is what was done at the rig before a session is under way. Each part
// is there once somebody did it; doing it again replaces it, and its history keeps
// what was. A part counts for this session only, on the day and at the station it
// was done: between two sessions others had the kit in hand.
type Preparation struct {
	Session id.Session `json:"session"`
	PreUse  *PreUse    `json:"pre_use,omitempty"`
	Brief   *Brief     `json:"brief,omitempty"`
	Seen    *Shown     `json:"seen,omitempty"`
	WarmUp  *Done      `json:"warm_up,omitempty"`
	Recheck *Recheck   `json:"recheck,omitempty"`
	Mass    *MassSeen  `json:"mass,omitempty"`
	Photos  []Photo    `json:"photos,omitempty"` // the oldest first; they stay when a check is done anew
}

// MostPhotos is how many photos are kept of one session.
const MostPhotos = 20

// Photo is a picture of a station or kit as it was found, kept beside the database.
type Photo struct {
	Of    string       `json:"of"`   // station or kit
	Hash  string       `json:"hash"` // hex SHA-256 of its bytes
	Type  rig.FileType `json:"type"`
	Bytes int          `json:"bytes"`
	Done  Done         `json:"done"`
}

// By are those who did it, as often as they did.
func (p Preparation) By() (out []id.Person) {
	add := func(d *Done) {
		if d != nil {
			out = append(out, d.By)
		}
	}
	if p.PreUse != nil {
		add(&p.PreUse.Done)
	}
	if p.Brief != nil {
		add(&p.Brief.Done)
	}
	if p.Seen != nil {
		add(&p.Seen.Done)
	}
	if p.Recheck != nil {
		add(&p.Recheck.Done)
	}
	add(p.WarmUp)
	for _, x := range p.Photos {
		add(&x.Done)
	}
	return out
}

// Done is who did something, and when.
type Done struct {
	By id.Person     `json:"by"`
	At civil.Instant `json:"at"`
}

// PreUse is the check of a station and the kit before their use.
type PreUse struct {
	Done    Done       `json:"done"`
	Station id.Station `json:"station"`
	Things  []Checked  `json:"things"`
}

// Checked is one station or kit with what was looked at.
type Checked struct {
	Of    string        `json:"of"` // station or kit
	Items []CheckedItem `json:"items"`
	Note  id.Commitment `json:"note,omitempty"` // what is wrong
}

// CheckedItem is one item of a check list. Item is the list's own text, so that a
// text that is changed later was not looked at.
type CheckedItem struct {
	Item   id.Commitment `json:"item"`
	Passed bool          `json:"passed"`
}

// Failed reports whether any item did not pass.
func (c Checked) Failed() bool {
	return slices.ContainsFunc(c.Items, func(x CheckedItem) bool { return !x.Passed })
}

// ToCheck is a station or kit with the items of its list as it stands.
type ToCheck struct {
	Of    string
	Items []id.Commitment
}

// Lacks returns those of a list that were not looked at whole: an item that was
// never asked, or a thing without any item. nil stands for a check not done.
func (p *PreUse) Lacks(asked []ToCheck) (out []string) {
	for _, a := range asked {
		whole := p != nil && len(a.Items) > 0
		for _, item := range a.Items {
			whole = whole && slices.ContainsFunc(p.Things, func(c Checked) bool {
				return c.Of == a.Of && slices.ContainsFunc(c.Items, func(x CheckedItem) bool { return x.Item == item })
			})
		}
		if !whole {
			out = append(out, a.Of)
		}
	}
	return out
}

// Failed returns the things of which an item did not pass.
func (p *PreUse) Failed() (out []string) {
	if p == nil {
		return nil
	}
	for _, c := range p.Things {
		if c.Failed() {
			out = append(out, c.Of)
		}
	}
	return out
}

// RescueRole is what one does when a casualty is brought down: the place of a role in
// the version of the plan, or one of those below where the version has no roles.
type RescueRole string

// The roles of a plan without roles of its own. Who leads and who reaches the casualty
// is rescue-competent.
const (
	RoleLeads   RescueRole = "leads"
	RoleReaches RescueRole = "reaches"
	RoleKit     RescueRole = "kit"
	RoleCalls   RescueRole = "calls"
)

// RescueRoles lists the roles in the order forms show them.
func RescueRoles() []RescueRole { return []RescueRole{RoleLeads, RoleReaches, RoleKit, RoleCalls} }

// Competent reports whether only the rescue-competent may take the role.
func (r RescueRole) Competent() bool { return r == RoleLeads || r == RoleReaches }

// Brief is the rescue brief of a session: under which plan, who takes which role,
// who heard it. Kit, Route and Muster say that each was seen and is clear.
type Brief struct {
	Done    Done          `json:"done"`
	Station id.Station    `json:"station"`
	Plan    id.RescuePlan `json:"plan"`
	Version int           `json:"version"`
	Roles   []RoleTaken   `json:"roles"`
	Heard   []id.Person   `json:"heard"` // staff there, sorted
	Kit     bool          `json:"kit"`
	Route   bool          `json:"route"`
	Muster  bool          `json:"muster"`
}

// RoleTaken is one role and one who takes it.
type RoleTaken struct {
	Role   RescueRole `json:"role"`
	Person id.Person  `json:"person"`
}

// Left returns the roles that fewer of those given take than the plan asks, in the
// list's order.
func (b Brief) Left(asked []AskedRole, here []id.Person) (out []RescueRole) {
	for _, a := range asked {
		taken := 0
		for _, p := range here {
			if slices.Contains(b.Roles, RoleTaken{a.Role, p}) {
				taken++
			}
		}
		if taken < a.Count {
			out = append(out, a.Role)
		}
	}
	return out
}

// Shown are the cautions that somebody was shown and said to have read, each by
// its subject (SubjectOf).
type Shown struct {
	Done     Done     `json:"done"`
	Cautions []string `json:"cautions"`
}

// Unread returns the cautions that were not shown to a person, or have become
// worse since. Nobody ("") asks whether anybody was shown them.
func (s *Shown) Unread(cautions []verdict.Finding, who id.Person) []verdict.Finding {
	if s == nil || who != "" && s.Done.By != who {
		return cautions
	}
	var read []Acceptance
	for _, subject := range s.Cautions {
		read = append(read, Acceptance{Subject: subject})
	}
	return Waits(cautions, read)
}

// Recheck is the theory and the safety points asked again of trainees whose course
// is split over days.
type Recheck struct {
	Done     Done         `json:"done"`
	Trainees []id.Trainee `json:"trainees"` // sorted
}

// NeedsRecheck reports whether earlier parts of a course lie too far back when a
// practical begins: something was done on an earlier day, and ended more than within
// minutes before. The last moment that needs none is exactly within before.
func NeedsRecheck(earlier []Session, day civil.Day, zone civil.Zone, begins civil.Instant, within civil.Minutes) bool {
	return slices.ContainsFunc(earlier, func(s Session) bool {
		return s.State.Begun() && zone.DayOf(s.Start) < day && begins.Sub(s.End) > within
	})
}
