package arriving

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Held is one piece of kit that was handed out to a trainee, with who they are.
type Held struct {
	arrival.Slip
	Number  int    // among the trainee's slips
	Text    string // its serial; "" = erased
	Found   string // what was wrong with it when it came back
	Giver   string // who handed it out
	Taker   string // who said how it came back
	On      id.Item
	Trainee id.Trainee
	Person  id.Person
	Name    string
	Intake  id.Intake
}

// Known reports whether an item on record has its serial; else its inspection and
// retirement are not known.
func (h Held) Known() bool { return h.On != "" }

// Word is its serial, as sentences name it.
func (h Held) Word() string { return cmp.Or(h.Text, "what has an erased serial") }

// Key names it in forms.
func (h Held) Key() string { return fmt.Sprintf("%s.%d", h.Trainee, h.Number) }

// itemsBySerial are the items that stand today, by their serials as two people may
// write them.
func itemsBySerial(ref *store.Reference, today civil.Day) map[string]rig.Item {
	out := map[string]rig.Item{}
	for _, i := range ref.Items.All(today) {
		out[rig.SerialKey(ref.Text(i.Serial))] = i
	}
	return out
}

// heldIn returns what was ever handed out by these arrivals.
func heldIn(v *store.View, ref *store.Reference, list []arrival.Arrival) ([]Held, error) {
	var said []id.Commitment
	var who []id.Person
	of := make([]id.Trainee, len(list))
	for i, a := range list {
		of[i] = a.Trainee
		for _, s := range a.Slips() {
			said = append(said, s.Serial)
			if s.Given != nil {
				who = append(who, s.Given.By)
			}
			if s.Back != nil {
				said, who = append(said, s.Back.Found), append(who, s.Back.By)
			}
		}
	}
	if len(said) == 0 {
		return nil, nil
	}
	texts, err := v.Texts(said...)
	if err != nil {
		return nil, err
	}
	names, err := v.TraineeNames(of...)
	if err != nil {
		return nil, err
	}
	trainees, err := v.Trainees(of...)
	if err != nil {
		return nil, err
	}
	persons, err := v.PersonNames(who...)
	if err != nil {
		return nil, err
	}
	items := itemsBySerial(ref, v.Today())
	var out []Held
	for _, a := range list {
		for n, s := range a.Slips() {
			h := Held{Slip: s, Number: n, Text: texts[s.Serial], On: s.Item, Trainee: a.Trainee, Name: names[a.Trainee]}
			if h.On == "" { // recorded since
				h.On = items[rig.SerialKey(h.Text)].ID
			}
			if i, stands := ref.Items.On(h.On, v.Today()); stands {
				h.Text = ref.Text(i.Serial) // as it is marked, however it was typed
			}
			if s.Given != nil {
				h.Giver = persons[s.Given.By]
			}
			if s.Back != nil {
				h.Found, h.Taker = texts[s.Back.Found], persons[s.Back.By]
			}
			if i := slices.IndexFunc(trainees, func(t people.Trainee) bool { return t.ID == a.Trainee }); i >= 0 {
				h.Person, h.Intake = trainees[i].Person, trainees[i].Intake
			}
			out = append(out, h)
		}
	}
	return out, nil
}

// answeredFor is all that was ever handed out to those with whom something is out, or
// who brought back what is not fit and is not on record.
func answeredFor(v *store.View, ref *store.Reference) ([]Held, error) {
	list, err := v.KitAnswersFor()
	if err != nil {
		return nil, err
	}
	return heldIn(v, ref, list)
}

// outOf keeps what is out.
func outOf(list []Held) (out []Held) {
	for _, h := range list {
		if h.Out() {
			out = append(out, h)
		}
	}
	return out
}

// Out returns all kit that is out, with whom.
func (d *Desk) Out(ctx context.Context, actor access.Actor) (out []Held, err error) {
	if _, err := access.Require(actor, access.SeeArrivals); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		list, err := answeredFor(v, ref)
		out = outOf(list)
		return err
	})
	return out, err
}

// PersonKit is what a person holds, and whether they may leave.
type PersonKit struct {
	Name      string
	Held      []Held
	Here      bool
	InSession bool // by its roll; they leave once that says so
	Ref       *store.Reference
}

// Kit returns what a person holds. Error: fault.NotFound.
func (d *Desk) Kit(ctx context.Context, actor access.Actor, of id.Person) (out PersonKit, err error) {
	if _, err := access.Require(actor, access.SeeArrivals); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		h, err := here(v)
		if err != nil {
			return err
		}
		names, err := v.PersonNames(of)
		if err != nil {
			return err
		}
		out = PersonKit{Name: names[of], Held: h.HeldBy(of), Ref: h.Ref}
		if i := slices.IndexFunc(h.Bodies, func(b Body) bool { return b.Who == string(of) }); i >= 0 {
			out.Here, out.InSession = true, h.Bodies[i].How == arrival.InSession
		}
		if out.Name == "" && len(out.Held) == 0 && !out.Here {
			return fault.New(fault.NotFound, "There is no such person.")
		}
		return nil
	})
	return out, err
}

