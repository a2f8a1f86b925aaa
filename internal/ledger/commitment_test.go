package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"pgregory.net/rapid"
)

func TestACommitmentIsSHA256OfSaltAndCanonicalValue(t *testing.T) {
	salt := Salt{1, 2, 3}
	sum := sha256.Sum256(append(salt[:], []byte(`"Ni\"am"`)...))
	got, err := Commit(salt, `Ni"am`)
	if err != nil || string(got) != hex.EncodeToString(sum[:]) {
		t.Errorf("got %s, %v; want %x", got, err, sum)
	}
	if _, err := Commit(salt, "\xff"); err == nil {
		t.Error("bytes that are not UTF-8 were committed to")
	}
}

func TestACommitmentOpensOnlyWithItsSaltAndText(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		salts := rapid.SliceOfN(rapid.Byte(), 32, 32)
		salt, other := Salt(salts.Draw(r, "salt")), Salt(salts.Draw(r, "other salt"))
		text, otherText := rapid.String().Draw(r, "text"), rapid.String().Draw(r, "other text")
		c, err := Commit(salt, text)
		if err != nil {
			r.Fatal(err)
		}
		if !Opens(c, salt, text) {
			r.Fatalf("does not open with its own salt and text")
		}
		if salt != other && Opens(c, other, text) || text != otherText && Opens(c, salt, otherText) {
			r.Fatalf("opens with another salt or text")
		}
	})
}
