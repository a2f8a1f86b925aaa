package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/safekeeping"
)

type backupCommand struct {
	Data           string `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
	To             string `arg:"" help:"The file to write, which must not exist; or a folder, in which the file is named by its moment."`
	NoKey          bool   `help:"Leave the signing key out; keep a copy of it elsewhere, since a backup without it can't be used."`
	PassphraseFile string `help:"Encrypt with the passphrase in the first line of a file. RUNGBOOK_PASSPHRASE does the same." placeholder:"FILE"`
}

// Help tells what is written and how the command ends.
func (backupCommand) Help() string {
	return `Writes the database and its signing key to one file, also while a server runs. What was written is read back: sums, ledger, signature and every table are checked before the file gets its name, so a backup that stands is one that can be restored. Nothing is written over.

Beside the file stands its sidecar, named as it with .about.json behind: when it was made, by which version, how many entries of whose ledger it holds, and its SHA-256, so that this can be told without the passphrase. Keep the two together; to bring the backup back it is not needed.

Who has an unencrypted backup has everybody's names and can sign in the yard's name: encrypt it, or keep it as safe as the folder itself. The encryption is age with a passphrase (age-encryption.org/v1); without the passphrase nobody can read it, you neither. Who is signed in is not part of a backup.

Exit codes: 0 the backup stands; 2 the folder, the file or the record can't be used.

Examples:

  rungbook backup --data /srv/yard /mnt/stick/yard-2027-03-02.backup
  rungbook backup --data /srv/yard --passphrase-file secret.txt yard.backup
  rungbook backup --data /srv/yard /mnt/backups`
}

// Run writes a backup.
func (c *backupCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	to, err := filepath.Abs(c.To)
	if err != nil {
		return err
	}
	pass, err := passphrase(c.PassphraseFile)
	if err != nil {
		return err
	}
	made, err := safekeeping.Backup(s.ctx, safekeeping.Wish{Dir: dir, To: to, Key: !c.NoKey, Passphrase: pass, Version: version, Clock: civil.Real})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.stdout, "%d entries saved and checked: %s\n", made.Entries, made.Path)
	if c.NoKey {
		fmt.Fprintf(s.stdout, "The signing key is not in it. Keep a copy of %s elsewhere.\n", filepath.Join(dir, "rungbook.key"))
	}
	return nil
}

type restoreCommand struct {
	From           string `arg:"" help:"The backup."`
	Data           string `help:"Folder to make; it must not exist, or be empty." placeholder:"DIR" required:""`
	Key            string `help:"The signing key, for a backup that was made without it." placeholder:"FILE"`
	PassphraseFile string `help:"The passphrase of an encrypted backup, in the first line of a file. RUNGBOOK_PASSPHRASE does the same." placeholder:"FILE"`
}

// Help tells what is checked and how the command ends.
func (restoreCommand) Help() string {
	return `Makes a folder of records from a backup. Sums, ledger, signature and every table are checked before the folder gets its name; nothing is written over. What was recorded after the backup is not in it.

Exit codes: 0 the folder stands; 2 the backup, its key or passphrase, or the folder can't be used, and nothing was changed.

Example:

  rungbook restore /mnt/stick/yard-2027-03-02.backup --data /srv/yard`
}

// Run brings a backup back.
func (c *restoreCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	pass, err := passphrase(c.PassphraseFile)
	if err != nil {
		return err
	}
	about, err := safekeeping.Restore(s.ctx, safekeeping.Return{From: c.From, Dir: dir, Passphrase: pass, KeyFile: c.Key, Clock: civil.Real})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.stdout, "%d entries brought back and checked, as they stood on %s: %s\n", about.Entries, about.Made, dir)
	return nil
}

// passphrase reads a passphrase from a file, or else from the environment; never
// from an argument, which other users of the machine can see.
func passphrase(file string) (string, error) {
	if file == "" {
		return os.Getenv("RUNGBOOK_PASSPHRASE"), nil
	}
	data, err := read(file)
	if err != nil {
		return "", err
	}
	line, _, _ := strings.Cut(string(data), "\n")
	if line = strings.TrimRight(line, "\r"); line == "" {
		return "", fault.New(fault.Invalid, "%s has no passphrase in its first line", file)
	}
	return line, nil
}
