package store

import (
	"maps"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"rungbook/internal/fault"
	"rungbook/internal/ledger"
)

// finish ends a write: records spoken of must exist, hashes and the signed head
// are stored, the command is kept, and all of it is committed.
func (tx *Tx) finish(content []byte, out Outcome) error {
	if tx.err != nil {
		return tx.err
	}
	if err := tx.checkRefers(); err != nil {
		return err
	}
	if tx.next > tx.first {
		if err := tx.storeHashes(); err != nil {
			return err
		}
		if err := tx.sign(); err != nil {
			return err
		}
	}
	if err := tx.s.step("command"); err != nil {
		return err
	}
	err := tx.c.exec(tx.ctx, `INSERT INTO command (key, content_sha256, outcome, entries, recorded_at) VALUES (?1, ?2, ?3, ?4, ?5)`,
		tx.cmd.Key, content, string(out), tx.next, int64(tx.now))
	if err != nil {
		return err
	}
	if err := tx.s.step("commit"); err != nil {
		return err
	}
	return tx.c.exec(tx.ctx, `COMMIT`)
}

// checkRefers returns fault.Invalid if a record that was put speaks of one that
// is not on record. The tables' foreign keys say the same without naming it.
func (tx *Tx) checkRefers() error {
	for _, id := range slices.Sorted(maps.Keys(tx.refers)) {
		if tx.made[id] || tx.s.known[id] {
			continue
		}
		var one int
		found, err := tx.c.one(tx.ctx, []any{&one}, `SELECT 1 FROM record WHERE id = ?1`, id)
		if err != nil {
			return err
		}
		if !found {
			return fault.New(fault.Invalid, "The %s speaks of %s, which is not on record.", tx.refers[id], id)
		}
	}
	return nil
}

// hashesTogether is how many hashes one statement stores at most: a call into
// SQLite costs more than a row.
const hashesTogether = 64

func (tx *Tx) storeHashes() error {
	first, hashes := tx.tree.Added()
	for len(hashes) > 0 {
		if err := tx.s.step("hash"); err != nil {
			return err
		}
		n := min(len(hashes), hashesTogether)
		args := make([]any, 0, 2*n)
		for i := range hashes[:n] {
			args = append(args, first+int64(i), hashes[i][:])
		}
		query := `INSERT INTO tlog_hash (idx, hash) VALUES (?, ?)` + strings.Repeat(", (?, ?)", n-1)
		if err := tx.c.exec(tx.ctx, query, args...); err != nil {
			return err
		}
		first, hashes = first+int64(n), hashes[n:]
	}
	return nil
}

// sign stores the signed head of the grown ledger.
func (tx *Tx) sign() error {
	tx.edge = map[int64]ledger.Hash{}
	root, err := tlog.TreeHash(tx.next, tlog.HashReaderFunc(func(indexes []int64) ([]ledger.Hash, error) {
		hashes, err := tx.tree.ReadHashes(indexes)
		for i := range hashes {
			tx.edge[indexes[i]] = hashes[i]
		}
		return hashes, err
	}))
	if err != nil {
		return err
	}
	if err := tx.s.step("checkpoint"); err != nil {
		return err
	}
	head := ledger.Checkpoint{Origin: tx.s.key.Name(), Size: tx.next, Root: root}
	note, err := ledger.Sign(head, tx.s.key)
	if err != nil {
		return err
	}
	return tx.c.exec(tx.ctx, `INSERT INTO checkpoint (size, root, note) VALUES (?1, ?2, ?3)`, tx.next, root[:], note)
}

// keep hands what was learnt to later writes, once it is committed.
func (tx *Tx) keep() {
	tx.s.stood = tx.next
	if tx.edge != nil {
		tx.s.edge = tx.edge
	}
	if tx.long == nil { // a hundred thousand ids are not worth the memory
		for id := range tx.made {
			tx.s.known[id] = true
		}
		for id := range tx.refers {
			tx.s.known[id] = true
		}
	}
	if tx.place != *tx.s.place.Load() {
		place := tx.place
		tx.s.place.Store(&place)
	}
}

// step lets a test break a write at a named place.
func (s *Store) step(name string) error {
	if s.options.breakAt == nil {
		return nil
	}
	return s.options.breakAt(name)
}

// newestHead returns the last signed head, whatever entries there are beside it.
func (v *View) newestHead() (size int64, root ledger.Hash, note string, err error) {
	var raw []byte
	_, err = v.one([]any{&size, &raw, &note}, `SELECT size, root, note FROM checkpoint ORDER BY size DESC LIMIT 1`)
	copy(root[:], raw)
	return size, root, note, err
}

// checkHead returns fault.Unusable if the newest signed head was not signed by
// this store's key or is not that of the ledger beside it.
func (s *Store) checkHead(v *View) error {
	size, root, note, err := v.newestHead()
	if err != nil {
		return err
	}
	file := s.file(databaseName)
	if size != v.size {
		return fault.New(fault.Unusable, "%s is damaged: it holds %d entries, its signed head covers %d; restore it from a backup", file, v.size, size)
	}
	if size == 0 {
		return nil
	}
	head, err := ledger.OpenCheckpoint(note, s.key.verifier)
	if err != nil {
		return &fault.Error{Kind: fault.Unusable, Message: s.file(keyName) + " is not the key that signed " + file + "; put the right one back from the backup", Err: err}
	}
	again, err := tlog.TreeHash(size, tlog.HashReaderFunc(v.hashes))
	if err != nil {
		return err
	}
	if head.Size != size || head.Root != again || root != again {
		return fault.New(fault.Unusable, "%s is damaged: its entries are not those of its signed head; restore it from a backup", file)
	}
	return nil
}

// hashes reads stored hashes of the tree.
func (v *View) hashes(indexes []int64) ([]ledger.Hash, error) {
	out := make([]ledger.Hash, len(indexes))
	for i, at := range indexes {
		var raw []byte
		found, err := v.one([]any{&raw}, `SELECT hash FROM tlog_hash WHERE idx = ?3`, at)
		if err != nil {
			return nil, err
		}
		if !found {
			return nil, fault.New(fault.Unusable, "%s is damaged: hash %d of the ledger is missing; restore it from a backup", v.s.file(databaseName), at)
		}
		copy(out[i][:], raw)
	}
	return out, nil
}
