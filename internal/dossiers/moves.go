package dossiers

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Given is a piece of evidence as a form gives it.
type Given struct {
	Rig       id.Rig
	Point     rig.Point
	Done      civil.Day
	Until     civil.Day
	By        string
	Authority string
	Answers   []string // to Point.Asks, in their order
	Name      string   // of the file
	Data      []byte
}

// PutIn keeps a file beside the database and records what it shows. It counts only
// once somebody else accepts it.
func (d *Desk) PutIn(ctx context.Context, actor access.Actor, g Given, key string) error {
	role, err := access.Require(actor, access.PutInEvidence)
	if err != nil {
		return err
	}
	if actor.Person == "" {
		return fault.New(fault.Forbidden, "This account belongs to nobody on record, and evidence is put in by somebody.")
	}
	kind, err := g.check(actor.Today)
	if err != nil {
		return err
	}
	if err := d.needed(ctx, g); err != nil { // before a file is kept for nothing
		return err
	}
	sum := sha256.Sum256(g.Data)
	content := []any{"evidence", g.Rig, g.Point, g.Done, g.Until, g.By, g.Authority, g.Answers, g.Name, hex.EncodeToString(sum[:])}
	hash, err := d.store.KeepFile(g.Data)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: content, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		e := rig.Evidence{ID: id.Evidence(tx.ID()), Rig: g.Rig, Point: g.Point, Done: g.Done, Until: g.Until,
			File: rig.EvidenceFile{Hash: hash, Type: kind, Bytes: len(g.Data)}, PutIn: rig.EvidenceWord{By: actor.Person, At: tx.Now()}}
		say := func(field, text string) id.Commitment {
			if text = strings.TrimSpace(text); text == "" {
				return ""
			}
			return tx.Seal("evidence/"+string(e.ID), field, text)
		}
		e.By, e.Authority, e.File.Name = say("by", g.By), say("authority", g.Authority), say("file", g.Name)
		for i, asked := range g.Point.Asks() {
			e.Facts = append(e.Facts, rig.EvidenceFact{Asked: asked, Text: say(asked, g.Answers[i])})
		}
		_, err := tx.Put("put-in", tx.Today(), e)
		return "", err
	})
	return err
}

// longestText bounds what is typed into one field.
const longestText = 500

// check looks at the form alone, and says what its file is.
func (g Given) check(today civil.Day) (rig.FileType, error) {
	bad := fault.Fields{}
	switch {
	case g.Done == 0:
		bad.Add("done", "Give the day on which it was done.")
	case g.Done > today:
		bad.Add("done", "%s is still to come. Give the day on which it was done.", g.Done)
	}
	switch {
	case g.Until == 0:
		bad.Add("until", "Give the last day on which it is good: without one it shows nothing.")
	case g.Until < today:
		bad.Add("until", "It has lapsed already. Put in one that is good today.")
	case g.Until < g.Done:
		bad.Add("until", "The last day is before the day on which it was done.")
	}
	text := func(field, typed, missing string) {
		if strings.TrimSpace(typed) == "" {
			bad.Add(field, "%s", missing)
		} else if len(typed) > longestText {
			bad.Add(field, "Say it in at most %d letters; the file holds the rest.", longestText)
		}
	}
	text("by", g.By, "Say who did it.")
	text("authority", g.Authority, "Say by which authority: a title, a registration, an appointment.")
	for i, asked := range g.Point.Asks() {
		if i >= len(g.Answers) {
			return "", fault.New(fault.Invalid, "The form lacks a field; load it again.")
		}
		text(Field(i), g.Answers[i], asked+" is missing.")
	}
	kind, err := rig.TypeOf(g.Data)
	if err != nil {
		bad.Add("file", "%s", fault.Message(err))
	}
	return kind, bad.Err()
}

// Field is the name of the form's field that answers the nth of Point.Asks.
func Field(n int) string { return "fact" + string(rune('1'+n)) }

// needed refuses evidence of what the rig does not need.
func (d *Desk) needed(ctx context.Context, g Given) error {
	return d.store.Read(ctx, func(v *store.View) error {
		p, err := d.read(v)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(p.Dossiers, func(x Dossier) bool { return x.Rig.ID == g.Rig })
		if i < 0 {
			return fault.New(fault.NotFound, "There is no such rig.")
		}
		if _, ok := p.Dossiers[i].Point(g.Point); !ok {
			return fault.New(fault.NotFound, "The dossier of this rig does not ask for that.")
		}
		return nil
	})
}

