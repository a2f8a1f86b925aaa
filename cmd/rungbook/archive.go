package main

import (
	"fmt"
	"path/filepath"

	"rungbook/internal/archive"
	"rungbook/internal/civil"
)

type archiveCommand struct {
	To   string `arg:"" help:"The file to write, a ZIP; it must not exist."`
	Data string `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
	Key  bool   `help:"Put the signing key into it. Whoever has the archive can then sign in the yard's name."`
}

// Help tells what is written, how it differs from a backup, and how the command ends.
func (archiveCommand) Help() string {
	return `Writes the whole record as one ZIP that people and other programs can read without Rungbook, and that read-back makes an equal folder from: a list of JSON lines for each kind of record with a schema beside it, every entry of the ledger with its signed heads, what people typed, accounts, drafts with their files, a README that explains all of it, and a manifest with sums. It may run beside a server. What was written is read back and compared before the file gets its name. Nothing is written over.

An archive is to be read, handed on and kept for years; a backup is quicker, can be encrypted, and is what to make every night.

Whoever has an archive has everybody's names, dates of birth and results, and the hashes of their passwords. It is not encrypted. Without --key the signing key stays behind: keep rungbook.key elsewhere, since an archive without it can be read but not brought back. Who is signed in is not part of an archive.

Exit codes: 0 the archive stands; 2 the folder, the file or the record can't be used.

Examples:

  rungbook archive --data /srv/yard yard-2027-03-02.zip
  rungbook archive --data /srv/yard --key /mnt/safe/yard-2027-03-02.zip`
}

// Run writes an archive.
func (c *archiveCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	to, err := filepath.Abs(c.To)
	if err != nil {
		return err
	}
	m, err := archive.Make(s.ctx, archive.Wish{Dir: dir, To: to, Key: c.Key, Version: version, Clock: civil.Real})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.stdout, "%d entries and %d files archived, read back and compared: %s\n", m.Entries, len(m.Files), to)
	if !c.Key {
		fmt.Fprintf(s.stdout, "The signing key is not in it. Keep a copy of %s elsewhere.\n", filepath.Join(dir, "rungbook.key"))
	}
	return nil
}

type readBackCommand struct {
	From string `arg:"" help:"The archive."`
	Data string `help:"Folder to make; it must not exist, or be empty." placeholder:"DIR" required:""`
	Key  string `help:"The signing key, for an archive that was made without it." placeholder:"FILE"`
}

// Help tells what is checked and how the command ends.
func (readBackCommand) Help() string {
	return `Makes a folder of records from an archive, equal to the one that it came from. Every sum, entry, signed head and text is checked, the tables are derived anew, and the folder is archived again and compared, before it gets its name; nothing is written over, and what is refused leaves nothing behind. Everybody signs in again.

What is no part of the ledger (accounts, tokens, drafts) is covered by the sums alone, which prove nothing against who can write a new manifest: take an archive from where you trust it.

Exit codes: 0 the folder stands; 2 the archive, its key or the folder can't be used, and nothing was changed.

Example:

  rungbook read-back yard-2027-03-02.zip --data /srv/yard --key /mnt/safe/rungbook.key`
}

// Run reads an archive back.
func (c *readBackCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	m, err := archive.ReadBack(s.ctx, archive.Return{From: c.From, Dir: dir, KeyFile: c.Key, Clock: civil.Real})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.stdout, "%d entries read back and compared, as they stood on %s: %s\n", m.Entries, m.Made, dir)
	return nil
}
