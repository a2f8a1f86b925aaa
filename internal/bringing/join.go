package bringing

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// Somebody is a person as the page of people alike shows them.
type Somebody struct {
	ID     id.Person
	Name   string
	Born   civil.Day
	Number string
}

// Pair are two people on record who may be one.
type Pair struct{ A, B Somebody }

// Join is a person whose records were put under another's.
type Join struct {
	Entry int64 // of the join; names it
	Kept  Somebody
	Other string // name
	At    civil.Instant
	By    string
}

// joinMark stands in the entries of a join, before the id of the person kept.
const joinMark = "join-"

// Alike returns the people on record who may be one, by name, birth date and
// number, and the joins that stand.
func (d *Desk) Alike(ctx context.Context, actor access.Actor) (pairs []Pair, joins []Join, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return nil, nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		reg, err := newRegister(v)
		if err != nil {
			return err
		}
		pairs = reg.pairs()
		joins, err = joinsOf(v)
		return err
	})
	return pairs, joins, err
}

// pairs compares everybody with who stands in the register before them.
func (r *register) pairs() []Pair {
	var all []*someone
	for _, list := range r.byKey {
		all = append(all, list...)
	}
	slices.SortFunc(all, func(a, b *someone) int { return strings.Compare(a.key+string(a.id), b.key+string(b.id)) })
	before := &register{map[string][]*someone{}, map[string][]*someone{}, map[string][]*someone{}, map[civil.Day][]*someone{}}
	var out []Pair
	for _, s := range all {
		other := before.like(s.name, s.born, likeAsked)
		if list := before.byNumber[store.Fold(s.number)]; other == nil && s.number != "" && len(list) > 0 && (s.born == 0 || list[0].born == 0) {
			other = list[0] // numbers of two employers can be the same: birth dates tell
		}
		if other != nil {
			out = append(out, Pair{somebodyOf(other), somebodyOf(s)})
		}
		before.add(s)
	}
	return out
}

func somebodyOf(s *someone) Somebody { return Somebody{s.id, s.name, s.born, s.number} }

func joinsOf(v *store.View) (out []Join, err error) {
	gone, err := v.StruckOut()
	if err != nil {
		return nil, err
	}
	for _, x := range gone {
		kept, ours := cutMark(x.Entry.For)
		if !ours {
			continue
		}
		var other people.Person
		if err := json.Unmarshal(x.Entry.Body, &other); err != nil {
			return nil, err
		}
		texts, err := v.Texts(other.Name)
		if err != nil {
			return nil, err
		}
		names, err := v.PersonNames(kept, x.Entry.Actor)
		if err != nil {
			return nil, err
		}
		out = append(out, Join{x.Index, Somebody{ID: kept, Name: names[kept]}, texts[other.Name], x.Entry.Recorded(), names[x.Entry.Actor]})
	}
	return out, nil
}

func cutMark(s string) (id.Person, bool) {
	kept, ours := strings.CutPrefix(s, joinMark)
	return id.Person(kept), ours
}

// Joining says that two people are one: other's records are put under kept.
type Joining struct{ Kept, Other id.Person }

// Join puts the records of one person under another, and strikes the first out.
// Part takes it back. Errors: fault.Conflict that says why two can't be one.
func (d *Desk) Join(ctx context.Context, actor access.Actor, j Joining, key string) error {
	return d.decide(ctx, actor, key, []any{"join", j}, func(tx *store.Tx) error {
		v := tx.View()
		rests, err := v.RestsOn(map[string]bool{string(j.Other): true}, -1)
		if err != nil {
			return err
		}
		other, err := v.Person(j.Other)
		if err != nil {
			return err
		}
		if _, err := v.Person(j.Kept); err != nil {
			return err
		}
		if j.Kept == j.Other {
			return fault.New(fault.Invalid, "These are the same record.")
		}
		if err := mayJoin(v, j, rests); err != nil {
			return err
		}
		tx.Mark(joinMark + string(j.Kept))
		for _, r := range uniqueRecords(rests) {
			if err := move(tx, r, "joined", j.Kept); err != nil {
				return err
			}
		}
		return tx.StrikeOut(other.Entry)
	})
}

