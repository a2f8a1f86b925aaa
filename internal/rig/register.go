package rig

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// Standing is a state of a record and the days on which it stands: [From,
// Until), Until 0 = no end.
type Standing[T any] struct {
	From, Until civil.Day
	Value       T
}

// On reports whether it stands on a day.
func (s Standing[T]) On(d civil.Day) bool { return s.From <= d && (s.Until == 0 || d < s.Until) }

// Always gives states that stand on every day, for records that never changed.
func Always[T any](values ...T) []Standing[T] {
	out := make([]Standing[T], len(values))
	for i, v := range values {
		out[i].Value = v
	}
	return out
}

// Records are all that decides whether a station may be used. Where a list
// holds the same record twice (the same id; of rescue plans the same id and
// version) the later one counts: it is the newer knowledge.
type Records struct {
	Zone        civil.Zone
	Books       []rulebook.Version // every version of which a day is asked
	Rigs        []Standing[Rig]
	Stations    []Standing[Station]
	Kits        []Standing[Kit]
	Items       []Standing[Item]
	Quarantines []Quarantine
	Shuts       []Shut
	Inspections []Inspection
	RescuePlans []RescuePlan
	Drills      []Drill
	Evidence    []Evidence
	Blows       []Blow // wind that may have been a storm
	// KitAt are the stations on which exercises use a kit; how it is used says how
	// often it is inspected.
	KitAt map[id.Kit][]id.Station
}

// Register answers for rigs, stations, kits and items whether they may be used. It
// does not change after it was made and may be read by many at once.
type Register struct {
	zone        civil.Zone
	books       []rulebook.Version // by From
	rigs        map[id.Rig][]Standing[Rig]
	stations    map[id.Station][]Standing[Station]
	kits        map[id.Kit][]Standing[Kit]
	items       map[id.Item][]Standing[Item]
	itemsOf     map[id.Kit][]id.Item // every item that ever belonged to it, as given
	quarantines map[string][]Quarantine
	shuts       map[id.Station][]Shut
	inspections map[clockKey][]Inspection // by Done
	inspected   map[string][]string       // lines by which a thing was ever inspected
	plans       map[id.RescuePlan][]RescuePlan
	drills      map[id.RescuePlan][]Drill // accepted ones, by Day and moment
	refused     map[id.RescuePlan][]Drill // those that were not accepted, alike
	onTower     map[id.Kit]bool
	evidence    map[id.Rig][]Evidence // that counts, by acceptance
	storms      map[id.Rig][]storm
	planOf      map[id.Station][]id.RescuePlan // plans of which any version names the station; sorted
}

// clockKey names one recurring inspection of one thing.
type clockKey struct{ subject, line string }

// NewRegister makes a Register of records.
func NewRegister(r Records) *Register {
	g := &Register{
		zone:        r.Zone,
		books:       slices.Clone(r.Books),
		rigs:        map[id.Rig][]Standing[Rig]{},
		stations:    map[id.Station][]Standing[Station]{},
		kits:        map[id.Kit][]Standing[Kit]{},
		items:       map[id.Item][]Standing[Item]{},
		itemsOf:     map[id.Kit][]id.Item{},
		quarantines: map[string][]Quarantine{},
		shuts:       map[id.Station][]Shut{},
		inspections: map[clockKey][]Inspection{},
		inspected:   map[string][]string{},
		plans:       map[id.RescuePlan][]RescuePlan{},
		drills:      map[id.RescuePlan][]Drill{},
		refused:     map[id.RescuePlan][]Drill{},
		onTower:     map[id.Kit]bool{},
		evidence:    map[id.Rig][]Evidence{},
		storms:      map[id.Rig][]storm{},
		planOf:      map[id.Station][]id.RescuePlan{},
	}
	slices.SortStableFunc(g.books, func(a, b rulebook.Version) int { return cmp.Compare(a.From, b.From) })
	for _, s := range r.Rigs {
		g.rigs[s.Value.ID] = append(g.rigs[s.Value.ID], s)
	}
	for _, s := range r.Stations {
		g.stations[s.Value.ID] = append(g.stations[s.Value.ID], s)
	}
	for _, s := range r.Kits {
		g.kits[s.Value.ID] = append(g.kits[s.Value.ID], s)
	}
	for _, s := range newest(r.Shuts, func(s Shut) id.Shut { return s.ID }) {
		g.shuts[s.Station] = append(g.shuts[s.Station], s)
	}
	for _, i := range newest(r.Inspections, func(i Inspection) id.Inspection { return i.ID }) {
		key := clockKey{i.Subject, i.Line}
		if len(g.inspections[key]) == 0 {
			g.inspected[i.Subject] = append(g.inspected[i.Subject], i.Line)
		}
		g.inspections[key] = append(g.inspections[key], i)
	}
	for _, list := range g.inspections {
		slices.SortStableFunc(list, func(a, b Inspection) int { return cmp.Compare(a.Done, b.Done) })
	}
	g.addItems(r)
	g.addPlans(r)
	g.addTowers(r)
	g.addEvidence(r)
	g.addStorms(r)
	return g
}

