package keeping

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// most bounds a check list: what is longer is not looked at item by item.
const (
	mostItems = 40
	mostWords = 200 // bytes of one item
)

// Lists are the check lists as they stand, in plain text, by kind; a kind without
// one is missing.
type Lists map[rig.CheckedKind][]string

// CheckLists returns what is looked at before each use.
func (k *Keeper) CheckLists(ctx context.Context, actor access.Actor) (out Lists, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return nil, err
	}
	err = k.store.Read(ctx, func(v *store.View) error {
		_, out, err = checkLists(v)
		return err
	})
	return out, err
}

func checkLists(v *store.View) (map[rig.CheckedKind]rig.CheckList, Lists, error) {
	lists, err := v.CheckLists()
	if err != nil {
		return nil, nil, err
	}
	out := Lists{}
	for kind, l := range lists {
		texts, err := v.Texts(l.Items...)
		if err != nil {
			return nil, nil, err
		}
		for _, item := range l.Items {
			out[kind] = append(out[kind], texts[item])
		}
	}
	return lists, out, nil
}

// KeepCheckLists makes the lists given the centre's own from today on. Items that
// stay as they are stay looked at; a list without items stops every start of what
// it is for. Lists that are not given stay.
func (k *Keeper) KeepCheckLists(ctx context.Context, actor access.Actor, lists Lists, key string) error {
	bad := fault.Fields{}
	for kind, items := range lists {
		long := slices.ContainsFunc(items, func(x string) bool { return len(x) > mostWords })
		switch {
		case !slices.Contains(rig.CheckedKinds(), kind):
			bad.Add("kind", "There is no check list for %q.", kind)
		case len(items) > mostItems:
			bad.Add(string(kind), "The list has %d items; at most %d are looked at one by one.", len(items), mostItems)
		case long:
			bad.Add(string(kind), "An item is longer than %d characters. Make two of it.", mostWords)
		}
	}
	if err := bad.Err(); err != nil {
		return err
	}
	return k.act(ctx, actor, access.ChangeYard, key, lists, func(tx *store.Tx, _ *store.Reference) error {
		standing, texts, err := checkLists(tx.View())
		if err != nil {
			return err
		}
		for _, kind := range rig.CheckedKinds() {
			items, given := lists[kind]
			if !given || slices.Equal(items, texts[kind]) {
				continue
			}
			if err := keepList(tx, standing[kind], texts[kind], kind, items); err != nil {
				return err
			}
		}
		return nil
	})
}

func keepList(tx *store.Tx, was rig.CheckList, texts []string, kind rig.CheckedKind, items []string) error {
	now := rig.CheckList{ID: was.ID, For: kind, Items: []id.Commitment{}}
	if now.ID == "" {
		now.ID = id.CheckList(tx.ID())
	}
	for _, text := range items {
		text = strings.TrimSpace(text)
		if i := slices.Index(texts, text); i >= 0 && !slices.Contains(now.Items, was.Items[i]) {
			now.Items = append(now.Items, was.Items[i])
			continue
		}
		now.Items = append(now.Items, tx.Seal("check-list/"+string(now.ID), "items", text))
	}
	_, err := tx.Put("check-list-kept", 0, now)
	return err
}
