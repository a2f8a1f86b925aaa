package archive

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// Return says what is to be read back.
type Return struct {
	From    string // an archive
	Dir     string // the folder to make; absent or empty
	KeyFile string // the signing key, for an archive that has none
	Clock   civil.Clock
}

// ReadBack makes a folder of records from an archive, equal to the one it came from.
// Sums, entries, signed heads, texts and tables are checked, and the new folder is
// archived again and compared, before it stands under its name. It writes over
// nothing. Errors: fault.Unusable and fault.Invalid with what to do.
func ReadBack(ctx context.Context, r Return) (m Manifest, err error) {
	if err := vacant(r.Dir); err != nil {
		return m, err
	}
	parent := filepath.Dir(r.Dir)
	if err := os.MkdirAll(parent, 0o700); err != nil {
		return m, unusable(r.Dir, "written", err)
	}
	room, err := os.MkdirTemp(parent, ".rungbook-read-back-")
	if err != nil {
		return m, unusable(r.Dir, "written", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(room)) }()
	if m, err = r.file(ctx, room); err != nil {
		return m, err
	}
	if err := os.Remove(r.Dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return m, unusable(r.Dir, "written", err)
	}
	if err := os.Rename(room, r.Dir); err != nil {
		return m, unusable(r.Dir, "written", err)
	}
	return m, syncFolder(parent)
}

// file reads the archive's file back into an empty folder.
func (r Return) file(ctx context.Context, dir string) (m Manifest, err error) {
	f, err := os.Open(r.From)
	if err != nil {
		return m, unusable(r.From, "read", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return m, unusable(r.From, "read", err)
	}
	m, err = r.into(ctx, dir, f, info.Size(), common)
	if fault.Of(err) == fault.Unusable {
		err = &fault.Error{Kind: fault.Unusable, Message: r.From + " can't be read back: " + strings.TrimSuffix(said(err), ".") + ". Nothing was changed.", Err: err}
	}
	return m, err
}

// into reads an archive back into an empty folder. What is wrong with the archive is
// fault.Unusable and names the member.
func (r Return) into(ctx context.Context, dir string, from io.ReaderAt, size int64, l limits) (Manifest, error) {
	o, err := open(ctx, from, size, l)
	if err != nil {
		return Manifest{}, err
	}
	for _, step := range []func() error{
		o.compareSums,
		func() error { return r.key(dir, o) },
		func() error { return o.raise(dir) },
		func() error { return o.files(dir) },
		func() error { return o.compareAgain(ctx, dir, r.Clock) },
	} {
		if err := step(); err != nil {
			return o.manifest, err
		}
	}
	return o.manifest, nil
}

// key puts the signing key into the folder.
func (r Return) key(dir string, o *opened) error {
	to := filepath.Join(dir, "rungbook.key")
	if o.manifest.Key {
		if r.KeyFile != "" {
			return fault.New(fault.Invalid, "%s holds the signing key itself. Leave --key out.", r.From)
		}
		text, err := o.whole(keyName, o.limits.file)
		if err != nil {
			return err
		}
		return os.WriteFile(to, text, 0o600)
	}
	if r.KeyFile == "" {
		return fault.New(fault.Invalid, "%s holds no signing key, without which nothing more can be recorded. Give the kept rungbook.key with --key FILE.", r.From)
	}
	text, err := os.ReadFile(r.KeyFile)
	if err != nil {
		return unusable(r.KeyFile, "read", err)
	}
	return os.WriteFile(to, text, 0o600)
}

// raise makes the database from the parts that are read back.
func (o *opened) raise(dir string) error {
	return store.Raise(o.ctx, dir, func(r *store.Raising) error {
		for _, p := range parts() {
			var err error
			switch {
			case p.name == entriesName:
				err = o.ledger(r)
			case p.name == draftsName:
				err = o.drafts(r)
			case p.in != nil:
				err = o.each(p.name, func(line []byte) error { return p.in(r, line) })
			}
			if err != nil {
				return err
			}
		}
		if r.Entries() != o.manifest.Entries {
			return damaged(manifestName, "says that there are %d entries, and there are %d", o.manifest.Entries, r.Entries())
		}
		return nil
	})
}

// each calls fn with every line of a list.
func (o *opened) each(name string, fn func(line []byte) error) (err error) {
	l, err := o.lines(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.close()) }()
	for {
		line, err := l.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := fn(line); err != nil {
			return l.wrong(err)
		}
	}
}

