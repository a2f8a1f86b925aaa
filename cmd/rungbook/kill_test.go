package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// usualKills is how many times the program is killed where KILLS says nothing.
const usualKills = 4

// broughtRows is how many people one import brings in: enough to be killed in the
// midst of them.
const broughtRows = 1500

// victim is a yard whose program is killed again and again.
type victim struct {
	*testing.T
	dir    string
	random *rand.Rand
	pairs  []groupAndExercise
	check  [2]string // station and line of an inspection that is recorded again and again

	base, token string
	browser     *http.Client
	keys        int

	mu        sync.Mutex
	booked    map[string]bool // sessions that the server said are booked, false once it said that they are stood down
	standing  []done          // those of them that nobody was asked to stand down
	inspected int             // inspections that it said it has
	waiting   []sentBooking   // sent, and not answered before it was killed
	slowest   time.Duration   // from the start of a program to its address
}

type groupAndExercise struct{ Intake, Exercise string }

// sentBooking is a request that books, with its key.
type sentBooking struct {
	key  string
	body map[string]any
}

// TestNothingThatWasAcknowledgedIsLostToAKill kills the server at random moments
// while sessions are booked, stood down and inspections recorded, and an import at
// random moments of its own. KILLS sets how often, SEED repeats a run's moments.
func TestNothingThatWasAcknowledgedIsLostToAKill(t *testing.T) {
	seed, kills := uint64(time.Now().UnixNano()), usualKills
	for name, to := range map[string]any{"SEED": &seed, "KILLS": &kills} {
		if said := os.Getenv(name); said != "" {
			if _, err := fmt.Sscan(said, to); err != nil {
				t.Fatalf("%s=%s: %v", name, said, err)
			}
		}
	}
	t.Logf("SEED=%d KILLS=%d", seed, kills)
	v := newVictim(t, seed)
	v.found()
	whole := 0
	for n := range (kills + 1) / 2 {
		r := v.serve()
		if n == 0 {
			v.makeToken()
		}
		v.sendAgain()
		v.workUntilKilled(r)
		v.look()
		if v.bringUntilKilled(n, time.Duration(50+v.random.IntN(1500))*time.Millisecond) {
			whole++
		}
		v.look()
	}
	r := v.serve()
	v.sendAgain()
	if err := r.end(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if v.bringUntilKilled(kills, time.Hour); v.people("Zyx"+letters(kills)) != broughtRows {
		t.Error("an import that is left alone does not come in: the test says nothing of imports")
	}
	v.look()
	v.rungbook("rebuild", "--data", v.dir)
	t.Logf("%d sessions and %d inspections were acknowledged, %d imports came in whole before their end; the slowest start took %s", len(v.booked), v.inspected, whole, v.slowest.Round(time.Millisecond))
	if len(v.booked) == 0 || v.inspected == 0 {
		t.Error("nothing was acknowledged: the test says nothing")
	}
}

func newVictim(t *testing.T, seed uint64) *victim {
	return &victim{T: t, dir: filepath.Join(t.TempDir(), "yard"), random: rand.New(rand.NewPCG(seed, 2)), booked: map[string]bool{}}
}

// found makes the yard, and finds what can be booked and inspected in it.
func (v *victim) found() {
	v.Helper()
	today := demo.Zone().Today(civil.Real())
	err := v.open(func(st *store.Store) error {
		return demo.Fill(v.Context(), st, demo.Config{Today: today, Seed: demoSeed, Years: 1})
	})
	if err == nil {
		err = v.view(func(view *store.View) error {
			ref, err := view.Reference()
			if err != nil {
				return err
			}
			for _, in := range ref.Intakes.All(today) {
				programme, _ := ref.Programmes.On(in.Programme, today)
				for _, e := range programme.Exercises {
					if in.Until >= today {
						v.pairs = append(v.pairs, groupAndExercise{string(in.ID), string(e)})
					}
				}
			}
			for _, s := range ref.Stations.All(today) {
				if len(s.Inspections) > 0 {
					v.check = [2]string{string(s.ID), s.Inspections[0]}
				}
			}
			return nil
		})
	}
	if err != nil || len(v.pairs) == 0 || v.check[0] == "" {
		v.Fatalf("a yard to be worked in: %v, %d groups and exercises", err, len(v.pairs))
	}
}

func (v *victim) open(do func(*store.Store) error) error {
	return withStore(v.Context(), store.Options{Dir: v.dir, Clock: civil.Real}, do)
}

func (v *victim) view(do func(*store.View) error) error {
	return v.open(func(st *store.Store) error { return st.Read(v.Context(), do) })
}

// program is this test's own binary, as the program.
func (v *victim) program(args ...string) *exec.Cmd {
	v.Helper()
	path, err := os.Executable()
	if err != nil {
		v.Fatal(err)
	}
	dir := filepath.Join(v.TempDir(), "rungbook") // testscript tells by the name what to be
	if err := os.Symlink(path, dir); err != nil {
		v.Fatal(err)
	}
	return exec.Command(dir, args...)
}

// serve starts a server and signs in.
func (v *victim) serve(flags ...string) *process {
	v.Helper()
	r := &process{cmd: v.program(append([]string{"serve", "--data", v.dir, "--listen", "127.0.0.1:0"}, flags...)...)}
	began := time.Now()
	base, err := r.run()
	if err != nil {
		v.Fatal(err)
	}
	v.slowest = max(v.slowest, time.Since(began))
	v.Cleanup(func() { _ = r.cmd.Process.Kill() }) // it may have ended
	v.base, v.browser = base, newTerminal().browser
	account := demo.Accounts()[0]
	v.form("/sign-in", url.Values{"email": {account.Email}, "password": {account.Password}})
	return r
}

// form sends a form, which must be taken, and returns where it leads.
func (v *victim) form(path string, fields url.Values) string {
	v.Helper()
	answer, err := v.browser.PostForm(v.base+path, fields)
	if err != nil {
		v.Fatal(err)
	}
	if err := answer.Body.Close(); err != nil || answer.StatusCode != http.StatusSeeOther {
		v.Fatalf("%s: %s, %v", path, answer.Status, err)
	}
	return answer.Header.Get("Location")
}

var tokenText = regexp.MustCompile(`rungbook-[A-Za-z0-9_-]+`)

func (v *victim) makeToken() {
	v.Helper()
	last := demo.Zone().Today(civil.Real()) + 30
	at := v.form("/account/tokens", url.Values{"key": {"kill-token"}, "name": {"kill"}, "scope": {"book"}, "last": {last.String()}})
	answer, err := v.browser.Get(v.base + at)
	if err != nil {
		v.Fatal(err)
	}
	defer answer.Body.Close()
	page, err := io.ReadAll(answer.Body)
	if v.token = tokenText.FindString(string(page)); err != nil || v.token == "" {
		v.Fatalf("no token on %s: %v", at, err)
	}
}

// ask sends a request of a program. ok is false where the server was killed.
func (v *victim) ask(path, key string, body, into any) (status int, ok bool) {
	raw, err := json.Marshal(body)
	if err != nil {
		v.Error(err)
		return 0, false
	}
	q, err := http.NewRequestWithContext(v.Context(), http.MethodPost, v.base+"/api/v1"+path, bytes.NewReader(raw))
	if err != nil {
		v.Error(err)
		return 0, false
	}
	q.Header.Set("Authorization", "Bearer "+v.token)
	q.Header.Set("Content-Type", "application/json")
	if key != "" {
		q.Header.Set("Idempotency-Key", key)
	}
	answer, err := v.browser.Do(q)
	if err != nil {
		return 0, false
	}
	defer answer.Body.Close()
	said, err := io.ReadAll(answer.Body)
	if err != nil {
		return 0, false
	}
	if answer.StatusCode == http.StatusOK {
		if err := json.Unmarshal(said, into); err != nil {
			v.Errorf("%s: %v: %s", path, err, said)
		}
	}
	return answer.StatusCode, true
}

type done struct {
	Session string
	Rev     int64
}

// book books what is offered first, or returns false where the server is gone.
func (v *victim) book(n int, pair groupAndExercise) bool {
	var options struct {
		Seen   int64
		Offers []map[string]any
	}
	status, ok := v.ask("/options", "", map[string]any{"exercise": pair.Exercise, "intake": pair.Intake}, &options)
	if !ok || status != http.StatusOK {
		return ok
	}
	if len(options.Offers) == 0 { // the group has all that it needs
		return v.standOneDown(n)
	}
	b := sentBooking{key: fmt.Sprintf("kill-book-%d", n), body: map[string]any{"seen": options.Seen}}
	for _, name := range []string{"exercise", "station", "start", "trainees", "instructors", "rescuers"} {
		if x := options.Offers[0][name]; x != nil {
			b.body[name] = x
		}
	}
	var at done
	if status, ok = v.ask("/sessions", b.key, b.body, &at); !ok {
		v.mu.Lock()
		v.waiting = append(v.waiting, b)
		v.mu.Unlock()
		return false
	}
	if status == http.StatusOK {
		v.note(at.Session, true)
		v.mu.Lock()
		v.standing = append(v.standing, at)
		v.mu.Unlock()
	}
	return true
}

// standOneDown stands a session down, so that there is one to book again.
func (v *victim) standOneDown(n int) bool {
	v.mu.Lock()
	if len(v.standing) == 0 {
		v.mu.Unlock()
		return true
	}
	at := v.standing[0]
	v.standing = v.standing[1:]
	delete(v.booked, at.Session) // either way until it is answered
	v.mu.Unlock()
	status, ok := v.ask("/sessions/"+at.Session+"/stand-down", fmt.Sprintf("kill-down-%d", n), map[string]any{"rev": at.Rev, "reason": "weather"}, &at)
	if ok && status == http.StatusOK {
		v.note(at.Session, false)
	}
	return ok
}

func (v *victim) note(of string, stands bool) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.booked[of] = stands
}

