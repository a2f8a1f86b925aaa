package store

import (
	"context"
	"fmt"
	"slices"

	"github.com/go-json-experiment/json"
	"golang.org/x/mod/sumdb/tlog"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// Tx is one write under way. Its moment, actor and first entry are fixed when it
// begins. It ends with the function it was given to.
type Tx struct {
	s     *Store
	c     *conn
	ctx   context.Context
	cmd   Command
	now   civil.Instant
	place place
	first int64 // entries before it
	next  int64 // index of the next entry
	tree  *ledger.Tree
	rows  *projector

	hashes    map[int64]ledger.Hash    // stored hashes read so far
	edge      map[int64]ledger.Hash    // those that the root needed, and the next one will
	made      map[string]bool          // ids put by this write
	refers    map[string]string        // id spoken of → record that did, looked up at the end
	newest    map[string]newest        // by kind and id, those asked for or put
	fresh     map[string]bool          // ids made by this write of which no entry stands yet
	sealed    map[id.Commitment]string // texts kept since the last put
	long      *longWrite               // what others are told of this write; nil of a short one
	reference *Reference               // decoded with this write's own entries; nil when none of them matters
	books     []rulebook.Version       // of this write and before; nil until asked for
	options   json.Options             // of optionsOf
	optionsOf civil.Zone
	err       error // of a method that returns none; ends the write
}

// View returns the record as it stands now, what this write put included.
func (tx *Tx) View() *View {
	return &View{s: tx.s, c: tx.c, ctx: tx.ctx, asked: tx.ctx, entry: tx.next - 1, head: true, size: tx.next, saved: tx.first,
		day: tx.Today(), now: tx.now, zone: tx.place.zone, tx: tx}
}

// ID returns a new id.
func (tx *Tx) ID() string {
	tx.s.mu.Lock()
	defer tx.s.mu.Unlock()
	made := ""
	if tx.long != nil {
		made = tx.long.ids.Next()
	} else {
		made = tx.s.maker.New()
	}
	tx.fresh[made] = true
	return made
}

// Now returns the moment that every entry of this write is recorded at.
func (tx *Tx) Now() civil.Instant { return tx.now }

// Today returns the local day of Now.
func (tx *Tx) Today() civil.Day { return tx.place.zone.DayOf(tx.now) }

// Entry returns the index of the next entry.
func (tx *Tx) Entry() int64 { return tx.next }

// Actor returns who acts.
func (tx *Tx) Actor() access.Actor { return tx.cmd.Actor }

// Put appends a fact: the full new state of one record (a domain struct, by
// value), counting from a local day (0 = today), and derives its rows. It
// returns the entry's index. Only slowly changing kinds, those of Reference, may
// count from a day to come; any other is fault.Invalid.
func (tx *Tx) Put(act string, effective civil.Day, record any) (int64, error) {
	return tx.put(act, effective, nil, record)
}

// PutCorrecting is Put for a fact that corrects earlier entries.
func (tx *Tx) PutCorrecting(act string, effective civil.Day, corrects []int64, record any) (int64, error) {
	corrects = slices.Compact(slices.Sorted(slices.Values(corrects)))
	if n := len(corrects); n == 0 || corrects[n-1] >= tx.next {
		return 0, fmt.Errorf("correcting entries %v: none, or not yet in the ledger", corrects)
	}
	return tx.put(act, effective, corrects, record)
}

// put ends the write on any error: half a fact is never committed, even where
// the caller goes on.
func (tx *Tx) put(act string, effective civil.Day, corrects []int64, record any) (index int64, err error) {
	if tx.err != nil {
		return 0, tx.err
	}
	defer func() { tx.err = err }()
	k, err := kindOfRecord(record)
	if err != nil {
		return 0, err
	}
	if err := tx.admit(k, &effective, record); err != nil {
		return 0, err
	}
	f, raw, err := tx.compose(k, act, effective, corrects, record)
	if err != nil {
		return 0, err
	}
	if err := tx.append(f, raw); err != nil {
		return 0, err
	}
	if err := tx.s.step("derive"); err != nil {
		return 0, err
	}
	if err := tx.rows.derive(f); err != nil {
		return 0, err
	}
	if err := nameOf(tx.ctx, tx.c, record, tx.sealed); err != nil {
		return 0, err
	}
	tx.note(f)
	clear(tx.sealed)
	tx.long.wrote()
	return f.index, tx.s.step("derived")
}

// admit checks a record before it is written, and fills in the day.
func (tx *Tx) admit(k *kind, effective *civil.Day, record any) error {
	if *effective == 0 {
		*effective = tx.Today()
	}
	if yard, ok := record.(rig.Yard); ok {
		z, err := civil.LoadZone(yard.Zone)
		if err != nil {
			return fault.Field("zone", "%v", err)
		}
		tx.place = place{yard.ID, z}
	}
	if !k.slow && *effective > tx.Today() {
		return fault.Field("effective", "A record of kind %s can't count from a day to come (%s).", k.name, *effective)
	}
	return k.check(record)
}

// compose makes the entry of a record and its bytes.
func (tx *Tx) compose(k *kind, act string, effective civil.Day, corrects []int64, record any) (fact, []byte, error) {
	body, err := json.Marshal(record, tx.writeOptions())
	if err != nil {
		return fact{}, nil, fmt.Errorf("body of %s: %w", k.name, err)
	}
	happened := tx.cmd.HappenedAt
	if happened == 0 {
		happened = tx.now
	}
	e := ledger.Entry{
		V: ledger.Version, Kind: k.name, ID: k.id(record), Act: act, Yard: tx.place.yard,
		RecordedAt: tx.place.zone.Stamp(tx.now), HappenedAt: tx.place.zone.Stamp(happened), EffectiveDay: effective,
		Actor: tx.cmd.Actor.Person, Role: string(tx.cmd.Role), For: tx.cmd.For, Key: tx.cmd.Key, Corrects: corrects, Body: body,
	}
	if e.Rev, err = tx.revision(k.name, e.ID); err != nil {
		return fact{}, nil, err
	}
	e.Rev++
	if e.RuleBook, err = tx.ruleBookOn(effective); err != nil {
		return fact{}, nil, err
	}
	raw, err := ledger.Encode(&e)
	if err != nil {
		return fact{}, nil, err
	}
	return fact{tx.next, e, k, record}, raw, nil
}

// writeOptions are those of the zone, made once as long as it stays.
func (tx *Tx) writeOptions() json.Options {
	if tx.options == nil || tx.optionsOf != tx.place.zone {
		tx.options, tx.optionsOf = writeOptions(tx.place.zone), tx.place.zone
	}
	return tx.options
}

// A newest is the last revision of a record, 0 for none, and when it was recorded.
type newest struct {
	rev int64
	at  civil.Instant
}

// revision returns the newest revision of a record, 0 for none.
func (tx *Tx) revision(kind, id string) (int64, error) {
	n, err := tx.newestOf(kind, id)
	return n.rev, err
}

// newestOf asks for each record once: nobody else writes meanwhile.
func (tx *Tx) newestOf(kind, id string) (n newest, err error) {
	if tx.fresh[id] {
		return n, nil
	}
	if n, ok := tx.newest[kind+" "+id]; ok {
		return n, nil
	}
	_, err = tx.c.one(tx.ctx, []any{&n.rev, &n.at}, `SELECT rev, recorded_at FROM entry WHERE kind = ?1 AND id = ?2 ORDER BY rev DESC LIMIT 1`, kind, id)
	if err == nil {
		tx.keepNewest(kind, id, n)
	}
	return n, err
}

func (tx *Tx) keepNewest(kind, id string, n newest) {
	if tx.long == nil {
		tx.newest[kind+" "+id] = n
	} else { // a hundred thousand records are not worth the memory
		delete(tx.newest, kind+" "+id)
	}
}

// append adds an entry to the ledger and its tree.
func (tx *Tx) append(f fact, raw []byte) error {
	if err := tx.s.step("append"); err != nil {
		return err
	}
	err := tx.c.exec(tx.ctx, `INSERT INTO entry (idx, kind, id, rev, recorded_at, bytes) VALUES (?1, ?2, ?3, ?4, ?5, ?6)`,
		f.index, f.entry.Kind, f.entry.ID, f.entry.Rev, int64(tx.now), raw)
	if err != nil {
		return err
	}
	tx.next++
	tx.keepNewest(f.entry.Kind, f.entry.ID, newest{f.entry.Rev, tx.now})
	return tx.tree.Append(raw)
}

// note keeps what the end of the write needs to know of a fact.
func (tx *Tx) note(f fact) {
	tx.made[f.entry.ID] = true
	delete(tx.fresh, f.entry.ID)
	for _, id := range f.kind.refers(f.record) {
		if id != "" && !tx.made[id] {
			tx.refers[id] = f.entry.Kind + " " + f.entry.ID
		}
	}
	if book, ok := f.record.(rulebook.Version); ok && tx.books != nil {
		tx.books = append(tx.books, book)
	}
}

// ruleBookOn returns the version in force on a day, "" for none.
func (tx *Tx) ruleBookOn(d civil.Day) (id.RuleBook, error) {
	if tx.books == nil {
		r, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		tx.books = []rulebook.Version{}
		for _, k := range r.RuleBooks.keys {
			for _, v := range r.RuleBooks.Versions(k) {
				tx.books = append(tx.books, v.Value)
			}
		}
	}
	var in rulebook.Version
	for _, b := range tx.books {
		if b.From <= d && b.From >= in.From {
			in = b
		}
	}
	return in.ID, nil
}

// Expect returns fault.Conflict, naming who and when, if a record has moved on
// from the revision that a page showed. What the command's own sender wrote
// meanwhile (Command.After) is no surprise to them and passes, and so does what the
// program wrote by itself under such a key.
func (tx *Tx) Expect(kind, id string, rev int64) error {
	now, err := tx.revision(kind, id)
	if err != nil || now == rev {
		return err
	}
	if now == 0 {
		return fault.New(fault.NotFound, "There is no %s %s.", kind, id)
	}
	history, err := tx.View().entriesOf(kind, id)
	if err != nil {
		return err
	}
	if tx.ownSince(history, rev) {
		return nil
	}
	last := history[len(history)-1].entry
	names, err := tx.View().PersonNames(last.Actor)
	if err != nil {
		return err
	}
	who := names[last.Actor]
	if who == "" {
		who = "somebody else"
	}
	return fault.New(fault.Conflict, "This was changed meanwhile: %s by %s at %s. Nothing was saved; look at it as it is now.",
		last.Act, who, last.RecordedAt)
}

// ownSince reports whether every entry after a revision is of the sender's own
// earlier commands.
func (tx *Tx) ownSince(history []numbered, rev int64) bool {
	if len(tx.cmd.After) == 0 {
		return false
	}
	for _, n := range history {
		if n.entry.Rev > rev && (n.entry.Actor != "" && n.entry.Actor != tx.cmd.Actor.Person || !slices.Contains(tx.cmd.After, n.entry.Key)) {
			return false
		}
	}
	return true
}

// readHashes reads stored hashes of the tree, from the writer's edge where it
// holds them.
func (tx *Tx) readHashes(indexes []int64) ([]ledger.Hash, error) {
	out := make([]ledger.Hash, len(indexes))
	for i, at := range indexes {
		h, ok := tx.hashes[at]
		if !ok {
			h, ok = tx.s.edge[at]
		}
		if !ok {
			var raw []byte
			found, err := tx.c.one(tx.ctx, []any{&raw}, `SELECT hash FROM tlog_hash WHERE idx = ?1`, at)
			if err != nil {
				return nil, err
			}
			if !found || len(raw) != tlog.HashSize {
				return nil, fault.New(fault.Unusable, "%s is damaged: hash %d of the ledger is missing; restore it from a backup", tx.s.file(databaseName), at)
			}
			h = ledger.Hash(raw)
		}
		out[i], tx.hashes[at] = h, h
	}
	return out, nil
}
