package ledger

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"fmt"

	"github.com/go-json-experiment/json"

	"rungbook/internal/id"
)

// Salt keeps a commitment from being guessed. One salt serves one value.
type Salt [32]byte

// Commit returns the commitment to a text: hex SHA-256 over the salt and the
// text as canonical JSON. It returns an error for text that is not UTF-8.
func Commit(salt Salt, text string) (id.Commitment, error) {
	value, err := json.Marshal(text)
	if err != nil {
		return "", fmt.Errorf("commitment: %w", err)
	}
	value, err = Canonical(value)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(append(salt[:], value...))
	return id.Commitment(hex.EncodeToString(sum[:])), nil
}

// Opens reports whether salt and text are what c commits to.
func Opens(c id.Commitment, salt Salt, text string) bool {
	got, err := Commit(salt, text)
	return err == nil && subtle.ConstantTimeCompare([]byte(got), []byte(c)) == 1
}
