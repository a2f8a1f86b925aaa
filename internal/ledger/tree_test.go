package ledger

import (
	"encoding/hex"
	"errors"
	"testing"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// empty reads no hashes: a tree grown from nothing needs none.
var empty = tlog.HashReaderFunc(func([]int64) ([]Hash, error) { return nil, errors.New("nothing is kept") })

func grown(t testing.TB, entries ...string) *Tree {
	t.Helper()
	tree := NewTree(0, empty)
	for _, e := range entries {
		if err := tree.Append([]byte(e)); err != nil {
			t.Fatal(err)
		}
	}
	return tree
}

func root(t testing.TB, tree *Tree) Hash {
	t.Helper()
	h, err := tree.Root()
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func hexOf(h Hash) string { return hex.EncodeToString(h[:]) }

// The values follow from RFC 6962 section 2.1: the empty root is SHA-256 of
// nothing, a leaf is SHA-256 of 0x00 and the entry.
func TestHashesAreThoseOfRFC6962(t *testing.T) {
	for name, c := range map[string]struct{ got, want string }{
		"root of no entries": {hexOf(root(t, grown(t))), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		"leaf of no bytes":   {hexOf(LeafHash(nil)), "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"},
		"root of a, b, c":    {hexOf(root(t, grown(t, "a", "b", "c"))), "36642e73c2540ab121e3a6bf9545b0a24982cd830eb13d3cd19de3ce6c021ec1"},
	} {
		if c.got != c.want {
			t.Errorf("%s is %s, want %s", name, c.got, c.want)
		}
	}
}

func TestAnotherLibraryFindsTheSameRoot(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		entries := rapid.SliceOfN(rapid.SliceOf(rapid.Byte()), 0, 70).Draw(r, "entries")
		tree := NewTree(0, empty)
		other := (&compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}).NewEmptyRange(0)
		for _, e := range entries {
			if err := tree.Append(e); err != nil {
				r.Fatal(err)
			}
			if err := other.Append(rfc6962.DefaultHasher.HashLeaf(e), nil); err != nil {
				r.Fatal(err)
			}
		}
		want := rfc6962.DefaultHasher.EmptyRoot()
		if len(entries) > 0 {
			var err error
			if want, err = other.GetRootHash(nil); err != nil {
				r.Fatal(err)
			}
		}
		if got := hexOf(root(t, tree)); got != hex.EncodeToString(want) {
			r.Fatalf("root of %d entries is %s, the other library finds %x", len(entries), got, want)
		}
	})
}

func TestATreeGrowsOnFromKeptHashesAsFromTheStart(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		entries := rapid.SliceOfN(rapid.String(), 1, 40).Draw(r, "entries")
		cut := rapid.IntRange(0, len(entries)).Draw(r, "cut")
		first := grown(t, entries[:cut]...)
		_, kept := first.Added()
		second := NewTree(int64(cut), tlog.HashReaderFunc(func(indexes []int64) ([]Hash, error) {
			var out []Hash
			for _, i := range indexes {
				out = append(out, kept[i])
			}
			return out, nil
		}))
		for _, e := range entries[cut:] {
			if err := second.Append([]byte(e)); err != nil {
				r.Fatal(err)
			}
		}
		at, more := second.Added()
		if at != int64(len(kept)) || int64(len(kept)+len(more)) != tlog.StoredHashCount(int64(len(entries))) || second.Size() != int64(len(entries)) {
			r.Fatalf("%d kept, then %d from %d on", len(kept), len(more), at)
		}
		if got, want := root(t, second), root(t, grown(t, entries...)); got != want {
			r.Fatalf("root %s after growing on, %s from the start", got, want)
		}
	})
}

func TestATreeTellsOfHashesItCannotRead(t *testing.T) {
	tree := NewTree(3, empty)
	if err := tree.Append([]byte("d")); err == nil {
		t.Error("the fourth entry completes a subtree without reading its left half")
	}
	if _, err := NewTree(3, empty).Root(); err == nil {
		t.Error("a root was found without reading hashes")
	}
}
