package store

import (
	"database/sql"
	"fmt"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

// CertificatesOf returns every certificate of persons, in every state, by
// person, last valid day (no end stated last) and number.
func (v *View) CertificatesOf(of ...id.Person) ([]credential.Certificate, error) {
	return rowsFor[credential.Certificate](v, of, `certificate AS r ON r.person = want.value
		WHERE `+v.at("r")+` ORDER BY r.person, r.last_valid, r.number, r.id`)
}

// Certificate returns one certificate. Error: fault.NotFound.
func (v *View) Certificate(of id.Certificate) (Row[credential.Certificate], error) {
	return row[credential.Certificate](v, "certificate", "certificate", string(of))
}

// CertificateStep is one entry of a certificate: what it was from then on.
type CertificateStep struct {
	Index int64
	Entry ledger.Entry
	Value credential.Certificate
}

// CertificateSteps returns the entries of a certificate in their order. Error:
// fault.NotFound.
func (v *View) CertificateSteps(of id.Certificate) ([]CertificateStep, error) {
	list, err := v.entriesOf("certificate", string(of))
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, fault.New(fault.NotFound, "There is no certificate %s.", of)
	}
	out := make([]CertificateStep, 0, len(list))
	for _, n := range list {
		f, err := factOf(n.index, n.entry)
		if err != nil {
			return nil, err
		}
		out = append(out, CertificateStep{n.index, n.entry, f.record.(credential.Certificate)})
	}
	return out, nil
}

// CertificateByNumber returns the certificate with the centre's number n.
// Error: fault.NotFound.
func (v *View) CertificateByNumber(n int) (Row[credential.Certificate], error) {
	var of string
	found, err := v.one([]any{&of}, `SELECT r.id FROM certificate AS r WHERE r.number = ?3 AND `+v.at("r"), n)
	if err != nil {
		return Row[credential.Certificate]{}, err
	}
	if !found || n == 0 {
		return Row[credential.Certificate]{}, fault.New(fault.NotFound, "There is no certificate number %d.", n)
	}
	return v.Certificate(id.Certificate(of))
}

// LastCertificateNumber returns the greatest number given so far, 0 for none.
func (v *View) LastCertificateNumber() (n int, err error) {
	_, err = v.one([]any{&n}, `SELECT coalesce(max(number), 0) FROM certificate`)
	return n, err
}

// CertificateFilter chooses certificates; empty members choose all. UntilFrom
// and UntilTo bound the last valid day, both counted; certificates without an
// end fall outside an upper bound.
type CertificateFilter struct {
	Employer  id.Employer
	Programme id.Programme
	Kind      credential.Kind
	State     credential.State
	UntilFrom civil.Day
	UntilTo   civil.Day
	AfterKey  string
	Limit     int // 0 = 50
}

// CertificateRow is one line of the list of certificates.
type CertificateRow struct {
	Certificate credential.Certificate
	Name        string // of the person, "" if erased
	Employer    id.Employer
}

// Certificates returns a page of certificates by last valid day (no end stated
// last), number and id, and the key of the next page, "" after the last. Error:
// fault.Invalid for a key that is not one.
func (v *View) Certificates(f CertificateFilter) (out []CertificateRow, next string, err error) {
	after := []string{f.UntilFrom.String(), "-1", ""}
	if f.AfterKey != "" {
		if after = strings.Split(f.AfterKey, keyJoin); len(after) != 3 {
			return nil, "", fault.Field("after", "That is not a page of this list.")
		}
	}
	number, err := strconv.Atoi(after[1])
	if err != nil {
		return nil, "", fault.Field("after", "That is not a page of this list.")
	}
	last := "~" // above "open" and every day
	if f.UntilTo != 0 {
		last = f.UntilTo.String()
	}
	limit := limitOf(f.Limit)
	var key string
	err = v.each(func(rows *sql.Rows) error {
		if len(out) == limit {
			next = key
			return nil
		}
		var c CertificateRow
		var body sql.RawBytes
		var employer sql.NullString
		if err := rows.Scan(&body, &employer, &c.Name); err != nil {
			return err
		}
		if c.Certificate, err = decodeBody[credential.Certificate](body); err != nil {
			return err
		}
		c.Employer = id.Employer(employer.String)
		key = fmt.Sprint(dayText(c.Certificate.Until), keyJoin, c.Certificate.Number, keyJoin, c.Certificate.ID)
		out = append(out, c)
		return nil
	}, `SELECT c.body, p.employer, coalesce((SELECT value FROM private_value WHERE commitment = p.name), '')
		FROM certificate AS c CROSS JOIN person AS p ON p.id = c.person
		WHERE (c.last_valid, c.number, c.id) > (?3, ?4, ?5) AND c.last_valid <= ?6
			AND (?7 = '' OR p.employer = ?7) AND (?8 = '' OR c.programme = ?8) AND (?9 = '' OR c.covers = ?9)
			AND (?10 = '' OR c.state = ?10) AND `+v.at("c")+` AND `+v.at("p")+`
		ORDER BY c.last_valid, c.number, c.id LIMIT ?11`,
		after[0], number, after[2], last, string(f.Employer), string(f.Programme), string(f.Kind), string(f.State), limit+1)
	return out, next, err
}
