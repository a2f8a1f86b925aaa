package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Version is the form that Encode writes. Decode reads it and all before it.
const Version = 1

// MaxBytes is the greatest length of an encoded entry: what the tile format of
// the transparency-log community holds in a 16-bit length (C2SP tlog-tiles,
// "Log entries"). Larger content is named by its SHA-256.
const MaxBytes = 65_535

// Entry is one fact: the full new state of one record, who put it there, when,
// and from which day it counts. Its members stand in the order of their canonical
// form, which they are so written in.
type Entry struct {
	Act          string         `json:"act"`      // what was done: "booked", "moved"
	Actor        id.Person      `json:"actor"`    // "" before anybody is on record, and where the program itself saw it
	Body         jsontext.Value `json:"body"`     // canonical JSON object
	Corrects     []int64        `json:"corrects"` // entries that this one corrects
	EffectiveDay civil.Day      `json:"effective_day"`
	For          string         `json:"for"`         // on whose behalf or for what, "" when for itself
	HappenedAt   string         `json:"happened_at"` // by the sender's clock
	ID           string         `json:"id"`          // of the record
	Key          string         `json:"key"`         // the command's client key
	Kind         string         `json:"kind"`        // of record, such as "session"
	RecordedAt   string         `json:"recorded_at"`
	Rev          int64          `json:"rev"`      // 1, 2, … in each record
	Role         string         `json:"role"`     // the role used
	RuleBook     id.RuleBook    `json:"rulebook"` // in force on EffectiveDay, "" when none
	V            int            `json:"v"`
	Yard         id.Yard        `json:"yard"` // "" before the yard's own first entry
}

// Recorded returns the moment of RecordedAt. Precondition: e was decoded, or
// RecordedAt was written by civil.Zone.Stamp.
func (e Entry) Recorded() civil.Instant { return moment(e.RecordedAt) }

// Happened returns the moment of HappenedAt, with the same precondition.
func (e Entry) Happened() civil.Instant { return moment(e.HappenedAt) }

func moment(stamp string) civil.Instant {
	at, _, err := civil.ParseStamp(stamp)
	if err != nil {
		panic("ledger: an entry that was checked holds a moment that can't be read: " + err.Error())
	}
	return at
}

// Encode returns the entry's canonical bytes (RFC 8785). It sets V, and brings Body
// to its canonical form. It returns an error for a member that Decode would refuse
// and for an entry above MaxBytes.
func Encode(e *Entry) ([]byte, error) {
	e.V = Version
	if e.Corrects == nil {
		e.Corrects = []int64{}
	}
	if err := e.check(); err != nil {
		return nil, err
	}
	b, err := encode(e)
	if err != nil {
		return nil, err
	}
	if len(b) > MaxBytes {
		return nil, fmt.Errorf("entry of %s %s has %d bytes; at most %d are kept in one", e.Kind, e.ID, len(b), MaxBytes)
	}
	return b, nil
}

// encode writes a checked entry: its members are declared in canonical order and
// hold texts and whole numbers, which the encoder writes in their one form, so that
// the body alone is brought to it.
func encode(e *Entry) ([]byte, error) {
	body, err := Canonical(e.Body)
	if err != nil {
		return nil, err
	}
	e.Body = body
	b, err := json.Marshal(e)
	if err != nil {
		return nil, fmt.Errorf("entry of %s %s: %w", e.Kind, e.ID, err)
	}
	return b, nil
}

// Canonical returns JSON in its one canonical form (RFC 8785). It refuses
// numbers that are not whole or lie outside ±(2^53 − 1): those would come back
// changed, and no record holds any. The decoder's own canonicalizer does it, four
// times as fast as the library made for it, which the tests keep as a second
// opinion.
func Canonical(b []byte) ([]byte, error) {
	if err := wholeNumbers(b); err != nil {
		return nil, err
	}
	out := jsontext.Value(bytes.Clone(b))
	if err := out.Canonicalize(); err != nil {
		return nil, fmt.Errorf("canonical JSON: %w", err)
	}
	return out, nil
}

// wholeNumbers looks at the numbers of a text; that it is JSON is for others to see.
func wholeNumbers(b []byte) error {
	for i := 0; i < len(b); i++ {
		switch c := b[i]; {
		case c == '"':
			for i++; i < len(b) && b[i] != '"'; i++ {
				if b[i] == '\\' {
					i++
				}
			}
		case c == '-' || '0' <= c && c <= '9':
			from := i
			for i+1 < len(b) && inNumber(b[i+1]) {
				i++
			}
			if n := string(b[from : i+1]); !whole(n) {
				return fmt.Errorf("canonical JSON: %s is not a whole number within ±(2^53 − 1)", n)
			}
		}
	}
	return nil
}

