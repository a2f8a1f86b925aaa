package httpd

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// TestAListHoldsWhatStoodAtTheEntryItStates writes intakes while lists are taken out,
// and reads the yard again as it stood at the entry that each file states.
func TestAListHoldsWhatStoodAtTheEntryItStates(t *testing.T) {
	s := open(t)
	r, intake := s.as(access.Administrator), s.reference().Intakes.All(monday)[0]
	stop, done := make(chan struct{}), make(chan error, 1)
	cmd := store.Command{Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	go func() {
		for n := 0; ; n++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			cmd.Key = "intake " + strconv.Itoa(n)
			_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
				more := intake
				more.ID = id.Intake("more-" + strconv.Itoa(n))
				_, err := tx.Put("opened", tx.Today(), more)
				return "", err
			})
			if err != nil {
				done <- err
				return
			}
		}
	}()
	for range 25 {
		list, ledger := r.taken("/lists/intakes.json?ended=all"), r.taken("/lists/entries.json?first="+strconv.FormatInt(s.head(), 10))
		entry := stated(t, list)
		want := 0
		err := s.store.Read(context.Background(), func(v *store.View) error {
			ref, err := v.At(entry, v.Today()).Reference()
			if err == nil {
				want = len(ref.Intakes.All(v.Today()))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if len(list.Rows) != want {
			t.Errorf("%d intakes in the file of entry %d, where %d stood", len(list.Rows), entry, want)
		}
		if last := ledger.Rows[len(ledger.Rows)-1]["Entry"].(float64); int64(last) != stated(t, ledger) {
			t.Errorf("the ledger's file ends with entry %v and states %d", last, stated(t, ledger))
		}
	}
	close(stop)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
}

// TestAListOfSessionsSaysShutWhereTheWeeksBoardDoes shuts a station under a session that
// is booked, and passes the time of another.
func TestAListOfSessionsSaysShutWhereTheWeeksBoardDoes(t *testing.T) {
	s := open(t)
	booked := s.bookedNextWeek()[0]
	cmd := store.Command{Key: "shut", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("shut", tx.Today(), rig.Shut{ID: id.Shut(tx.ID()), Station: booked.Station, Start: booked.Start, End: booked.End, Reason: rig.ShutFault})
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	board, err := booking.New(s.store).Board(context.Background(), s.actorOf(access.Administrator), monday+7, monday+13, booking.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	broken := map[string]bool{}
	for _, row := range board.Rows {
		for _, c := range row.Cells {
			for _, x := range c.Sessions {
				if x.Broken {
					broken[string(x.ID)] = true
				}
			}
		}
	}
	r := s.as(access.Auditor)
	for _, row := range r.taken("/lists/sessions.json?from=" + (monday + 7).String() + "&until=" + (monday + 13).String()).Rows {
		if of := row["Session"].(string); (row["Station shut"] == "yes") != broken[of] {
			t.Errorf("%s: shut %q, on the board %v", of, row["Station shut"], broken[of])
		}
	}
	day := (monday + 7).String()
	if !broken[string(booked.ID)] {
		t.Errorf("the board does not show %s as broken", booked.ID)
	}
	if page := r.get("/sessions?from=" + day + "&until=" + (monday + 13).String()).Body.String(); !strings.Contains(page, "station shut") {
		t.Error("the page does not say that a station is shut")
	}
	over := 0
	for _, row := range r.taken("/lists/sessions.json" + whole).Rows {
		start, state := row["Start"].(string), row["State"]
		if note := row["To note"]; (state == "booked" || state == "under way") && row["End"].(string) < monday.String() {
			over++
			if note != "over, not signed" {
				t.Errorf("a session of %s is %v and noted %q", start, state, note)
			}
		}
	}
	if over == 0 {
		t.Error("no session is over and not signed: the test says nothing of them")
	}
}

// stated is the entry that a file says it is of.
func stated(t *testing.T, l listFile) int64 {
	t.Helper()
	_, text, _ := strings.Cut(l.About[0], "entry ")
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		t.Fatalf("%q states no entry", l.About[0])
	}
	return n
}

// TestANameThatIsAFormulaIsTextInEveryFile puts a name that an office program would
// run into the records.
func TestANameThatIsAFormulaIsTextInEveryFile(t *testing.T) {
	s := open(t)
	const name = "=HYPERLINK(\"http://elsewhere.example\")"
	cmd := store.Command{Key: "formula", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		e := people.Employer{ID: id.Employer(tx.ID())}
		e.Name = tx.Seal(string(e.ID), "name", name)
		_, err := tx.Put("recorded", tx.Today(), e)
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	r := s.as(access.Auditor)
	if text := r.get("/lists/employers.csv").Body.String(); !strings.Contains(text, "'=HYPERLINK") || strings.Contains(text, "\n\"=") || strings.Contains(text, "\n=") {
		t.Errorf("the CSV holds %q", text)
	}
	found := false
	for _, row := range r.taken("/lists/employers.json").Rows {
		found = found || row["Employer"] == name
	}
	if !found {
		t.Error("the JSON does not hold the name as it is")
	}
}

// TestALargeFileLeavesNothingBehind takes the whole ledger out, which is larger than
// what is held in memory.
func TestALargeFileLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	s := open(t)
	r := s.as(access.Auditor)
	for _, format := range []string{"csv", "xlsx", "json"} {
		got := r.get("/lists/entries." + format)
		if got.Code != http.StatusOK || strconv.Itoa(got.Body.Len()) != got.Header().Get("Content-Length") {
			t.Errorf("%s: %d, %d bytes, said %s", format, got.Code, got.Body.Len(), got.Header().Get("Content-Length"))
		}
		if format == "csv" && got.Body.Len() <= spoolInMemory {
			t.Errorf("the ledger's file has %d bytes, too few to try this with", got.Body.Len())
		}
	}
	left, err := os.ReadDir(dir)
	for _, f := range left {
		if ok, _ := filepath.Match("rungbook-list-*", f.Name()); ok {
			t.Errorf("%s is left", f.Name())
		}
	}
	if err != nil {
		t.Error(err)
	}
}
