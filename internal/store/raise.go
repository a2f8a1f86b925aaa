package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"

	"github.com/go-json-experiment/json"
	"golang.org/x/mod/sumdb/tlog"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

// ReadLine reads a line that View.Line wrote. It is strict: unknown and repeated
// members are errors.
func ReadLine(line []byte, kept any) error { return json.Unmarshal(line, kept, readOptions) }

// Raising makes a store's database anew from what an archive keeps. Texts come
// before entries, entries before what speaks of records. Every error is about what
// was given, unless it is fault.Unusable of the disk.
type Raising struct {
	ctx    context.Context
	file   string
	c      *conn
	key    key
	rows   *projector
	tree   *ledger.Tree
	stored int64 // hashes kept
	head   int64 // entries that signed heads cover
}

// Raise makes the database of a folder that holds a signing key and nothing else,
// from what fn gives, all or nothing, and sees it onto the disk. The tables are
// derived on the way, by the same code as a write's.
func Raise(ctx context.Context, dir string, fn func(*Raising) error) (err error) {
	file := filepath.Join(dir, databaseName)
	text, err := os.ReadFile(filepath.Join(dir, keyName))
	if err != nil {
		return unusable(filepath.Join(dir, keyName), err)
	}
	k, err := parseKey(filepath.Join(dir, keyName), string(text))
	if err != nil {
		return err
	}
	if err := touch(file); err != nil {
		return unusable(file, err)
	}
	db, err := openDatabase(ctx, file, scratch)
	if err != nil {
		return unusable(file, err)
	}
	defer func() {
		if err = errors.Join(err, db.Close()); err == nil {
			err = unusable(file, syncFile(file))
		}
	}()
	if err := migrate(ctx, db, file, slog.New(slog.DiscardHandler)); err != nil {
		return unusable(file, err)
	}
	c, err := newConn(ctx, db)
	if err != nil {
		return unusable(file, err)
	}
	defer func() { err = errors.Join(err, c.close()) }()
	if err := c.exec(ctx, `BEGIN IMMEDIATE`); err != nil {
		return unusable(file, err)
	}
	r := &Raising{ctx: ctx, file: file, c: c, key: k, rows: newProjector(ctx, c)}
	r.grow(0)
	if err := fn(r); err != nil {
		return errors.Join(err, rollback(context.WithoutCancel(ctx), c))
	}
	if r.head != r.tree.Size() {
		return errors.Join(fault.New(fault.Unusable, "The newest signed head covers %d of %d entries.", r.head, r.tree.Size()), rollback(ctx, c))
	}
	err = unusable(file, c.exec(ctx, `COMMIT`))
	if err != nil && fault.Of(err) != fault.Unusable {
		err = fault.New(fault.Unusable, "a list speaks of a record that is not there: %w", err)
	}
	return err
}