// ledger reads entries and signed heads side by side: each head is compared with the
// entries before it.
func (o *opened) ledger(r *store.Raising) (err error) {
	entries, err := o.lines(entriesName)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, entries.close()) }()
	err = o.each(headsName, func(line []byte) error {
		var head store.KeptHead
		if err := store.ReadLine(line, &head); err != nil {
			return err
		}
		for r.Entries() < head.Size {
			raw, err := entries.next()
			if errors.Is(err, io.EOF) {
				return fmt.Errorf("the head covers %d entries, and there are %d", head.Size, r.Entries())
			}
			if err != nil {
				return err
			}
			if err := r.Entry(raw); err != nil {
				return entries.wrong(err)
			}
		}
		return r.Head(head)
	})
	if err != nil {
		return err
	}
	if _, err := entries.next(); !errors.Is(err, io.EOF) {
		return errors.Join(err, damaged(entriesName, "goes on after the newest signed head"))
	}
	return nil
}

// drafts reads the drafts with their files.
func (o *opened) drafts(r *store.Raising) error {
	return o.each(draftsName, func(line []byte) error {
		var k store.KeptDraft
		if err := store.ReadLine(line, &k); err != nil {
			return err
		}
		var files store.DraftFiles
		for _, f := range []struct {
			to   *[]byte
			what string
			is   bool
		}{{&files.Problem, "problem", true}, {&files.From, "from", k.HasFrom}, {&files.Plan, "plan", k.HasPlan}} {
			if !f.is {
				continue
			}
			var err error
			if *f.to, err = o.whole(draftFile(k, f.what), o.limits.file); err != nil {
				return err
			}
		}
		return r.Draft(k, files)
	})
}

// files puts the files of evidence beside the database.
func (o *opened) files(dir string) error {
	for _, f := range o.manifest.Files {
		hash, ok := strings.CutPrefix(f.Name, evidenceStart)
		if !ok {
			continue
		}
		b, err := o.whole(f.Name, o.limits.file)
		if err != nil {
			return err
		}
		kept, err := store.KeepFileIn(dir, b)
		if err != nil {
			return err
		}
		if kept != hash {
			return damaged(named(f.Name), "is not the file of that name: its SHA-256 differs")
		}
	}
	return nil
}

// compareAgain opens the new folder as a server does, archives it again, and compares
// every list: what an archive says for readers must be what its ledger says.
func (o *opened) compareAgain(ctx context.Context, dir string, clock civil.Clock) (err error) {
	st, err := store.Open(ctx, store.Options{Dir: dir, Clock: clock, MustExist: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	if st.Origin() != o.manifest.Origin {
		return damaged(manifestName, "says that the ledger is %s, and its heads are of %s", named(o.manifest.Origin), st.Origin())
	}
	return st.Read(ctx, func(v *store.View) error {
		w := &writing{ctx: ctx, view: v}
		if err := w.text(publicName, []byte(st.VerifierKey()+"\n")); err != nil {
			return err
		}
		if err := w.held(); err != nil {
			return err
		}
		_, _, head, err := v.Checkpoint()
		if err != nil {
			return err
		}
		if head != o.manifest.Head {
			return damaged(manifestName, "names another head than the ledger's newest")
		}
		again := map[string]bool{readmeName: true, keyName: true}
		for _, f := range w.files {
			said, there := o.manifest.file(f.Name)
			if !there {
				return damaged(named(f.Name), "is missing")
			}
			if said != f {
				return damaged(named(f.Name), "is not what the ledger and the private lists say")
			}
			again[f.Name] = true
		}
		for _, p := range parts() {
			again[schemaName(p)] = true
		}
		for _, f := range o.manifest.Files {
			if !again[f.Name] {
				return damaged(named(f.Name), "belongs to no list of an archive")
			}
		}
		return nil
	})
}

// vacant refuses a folder that holds anything.
func vacant(dir string) error {
	list, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return unusable(dir, "used", err)
	case len(list) > 0:
		return fault.New(fault.Invalid, "%s is not empty. Give a folder that does not exist; nothing is ever written over.", dir)
	}
	return nil
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// unusable says which file or folder can't be read, written or used, and why.
func unusable(what, how string, err error) error {
	cause := err
	for inner := errors.Unwrap(cause); inner != nil; inner = errors.Unwrap(cause) {
		cause = inner
	}
	return &fault.Error{Kind: fault.Unusable, Message: fmt.Sprintf("%s can't be %s: %v", what, how, cause), Err: err}
}
