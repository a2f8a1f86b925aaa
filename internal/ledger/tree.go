package ledger

import "golang.org/x/mod/sumdb/tlog"

// Hash is a node or root of the tree: SHA-256.
type Hash = tlog.Hash

// LeafHash returns the hash of an entry's bytes as a leaf (RFC 6962, 2.1:
// SHA-256 over 0x00 and the entry).
func LeafHash(entry []byte) Hash { return tlog.RecordHash(entry) }

// Tree grows a Merkle tree whose stored hashes are kept elsewhere. It holds
// only what was added since NewTree.
type Tree struct {
	size  int64
	first int64 // stored index of added[0]
	added []Hash
	kept  tlog.HashReader
}

// NewTree returns the tree of size entries whose stored hashes kept reads.
func NewTree(size int64, kept tlog.HashReader) *Tree {
	return &Tree{size: size, first: tlog.StoredHashCount(size), kept: kept}
}

// Size returns the number of entries.
func (t *Tree) Size() int64 { return t.size }

// Append adds an entry's bytes as the next leaf. Errors are those of the reader.
func (t *Tree) Append(entry []byte) error {
	hashes, err := tlog.StoredHashes(t.size, entry, t)
	if err != nil {
		return err
	}
	t.added = append(t.added, hashes...)
	t.size++
	return nil
}

// Added returns the hashes to store and the stored index of the first.
func (t *Tree) Added() (first int64, hashes []Hash) { return t.first, t.added }

// Root returns the root of the tree as grown. Errors are those of the reader.
func (t *Tree) Root() (Hash, error) { return tlog.TreeHash(t.size, t) }

// ReadHashes makes Tree a tlog.HashReader over kept and added hashes.
func (t *Tree) ReadHashes(indexes []int64) ([]Hash, error) {
	out := make([]Hash, len(indexes))
	var missing []int64
	for i, at := range indexes {
		if at >= t.first {
			out[i] = t.added[at-t.first]
		} else {
			missing = append(missing, at)
		}
	}
	if len(missing) == 0 {
		return out, nil
	}
	found, err := t.kept.ReadHashes(missing)
	if err != nil {
		return nil, err
	}
	for i, at := range indexes {
		if at < t.first {
			out[i], found = found[0], found[1:]
		}
	}
	return out, nil
}
