// Package arriving is the journey of people onto the yard: what is seen of an
// intake's trainees when they come, who takes the place of one who does not, and
// who is here now. Read desk.go first, then here.go.
package arriving

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Desk is where people arrive.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s, &planning.Builder{}} }

// Row is one trainee with what was seen of them; Rev 0 = nothing yet.
type Row struct {
	Trainee people.Trainee
	Name    string
	Arrival arrival.Arrival
	Rev     int64
	Kit     []Held // ever handed out
	Contact string // whom to call; "" for those who may not record arrivals
	Seen    map[arrival.Paper]string
	Lacks   []arrival.Lack // now, of one who came
}

// Intake is the arrivals of an intake, by name.
type Intake struct {
	Intake people.Intake
	Rows   []Row
	Ref    *store.Reference
	Now    civil.Instant
	Zone   civil.Zone
}

// Arrivals returns the arrivals of an intake.
func (d *Desk) Arrivals(ctx context.Context, actor access.Actor, of id.Intake) (out Intake, err error) {
	if _, err := access.Require(actor, access.SeeArrivals); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = read(v, actor, of)
		return err
	})
	return out, err
}

func read(v *store.View, actor access.Actor, of id.Intake) (out Intake, err error) {
	if out.Ref, err = v.Reference(); err != nil {
		return out, err
	}
	out.Now, out.Zone = v.Now(), v.Zone()
	found := false
	if out.Intake, found = out.Ref.Intakes.On(of, v.Today()); !found {
		versions := out.Ref.Intakes.Versions(of)
		if len(versions) == 0 {
			return out, fault.New(fault.NotFound, "There is no such intake.")
		}
		out.Intake = versions[0].Value
	}
	trainees, err := v.TraineesOfIntake(of)
	if err != nil {
		return out, err
	}
	out.Rows, err = rowsOf(v, trainees, access.May(actor, access.RecordArrival))
	return out, err
}

// rowsOf returns what was seen of trainees, by name. private adds whom to call.
func rowsOf(v *store.View, trainees []people.Trainee, private bool) ([]Row, error) {
	of := make([]id.Trainee, len(trainees))
	for i, t := range trainees {
		of[i] = t.ID
	}
	names, err := v.TraineeNames(of...)
	if err != nil {
		return nil, err
	}
	seen, err := v.Arrivals(of...)
	if err != nil {
		return nil, err
	}
	revs, err := v.ArrivalRevs(of...)
	if err != nil {
		return nil, err
	}
	var said []id.Commitment
	var who []id.Person
	by := map[id.Trainee]arrival.Arrival{}
	for _, a := range seen {
		by[a.Trainee] = a
		said = append(said, a.Contact)
		for _, p := range arrival.Papers() {
			if s := *a.Of(p); s != nil {
				who = append(who, s.By)
			}
		}
	}
	texts, err := v.Texts(said...)
	if err != nil {
		return nil, err
	}
	persons, err := v.PersonNames(who...)
	if err != nil {
		return nil, err
	}
	kit, err := kitOf(v, seen)
	if err != nil {
		return nil, err
	}
	out := make([]Row, len(trainees))
	for i, t := range trainees {
		a := by[t.ID]
		row := Row{Trainee: t, Name: names[t.ID], Arrival: a, Rev: revs[t.ID], Kit: kit[t.ID], Seen: map[arrival.Paper]string{}}
		if private {
			row.Contact = texts[a.Contact]
		}
		for _, p := range arrival.Papers() {
			if s := *a.Of(p); s != nil {
				row.Seen[p] = persons[s.By]
			}
		}
		out[i] = row
	}
	slices.SortFunc(out, func(a, b Row) int {
		return cmp.Or(cmp.Compare(store.Fold(a.Name), store.Fold(b.Name)), cmp.Compare(a.Trainee.ID, b.Trainee.ID))
	})
	return out, lacking(v, out, of)
}

// kitOf is what was handed out by arrivals, by trainee.
func kitOf(v *store.View, list []arrival.Arrival) (map[id.Trainee][]Held, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	held, err := heldIn(v, ref, list)
	out := map[id.Trainee][]Held{}
	for _, h := range held {
		out[h.Trainee] = append(out[h.Trainee], h)
	}
	return out, err
}

// lacking fills in what is not on record now of those who came.
func lacking(v *store.View, rows []Row, of []id.Trainee) error {
	parts, err := planning.PartsBegan(v, of, v.Today())
	for i, r := range rows {
		if r.Arrival.State == arrival.Came {
			rows[i].Lacks = r.Arrival.Lacks(v.Now(), parts[r.Trainee.ID])
		}
	}
	return err
}

// Noted is what was seen of one trainee, as a form says it: the whole of it, but for
// kit, of which it says what is handed out now.
type Noted struct {
	Trainee   id.Trainee
	Rev       int64
	Came      bool          // false: they did not come
	At        civil.Instant // when; 0 = now
	Seen      []arrival.Paper
	Again     bool          // their identity was seen again, now
	FitnessAt civil.Instant // when the statement was signed
	HandOut   []string      // serials of kit
	Sort      rig.Sort      // of those that are not on record
	Contact   string
}

// Note records what was seen of a trainee.
func (d *Desk) Note(ctx context.Context, actor access.Actor, n Noted, key string) error {
	role, err := access.Require(actor, access.RecordArrival)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{access.RecordArrival, n}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			if err := tx.Expect("arrival", string(n.Trainee), n.Rev); err != nil {
				return "", err
			}
			trainees, err := tx.View().Trainees(n.Trainee)
			if err != nil {
				return "", err
			}
			if len(trainees) == 0 {
				return "", fault.New(fault.NotFound, "There is no such trainee.")
			}
			rows, err := rowsOf(tx.View(), trainees, true)
			if err != nil {
				return "", err
			}
			a, err := n.over(tx, rows[0], actor)
			if err != nil {
				return "", err
			}
			if a, err = d.handOut(tx, n, a, actor); err != nil {
				return "", err
			}
			_, err = tx.Put(string(a.State), 0, a)
			return "", err
		})
	return err
}

// over returns the arrival as noted over what stood.
func (n Noted) over(tx *store.Tx, was Row, actor access.Actor) (arrival.Arrival, error) {
	a := was.Arrival
	if a.State == arrival.Replaced {
		return a, fault.New(fault.Conflict, "Somebody came in their place already. Enrol them anew if they come after all.")
	}
	a.Trainee = n.Trainee
	if !n.Came {
		none := arrival.Arrival{Trainee: n.Trainee, State: arrival.DidNotCome, Contact: a.Contact}.With(a.Slips())
		return none, none.Check()
	}
	a.State, a.At, a.FitnessAt = arrival.Came, cmp.Or(n.At, a.At, tx.Now()), n.FitnessAt
	if a.At > tx.Now() {
		return a, fault.Field("at", "This time is still to come.")
	}
	if a.FitnessAt != was.Arrival.FitnessAt {
		a.Fitness = nil // another statement, seen now
	}
	if n.Again {
		a.Identity = nil // seen now
	}
	a = a.Tick(n.Seen, arrival.Signed{By: actor.Person, At: tx.Now()})
	if contact := strings.TrimSpace(n.Contact); contact != was.Contact {
		a.Contact = tx.Seal("arrival/"+string(n.Trainee), "contact", contact)
	}
	return a, a.Check()
}
