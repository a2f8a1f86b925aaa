package safekeeping

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// hand is a clock that a test moves.
type hand struct{ at time.Time }

func (h *hand) now() time.Time { return h.at }

// scheduled is a desk over a yard with entries, keeping backups in a folder.
func scheduled(t *testing.T, change func(*Plan)) (*Desk, *hand, *store.Store) {
	t.Helper()
	dir, st := kept(t)
	h := &hand{civil.Real().Add(time.Hour)}
	p := Plan{Data: dir, Yard: st.VerifierKey(), To: t.TempDir(), Schedule: Schedule{Every: day, Kept: 2, LoudAfter: 3 * day}, Version: "test", Clock: h.now}
	if change != nil {
		change(&p)
	}
	return New(p), h, st
}

var admin = access.Actor{Person: "odalys", Roles: []access.Role{access.Administrator}}

func standing(t *testing.T, d *Desk) Standing {
	t.Helper()
	s, err := d.Standing(admin)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestAServerMakesABackupWhenOneIsDueAndARestartNeitherSkipsNorDoubles(t *testing.T) {
	d, h, st := scheduled(t, nil)
	if s := standing(t, d); s.Loud != NoneGood || s.Looked {
		t.Errorf("before the first: %+v", s)
	}
	wait := d.round(t.Context())
	s := standing(t, d)
	if !s.HasLast || s.Loud != "" || len(s.List) != 1 || s.Last.Entries != 5 || s.Last.Known != ReadThrough || !s.Last.ByServer || s.Last.HasKey || wait > lookAgain {
		t.Fatalf("after the first, waiting %s: %+v", wait, s)
	}
	if want := s.Last.Made.Add(day); s.Due != want {
		t.Errorf("the next is due at %d, want %d", s.Due, want)
	}
	first := s.Last.Name
	h.at = h.at.Add(23*time.Hour + 58*time.Minute)
	again := New(d.plan) // the server was started anew
	again.round(t.Context())
	if s := standing(t, again); len(s.List) != 1 {
		t.Errorf("a restart before it was due made one: %+v", s.List)
	}
	record(t, st, 77)
	h.at = h.at.Add(3 * time.Minute)
	again = New(d.plan)
	again.round(t.Context())
	s = standing(t, again)
	if len(s.List) != 2 || s.Last.Entries != 6 || s.Last.Name == first {
		t.Errorf("a restart after it was due: %+v", s.List)
	}
	again.round(t.Context())
	if s := standing(t, again); len(s.List) != 2 {
		t.Errorf("it was made twice: %+v", s.List)
	}
}

func TestOldBackupsGoAndNothingElseOfTheFolder(t *testing.T) {
	d, h, _ := scheduled(t, nil)
	byHand, err := Backup(t.Context(), Wish{Dir: d.plan.Data, To: d.plan.To, Version: "test", Clock: h.now})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"notes.txt": "ours to keep", "rungbook-20270101T000000Z.backup": "not a backup at all", "x.backup.about.json": "{}"} {
		if err := os.WriteFile(filepath.Join(d.plan.To, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	h.at = utc13(h.at)
	for range 5 { // within an hour: one week and, but for its last hour, one month
		h.at = h.at.Add(time.Minute)
		if _, done, err := ask(t, d, h.at.String()); err != nil || !done {
			t.Fatalf("%t, %v", done, err)
		}
	}
	s := standing(t, d)
	var server int
	for _, f := range s.List {
		if f.ByServer {
			server++
		}
	}
	if server != 2 || s.Strays != 1 {
		t.Errorf("%d of the server's stay, want 2; %d strays: %+v", server, s.Strays, s.List)
	}
	for _, name := range []string{filepath.Base(byHand.Path), filepath.Base(byHand.Path) + sidecarEnd, "notes.txt", "rungbook-20270101T000000Z.backup", "x.backup.about.json"} {
		if _, err := os.Stat(filepath.Join(d.plan.To, name)); err != nil {
			t.Errorf("%s is gone: %v", name, err)
		}
	}
	files, err := os.ReadDir(d.plan.To)
	if err != nil || len(files) != 2*2+5 {
		t.Errorf("%d files, %v: a backup goes with its sidecar", len(files), err)
	}
}

// utc13 is 13:00 UTC of the 15th after a moment, so that minutes more stay in one day.
func utc13(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month()+1, 15, 13, 0, 0, 0, time.UTC)
}

// ask asks for a backup and makes it, as the maker would.
func ask(t *testing.T, d *Desk, key string) (Made, bool, error) {
	t.Helper()
	d.request(key)
	d.round(t.Context())
	return d.Ask(t.Context(), admin, key)
}

func TestAFailureIsShownWithItsReasonAndTriedAgainSooner(t *testing.T) {
	d, h, _ := scheduled(t, nil)
	d.round(t.Context())
	away := d.plan.To + "-away"
	if err := os.Rename(d.plan.To, away); err != nil {
		t.Fatal(err)
	}
	h.at = h.at.Add(25 * time.Hour)
	d.round(t.Context())
	s := standing(t, d)
	if s.Loud != NoFolder || !strings.Contains(s.Trouble, "no such file") || s.InRow != 1 || len(s.Failures) != 1 || !strings.Contains(s.Failures[0].Why, "no such file") || s.Failures[0].Asked {
		t.Fatalf("the folder is gone: %+v", s)
	}
	if wait := s.Due.Sub(d.now()); wait != firstRetry {
		t.Errorf("tried again in %d minutes, want %d", wait, firstRetry)
	}
	if _, err := os.Stat(d.plan.To); err == nil {
		t.Error("the folder was made anew: a disk that is not mounted would be hidden")
	}
	h.at = h.at.Add(4 * time.Minute)
	d.round(t.Context())
	if s := standing(t, d); len(s.Failures) != 1 {
		t.Errorf("tried again too soon: %+v", s.Failures)
	}
	h.at = h.at.Add(time.Minute)
	d.round(t.Context())
	if s := standing(t, d); len(s.Failures) != 2 || s.Due.Sub(d.now()) != 2*firstRetry {
		t.Errorf("the second try: %+v", s)
	}
	d = New(d.plan) // the server starts anew
	if s := standing(t, d); len(s.Failures) != 2 || s.InRow != 2 || s.Due > d.now() {
		t.Errorf("after a start anew, which tries at once: %+v", s)
	}
	e := &examination{Checkup: Checkup{Dir: d.plan.Data}}
	if e.failed(0); len(e.lines) != 1 || !strings.Contains(e.lines[0].Found, "2 in a row") || !strings.Contains(e.lines[0].Found, "no such file") {
		t.Errorf("the doctor says %+v", e.lines)
	}
	if err := os.Rename(away, d.plan.To); err != nil {
		t.Fatal(err)
	}
	h.at = h.at.Add(10 * time.Minute)
	d.round(t.Context())
	if s := standing(t, d); s.Loud != "" || s.InRow != 0 || len(s.List) != 2 || len(s.Failures) != 2 {
		t.Errorf("the folder is back: %+v", s)
	}
	if s := standing(t, New(d.plan)); s.InRow != 0 || len(s.Failures) != 2 {
		t.Errorf("after it was made and a start anew: %+v", s)
	}
	e = &examination{Checkup: Checkup{Dir: d.plan.Data}}
	if e.failed(0); len(e.lines) != 0 {
		t.Errorf("the doctor says %+v", e.lines)
	}
}

func TestAFolderThatIsAFileAPassphraseThatIsGoneAndADamagedRecordAreFailures(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Plan)
		say    string
	}{
		"a folder that is a file": {func(p *Plan) { p.To = filepath.Join(p.Data, "rungbook.key") }, "is not a folder"},
		"no passphrase": {func(p *Plan) {
			p.Passphrase = func() (string, error) { return "", fault.New(fault.Unusable, "secret can't be read") }
		}, "secret can't be read"},
		"no record": {func(p *Plan) { p.Data = filepath.Join(p.Data, "elsewhere") }, "no Rungbook database"},
	} {
		t.Run(name, func(t *testing.T) {
			d, _, _ := scheduled(t, c.change)
			_, done, err := ask(t, d, "k")
			if !done || fault.Of(err) != fault.Unusable || !strings.Contains(err.Error(), c.say) {
				t.Errorf("%t, %v, want %q", done, err, c.say)
			}
			if s := standing(t, d); len(s.Failures) != 1 || !s.Failures[0].Asked || !strings.Contains(s.Failures[0].Why, c.say) || s.Loud == "" {
				t.Errorf("%+v", s)
			}
		})
	}
}