// sendAgain sends each booking once more that was not answered: it is done once.
func (v *victim) sendAgain() {
	v.Helper()
	for _, b := range v.waiting {
		var first, again done
		status, ok := v.ask("/sessions", b.key, b.body, &first)
		if !ok {
			v.Fatal("the server does not answer")
		}
		if status != http.StatusOK {
			continue // somebody else took the time meanwhile: it was not saved
		}
		if _, ok := v.ask("/sessions", b.key, b.body, &again); !ok || again != first {
			v.Errorf("sent again, %s is %+v and then %+v", b.key, first, again)
		}
		v.note(first.Session, true)
	}
	v.waiting = nil
}

// workUntilKilled lets two book and two record inspections, and kills the server.
func (v *victim) workUntilKilled(r *process) {
	v.Helper()
	var all sync.WaitGroup
	for worker := range 4 {
		v.keys += 100_000
		first, random := v.keys, rand.New(rand.NewPCG(v.random.Uint64(), 3))
		all.Go(func() {
			for n := first; ; n++ {
				if worker < 2 && !v.book(n, v.pairs[random.IntN(len(v.pairs))]) || worker >= 2 && !v.inspect(n) {
					return
				}
			}
		})
	}
	for until := time.Now().Add(patience); v.nothingYet() && time.Now().Before(until); {
		time.Sleep(10 * time.Millisecond) // a busy machine may need long for the first
	}
	time.Sleep(time.Duration(20+v.random.IntN(1500)) * time.Millisecond)
	if err := r.end(os.Kill); err != nil {
		v.Fatal(err)
	}
	all.Wait()
}

