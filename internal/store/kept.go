package store

import (
	"database/sql"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// What an archive keeps of a store, as lines of JSON: sums and salts in hex,
// moments as in a record's body.

// KeptHead is one signed head of the ledger.
type KeptHead struct {
	Size int64  `json:"size"`
	Note string `json:"note"`
}

// KeptRecord is a record as it stands for some days, its texts in the clear.
type KeptRecord struct {
	ID     string         `json:"id"`
	Rev    int64          `json:"rev"`
	Entry  int64          `json:"entry"` // that put it there
	From   string         `json:"from"`  // first day on which it counts
	Until  string         `json:"until"` // first day on which it does not; "" = no end
	Record jsontext.Value `json:"record"`
}

// KeptText is what a commitment in the ledger stands for.
type KeptText struct {
	Commitment string `json:"commitment"`
	Subject    string `json:"subject"`
	Field      string `json:"field"`
	Salt       string `json:"salt"`
	Value      string `json:"value"`
}

// KeptCommand is a form that was sent, so that it is not taken twice.
type KeptCommand struct {
	Key           string        `json:"key"`
	ContentSHA256 string        `json:"content_sha256"`
	Outcome       string        `json:"outcome"`
	Entries       int64         `json:"entries"` // of the ledger after it
	RecordedAt    civil.Instant `json:"recorded_at"`
}

// KeptAccount is how an account signs in.
type KeptAccount struct {
	Account      string        `json:"account"`
	Email        string        `json:"email"`
	PasswordHash string        `json:"password_hash"`
	Round        int64         `json:"round"`
	LastSignIn   civil.Instant `json:"last_sign_in"`
}

// KeptLink is a link that opens or resets an account, hashed.
type KeptLink struct {
	Account string        `json:"account"`
	SHA256  string        `json:"sha256"`
	Ends    civil.Instant `json:"ends"`
}

// KeptToken is what a program shows in an account's name, hashed.
type KeptToken struct {
	ID       string        `json:"id"`
	SHA256   string        `json:"sha256"`
	Account  string        `json:"account"`
	Name     string        `json:"name"`
	Scope    string        `json:"scope"`
	MadeAt   civil.Instant `json:"made_at"`
	LastDay  civil.Day     `json:"last_day"`
	EndedAt  civil.Instant `json:"ended_at"`
	LastUsed civil.Instant `json:"last_used"`
}

// KeptDraft is a draft without its files, with the chart of its search and who was
// told.
type KeptDraft struct {
	ID         string        `json:"id"`
	FormKey    string        `json:"form_key"`
	Kind       string        `json:"kind"`
	State      string        `json:"state"`
	Why        string        `json:"why"`
	Repeats    string        `json:"repeats"`
	MadeAt     civil.Instant `json:"made_at"`
	MadeBy     string        `json:"made_by"`
	Entry      int64         `json:"entry"`
	From       civil.Day     `json:"from"`
	Until      civil.Day     `json:"until"` // counted
	Wish       string        `json:"wish"`
	Seconds    int           `json:"seconds"`
	Effort     int64         `json:"effort"`
	Seed       int64         `json:"seed"`
	Version    string        `json:"version"`
	ProblemSHA string        `json:"problem_sha256"`
	FromSHA    string        `json:"from_sha256"`
	Rounds     int64         `json:"rounds"`
	Steps      int64         `json:"steps"`
	Cost       int64         `json:"cost"`
	Bound      int64         `json:"bound"`
	Unplaced   int           `json:"unplaced"`
	EndedAt    civil.Instant `json:"ended_at"`
	EndedBy    string        `json:"ended_by"`
	HasFrom    bool          `json:"has_from"` // there is a file of the sessions to mend
	HasPlan    bool          `json:"has_plan"`
	Points     []KeptPoint   `json:"points"`
	Told       []KeptTold    `json:"told"`
}

// KeptPoint is a point of a draft's chart.
type KeptPoint struct {
	Tenths   int64 `json:"tenths"`
	Steps    int64 `json:"steps"`
	Cost     int64 `json:"cost"`
	Bound    int64 `json:"bound"`
	Unplaced int   `json:"unplaced"`
}

// KeptTold is who was told of a draft's changes.
type KeptTold struct {
	Person string        `json:"person"`
	At     civil.Instant `json:"at"`
	By     string        `json:"by"`
}

// RecordKind is a kind of record with the type of its body.
type RecordKind struct {
	Name string
	Body reflect.Type
}

// RecordKinds returns every kind of record, by name.
func RecordKinds() []RecordKind {
	var out []RecordKind
	for _, k := range kinds {
		out = append(out, RecordKind{k.name, k.record})
	}
	slices.SortFunc(out, func(a, b RecordKind) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// DerivedTables names the tables that the ledger and the private values give anew.
func DerivedTables() []string {
	out := []string{"tlog_hash", "person_name"}
	for _, t := range derivedTables {
		out = append(out, t.name)
	}
	return out
}

// Line returns a kept value as one line of JSON, without its end.
func (v *View) Line(kept any) ([]byte, error) { return json.Marshal(kept, writeOptions(v.zone)) }

// Origin names the ledger in its signed heads.
func (s *Store) Origin() string { return s.key.Name() }

// VerifierKey returns the public half of the key that signs the ledger, in the
// text form of signed notes.
func (s *Store) VerifierKey() string { return s.key.public }

// EachEntry calls fn with the bytes of every entry, in order; they are good until
// fn returns.
func (v *View) EachEntry(fn func(raw []byte) error) error {
	return v.each(func(rows *sql.Rows) error {
		var raw sql.RawBytes
		if err := rows.Scan(&raw); err != nil {
			return err
		}
		return fn(raw)
	}, `SELECT bytes FROM entry ORDER BY idx`)
}

// EachHead calls fn with every signed head, the smallest first.
func (v *View) EachHead(fn func(KeptHead) error) error {
	return eachKept(v, func(k *KeptHead) []any { return []any{&k.Size, &k.Note} }, fn,
		`SELECT size, note FROM checkpoint ORDER BY size`)
}

// EachText calls fn with every text that was not erased.
func (v *View) EachText(fn func(KeptText) error) error {
	return eachKept(v, func(k *KeptText) []any { return []any{&k.Commitment, &k.Subject, &k.Field, &k.Salt, &k.Value} }, fn,
		`SELECT commitment, subject, field, lower(hex(salt)), value FROM private_value ORDER BY commitment`)
}

// EachCommand calls fn with every form that was sent.
func (v *View) EachCommand(fn func(KeptCommand) error) error {
	return eachKept(v, func(k *KeptCommand) []any {
		return []any{&k.Key, &k.ContentSHA256, &k.Outcome, &k.Entries, &k.RecordedAt}
	}, fn, `SELECT key, lower(hex(content_sha256)), outcome, entries, recorded_at FROM command ORDER BY key`)
}

// EachAccount calls fn with how every account signs in.
func (v *View) EachAccount(fn func(KeptAccount) error) error {
	return eachKept(v, func(k *KeptAccount) []any {
		return []any{&k.Account, &k.Email, &k.PasswordHash, &k.Round, &k.LastSignIn}
	}, fn, `SELECT account, email, password_hash, round, last_sign_in FROM account_secret ORDER BY account`)
}

// EachLink calls fn with every link that waits to be used.
func (v *View) EachLink(fn func(KeptLink) error) error {
	return eachKept(v, func(k *KeptLink) []any { return []any{&k.Account, &k.SHA256, &k.Ends} }, fn,
		`SELECT account, lower(hex(sha256)), ends FROM account_link ORDER BY account`)
}

// EachToken calls fn with every token, revoked ones too.
func (v *View) EachToken(fn func(KeptToken) error) error {
	return v.each(func(rows *sql.Rows) error {
		var k KeptToken
		var last string
		err := rows.Scan(&k.ID, &k.SHA256, &k.Account, &k.Name, &k.Scope, &k.MadeAt, &last, &k.EndedAt, &k.LastUsed)
		if err != nil {
			return err
		}
		if k.LastDay, err = civil.ParseDay(last); err != nil {
			return err
		}
		return fn(k)
	}, `SELECT id, lower(hex(sha256)), account, name, scope, made_at, last_day, ended_at, last_used FROM token ORDER BY id`)
}

func eachKept[T any](v *View, into func(*T) []any, fn func(T) error, query string) error {
	return v.each(func(rows *sql.Rows) error {
		var k T
		if err := rows.Scan(into(&k)...); err != nil {
			return err
		}
		return fn(k)
	}, query)
}

// KeptDrafts returns every draft in the order in which they were made.
func (v *View) KeptDrafts() ([]KeptDraft, error) {
	return list(v, func(rows *sql.Rows) (k KeptDraft, err error) {
		var from, until string
		err = rows.Scan(&k.ID, &k.FormKey, &k.Kind, &k.State, &k.Why, &k.Repeats, &k.MadeAt, &k.MadeBy, &k.Entry, &from, &until, &k.Wish,
			&k.Seconds, &k.Effort, &k.Seed, &k.Version, &k.ProblemSHA, &k.FromSHA, &k.Rounds, &k.Steps, &k.Cost, &k.Bound, &k.Unplaced,
			&k.EndedAt, &k.EndedBy, &k.HasFrom, &k.HasPlan)
		if err != nil {
			return k, err
		}
		if k.From, err = civil.ParseDay(from); err != nil {
			return k, err
		}
		k.Until, err = civil.ParseDay(until)
		return k, err
	}, `SELECT id, form_key, kind, state, why, coalesce(repeats, ''), made_at, made_by, entry, from_day, until_day, wish, seconds, effort, seed, version,
		problem_sha256, from_sha256, rounds, steps, cost, bound, unplaced, ended_at, ended_by, from_plan IS NOT NULL, plan IS NOT NULL
		FROM draft ORDER BY rowid`)
}

// Completed returns a draft with its chart and who was told.
func (v *View) Completed(k KeptDraft) (KeptDraft, error) {
	points, err := v.DraftPoints(id.Draft(k.ID))
	if err != nil {
		return k, err
	}
	told, err := v.Told(id.Draft(k.ID))
	for _, p := range points {
		k.Points = append(k.Points, KeptPoint(p))
	}
	for _, t := range told {
		k.Told = append(k.Told, KeptTold{string(t.Person), t.At, string(t.By)})
	}
	return k, err
}

// standingAtOnce is how many records are read before their texts are looked up.
const standingAtOnce = 256

// EachStanding calls fn with every record of a kind as it stands now, by id and day.
func (v *View) EachStanding(kindName string, fn func(KeptRecord) error) error {
	k, ok := kindsByName[kindName]
	if !ok {
		return fmt.Errorf("kind %q is not known", kindName)
	}
	where := ""
	if k.slow {
		where = `kind = '` + k.name + `' AND `
	}
	query := `SELECT id, rev, entry, from_day, until_day, body FROM ` + k.table + ` WHERE ` + where + `until_entry = ` + openText + `
		AND (id, from_day) > (?3, ?4) ORDER BY id, from_day LIMIT ?5`
	after, from := "", ""
	for {
		rows, err := list(v, func(rows *sql.Rows) (r KeptRecord, err error) {
			var body string
			err = rows.Scan(&r.ID, &r.Rev, &r.Entry, &r.From, &r.Until, &body)
			r.Record = jsontext.Value(body)
			return r, err
		}, query, after, from, standingAtOnce)
		if err != nil || len(rows) == 0 {
			return err
		}
		after, from = rows[len(rows)-1].ID, rows[len(rows)-1].From
		for _, r := range rows {
			if r.Until == openDay {
				r.Until = ""
			}
			if r.Record, err = v.inTheClear(k, r.Record); err != nil {
				return fmt.Errorf("%s %s: %w", k.name, r.ID, err)
			}
			if err := fn(r); err != nil {
				return err
			}
		}
	}
}

// inTheClear returns a body with its texts in place of their commitments, and
// {"erased":true} for one that is no more: null would be left out where a text need
// not be there.
func (v *View) inTheClear(k *kind, body []byte) ([]byte, error) {
	record, err := k.decode(body)
	if err != nil {
		return nil, err
	}
	clear := json.MarshalToFunc(func(enc *jsontext.Encoder, c id.Commitment) error {
		text := ""
		if c != "" {
			kept, err := v.one([]any{&text}, `SELECT value FROM private_value WHERE commitment = ?3`, string(c))
			if err != nil {
				return err
			}
			if !kept {
				return enc.WriteValue(jsontext.Value(`{"erased":true}`))
			}
		}
		return enc.WriteToken(jsontext.String(text))
	})
	return json.Marshal(record, json.WithMarshalers(json.JoinMarshalers(clear, momentMarshaler(v.zone))), json.Deterministic(true))
}
