package main

import (
	"context"
	"log/slog"
	"path/filepath"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/httpd"
	"rungbook/internal/safekeeping"
	"rungbook/internal/store"
)

// backupFlags say how the server keeps backups of its record.
type backupFlags struct {
	Backups              string        `help:"Folder that the server writes backups to; it must be there. Default: none, and administrators are told so." placeholder:"DIR"`
	BackupEvery          time.Duration `help:"How long after the last good backup the next is made, 15m to 744h. Default: 24h." default:"24h" placeholder:"TIME"`
	BackupsKept          int           `help:"How many of the newest stay; beside them the last of each of the newest weeks and months. Default: 14." default:"14" placeholder:"N"`
	BackupPassphraseFile string        `help:"Encrypt them with the passphrase in the first line of a file, read anew for each. RUNGBOOK_PASSPHRASE does the same." placeholder:"FILE"`
	BackupKey            bool          `help:"Put the signing key into them; without it a kept copy of it is needed to bring one back."`
	BackupLoudAfter      int           `help:"Days without a good backup after which administrators are told loudly. Default: 3." default:"3" placeholder:"DAYS"`
}

// The limits of a schedule: shorter than that is for replication, longer is no
// schedule. Common practice, no source.
const (
	leastBetween = 15 * time.Minute
	mostBetween  = 31 * 24 * time.Hour
	mostKept     = 1000
	mostLoud     = 366
)

// Validate satisfies kong: one sentence for a schedule that is none.
func (f backupFlags) Validate() error {
	switch {
	case f.BackupEvery < leastBetween || f.BackupEvery > mostBetween:
		return fault.New(fault.Invalid, "--backup-every is %s; it takes 15m to 744h; for less there is replication, see rungbook running", f.BackupEvery)
	case f.BackupsKept < 1 || f.BackupsKept > mostKept:
		return fault.New(fault.Invalid, "--backups-kept is %d; it takes 1 to %d", f.BackupsKept, mostKept)
	case f.BackupLoudAfter < 1 || f.BackupLoudAfter > mostLoud:
		return fault.New(fault.Invalid, "--backup-loud-after is %d; it takes 1 to %d days", f.BackupLoudAfter, mostLoud)
	case f.Backups == "" && (f.BackupPassphraseFile != "" || f.BackupKey):
		return fault.New(fault.Invalid, "--backup-passphrase-file and --backup-key say how backups are made, and nothing says where; give --backups DIR")
	}
	return nil
}

// plan is what the flags ask for, over the records in a folder. A folder of backups
// that is not there stops no start: the record must be at hand all the same, and
// its administrators are told. A passphrase that can't be read does stop it.
func (f backupFlags) plan(dir string) (p safekeeping.Plan, err error) {
	p = safekeeping.Plan{Data: dir, Key: f.BackupKey, Version: version, Clock: civil.Real, Schedule: safekeeping.Schedule{
		Every: civil.Minutes(f.BackupEvery / time.Minute), Kept: f.BackupsKept, LoudAfter: civil.Minutes(f.BackupLoudAfter) * 24 * 60}}
	if f.Backups == "" {
		return p, nil
	}
	p.Passphrase = func() (string, error) { return passphrase(f.BackupPassphraseFile) }
	if _, err := p.Passphrase(); err != nil {
		return p, err
	}
	p.To, err = filepath.Abs(f.Backups)
	return p, err
}

// keepBackups puts the desk of backups among the journeys and runs it; wait returns
// when it has ended, which it does with its context.
func keepBackups(ctx context.Context, st *store.Store, p safekeeping.Plan, log *slog.Logger, all *httpd.Journeys) (wait func()) {
	p.Yard, p.Log = st.VerifierKey(), log
	all.Backups = safekeeping.New(p)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		all.Backups.Run(ctx)
	}()
	return func() { <-ended }
}