func (v *victim) nothingYet() bool {
	v.mu.Lock()
	defer v.mu.Unlock()
	return len(v.booked) == 0 || v.inspected == 0
}

func (v *victim) inspect(n int) bool {
	answer, err := v.browser.PostForm(v.base+"/inspections", url.Values{"key": {fmt.Sprintf("kill-%d", n)}, "subject": {v.check[0]}, "line": {v.check[1]},
		"done": {demo.Zone().Today(civil.Real()).String()}, "result": {"passed"}, "note": {fmt.Sprintf("kill note %d", n)}})
	if err != nil {
		return false
	}
	_ = answer.Body.Close() // the status was read
	if answer.StatusCode != http.StatusSeeOther {
		v.Errorf("recording an inspection: %s", answer.Status)
		return false
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.inspected++
	return true
}

// bringUntilKilled kills an import after a while. All of its people are there or none; whole
// reports which.
func (v *victim) bringUntilKilled(n int, after time.Duration) (whole bool) {
	v.Helper()
	file, surname := filepath.Join(v.TempDir(), "people.csv"), "Zyx"+letters(n)
	v.writePeople(file, surname)
	r := &process{cmd: v.program("import", "people", file, "--data", v.dir, "--by", demo.Accounts()[1].Email)}
	r.cmd.Stdout, r.cmd.Stderr = &r.out, &r.err
	if err := r.cmd.Start(); err != nil {
		v.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		_ = r.cmd.Wait() // how it ended shows in what it left
		close(ended)
	}()
	select {
	case <-ended:
	case <-time.After(after):
		_ = r.cmd.Process.Kill() // it may have ended just now
		<-ended
	}
	said := strings.Contains(r.out.String(), "rows were taken")
	there := v.people(surname)
	if there != 0 && there != broughtRows || said && there == 0 {
		v.Errorf("import %d: %d of %d people are there; it printed:\n%s%s", n, there, broughtRows, &r.out, &r.err)
	}
	return there != 0
}

// writePeople writes a list of people with one surname, no two of them alike.
func (v *victim) writePeople(file, surname string) {
	v.Helper()
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	rows := [][]string{{"Name", "Born", "Number"}}
	for i := range broughtRows {
		rows = append(rows, []string{v.firstName() + " " + surname, (firstBorn + civil.Day(i)).String(), fmt.Sprintf("%s-%d", surname, i)})
	}
	if err := errors.Join(w.WriteAll(rows), os.WriteFile(file, text.Bytes(), 0o600)); err != nil {
		v.Fatal(err)
	}
}

// firstBorn is the birth date of the first of a list; each of the others was born
// a day later.
var firstBorn = civil.DayOf(1960, 1, 1)

// firstName is long, so that no two are alike, and without the last letters of the
// alphabet, so that none holds a surname.
func (v *victim) firstName() string {
	name := []byte("A")
	for range 13 {
		name = append(name, byte('a'+v.random.IntN(16)))
	}
	return string(name)
}

// letters is a number in letters: no name holds a digit.
func letters(n int) string {
	name := string(rune('a' + n%26))
	if n >= 26 {
		name = letters(n/26-1) + name
	}
	return name
}

// people counts those with a surname.
func (v *victim) people(surname string) (n int) {
	v.Helper()
	err := v.view(func(view *store.View) error {
		f := store.PersonFilter{NamePart: surname, Limit: 500}
		for {
			rows, next, err := view.Persons(f)
			n += len(rows)
			if err != nil || next == "" {
				return err
			}
			f.AfterKey = next
		}
	})
	if err != nil {
		v.Fatal(err)
	}
	return n
}

// look wants the folder sound, and everything there that was acknowledged.
func (v *victim) look() {
	v.Helper()
	v.rungbook("doctor", "--data", v.dir)
	err := v.view(func(view *store.View) error {
		for of, stands := range v.booked {
			row, err := view.Session(id.Session(of))
			if err != nil {
				return fmt.Errorf("session %s was acknowledged: %w", of, err)
			}
			if (row.Value.State == session.StoodDown) == stands {
				v.Errorf("session %s is %s; the server had said that it stands: %t", of, row.Value.State, stands)
			}
		}
		ref, err := view.Reference()
		if err != nil {
			return err
		}
		there := 0
		for _, i := range ref.Inspections.All(view.Today()) {
			if i.Subject == v.check[0] && i.Line == v.check[1] && i.Done == view.Today() {
				there++
			}
		}
		if there < v.inspected {
			v.Errorf("%d inspections were acknowledged and %d are there", v.inspected, there)
		}
		return nil
	})
	if err != nil {
		v.Fatal(err)
	}
}

// rungbook runs a command that must end with 0.
func (v *victim) rungbook(args ...string) {
	v.Helper()
	var out bytes.Buffer
	if code := run(args, &out, &out); code != exitOK {
		v.Fatalf("rungbook %s ended with %d:\n%s", strings.Join(args, " "), code, &out)
	}
}
