package store

import (
	"database/sql"
	"maps"
	"slices"
	"sync"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/weather"
)

// Reference is every slowly changing record as known at one entry, for all
// days, decoded once and shared by readers. It is read only.
type Reference struct {
	Entry int64 // the last entry that matters to it, -1 = none

	Yard         Table[id.Yard, rig.Yard]
	RuleBooks    Table[id.RuleBook, rulebook.Version]
	Rigs         Table[id.Rig, rig.Rig]
	Stations     Table[id.Station, rig.Station]
	Zones        Table[id.Zone, rig.Zone]
	Circuits     Table[id.Circuit, rig.Circuit]
	Kits         Table[id.Kit, rig.Kit]
	Items        Table[id.Item, rig.Item]
	Quarantines  Table[id.Quarantine, rig.Quarantine]
	Shuts        Table[id.Shut, rig.Shut]
	Inspections  Table[id.Inspection, rig.Inspection]
	RescuePlans  Table[id.RescuePlan, rig.RescuePlan]
	Drills       Table[id.Drill, rig.Drill]
	Evidence     Table[id.Evidence, rig.Evidence]
	Storms       Table[id.Reading, weather.Reading] // those that may be storms
	Outcomes     Table[id.Outcome, curriculum.Outcome]
	Exercises    Table[id.Exercise, curriculum.Exercise]
	Programmes   Table[id.Programme, curriculum.Programme]
	Employers    Table[id.Employer, people.Employer]
	Staff        Table[id.Person, people.Staff]
	Intakes      Table[id.Intake, people.Intake]
	Appointments Table[id.Appointment, people.Appointment]
	Accounts     Table[id.Account, access.Account]

	// StaffCertificates holds every certificate of people with a staff record,
	// as it stands for the days to come, sorted by last valid day (no end
	// stated last), then id.
	StaffCertificates map[id.Person][]credential.Certificate

	staffNames map[id.Person]id.Commitment
	text       map[id.Commitment]string
}

// YardOn returns the yard's record on a day. There is one yard.
func (r *Reference) YardOn(d civil.Day) (rig.Yard, bool) {
	for _, k := range r.Yard.keys {
		if y, ok := r.Yard.On(k, d); ok {
			return y, true
		}
	}
	return rig.Yard{}, false
}

// Text returns what a commitment in these records stands for, "" if it was
// erased or never given.
func (r *Reference) Text(c id.Commitment) string { return r.text[c] }

// StaffName returns the name of a member of staff, "" if erased or not staff.
func (r *Reference) StaffName(p id.Person) string { return r.text[r.staffNames[p]] }

// references keeps the decoded references that readers ask for: the newest and a
// few past ones. All of them are of committed entries.
type references struct {
	mu   sync.Mutex
	kept []*Reference // newest use last
}

const referencesKept = 4

func (rs *references) get(entry int64) *Reference {
	rs.mu.Lock()
	defer rs.mu.Unlock()
	for i, r := range rs.kept {
		if r.Entry == entry {
			rs.kept = append(slices.Delete(rs.kept, i, i+1), r)
			return r
		}
	}
	return nil
}

// before returns the newest kept reference of an earlier entry, nil for none.
func (rs *references) before(entry int64) (best *Reference) {
	rs.mu.Lock()
	defer rs.mu.Unlock()
	for _, r := range rs.kept {
		if r.Entry < entry && (best == nil || r.Entry > best.Entry) {
			best = r
		}
	}
	return best
}

func (rs *references) put(r *Reference) {
	rs.mu.Lock()
	defer rs.mu.Unlock()
	rs.kept = append(rs.kept, r)
	if len(rs.kept) > referencesKept {
		rs.kept = rs.kept[1:]
	}
}

// Reference returns the slowly changing records as known at the view's entry.
func (v *View) Reference() (*Reference, error) {
	last := int64(-1)
	if _, err := v.one([]any{&last}, `SELECT entry FROM reference_entry WHERE entry <= ?1 ORDER BY entry DESC LIMIT 1`); err != nil {
		return nil, err
	}
	own := last >= v.saved // of the write under way: kept with it, not for others
	if own && v.tx.reference != nil && v.tx.reference.Entry == last {
		return v.tx.reference, nil
	}
	if !own {
		if r := v.s.references.get(last); r != nil {
			return r, nil
		}
	}
	base := v.s.references.before(last)
	if own && v.tx.reference != nil {
		base = v.tx.reference
	}
	r, err := v.loadReference(base, last)
	if err != nil {
		return nil, err
	}
	if own {
		v.tx.reference = r
	} else {
		v.s.references.put(r)
	}
	return r, nil
}

// loadReference reads what changed after base, or everything without one.
func (v *View) loadReference(base *Reference, last int64) (*Reference, error) {
	r := &Reference{Entry: last}
	changed := map[string][]string{} // kind → ids; nil ids = all
	if base == nil {
		for _, k := range kinds {
			if k.slow {
				changed[k.name] = nil
			}
		}
		changed[stormKind] = nil
	} else {
		*r = *base
		r.Entry = last
		err := v.each(func(rows *sql.Rows) error {
			var kind, id string
			err := rows.Scan(&kind, &id)
			changed[kind] = append(changed[kind], id)
			return err
		}, `SELECT kind, id FROM reference_entry WHERE entry > ?3 AND entry <= ?4`, base.Entry, last)
		if err != nil {
			return nil, err
		}
	}
	var said []id.Commitment
	for _, load := range referenceLoads { // in a fixed order
		which, ok := changed[load.kind]
		if !ok {
			continue
		}
		more, err := load.into(v, r, which)
		if err != nil {
			return nil, err
		}
		said = append(said, more...)
	}
	if which, ok := changed[staffKind]; ok {
		more, err := v.loadStaff(r, which)
		if err != nil {
			return nil, err
		}
		said = append(said, more...)
	}
	more, err := v.Texts(said...)
	if err != nil {
		return nil, err
	}
	r.text = maps.Clone(r.text)
	if r.text == nil {
		r.text = map[id.Commitment]string{}
	}
	maps.Copy(r.text, more)
	return r, nil
}
