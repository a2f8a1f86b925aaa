package store

import (
	"encoding/hex"

	"rungbook/internal/fault"
	"rungbook/internal/rig"
)

func evidenceKind() *kind {
	k := slow("evidence", func(e rig.Evidence) string { return string(e.ID) },
		func(e rig.Evidence) texts {
			out := texts{e.By, e.Authority, e.File.Name}
			for _, f := range e.Facts {
				out = append(out, f.Text)
			}
			for _, w := range evidenceWords(e) {
				out = append(out, w.Why)
			}
			return out
		},
		func(e rig.Evidence) []string {
			out := ids(e.Rig)
			for _, w := range evidenceWords(e) {
				out = append(out, string(w.By))
			}
			return out
		})
	k.check = func(r any) error {
		if !isHash(r.(rig.Evidence).File.Hash) {
			return fault.Field("file", "Evidence names no file.")
		}
		return nil
	}
	return k
}

func evidenceWords(e rig.Evidence) []rig.EvidenceWord {
	out := []rig.EvidenceWord{e.PutIn}
	for _, w := range []*rig.EvidenceWord{e.Accepted, e.Refused, e.Revoked} {
		if w != nil {
			out = append(out, *w)
		}
	}
	return out
}

// isHash reports whether a text is a hex SHA-256: the one form of name that a file
// beside the database can have.
func isHash(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == 32 && hex.EncodeToString(b) == s
}

// FileHashes returns the hashes of all files that any entry of the ledger names, in
// their order.
func (v *View) FileHashes() ([]string, error) {
	return list(v, scanText, `SELECT json_extract(r.body, '$.file.hash') FROM reference AS r
		WHERE r.kind = 'evidence' AND r.entry <= ?1
		UNION SELECT json_extract(photo.value, '$.hash') FROM preparation AS p, json_each(p.body, '$.photos') AS photo
		WHERE p.entry <= ?1 ORDER BY 1`)
}