func TestAKeySentTwiceAsksOnceAndOnlyAnAdministratorAsks(t *testing.T) {
	d, _, _ := scheduled(t, nil)
	one, done, err := ask(t, d, "k1")
	if err != nil || !done {
		t.Fatal(done, err)
	}
	if two, done, err := ask(t, d, "k1"); err != nil || !done || two.Path != one.Path {
		t.Errorf("%q then %q, %t, %v", one.Path, two.Path, done, err)
	}
	if s := standing(t, d); len(s.List) != 1 {
		t.Errorf("%+v", s.List)
	}
	if two, _, err := ask(t, d, "k2"); err != nil || two.Path == one.Path {
		t.Errorf("another key of the same second: %q, %v", two.Path, err)
	}
	for _, role := range []access.Role{access.Instructor, access.Auditor, access.TraineeRole} {
		other := access.Actor{Person: "you", Roles: []access.Role{role}}
		if _, _, err := d.Ask(t.Context(), other, "k3"); fault.Of(err) != fault.Forbidden {
			t.Errorf("%s: %v", role, err)
		}
		if _, err := d.Standing(other); fault.Of(err) != fault.Forbidden {
			t.Errorf("%s: %v", role, err)
		}
	}
	if _, _, err := New(Plan{Clock: civil.Real}).Ask(t.Context(), admin, "k"); fault.Of(err) != fault.Invalid {
		t.Errorf("no folder was said: %v", err)
	}
	if s := standing(t, New(Plan{Clock: civil.Real})); s.Loud != NoSchedule || s.Set {
		t.Errorf("%+v", s)
	}
}