func (g *Register) addItems(r Records) {
	for _, s := range r.Items {
		g.items[s.Value.ID] = append(g.items[s.Value.ID], s)
		if !slices.Contains(g.itemsOf[s.Value.Kit], s.Value.ID) {
			g.itemsOf[s.Value.Kit] = append(g.itemsOf[s.Value.Kit], s.Value.ID)
		}
	}
	for _, q := range newest(r.Quarantines, func(q Quarantine) id.Quarantine { return q.ID }) {
		g.quarantines[q.Subject] = append(g.quarantines[q.Subject], q)
	}
}

func (g *Register) addPlans(r Records) {
	type version struct {
		id id.RescuePlan
		n  int
	}
	for _, p := range newest(r.RescuePlans, func(p RescuePlan) version { return version{p.ID, p.Version} }) {
		g.plans[p.ID] = append(g.plans[p.ID], p)
		for _, s := range p.Stations {
			if !slices.Contains(g.planOf[s], p.ID) {
				g.planOf[s] = append(g.planOf[s], p.ID)
			}
		}
	}
	for _, list := range g.planOf {
		slices.Sort(list)
	}
	for _, list := range g.plans {
		slices.SortFunc(list, func(a, b RescuePlan) int { return cmp.Compare(a.Version, b.Version) })
	}
	for _, d := range newest(r.Drills, func(d Drill) id.Drill { return d.ID }) {
		if d.Accepted {
			g.drills[d.Plan] = append(g.drills[d.Plan], d)
		} else {
			g.refused[d.Plan] = append(g.refused[d.Plan], d)
		}
	}
	for _, drills := range []map[id.RescuePlan][]Drill{g.drills, g.refused} {
		for _, list := range drills {
			slices.SortStableFunc(list, func(a, b Drill) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.At, b.At)) })
		}
	}
}

// newest keeps of records with the same key the last one, in its first place.
func newest[T any, K comparable](records []T, key func(T) K) []T {
	at := make(map[K]int, len(records))
	out := make([]T, 0, len(records))
	for _, r := range records {
		if i, seen := at[key(r)]; seen {
			out[i] = r
			continue
		}
		at[key(r)] = len(out)
		out = append(out, r)
	}
	return out
}

// standing returns the state that stands on a day; of two, the later one given.
func standing[T any](list []Standing[T], d civil.Day) (v T, ok bool) {
	for _, s := range list {
		if s.On(d) {
			v, ok = s.Value, true
		}
	}
	return v, ok
}

// StationOn, RigOn and KitOn return the record that stands on a day.
func (g *Register) StationOn(s id.Station, d civil.Day) (Station, bool) {
	return standing(g.stations[s], d)
}

// RigOn returns the rig's record that stands on a day.
func (g *Register) RigOn(r id.Rig, d civil.Day) (Rig, bool) { return standing(g.rigs[r], d) }

// KitOn returns the kit's record that stands on a day.
func (g *Register) KitOn(k id.Kit, d civil.Day) (Kit, bool) { return standing(g.kits[k], d) }

// book returns the rule book in force on a day.
func (g *Register) book(d civil.Day) (rulebook.Version, bool) { return rulebook.InForce(g.books, d) }