// Accept takes a piece of evidence as showing its point. Whoever put it in can't, and
// none goes in the place of a newer one that stands.
func (d *Desk) Accept(ctx context.Context, actor access.Actor, of id.Evidence, looked bool, key string) error {
	return d.decide(ctx, actor, of, "accepted", []any{looked}, key, func(tx *store.Tx, ref *store.Reference, e rig.Evidence) (rig.Evidence, error) {
		switch {
		case e.PutIn.By == actor.Person || actor.Person == "":
			return e, fault.Field("looked", "You put this in. Somebody else who answers for a field accepts it.")
		case !looked:
			return e, fault.Field("looked", "Open the file, and say that you did.")
		case e.Until < tx.Today():
			return e, fault.Field("looked", "It lapsed on %s. Have a newer one put in.", e.Until+1)
		}
		for _, x := range ref.Evidence.All(civil.LastDay) {
			if x.Rig == e.Rig && x.Point == e.Point && x.Stands() && x.Revoked == nil && x.Done > e.Done {
				return e, fault.Field("looked", "One done on %s, which is newer, stands. Revoke that first if it is wrong.", x.Done)
			}
		}
		if _, err := d.store.File(e.File.Hash); err != nil { // nobody accepts what can't be read
			return e, err
		}
		e.Accepted = &rig.EvidenceWord{By: actor.Person, At: tx.Now()}
		return e, nil
	})
}

// Refuse says that a piece of evidence does not show its point.
func (d *Desk) Refuse(ctx context.Context, actor access.Actor, of id.Evidence, why, key string) error {
	return d.decide(ctx, actor, of, "refused", []any{why}, key, func(tx *store.Tx, _ *store.Reference, e rig.Evidence) (rig.Evidence, error) {
		word, err := reason(tx, e, why)
		e.Refused = word
		return e, err
	})
}

// Revoke says that what was accepted is good no longer: from this day on its rig stops.
func (d *Desk) Revoke(ctx context.Context, actor access.Actor, of id.Evidence, why, key string) error {
	return d.decide(ctx, actor, of, "revoked", []any{why}, key, func(tx *store.Tx, _ *store.Reference, e rig.Evidence) (rig.Evidence, error) {
		word, err := reason(tx, e, why)
		e.Revoked = word
		return e, err
	})
}

func reason(tx *store.Tx, e rig.Evidence, why string) (*rig.EvidenceWord, error) {
	why = strings.TrimSpace(why)
	switch {
	case why == "":
		return nil, fault.Field("why", "Say why, for whoever mends it.")
	case len(why) > longestText:
		return nil, fault.Field("why", "Say it in at most %d letters.", longestText)
	}
	return &rig.EvidenceWord{By: tx.Actor().Person, At: tx.Now(), Why: tx.Seal("evidence/"+string(e.ID), "why", why)}, nil
}

// decide writes a word about one piece of evidence. A second one about what was
// decided meanwhile is fault.Conflict.
func (d *Desk) decide(ctx context.Context, actor access.Actor, of id.Evidence, act string, content []any, key string,
	do func(*store.Tx, *store.Reference, rig.Evidence) (rig.Evidence, error)) error {
	role, err := access.Require(actor, access.AcceptEvidence)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{"evidence-" + act, of, content}, Actor: actor, Role: role}, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		e, ok := ref.Evidence.On(of, civil.LastDay)
		if !ok {
			return "", fault.New(fault.NotFound, "There is no such evidence.")
		}
		if act == "revoked" && (!e.Stands() || e.Revoked != nil) || act != "revoked" && !e.Waits() {
			return "", fault.New(fault.Conflict, "Somebody else decided on it meanwhile. Look at the page again.")
		}
		next, err := do(tx, ref, e)
		if err != nil {
			return "", err
		}
		_, err = tx.Put(act, tx.Today(), next)
		return "", err
	})
	return err
}

// Of returns one piece of evidence. Error: fault.NotFound.
func (d *Desk) Of(ctx context.Context, actor access.Actor, of id.Evidence) (e rig.Evidence, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return e, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		var ok bool
		if e, ok = ref.Evidence.On(of, civil.LastDay); !ok {
			return fault.New(fault.NotFound, "There is no such evidence.")
		}
		return nil
	})
	return e, err
}
