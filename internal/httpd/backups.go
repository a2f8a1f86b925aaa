package httpd

import (
	"context"
	"fmt"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/safekeeping"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// backupRoutes are how the backups of the record stand.
func backupRoutes() []route {
	return []route{
		{get, "/backups", access.SeeBackups, backupsPage},
		{post, "/backups", access.MakeBackup, makeBackup},
	}
}

// warnOfBackups puts a loud line above a page where the record is not safe, for
// those who may see its backups.
func (v *visit) warnOfBackups() error {
	if !access.May(v.actor, access.SeeBackups) {
		return nil
	}
	s, err := v.Backups.Standing(v.actor)
	if err == nil && s.Loud != "" {
		n := backupNotice(s)
		n.Link = ui.Link{Text: "See the backups", Href: "/backups"}
		v.shell.Notices = append(v.shell.Notices, n)
	}
	return err
}

// backupNotice says loudly what is the matter.
func backupNotice(s safekeeping.Standing) ui.Notice {
	n := ui.Notice{Level: verdict.Stops, Word: "Not safe"}
	failed := ""
	if len(s.Failures) > 0 && s.InRow > 0 {
		failed = " The last try failed: " + s.Failures[0].Why
	}
	switch s.Loud {
	case safekeeping.NoSchedule:
		n.Text = "No backups are made of this record: the server was started without a schedule."
	case safekeeping.NoFolder:
		n.Text = "The folder of backups can’t be read: " + s.Trouble + "." + failed
	case safekeeping.NoneGood:
		n.Text = "There is no good backup of this record." + failed
		if s.Making != 0 && len(s.Failures) == 0 {
			n.Text = "There is no good backup of this record yet; one is being made."
		}
	case safekeeping.TooOld:
		n.Text = "The last good backup is " + ago(s.Last.Made, s.Now) + "; after " + daysOf(s.LoudAfter) + " that is too old." + failed
	}
	return n
}

// ago is an age in words, "2 hours old".
func ago(t, now civil.Instant) string {
	switch age := max(0, now.Sub(t)); {
	case age == 0:
		return "less than a minute old"
	case age < 60:
		return web.Count(int(age), "minute", "minutes") + " old"
	case age < 48*60:
		return web.Count(int(age/60), "hour", "hours") + " old"
	default:
		return daysOf(age) + " old"
	}
}

func daysOf(m civil.Minutes) string { return web.Count(int(m/(24*60)), "day", "days") }

func backupsPage(v *visit) error {
	s, err := v.Backups.Standing(v.actor)
	if err != nil {
		return err
	}
	if s.Loud != "" {
		v.shell.Notices = append(v.shell.Notices, backupNotice(s))
	}
	p := page.Backups{Shell: v.page("Backups", "backups"), Line: v.backupLine(s)}
	p.Restore = backupRestore(s)
	if !s.Set {
		p.Begin = []string{
			"On the server, make a folder for backups, best on another disk, that its user may write to.",
			"Start the server with --backups and that folder, or write the line backups = FOLDER in its settings.",
			"Choose whether they are encrypted, with --backup-passphrase-file, and whether they hold the signing key, with --backup-key. rungbook serve --help tells of each.",
		}
		return v.show(http.StatusOK, page.BackupsPage(p))
	}
	if s.Making != 0 {
		p.Making = "One is being made since " + v.words.Moment(s.Making) + "."
		p.Shell.Reload = reloads
	}
	p.Now = ui.Form{Action: "/backups", Key: v.freshKey(), Button: "Backup now"} // after the one under way
	if s.HasLast {
		p.Last = v.backupFacts(s.Last)
	}
	switch {
	case s.Trouble != "":
		p.None = "What is there is not known: the folder could not be read."
	case !s.Looked:
		p.None = "What is there is not known yet: the folder is still to be read."
	default:
		p.None = "There is none in the folder."
	}
	p.Plan, p.Cautions = v.backupPlan(s), backupCautions(s)
	for _, f := range s.Failures {
		row := page.BackupFailure{When: v.words.Moment(f.At) + ", by schedule", Why: f.Why}
		if f.Asked {
			row.When = v.words.Moment(f.At) + ", asked for"
		}
		p.Failures = append(p.Failures, row)
	}
	for _, f := range s.List {
		p.Rows = append(p.Rows, v.backupRow(f, s.Now))
	}
	if s.Strays > 0 {
		p.Strays = capital(web.Count(s.Strays, "other file lies", "other files lie")) + " in the folder and " + plural(s.Strays, "is no backup.", "are no backups.")
	}
	return v.show(http.StatusOK, page.BackupsPage(p))
}

func (v *visit) backupLine(s safekeeping.Standing) string {
	switch {
	case s.HasLast:
		return "The last good one, made " + v.words.Moment(s.Last.Made) + ", is " + ago(s.Last.Made, s.Now) + "."
	case s.Set && !s.Looked:
		return "The folder is being read for the first time since the server started."
	}
	return "There is no good one."
}

func (v *visit) backupFacts(f safekeeping.Found) []ui.Fact {
	key := "not in it: keep a copy of rungbook.key elsewhere"
	if f.HasKey {
		key = "in it"
	}
	known := "When it was made it was read back and its ledger replayed. Since, it was " + f.Known.Says() + "."
	if f.Encrypted {
		known = "It is encrypted. By its sidecar it was read back and its ledger replayed when it was made; since, it was " + f.Known.Says() + "."
	}
	return []ui.Fact{
		fact("Made", v.words.Moment(f.Made)+", by version "+f.Version), fact("File", f.Name), fact("Size", safekeeping.InBytes(f.Size)),
		fact("Ledger", entriesTo(f.Entries)), fact("Its head", f.Head), fact("Known", known), fact("Signing key", key),
	}
}

// entriesTo counts entries and names the last; the first is 0.
func entriesTo(n int64) string {
	if n == 0 {
		return "no entries"
	}
	return web.Count(int(n), "entry", "entries") + ", the last is " + web.Number(n-1)
}

func (v *visit) backupPlan(s safekeeping.Standing) []ui.Fact {
	due := v.words.Moment(s.Due)
	if s.Due <= s.Now {
		due = "now"
	}
	if s.InRow > 0 {
		due += ", after " + web.Count(s.InRow, "failure", "failures") + " in a row"
	}
	sealed, key := "no", "left out"
	if s.Encrypted {
		sealed = "with a passphrase"
	}
	if s.Key {
		key = "in each"
	}
	return []ui.Fact{
		fact("Next one due", due), fact("Made", "each "+s.Every.String()+" after the last good one"), fact("Folder", s.Dir),
		fact("Kept", "the newest "+strconv.Itoa(s.Kept)+", and the last of each of the newest weeks and months; only what this server made is taken away"),
		fact("Encrypted", sealed), fact("Signing key", key), fact("Loud after", daysOf(s.LoudAfter)+" without a good one"),
	}
}

func backupCautions(s safekeeping.Standing) (out []string) {
	if s.OneDisk {
		out = append(out, "The folder lies on the disk of the record: what takes the one takes the other. Copy them to another machine, or name a folder of another disk.")
	}
	if !s.Encrypted && s.Key {
		out = append(out, "They hold names and the signing key in the clear: whoever has one can sign entries as this yard does.")
	} else if !s.Encrypted {
		out = append(out, "They hold everybody’s names in the clear: keep them as safe as the record itself.")
	}
	return out
}

func (v *visit) backupRow(f safekeeping.Found, now civil.Instant) page.BackupRow {
	row := page.BackupRow{Made: "not stated", Known: f.Known.Says(), Size: safekeeping.InBytes(f.Size), Entries: "not stated", Name: f.Name, Sum: f.Sum}
	if f.Made != 0 {
		row.Made, row.Entries = v.words.Moment(f.Made), web.Number(f.Entries)
	}
	if why := f.Matter(now); why != "" {
		row.Level, row.Known = verdict.Cautions, "Does not count. "+why
	}
	return row
}

func backupRestore(s safekeeping.Standing) page.BackupRestore {
	file, more := "BACKUP", ""
	if s.HasLast {
		file = quoted(filepath.Join(s.Dir, s.Last.Name))
		if s.Last.Encrypted {
			more += " --passphrase-file FILE"
		}
		if !s.Last.HasKey {
			more += " --key rungbook.key"
		}
	}
	r := page.BackupRestore{Command: fmt.Sprintf("rungbook restore %s --data NEW-FOLDER%s", file, more), Notes: []string{
		"Stop the server first, and start it on the new folder then, with --data NEW-FOLDER. Everything is checked before the new folder stands; nothing is written over.",
		"What was recorded after the backup is not in it. Everybody signs in again.",
	}}
	if s.HasLast && !s.Last.HasKey {
		r.Notes = append(r.Notes, "rungbook.key is the kept copy of the signing key: this backup does not hold it, and without it nothing can be checked or written.")
	}
	if s.HasLast && s.Last.Encrypted {
		r.Notes = append(r.Notes, "FILE holds the passphrase in its first line. Without it nobody can read the backup.")
	}
	return r
}

// quoted is a path as a shell takes it in one piece.
func quoted(path string) string {
	if strings.Trim(path, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/._-") == "" {
		return path
	}
	return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
}

// backupPatience is how long a browser waits for the backup it asked for; a longer
// one goes on, and the page says so.
const backupPatience = 20 * time.Second

func makeBackup(v *visit) error {
	form, err := v.form()
	if err != nil {
		return err
	}
	key := form.Get("key")
	if key == "" {
		return fault.New(fault.Invalid, "The form lacks its key. Open the page again.")
	}
	ctx, stop := context.WithTimeout(v.r.Context(), backupPatience)
	defer stop()
	made, done, err := v.Backups.Ask(ctx, v.actor, key)
	switch {
	case fault.Of(err) == fault.Forbidden:
		return err
	case err != nil && done:
		return v.goTo("/backups", "No backup was made. See below what failed.")
	case err != nil:
		return err
	case !done:
		return v.goTo("/backups", "The backup is still being made.")
	}
	return v.goTo("/backups", "A backup was made and read back: "+filepath.Base(made.Path)+", "+entriesTo(made.Entries)+".")
}
