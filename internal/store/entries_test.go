package store

import (
	"context"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/ledger"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

func TestTheLedgerTakesOnlyTheNextEntryAndKeepsIt(t *testing.T) {
	b := newBench(t)
	b.yard()
	for name, statement := range map[string]string{
		"change an entry":         `UPDATE entry SET bytes = x'00' WHERE idx = 3`,
		"delete an entry":         `DELETE FROM entry WHERE idx = 3`,
		"delete all entries":      `DELETE FROM entry`,
		"replace an entry":        `INSERT OR REPLACE INTO entry SELECT idx, kind, id, rev, recorded_at, x'00' FROM entry WHERE idx = 3`,
		"replace the last entry":  `INSERT OR REPLACE INTO entry SELECT idx, kind, id, rev, recorded_at, x'00' FROM entry ORDER BY idx DESC LIMIT 1`,
		"replace by revision":     `INSERT OR REPLACE INTO entry SELECT (SELECT max(idx) + 1 FROM entry), kind, id, rev, recorded_at, x'00' FROM entry WHERE idx = 3`,
		"insert an old index":     `INSERT INTO entry VALUES (3, 'kit', 'x', 1, 99999999, x'00')`,
		"leave a gap":             `INSERT INTO entry VALUES ((SELECT max(idx) + 2 FROM entry), 'kit', 'x', 1, 99999999, x'00')`,
		"let SQLite choose":       `INSERT INTO entry (kind, id, rev, recorded_at, bytes) VALUES ('kit', 'x', 1, 0, x'00')`,
		"write back in time":      `INSERT INTO entry VALUES ((SELECT max(idx) + 1 FROM entry), 'kit', 'x', 1, 0, x'00')`,
		"change a hash":           `UPDATE tlog_hash SET hash = zeroblob(32) WHERE idx = 0`,
		"delete a hash":           `DELETE FROM tlog_hash`,
		"replace a hash":          `INSERT OR REPLACE INTO tlog_hash VALUES (0, zeroblob(32))`,
		"skip a hash":             `INSERT INTO tlog_hash VALUES ((SELECT max(idx) + 2 FROM tlog_hash), zeroblob(32))`,
		"change a checkpoint":     `UPDATE checkpoint SET note = ''`,
		"delete a checkpoint":     `DELETE FROM checkpoint`,
		"replace a checkpoint":    `INSERT OR REPLACE INTO checkpoint SELECT size, root, '' FROM checkpoint`,
		"sign beyond the entries": `INSERT INTO checkpoint SELECT size + 1, root, '' FROM checkpoint`,
	} {
		if err := b.write0(statement); err == nil {
			t.Errorf("%s: %s went through", name, statement)
		}
	}
	b.equalsRebuilt()
}

func TestAnEntryNamesWhoActedInWhichRoleUnderWhichRuleBook(t *testing.T) {
	b := newBench(t)
	b.yard()
	today := b.Zone().DayOf(nine)
	b.put(rulebook.Version{ID: "old", From: 1}, rulebook.Version{ID: "new", From: today}, rulebook.Version{ID: "next", From: today + 1})
	cmd := Command{Key: "k", Content: 1, Actor: access.Actor{Person: "ivo"}, Role: access.Administrator, HappenedAt: nine.Add(-90), For: "deck-a"}
	_, err := b.Write(context.Background(), cmd, func(tx *Tx) (Outcome, error) {
		if tx.Actor().Person != "ivo" || tx.Now() != nine.Add(-60) || tx.Today() != today {
			t.Errorf("actor %v, now %d, today %s", tx.Actor(), tx.Now(), tx.Today())
		}
		first := tx.Entry()
		if _, err := tx.Put("booked", 0, booked("s", nine)); err != nil {
			return "", err
		}
		if _, err := tx.PutCorrecting("corrected", today-1, []int64{first, first}, booked("s", nine)); err != nil {
			return "", err
		}
		_, err := tx.Put("recorded", today+1, rig.Kit{ID: "kit"})
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	b.read(func(v *View) error {
		var got []ledger.Entry
		for i := v.Head() - 2; i <= v.Head(); i++ {
			e, err := v.Entry(i)
			if err != nil {
				return err
			}
			got = append(got, e)
		}
		e := got[0]
		if e.Actor != "ivo" || e.Role != "administrator" || e.For != "deck-a" || e.Key != "k" || e.Yard != b.YardID() ||
			e.HappenedAt != "2027-03-01T07:30:00+00:00[Europe/Dublin]" || e.Act != "booked" || e.Rev != 1 || e.RuleBook != "new" {
			t.Errorf("got %+v", e)
		}
		if e = got[1]; e.Rev != 2 || e.RuleBook != "old" || len(e.Corrects) != 1 || e.Corrects[0] != v.Head()-2 {
			t.Errorf("got %+v", e)
		}
		if e = got[2]; e.RuleBook != "next" {
			t.Errorf("got %+v", e)
		}
		if _, err := v.Entry(v.Head() + 1); fault.Of(err) != fault.NotFound {
			t.Errorf("an entry after the last: %v", err)
		}
		return nil
	})
	_, err = b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
		_, err := tx.PutCorrecting("corrected", 0, []int64{tx.Entry()}, rig.Kit{ID: "kit"})
		return "", err
	})
	if err == nil {
		t.Error("an entry corrects itself")
	}
}

func TestExpectNamesWhoMovedTheRecordOnAndWhen(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine))
	b.put(booked("s", nine.Add(60)))
	expect := func(of string, rev int64) error {
		_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) { return "", tx.Expect("session", of, rev) })
		return err
	}
	if err := expect("s", 2); err != nil {
		t.Error(err)
	}
	err := expect("s", 1)
	if fault.Of(err) != fault.Conflict || !strings.Contains(fault.Message(err), "Bróna Keane") || !strings.Contains(fault.Message(err), "2027-03-01T08:00") {
		t.Errorf("got %v", err)
	}
	if err := expect("none", 1); fault.Of(err) != fault.NotFound {
		t.Errorf("got %v", err)
	}
	if err := expect("none", 0); err != nil {
		t.Errorf("a record that is not there yet, as expected: %v", err)
	}
}
