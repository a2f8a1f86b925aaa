// Package id holds the typed identifiers of everything Rungbook keeps, and
// their generator. An id is random, never derived from data, and never used
// again. In PROBLEM and PLAN files the same ids are plain strings.
package id

import (
	"encoding/base32"
	"encoding/binary"
	"io"
)

// One type a kind of record, so that a station can't be passed for a rig.
type (
	Yard        string
	RuleBook    string
	Rig         string
	Station     string
	Zone        string
	Circuit     string
	Kit         string
	Item        string
	Quarantine  string
	Shut        string
	Inspection  string
	RescuePlan  string
	WrittenPlan string
	Drill       string
	Evidence    string
	Outcome     string
	Exercise    string
	Programme   string
	Employer    string
	Person      string
	Intake      string
	Trainee     string
	Duty        string
	Away        string
	NoHeight    string
	Appointment string
	Account     string
	Session     string
	Certificate string
	Acceptance  string
	Batch       string
	Reading     string
	Incident    string
	Complaint   string
	CheckList   string
	Stay        string
	Authority   string
	Draft       string
	Token       string
	Profile     string
)

// Commitment stands in a record for a text, name, date or file that a person
// gave: hex SHA-256 of a random salt and the value. The value itself is kept
// apart from the ledger and can be erased. "" is "nothing given".
type Commitment string

// Maker makes new ids from injected randomness.
type Maker struct{ random io.Reader }

// NewMaker returns a Maker that draws from random; the program passes
// crypto/rand.Reader, tests and the demo a seeded stream.
func NewMaker(random io.Reader) *Maker { return &Maker{random} }

var letters = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// New returns 16 characters (80 bits) that match [a-z0-9]{16}.
func (m *Maker) New() string {
	var b [10]byte
	if _, err := io.ReadFull(m.random, b[:]); err != nil {
		panic("id: the source of randomness ended: " + err.Error())
	}
	return letters.EncodeToString(b[:])
}

// A Series makes ids that follow each other: half of each is random and shared, the
// other half counts. Where a hundred thousand rows are written at once, rows that
// stand together cost a fraction of rows that go all over the indexes.
type Series struct {
	start string
	next  uint64
}

// Series returns a new one.
func (m *Maker) Series() *Series { return &Series{start: m.New()[:8]} }

// Next returns the next id, of the same form as those of Maker.New. Precondition:
// fewer than 2^40 were taken.
func (s *Series) Next() string {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], s.next)
	s.next++
	return s.start + letters.EncodeToString(b[3:])
}

// Random returns n random bytes, for salts and keys.
func (m *Maker) Random(n int) []byte {
	b := make([]byte, n)
	if _, err := io.ReadFull(m.random, b); err != nil {
		panic("id: the source of randomness ended: " + err.Error())
	}
	return b
}
