package ledger

import (
	"crypto/ed25519"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Checkpoint is the head of a log at one size, the text that is signed (C2SP
// tlog-checkpoint: origin, size, root, each on its line).
type Checkpoint struct {
	Origin string // names the log: "rungbook/" and an id
	Size   int64
	Root   Hash
}

// Text returns the checkpoint as the text of a note.
func (c Checkpoint) Text() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Size, c.Root)
}

// ParseCheckpoint reads what Text writes. It refuses extension lines: no log of
// ours has any, and an unknown one may change the meaning.
func ParseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.Split(text, "\n")
	if len(lines) != 4 || lines[3] != "" {
		return Checkpoint{}, fmt.Errorf("a checkpoint has three lines, this one %d", len(lines)-1)
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 || strconv.FormatInt(size, 10) != lines[1] {
		return Checkpoint{}, fmt.Errorf("checkpoint size %q is not a whole number", lines[1])
	}
	root, err := base64.StdEncoding.Strict().DecodeString(lines[2])
	if err != nil || len(root) != len(Hash{}) {
		return Checkpoint{}, fmt.Errorf("checkpoint root %q is not 32 bytes in base64", lines[2])
	}
	if lines[0] == "" {
		return Checkpoint{}, errors.New("checkpoint without an origin")
	}
	return Checkpoint{lines[0], size, Hash(root)}, nil
}

// NewKey makes an Ed25519 key pair for a log's origin, in the text forms of
// signed notes. Errors are those of random.
func NewKey(random io.Reader, origin string) (signer, verifier string, err error) {
	return note.GenerateKey(random, origin)
}

// Sign returns the checkpoint as a signed note.
func Sign(c Checkpoint, by note.Signer) (string, error) {
	if by.Name() != c.Origin {
		return "", fmt.Errorf("key of %q can't sign for %q", by.Name(), c.Origin)
	}
	b, err := note.Sign(&note.Note{Text: c.Text()}, by)
	return string(b), err
}

// OpenCheckpoint returns the checkpoint of a signed note whose signature by
// known holds; any other note is an error.
func OpenCheckpoint(signed string, known note.Verifier) (Checkpoint, error) {
	n, err := note.Open([]byte(signed), note.VerifierList(known))
	if err != nil {
		return Checkpoint{}, fmt.Errorf("checkpoint: %w", err)
	}
	c, err := ParseCheckpoint(n.Text)
	if err != nil {
		return Checkpoint{}, err
	}
	if c.Origin != known.Name() {
		return Checkpoint{}, fmt.Errorf("checkpoint of %q is signed by %q", c.Origin, known.Name())
	}
	return c, nil
}

// VerifierKey returns the public half of a signer's key text, so that a key
// file needs to hold only one of them.
func VerifierKey(signerKey string) (string, error) {
	parts := strings.SplitN(signerKey, "+", 5) // PRIVATE+KEY+name+hash+data; data may hold a plus too
	signer, err := note.NewSigner(signerKey)
	if err != nil {
		return "", err
	}
	data, err := base64.StdEncoding.DecodeString(parts[4])
	if err != nil || len(data) != 1+ed25519.SeedSize {
		return "", errors.New("the key is not an Ed25519 key")
	}
	private := ed25519.NewKeyFromSeed(data[1:])
	return note.NewEd25519VerifierKey(signer.Name(), private.Public().(ed25519.PublicKey))
}
