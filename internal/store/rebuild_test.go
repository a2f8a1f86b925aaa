package store

import (
	"context"
	"strings"
	"testing"

	"rungbook/internal/rig"
)

// spoil runs statements on the live database and returns the rebuild's report.
func (b *bench) spoil(statements ...string) RebuildReport {
	b.t.Helper()
	for _, s := range statements {
		if err := b.write0(s); err != nil {
			b.t.Fatalf("%s: %v", s, err)
		}
	}
	report, err := b.Rebuild(context.Background())
	if err != nil {
		b.t.Fatal(err)
	}
	return report
}

func TestRebuildNamesTheTableThatWasChangedByHand(t *testing.T) {
	for table, statement := range map[string]string{
		"session":         `UPDATE session SET state = 'signed-off'`,
		"session_person":  `DELETE FROM session_person WHERE who = 'brona'`,
		"person":          `UPDATE person SET employer = NULL`,
		"reference":       `UPDATE reference SET until_day = '2099-01-01' WHERE kind = 'rig'`,
		"reference_entry": `DELETE FROM reference_entry WHERE entry = 1`,
		"record":          `INSERT INTO record (id, kind, entry) VALUES ('ghost', 'kit', 3)`,
		"completion": `INSERT INTO completion (session, trainee, exercise, finish, since_entry, until_entry, from_day, until_day)
			VALUES ('s', 't-tilde', 'harness', 1, 1, 9, '2027-01-01', 'open')`,
	} {
		t.Run(table, func(t *testing.T) {
			b := newBench(t)
			b.yard()
			b.put(booked("s", nine))
			b.equalsRebuilt()
			report := b.spoil(statement)
			if report.Equal() || len(report.Wrong) > 0 {
				t.Errorf("the change was not noticed: %s", report)
			}
			for _, got := range report.Tables {
				if (got.Difference != "") != (got.Name == table) {
					t.Errorf("table %s: %q", got.Name, got.Difference)
				}
			}
			if !strings.Contains(report.String(), "Table "+table+" differs") {
				t.Errorf("the report says %s", report)
			}
		})
	}
}

func TestRebuildNamesWhatIsWrongWithTheLedger(t *testing.T) {
	free := []string{`DROP TRIGGER entry_kept_update`, `DROP TRIGGER tlog_hash_kept_update`, `DROP TRIGGER entry_kept_delete`}
	for said, statement := range map[string]string{
		"Entry 3 can't be read":                 `UPDATE entry SET bytes = CAST('{}' AS BLOB) WHERE idx = 3`,
		"its row does not agree with its bytes": `UPDATE entry SET kind = 'zone' WHERE idx = 3`,
		"is not that of its entries":            `UPDATE entry SET bytes = CAST(replace(CAST(bytes AS TEXT), '"recorded"', '"forgotten"') AS BLOB) WHERE idx = 3`,
		"Hash 0 of the ledger":                  `UPDATE tlog_hash SET hash = zeroblob(32) WHERE idx = 0`,
		"The signed head covers":                `DELETE FROM entry WHERE idx = (SELECT max(idx) FROM entry)`,
	} {
		b := newBench(t)
		b.yard()
		b.put(rig.Kit{ID: "kit"})
		report := b.spoil(append(free, statement)...)
		if report.Equal() || !strings.Contains(report.String(), said) {
			t.Errorf("%s: the report says %s", statement, report)
		}
	}
}