// Answer says what became of one piece of kit.
type Answer struct {
	Key   string // of the Held
	How   arrival.Return
	Found string
}

// TakingBack is what becomes of what a person holds. Who leaves the yard has an answer
// for each piece; who stays may keep some.
type TakingBack struct {
	Person  id.Person
	Leaves  bool
	Answers []Answer
}

// TakeBack takes kit back from a person, and signs them out where they leave. What is
// not fit goes into quarantine by the same act; what is not given back stays out with
// them. Errors: fault.Fields at "how." and "found." with the key of the piece.
func (d *Desk) TakeBack(ctx context.Context, actor access.Actor, t TakingBack, key string) error {
	return d.comesOrGoes(ctx, actor, []any{"back", t}, key, func(tx *store.Tx, h Here) error {
		holds := h.HeldBy(t.Person)
		taken, err := t.answers(holds)
		if err != nil {
			return err
		}
		byTrainee := map[id.Trainee]map[int]Answer{}
		var order []id.Trainee
		for _, x := range holds {
			if a, answered := taken[x.Key()]; answered {
				if byTrainee[x.Trainee] == nil {
					byTrainee[x.Trainee] = map[int]Answer{}
					order = append(order, x.Trainee)
				}
				byTrainee[x.Trainee][x.Number] = a
			}
		}
		for _, of := range order {
			if err := takeBack(tx, h, of, byTrainee[of], actor); err != nil {
				return err
			}
		}
		if t.Leaves {
			return signOut(tx, h, string(t.Person))
		}
		return nil
	})
}

// answers are what was answered, by key.
func (t TakingBack) answers(holds []Held) (map[string]Answer, error) {
	out, bad := map[string]Answer{}, fault.Fields{}
	for _, a := range t.Answers {
		if a.Found = strings.TrimSpace(a.Found); a.How == "" && a.Found == "" {
			continue
		}
		if !slices.ContainsFunc(holds, func(h Held) bool { return h.Key() == a.Key }) {
			return nil, fault.New(fault.Conflict, "Something of this has been taken back meanwhile. Nothing was saved; look at what they hold now.")
		}
		out[a.Key] = a
	}
	for _, h := range holds {
		a, answered := out[h.Key()]
		switch {
		case !answered && t.Leaves, answered && a.How == "":
			bad.Add("how."+h.Key(), "Say what became of %s.", h.Word())
		case a.How == arrival.BackNotFit && a.Found == "":
			bad.Add("found."+h.Key(), "Say what was found of %s.", h.Word())
		case answered && a.How != arrival.BackNotFit && a.Found != "":
			bad.Add("how."+h.Key(), "Something was found of %s, so it is not fit. Choose that, or take the words out.", h.Word())
		}
	}
	if len(out) == 0 && len(bad) == 0 && !t.Leaves {
		bad.Add("", "Nothing is answered. Say what was taken back.")
	}
	return out, bad.Err()
}

// takeBack keeps the answers of one trainee's arrival.
func takeBack(tx *store.Tx, h Here, of id.Trainee, answers map[int]Answer, actor access.Actor) error {
	stands, err := tx.View().Arrivals(of)
	if err != nil {
		return err
	}
	a := stands[0]
	slips := a.Slips()
	for n := range slips {
		answer, answered := answers[n]
		if !answered {
			continue
		}
		for _, x := range h.Out {
			if x.Trainee == of && x.Number == n {
				slips[n].Item = x.On
			}
		}
		back := arrival.Back{How: answer.How, By: actor.Person, At: tx.Now(),
			Found: tx.Seal("arrival/"+string(of), fmt.Sprintf("found/%d", n+1), answer.Found)}
		if answer.How == arrival.BackNotFit && slips[n].Item != "" {
			if back.Quarantine, err = quarantine(tx, h.Ref, slips[n].Item, answer.Found, actor); err != nil {
				return err
			}
		}
		if slips[n], err = slips[n].Return(back); err != nil {
			return err
		}
	}
	_, err = tx.Put("took-kit-back", 0, a.With(slips))
	return err
}

// quarantine puts an item that is not fit in quarantine, unless it is in one.
func quarantine(tx *store.Tx, ref *store.Reference, of id.Item, found string, actor access.Actor) (id.Quarantine, error) {
	if q, stands := rig.InQuarantine(ref.Quarantines.All(civil.LastDay), string(of)); stands {
		return q.ID, nil
	}
	qid := id.Quarantine(tx.ID())
	_, err := tx.Put("put-in-quarantine", 0, rig.Quarantine{ID: qid, Subject: string(of), Start: tx.Now(), By: actor.Person, Why: tx.Seal("quarantine/"+string(qid), "why", found)})
	return qid, err
}