func inNumber(c byte) bool {
	return '0' <= c && c <= '9' || c == '.' || c == 'e' || c == 'E' || c == '+' || c == '-'
}

// most is the greatest whole number that every reader of JSON keeps.
const most = 1<<53 - 1

var mostDigits = strconv.FormatInt(most, 10)

func whole(number string) bool {
	digits := strings.TrimPrefix(number, "-")
	for _, c := range []byte(digits) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(digits) < len(mostDigits) || len(digits) == len(mostDigits) && digits <= mostDigits
}

// Decode reads an entry of any version and lifts its body to the present form.
// It is strict: unknown, missing and repeated members, another member order and
// every other spelling of the same value are errors, so that one fact has one
// encoding.
func Decode(b []byte) (Entry, error) {
	if len(b) > MaxBytes {
		return Entry{}, fmt.Errorf("an entry has at most %d bytes, this one %d", MaxBytes, len(b))
	}
	v, err := versionOf(b)
	if err != nil {
		return Entry{}, err
	}
	switch v {
	case 1:
		return decode1(b)
	default:
		return Entry{}, fmt.Errorf("entry of version %d; this program reads up to %d", v, Version)
	}
}

func versionOf(b []byte) (int, error) {
	var head struct {
		V *int `json:"v"`
	}
	if err := json.Unmarshal(b, &head); err != nil {
		return 0, fmt.Errorf("entry: %w", err)
	}
	if head.V == nil {
		return 0, errors.New("entry without a version")
	}
	return *head.V, nil
}

func decode1(b []byte) (Entry, error) {
	var e Entry
	if err := json.Unmarshal(b, &e, json.RejectUnknownMembers(true)); err != nil {
		return Entry{}, fmt.Errorf("entry: %w", err)
	}
	if err := e.check(); err != nil {
		return Entry{}, err
	}
	again, err := encode(&e)
	if err != nil {
		return Entry{}, err
	}
	if !bytes.Equal(again, b) {
		return Entry{}, fmt.Errorf("entry of %s %s is not in canonical form", e.Kind, e.ID)
	}
	e.Body, err = lift(1, e.Kind, e.Body)
	return e, err
}

// lift brings a body of an older entry version to the present form: one case a
// version and kind whose body has changed since. Version 1 is the present form.
func lift(v int, kind string, body jsontext.Value) (jsontext.Value, error) {
	switch v {
	case Version:
		return body, nil
	default:
		return nil, fmt.Errorf("no way is known from version %d of %s to version %d", v, kind, Version)
	}
}

// check returns the first thing wrong with the entry's members.
func (e Entry) check() error {
	wrong := func(member, format string, args ...any) error {
		return fmt.Errorf("entry of %s %s: %s: %s", e.Kind, e.ID, member, fmt.Sprintf(format, args...))
	}
	if !isKind(e.Kind) {
		return fmt.Errorf("entry: kind %q is not lower-case letters and hyphens", e.Kind)
	}
	if !isID(e.ID) {
		return fmt.Errorf("entry of %s: id %q is not 1 to 64 of a to z, 0 to 9 and hyphen", e.Kind, e.ID)
	}
	if e.Rev < 1 || e.Rev > most {
		return wrong("rev", "%d is not 1 to 2^53 − 1", e.Rev)
	}
	if !isKind(e.Act) {
		return wrong("act", "%q is not lower-case letters and hyphens", e.Act)
	}
	if _, _, err := civil.ParseStamp(e.RecordedAt); err != nil {
		return wrong("recorded_at", "%v", err)
	}
	if _, _, err := civil.ParseStamp(e.HappenedAt); err != nil {
		return wrong("happened_at", "%v", err)
	}
	if e.EffectiveDay < 1 {
		return wrong("effective_day", "no day")
	}
	if !slices.IsSorted(e.Corrects) || len(slices.Compact(slices.Clone(e.Corrects))) != len(e.Corrects) ||
		len(e.Corrects) > 0 && (e.Corrects[0] < 0 || e.Corrects[len(e.Corrects)-1] > most) {
		return wrong("corrects", "%v are not rising entry numbers", e.Corrects)
	}
	if e.Body.Kind() != '{' {
		return wrong("body", "not an object")
	}
	return nil
}

func isKind(s string) bool {
	for _, c := range []byte(s) {
		if (c < 'a' || c > 'z') && c != '-' {
			return false
		}
	}
	return s != ""
}

func isID(s string) bool {
	for _, c := range []byte(s) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return s != "" && len(s) <= 64
}