func TestTheMakerAnswersWhoAsksAndEndsWithItsContext(t *testing.T) {
	d, _, _ := scheduled(t, nil)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { d.Run(ctx); close(ended) }()
	made, done, err := d.Ask(t.Context(), admin, "k")
	if err != nil || !done || made.Entries != 5 {
		t.Errorf("%+v, %t, %v", made, done, err)
	}
	stop()
	<-ended
	over, cancel := context.WithCancel(t.Context())
	cancel()
	if _, done, err := d.Ask(over, admin, "after"); done || err != nil {
		t.Errorf("nobody makes it any more: %t, %v", done, err)
	}
}

func TestWhatABrokenOffBackupLeftIsSweptAfterADay(t *testing.T) {
	d, h, _ := scheduled(t, nil)
	old, young, other := filepath.Join(d.plan.To, roomMark+"1"), filepath.Join(d.plan.Data, roomMark+"2"), filepath.Join(d.plan.To, "mine")
	for i, dir := range []string{old, young, other} {
		if err := os.Mkdir(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		at := h.at.Add([]time.Duration{-25 * time.Hour, -23 * time.Hour, -25 * time.Hour}[i])
		if err := os.Chtimes(dir, at, at); err != nil {
			t.Fatal(err)
		}
	}
	d.sweep()
	for dir, want := range map[string]bool{old: false, young: true, other: true} {
		if _, err := os.Stat(dir); (err == nil) != want {
			t.Errorf("%s: %v", dir, err)
		}
	}
}

func TestPlainCopiesOfAnEncryptedBackupStayOffItsDisk(t *testing.T) {
	d, _, _ := scheduled(t, func(p *Plan) { p.Passphrase = func() (string, error) { return "seven ropes", nil } })
	w := Wish{Dir: d.plan.Data, To: d.plan.To, Passphrase: "seven ropes", Clock: civil.Real}
	beside, work, err := w.rooms()
	if err != nil || filepath.Dir(beside) != d.plan.To || filepath.Dir(work) != d.plan.Data {
		t.Errorf("%s, %s, %v", beside, work, err)
	}
	for _, room := range []string{beside, work} {
		if err := os.RemoveAll(room); err != nil {
			t.Error(err)
		}
	}
	if _, _, err := ask(t, d, "k"); err != nil {
		t.Fatal(err)
	}
	s := standing(t, d)
	if !s.Encrypted || !s.HasLast || s.Last.Known != HashHolds || !s.Last.Encrypted || s.Last.Entries != 5 || s.Last.Made == 0 || len(s.Last.Head) != 64 {
		t.Errorf("%+v", s.Last)
	}
	if left := hidden(t, d.plan.Data, d.plan.To); left != "" {
		t.Errorf("%s was left", left)
	}
}

func TestEachFileOfAFolderIsKnownForWhatItIs(t *testing.T) {
	d, h, _ := scheduled(t, nil)
	make := func(change func(*Wish)) string {
		t.Helper()
		w := Wish{Dir: d.plan.Data, To: d.plan.To, Version: "test", Clock: h.now}
		change(&w)
		made, err := Backup(t.Context(), w)
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Base(made.Path)
	}
	seal := func(w *Wish) { w.Passphrase = "right" }
	at := func(name string) string { return filepath.Join(d.plan.To, name) }
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	flip := func(name string) {
		data, err := os.ReadFile(at(name))
		must(err)
		data[len(data)/2] ^= 1
		must(os.WriteFile(at(name), data, 0o600))
	}
	want := map[string]Known{}
	want[make(func(*Wish) {})] = ReadThrough
	want[make(seal)] = HashHolds
	alone := make(func(*Wish) {})
	must(os.Remove(at(alone + sidecarEnd)))
	want[alone] = ReadThrough
	silent := make(seal)
	must(os.Remove(at(silent + sidecarEnd)))
	want[silent] = Unstated
	spoilt, spoiltSealed := make(func(*Wish) {}), make(seal)
	flip(spoilt)
	flip(spoiltSealed)
	want[spoilt], want[spoiltSealed] = Damaged, Damaged
	renamed := make(seal)
	must(os.Rename(at(renamed), at("other.backup")))
	must(os.Rename(at(renamed+sidecarEnd), at("other.backup"+sidecarEnd)))
	want["other.backup"] = Damaged
	odd := make(seal)
	must(os.WriteFile(at(odd+sidecarEnd), []byte(`{"format":"of tomorrow"}`), 0o600))
	want[odd] = Damaged
	yonder, _ := kept(t)
	want[make(func(w *Wish) { w.Dir = yonder })] = Foreign
	want[make(func(w *Wish) { w.Dir = yonder; seal(w) })] = Foreign
	must(os.WriteFile(at("short.backup"), []byte("hello"), 0o600))
	want["short.backup"] = Damaged
	must(os.WriteFile(at("letter.age"), []byte("age-encryption.org/v1\n"), 0o600))
	must(os.WriteFile(at("letter.txt"), []byte("hello"), 0o600))

	list, strays, err := d.folder.List()
	if err != nil || strays != 0 || slices.ContainsFunc(list, func(f Found) bool { return f.Known != Unread || f.Good(d.now()) }) {
		t.Errorf("before they were read: %+v, %d, %v", list, strays, err)
	}
	must(d.folder.Read(t.Context(), 0, d.now()))
	list, strays, err = d.folder.List()
	if err != nil || strays != 2 || len(list) != len(want) {
		t.Errorf("%d backups and %d strays, %v; want %d and 2", len(list), strays, err, len(want))
	}
	for _, f := range list {
		if f.Known != want[f.Name] || f.Good(d.now()) != (f.Why == "") {
			t.Errorf("%s is %q (%s), want %q", f.Name, f.Known, f.Why, want[f.Name])
		}
	}
	lines, err := Examine(t.Context(), Checkup{Dir: d.plan.Data, Backups: d.plan.To, Version: "test", Clock: h.now})
	must(err)
	looks := 0
	for _, l := range lines {
		if l.What == "backup" && strings.Contains(l.Found, "does not count") {
			looks++
		}
	}
	if looks != len(want)-3 {
		t.Errorf("the doctor names %d that don't count, want %d: %+v", looks, len(want)-3, lines)
	}
}

func TestAFileThatChangesIsReadAnewAndOneOfLongAgoToo(t *testing.T) {
	d, h, _ := scheduled(t, nil)
	d.round(t.Context())
	name := standing(t, d).Last.Name
	path := filepath.Join(d.plan.To, name)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2] ^= 1
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if s := standing(t, d); s.HasLast || s.Loud != NoneGood {
		t.Errorf("a file that changed counts unread: %+v", s.Last)
	}
	// The disk spoils it: neither date nor size say so.
	if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
		t.Fatal(err)
	}
	if s := standing(t, d); !s.HasLast {
		t.Errorf("%+v", s.List)
	}
	h.at = h.at.Add(7*24*time.Hour + time.Minute)
	if err := d.folder.Read(t.Context(), d.now().Add(-rereadAfter), d.now()); err != nil {
		t.Fatal(err)
	}
	if s := standing(t, d); s.HasLast || s.List[0].Known != Damaged {
		t.Errorf("it was not read again after a week: %+v", s.List)
	}
}

func FuzzParseSidecar(f *testing.F) {
	f.Add([]byte(`{"format":"rungbook.backup.about.v1","file":"a","size":1,"sha256":"` + strings.Repeat("0", 64) + `","about":{"made":"2027-03-02T09:40:12Z"}}`))
	f.Add([]byte(`{"format":1}`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := parseSidecar(text)
		if err == nil && (s.Format != sidecarFormat || s.File == "" || len(s.Sum) != 64 || s.Size < 0 || s.About.Entries < 0) {
			t.Errorf("taken: %+v", s)
		}
	})
}
