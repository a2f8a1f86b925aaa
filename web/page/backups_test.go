package page

import (
	"strings"
	"testing"

	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func sampleBackups() Backups {
	fact := func(label, value string) ui.Fact { return ui.Fact{Label: label, Value: link(value, "")} }
	sum := strings.Repeat("3e90e4d2fb6e17b2", 4)
	return Backups{Shell: sampleShell("backups", "Backups"), Line: "The last good one, made Tue 2 Mar 09:40, is 34 minutes old.",
		Now:      ui.Form{Action: "/backups", Key: "k1", Button: "Backup now"},
		Last:     []ui.Fact{fact("Made", "Tue 2 Mar 09:40"), fact("Its head", sum)},
		Plan:     []ui.Fact{fact("Next one due", "Wed 3 Mar 09:40"), fact("Folder", "/mnt/a-folder-with-a-long-name-that-must-break-somewhere/backups")},
		Cautions: []string{"The folder lies on the disk of the record."},
		Failures: []BackupFailure{{"Mon 1 Mar 09:40, by schedule", "/mnt/backups can’t be written: no space left on device."}},
		Rows: []BackupRow{{Made: "Tue 2 Mar 09:40", Known: "not opened, only its hash checked", Size: "2.7 MiB", Entries: "7 021", Name: "rungbook-20270302T094007Z.backup", Sum: sum},
			{Made: "not stated", Level: verdict.Cautions, Known: "Does not count. It is damaged: unexpected EOF.", Size: "1 bytes", Entries: "not stated", Name: "x.backup"}},
		Strays:  "1 other file lies in the folder and is no backup.",
		Restore: BackupRestore{Command: "rungbook restore /mnt/backups/rungbook-20270302T094007Z.backup --data NEW-FOLDER", Notes: []string{"Everybody signs in again."}}}
}

func backupPages() map[string]templ.Component {
	loud := sampleBackups()
	loud.Shell.Notices = []ui.Notice{{Level: verdict.Stops, Word: "Not safe", Text: "No backups are made of this record.", Link: link("See the backups", "/backups")}}
	loud.Last, loud.Plan, loud.Now, loud.Begin = nil, nil, ui.Form{}, []string{"Make a folder."}
	making := sampleBackups()
	making.Now, making.Making, making.Rows = ui.Form{}, "One is being made since Tue 2 Mar 10:14.", nil
	return map[string]templ.Component{"backups": BackupsPage(sampleBackups()), "backups-loud": BackupsPage(loud), "backups-making": BackupsPage(making)}
}

func TestALoudNoticeSaysItsOwnWordAndNotThatSessionsStop(t *testing.T) {
	text := said(draw(t, backupPages()["backups-loud"]))
	if !strings.Contains(text, "Not safe") || strings.Contains(text, "Stops") {
		t.Errorf("the page says:\n%s", text)
	}
}