func syncFile(file string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// grow goes on from a tree of which every hash is in the table.
func (r *Raising) grow(size int64) {
	r.tree = ledger.NewTree(size, tlog.HashReaderFunc(func(indexes []int64) ([]ledger.Hash, error) {
		out := make([]ledger.Hash, len(indexes))
		for i, at := range indexes {
			var raw []byte
			found, err := r.c.one(r.ctx, []any{&raw}, `SELECT hash FROM tlog_hash WHERE idx = ?1`, at)
			if err != nil || !found {
				return nil, errors.Join(err, fmt.Errorf("hash %d of the ledger is missing", at))
			}
			copy(out[i][:], raw)
		}
		return out, nil
	}))
}

// hashesAtOnce bounds how many hashes of a tree are held in memory.
const hashesAtOnce = 4096

// Entries returns how many entries were taken.
func (r *Raising) Entries() int64 { return r.tree.Size() }

// Entry takes the next entry of the ledger and derives its rows.
func (r *Raising) Entry(raw []byte) error {
	e, err := ledger.Decode(raw)
	if err != nil {
		return err
	}
	index := r.tree.Size()
	f, err := factOf(index, e)
	if err != nil {
		return err
	}
	err = r.exec(`INSERT INTO entry (idx, kind, id, rev, recorded_at, bytes) VALUES (?1, ?2, ?3, ?4, ?5, ?6)`,
		index, e.Kind, e.ID, e.Rev, int64(e.Recorded()), bytes.Clone(raw))
	if err != nil {
		return err
	}
	if err := r.tree.Append(raw); err != nil {
		return err
	}
	first, hashes := r.tree.Added()
	for _, h := range hashes[r.stored-first:] {
		if err := r.exec(`INSERT INTO tlog_hash (idx, hash) VALUES (?1, ?2)`, r.stored, h[:]); err != nil {
			return err
		}
		r.stored++
	}
	if len(hashes) > hashesAtOnce {
		r.grow(r.tree.Size())
	}
	if err := r.rows.derive(f); err != nil {
		return unusable(r.file, err)
	}
	return unusable(r.file, nameOf(r.ctx, r.c, f.record, nil))
}

func (r *Raising) exec(query string, args ...any) error {
	return unusable(r.file, r.c.exec(r.ctx, query, args...))
}

// Head takes a signed head, which must be that of the entries taken so far.
func (r *Raising) Head(k KeptHead) error {
	head, err := ledger.OpenCheckpoint(k.Note, r.key.verifier)
	if err != nil {
		return fault.New(fault.Invalid, "the head of %d entries is not signed by this key", k.Size)
	}
	root, err := r.tree.Root()
	if err != nil {
		return err
	}
	if head.Size != k.Size || head.Size != r.tree.Size() || head.Root != root {
		return fault.New(fault.Invalid, "the head of %d entries is not that of the entries before it", k.Size)
	}
	r.head = head.Size
	return r.exec(`INSERT INTO checkpoint (size, root, note) VALUES (?1, ?2, ?3)`, head.Size, root[:], k.Note)
}

// Text takes what a commitment stands for.
func (r *Raising) Text(k KeptText) error {
	salt, err := hex.DecodeString(k.Salt)
	if err != nil || len(salt) != len(ledger.Salt{}) || !ledger.Opens(id.Commitment(k.Commitment), ledger.Salt(salt), k.Value) {
		return fault.New(fault.Invalid, "the text of commitment %.64q is not what it commits to", k.Commitment)
	}
	return r.exec(`INSERT INTO private_value (commitment, subject, field, salt, value) VALUES (?1, ?2, ?3, ?4, ?5)`,
		k.Commitment, k.Subject, k.Field, salt, k.Value)
}

// Command takes a form that was sent.
func (r *Raising) Command(k KeptCommand) error {
	return r.exec(`INSERT INTO command (key, content_sha256, outcome, entries, recorded_at) VALUES (?1, unhex(?2), ?3, ?4, ?5)`,
		k.Key, k.ContentSHA256, k.Outcome, k.Entries, int64(k.RecordedAt))
}

// Account takes how an account signs in.
func (r *Raising) Account(k KeptAccount) error {
	return r.exec(`INSERT INTO account_secret (account, email, password_hash, round, last_sign_in) VALUES (?1, ?2, ?3, ?4, ?5)`,
		k.Account, k.Email, k.PasswordHash, k.Round, int64(k.LastSignIn))
}

// Link takes a link that waits to be used.
func (r *Raising) Link(k KeptLink) error {
	return r.exec(`INSERT INTO account_link (account, sha256, ends) VALUES (?1, unhex(?2), ?3)`, k.Account, k.SHA256, int64(k.Ends))
}

// Token takes a token.
func (r *Raising) Token(k KeptToken) error {
	return r.exec(`INSERT INTO token (id, sha256, account, name, scope, made_at, last_day, ended_at, last_used)
		VALUES (?1, unhex(?2), ?3, ?4, ?5, ?6, ?7, ?8, ?9)`,
		k.ID, k.SHA256, k.Account, k.Name, k.Scope, int64(k.MadeAt), k.LastDay.String(), int64(k.EndedAt), int64(k.LastUsed))
}

// Draft takes a draft with its files; one that it makes again came before it.
func (r *Raising) Draft(k KeptDraft, files DraftFiles) error {
	if sumOf(files.Problem) != k.ProblemSHA || k.HasFrom && sumOf(files.From) != k.FromSHA {
		return fault.New(fault.Invalid, "the files of draft %.64q are not those that it names", k.ID)
	}
	var packed [3]any
	for i, f := range [][]byte{files.Problem, files.From, files.Plan} {
		if f == nil {
			continue
		}
		b, err := pack(f)
		if err != nil {
			return err
		}
		packed[i] = b
	}
	err := r.exec(`INSERT INTO draft (id, form_key, kind, state, why, repeats, made_at, made_by, entry, from_day, until_day, wish, seconds, effort, seed,
			version, problem_sha256, from_sha256, problem, from_plan, plan, rounds, steps, cost, bound, unplaced, ended_at, ended_by)
		VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27, ?28)`,
		k.ID, k.FormKey, k.Kind, k.State, k.Why, orNull(k.Repeats), int64(k.MadeAt), k.MadeBy, k.Entry, k.From.String(), k.Until.String(), k.Wish,
		k.Seconds, k.Effort, k.Seed, k.Version, k.ProblemSHA, k.FromSHA, packed[0], packed[1], packed[2],
		k.Rounds, k.Steps, k.Cost, k.Bound, k.Unplaced, int64(k.EndedAt), k.EndedBy)
	if err != nil {
		return err
	}
	for i, p := range k.Points {
		err := r.exec(`INSERT INTO draft_progress (draft, place, tenths, steps, cost, bound, unplaced) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`,
			k.ID, i, p.Tenths, p.Steps, p.Cost, p.Bound, p.Unplaced)
		if err != nil {
			return err
		}
	}
	for _, t := range k.Told {
		err := r.exec(`INSERT INTO told (draft, person, told_at, told_by) VALUES (?1, ?2, ?3, ?4)`, k.ID, t.Person, int64(t.At), t.By)
		if err != nil {
			return err
		}
	}
	return nil
}

func sumOf(file []byte) string {
	sum := sha256.Sum256(file)
	return hex.EncodeToString(sum[:])
}
