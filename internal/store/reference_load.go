package store

import (
	"cmp"
	"database/sql"
	"maps"
	"math"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// A referenceLoad reads one kind into its table, all records or some, and
// returns the commitments in them.
type referenceLoad struct {
	kind string
	into func(v *View, r *Reference, which []string) ([]id.Commitment, error)
}

// referenceLoads has one line a slow kind: the table it goes to and, where lists
// have an order of their own, where it stands.
var referenceLoads = []referenceLoad{
	load("yard", func(r *Reference) *Table[id.Yard, rig.Yard] { return &r.Yard }, nil),
	load("rule-book", func(r *Reference) *Table[id.RuleBook, rulebook.Version] { return &r.RuleBooks }, nil),
	load("rig", func(r *Reference) *Table[id.Rig, rig.Rig] { return &r.Rigs }, func(x rig.Rig) int { return x.Order }),
	load("station", func(r *Reference) *Table[id.Station, rig.Station] { return &r.Stations }, func(x rig.Station) int { return x.Order }),
	load("zone", func(r *Reference) *Table[id.Zone, rig.Zone] { return &r.Zones }, nil),
	load("circuit", func(r *Reference) *Table[id.Circuit, rig.Circuit] { return &r.Circuits }, nil),
	load("kit", func(r *Reference) *Table[id.Kit, rig.Kit] { return &r.Kits }, nil),
	load("item", func(r *Reference) *Table[id.Item, rig.Item] { return &r.Items }, func(x rig.Item) int { return x.Piece }),
	load("quarantine", func(r *Reference) *Table[id.Quarantine, rig.Quarantine] { return &r.Quarantines }, nil),
	load("shut", func(r *Reference) *Table[id.Shut, rig.Shut] { return &r.Shuts }, nil),
	load("inspection", func(r *Reference) *Table[id.Inspection, rig.Inspection] { return &r.Inspections }, nil),
	load("rescue-plan", func(r *Reference) *Table[id.RescuePlan, rig.RescuePlan] { return &r.RescuePlans }, nil),
	load("drill", func(r *Reference) *Table[id.Drill, rig.Drill] { return &r.Drills }, nil),
	load("evidence", func(r *Reference) *Table[id.Evidence, rig.Evidence] { return &r.Evidence }, nil),
	{stormKind, loadStorms},
	load("outcome", func(r *Reference) *Table[id.Outcome, curriculum.Outcome] { return &r.Outcomes }, nil),
	load("exercise", func(r *Reference) *Table[id.Exercise, curriculum.Exercise] { return &r.Exercises }, func(x curriculum.Exercise) int { return x.Order }),
	load("programme", func(r *Reference) *Table[id.Programme, curriculum.Programme] { return &r.Programmes }, func(x curriculum.Programme) int { return x.Order }),
	load("employer", func(r *Reference) *Table[id.Employer, people.Employer] { return &r.Employers }, nil),
	load(staffKind, func(r *Reference) *Table[id.Person, people.Staff] { return &r.Staff }, nil),
	load("intake", func(r *Reference) *Table[id.Intake, people.Intake] { return &r.Intakes }, nil),
	load("appointment", func(r *Reference) *Table[id.Appointment, people.Appointment] { return &r.Appointments }, nil),
	load("account", func(r *Reference) *Table[id.Account, access.Account] { return &r.Accounts }, nil),
}

// load makes the line of one kind.
func load[K ~string, T any](kind string, table func(*Reference) *Table[K, T], order func(T) int) referenceLoad {
	return referenceLoad{kind, func(v *View, r *Reference, which []string) (said []id.Commitment, err error) {
		changed := map[K][]Dated[T]{}
		for _, of := range which {
			changed[K(of)] = nil // a record that was struck out has no row left
		}
		texts := kindsByName[kind].texts
		err = v.eachReference(kind, which, func(of string, from, until civil.Day, entry int64, body []byte) error {
			value, err := decodeBody[T](body)
			if err != nil {
				return err
			}
			changed[K(of)] = append(changed[K(of)], Dated[T]{from, until, value, entry})
			said = append(said, texts(value)...)
			return nil
		})
		t := table(r)
		t.order = order
		*t = t.with(changed)
		return said, err
	}}
}

// eachReference reads the rows of a kind known at the view's entry, for all
// days, by id and first day. nil which = all records.
func (v *View) eachReference(kind string, which []string, do func(id string, from, until civil.Day, entry int64, body []byte) error) error {
	scan := func(rows *sql.Rows) error {
		var of, from, until string
		var entry int64
		var body sql.RawBytes
		if err := rows.Scan(&of, &from, &until, &entry, &body); err != nil {
			return err
		}
		first, err := civil.ParseDay(from)
		if err != nil {
			return err
		}
		end, err := textDay(until)
		if err != nil {
			return err
		}
		return do(of, first, end, entry, body)
	}
	if which == nil {
		return v.each(scan, `SELECT r.id, r.from_day, r.until_day, r.entry, r.body FROM reference AS r
			WHERE r.kind = ?3 AND `+v.known("r")+` ORDER BY r.id, r.from_day`, kind)
	}
	want, err := idList(which)
	if err != nil {
		return err
	}
	return v.each(scan, `SELECT r.id, r.from_day, r.until_day, r.entry, r.body
		FROM json_each(?4) AS want CROSS JOIN reference AS r ON r.kind = ?3 AND r.id = want.value
		WHERE `+v.known("r")+` ORDER BY r.id, r.from_day`, kind, want)
}

// loadStaff reads names and certificates of staff.
func (v *View) loadStaff(r *Reference, which []string) (said []id.Commitment, err error) {
	if which == nil {
		which = ids(r.Staff.keys...)
	}
	want, err := idList(which)
	if err != nil {
		return nil, err
	}
	r.staffNames, r.StaffCertificates = maps.Clone(r.staffNames), maps.Clone(r.StaffCertificates)
	if r.staffNames == nil {
		r.staffNames, r.StaffCertificates = map[id.Person]id.Commitment{}, map[id.Person][]credential.Certificate{}
	}
	err = v.each(func(rows *sql.Rows) error {
		var person, name string
		err := rows.Scan(&person, &name)
		r.staffNames[id.Person(person)] = id.Commitment(name)
		said = append(said, id.Commitment(name))
		return err
	}, `SELECT p.id, p.name FROM json_each(?3) AS want CROSS JOIN person AS p ON p.id = want.value
		WHERE `+v.known("p")+` AND p.until_day = 'open'`, want)
	if err != nil {
		return nil, err
	}
	for _, p := range which {
		r.StaffCertificates[id.Person(p)] = nil
	}
	err = v.each(func(rows *sql.Rows) error {
		c, err := scanBody[credential.Certificate](rows)
		r.StaffCertificates[c.Person] = append(r.StaffCertificates[c.Person], c)
		return err
	}, `SELECT c.body FROM json_each(?3) AS want CROSS JOIN certificate AS c ON c.person = want.value
		WHERE `+v.known("c")+` AND c.until_day = 'open'`, want)
	for _, p := range which {
		slices.SortFunc(r.StaffCertificates[id.Person(p)], byUntil)
	}
	return said, err
}

// byUntil orders certificates by last valid day, no end stated last, then id.
func byUntil(a, b credential.Certificate) int {
	return cmp.Or(cmp.Compare(lastDay(a), lastDay(b)), cmp.Compare(a.ID, b.ID))
}

func lastDay(c credential.Certificate) civil.Day {
	if c.Until == 0 {
		return math.MaxInt32
	}
	return c.Until
}
