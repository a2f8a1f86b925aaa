package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
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
// and from which day it counts.
type Entry struct {
	V            int            `json:"v"`
	Kind         string         `json:"kind"` // of record, such as "session"
	ID           string         `json:"id"`   // of the record
	Rev          int64          `json:"rev"`  // 1, 2, … in each record
	Act          string         `json:"act"`  // what was done: "booked", "moved"
	Yard         id.Yard        `json:"yard"` // "" before the yard's own first entry
	RecordedAt   string         `json:"recorded_at"`
	HappenedAt   string         `json:"happened_at"` // by the sender's clock
	EffectiveDay civil.Day      `json:"effective_day"`
	Actor        id.Person      `json:"actor"` // "" before anybody is on record, and where the program itself saw it
	Role         string         `json:"role"`  // the role used
	For          string         `json:"for"`   // on whose behalf or for what, "" when for itself
	Key          string         `json:"key"`   // the command's client key
	Corrects     []int64        `json:"corrects"`
	RuleBook     id.RuleBook    `json:"rulebook"` // in force on EffectiveDay, "" when none
	Body         jsontext.Value `json:"body"`     // canonical JSON object
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

// Encode returns the entry's canonical bytes (RFC 8785). It sets V. It returns
// an error for a member that Decode would refuse and for an entry above MaxBytes.
func Encode(e Entry) ([]byte, error) {
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

func encode(e Entry) ([]byte, error) {
	b, err := json.Marshal(e)
	if err != nil {
		return nil, fmt.Errorf("entry of %s %s: %w", e.Kind, e.ID, err)
	}
	return Canonical(b)
}

// BodyOf returns the body within the bytes that Encode wrote, canonical too.
func BodyOf(raw []byte) (jsontext.Value, error) {
	dec := jsontext.NewDecoder(bytes.NewReader(raw))
	if _, err := dec.ReadToken(); err != nil {
		return nil, err
	}
	for { // "body" is the third member in canonical order
		name, err := dec.ReadToken()
		if err != nil {
			return nil, err
		}
		found := name.String() == "body"
		value, err := dec.ReadValue()
		if err != nil || found {
			return bytes.Clone(value), err
		}
	}
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

func wholeNumbers(b []byte) error {
	dec := jsontext.NewDecoder(bytes.NewReader(b))
	for dec.PeekKind() != 0 {
		tok, err := dec.ReadToken()
		if err != nil {
			return fmt.Errorf("canonical JSON: %w", err)
		}
		if tok.Kind() == '0' && !whole(tok.String()) {
			return fmt.Errorf("canonical JSON: %s is not a whole number within ±(2^53 − 1)", tok)
		}
	}
	return nil
}

func whole(number string) bool {
	const most = "9007199254740991" // 2^53 − 1
	digits := strings.TrimPrefix(number, "-")
	for _, c := range []byte(digits) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(digits) < len(most) || len(digits) == len(most) && digits <= most
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
	again, err := encode(e)
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
	if e.Rev < 1 {
		return wrong("rev", "%d is below 1", e.Rev)
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
		len(e.Corrects) > 0 && e.Corrects[0] < 0 {
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