// decide runs a decision about who is who.
func (d *Desk) decide(ctx context.Context, actor access.Actor, key string, content any, do func(*store.Tx) error) error {
	role, err := access.Require(actor, access.ChangeRecords)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: content, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		return "", do(tx)
	})
	return err
}

// mayJoin refuses to put under one person what two people did: somebody who works
// or signs in here, two places in one intake, two last days of one paper.
func mayJoin(v *store.View, j Joining, rests []store.Resting) error {
	for _, r := range rests {
		switch r.Kind {
		case "person", "trainee", "certificate", "duty", "away":
		default:
			return fault.New(fault.Conflict, "A record of the kind %s names the second person: whoever works or signs in here is the one to keep.", plural(r.Kind, 1))
		}
	}
	trainees, err := v.TraineesOfPersons(j.Kept, j.Other)
	if err != nil {
		return err
	}
	in := map[id.Intake]id.Person{}
	for _, t := range trainees {
		if who, ok := in[t.Intake]; ok && who != t.Person {
			return fault.New(fault.Conflict, "Both have a place in the same intake. They are two people, or one place is to be ended first.")
		}
		in[t.Intake] = t.Person
	}
	papers, err := v.CertificatesOf(j.Kept, j.Other)
	if err != nil {
		return err
	}
	last := map[samePaper]credential.Certificate{}
	for _, c := range papers {
		key := sameOf(c)
		key.who = ""
		if was, ok := last[key]; ok && was.Until != c.Until {
			return fault.New(fault.Conflict, "The same paper stands with two last valid days, %s and %s. Mend one of them first.", dayOrNone(was.Until), dayOrNone(c.Until))
		}
		last[key] = c
	}
	return nil
}

func uniqueRecords(rests []store.Resting) (out []Record) {
	for _, r := range rests {
		if one := (Record{r.Kind, r.ID}); r.Kind != "person" && !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}

// move puts a record under another person, as a correction of how it stands.
func move(tx *store.Tx, r Record, act string, to id.Person) error {
	var record any
	var entry int64
	var err error
	v := tx.View()
	switch r.Kind {
	case "trainee":
		var row store.Row[people.Trainee]
		row, err = v.Trainee(id.Trainee(r.ID))
		row.Value.Person = to
		record, entry = row.Value, row.Entry
	case "certificate":
		var row store.Row[credential.Certificate]
		row, err = v.Certificate(id.Certificate(r.ID))
		row.Value.Person = to
		record, entry = row.Value, row.Entry
	case "duty":
		var row store.Row[people.Duty]
		row, err = v.Duty(id.Duty(r.ID))
		row.Value.Person = to
		record, entry = row.Value, row.Entry
	case "away":
		var row store.Row[people.Away]
		row, err = v.Away(id.Away(r.ID))
		row.Value.Person = to
		record, entry = row.Value, row.Entry
	}
	if fault.Of(err) == fault.NotFound && err != nil {
		return nil // struck out since
	}
	if err != nil {
		return err
	}
	was, err := v.Entry(entry)
	if err != nil {
		return err
	}
	_, err = tx.PutCorrecting(act, was.EffectiveDay, []int64{entry}, record)
	return err
}

// Part takes a join back: the records that it moved are the second person's
// again. Error: fault.Conflict where there is no such join any more.
func (d *Desk) Part(ctx context.Context, actor access.Actor, join int64, key string) error {
	return d.decide(ctx, actor, key, []any{"part", join}, func(tx *store.Tx) error {
		v := tx.View()
		joins, err := joinsOf(v)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(joins, func(j Join) bool { return j.Entry == join }) {
			return fault.New(fault.Conflict, "This join does not stand any more.")
		}
		moved, err := v.Together(join)
		if err != nil {
			return err
		}
		var other people.Person
		if err := json.Unmarshal(moved[len(moved)-1].Entry.Body, &other); err != nil {
			return err
		}
		first, err := v.EntriesOf("person", string(other.ID))
		if err != nil {
			return err
		}
		if _, err := tx.PutCorrecting("parted", first[0].EffectiveDay, []int64{join}, other); err != nil {
			return err
		}
		for _, m := range moved[:len(moved)-1] {
			if err := move(tx, Record{m.Entry.Kind, m.Entry.ID}, "parted", other.ID); err != nil {
				return err
			}
		}
		return nil
	})
}
