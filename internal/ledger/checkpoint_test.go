package ledger

import (
	"bytes"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"pgregory.net/rapid"
)

const origin = "rungbook/ky1y0000000000aa"

// keys makes a key pair from a fixed stream.
func keys(t testing.TB, of string, seed byte) (note.Signer, note.Verifier) {
	t.Helper()
	secret, public, err := NewKey(bytes.NewReader(bytes.Repeat([]byte{seed}, 64)), of)
	if err != nil {
		t.Fatal(err)
	}
	again, err := VerifierKey(secret)
	if err != nil || again != public {
		t.Fatalf("VerifierKey = %q, %v; want %q", again, err, public)
	}
	signer, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	verifier, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	return signer, verifier
}

func TestACheckpointIsThreeLinesOfASignedNote(t *testing.T) {
	c := Checkpoint{origin, 3, root(t, grown(t, "a", "b", "c"))}
	want := origin + "\n3\nNmQuc8JUCrEh46a/lUWwokmCzYMOsT080Z3jzmwCHsE=\n" // C2SP tlog-checkpoint
	if c.Text() != want {
		t.Errorf("got %q, want %q", c.Text(), want)
	}
	signer, verifier := keys(t, origin, 1)
	signed, err := Sign(c, signer)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(signed, want+"\n— "+origin+" ") { // C2SP signed-note
		t.Errorf("signed note is %q", signed)
	}
	got, err := OpenCheckpoint(signed, verifier)
	if err != nil || got != c {
		t.Errorf("got %+v, %v; want %+v", got, err, c)
	}
}

func TestACheckpointOfAnotherKeyOrOriginIsRefused(t *testing.T) {
	signer, verifier := keys(t, origin, 1)
	other, otherVerifier := keys(t, origin, 2)
	foreign, _ := keys(t, "rungbook/another", 1)
	c := Checkpoint{origin, 1, Hash{1}}
	if _, err := Sign(c, foreign); err == nil {
		t.Error("a key signed for another origin")
	}
	signed, err := Sign(c, other)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := OpenCheckpoint(signed, verifier); err == nil {
		t.Error("a note signed by another key was opened")
	}
	if _, err := OpenCheckpoint(strings.Replace(signed, "\n1\n", "\n2\n", 1), otherVerifier); err == nil {
		t.Error("a note changed after signing was opened")
	}
	text := Checkpoint{"rungbook/other", 1, Hash{}}.Text()
	b, err := note.Sign(&note.Note{Text: text}, signer)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := OpenCheckpoint(string(b), verifier); err == nil {
		t.Error("a checkpoint of another origin was opened")
	}
}

func TestACheckpointOfAnotherFormIsRefused(t *testing.T) {
	good := Checkpoint{origin, 12, Hash{7}}.Text()
	for name, text := range map[string]string{
		"extension line": good + "more\n", "no last newline": strings.TrimSuffix(good, "\n"), "nothing": "",
		"leading zero": strings.Replace(good, "12", "012", 1), "plus sign": strings.Replace(good, "12", "+12", 1),
		"below nothing": strings.Replace(good, "12", "-1", 1), "no origin": strings.TrimPrefix(good, origin),
		"short root": origin + "\n12\nAAAA\n", "loose base64": strings.Replace(good, "AAA=", "AAB=", 1),
	} {
		if c, err := ParseCheckpoint(text); err == nil {
			t.Errorf("%s: read as %+v", name, c)
		}
	}
	if c, err := ParseCheckpoint(good); err != nil || c.Size != 12 {
		t.Errorf("the good one: %+v, %v", c, err)
	}
}

func TestParseCheckpointReadsWhatTextWrites(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		want := Checkpoint{rapid.StringMatching(`[a-z/]{1,20}`).Draw(r, "origin"), rapid.Int64Min(0).Draw(r, "size"),
			Hash(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(r, "root"))}
		if got, err := ParseCheckpoint(want.Text()); err != nil || got != want {
			r.Fatalf("got %+v, %v; want %+v", got, err, want)
		}
	})
}

func TestVerifierKeyRefusesWhatIsNoKey(t *testing.T) {
	for _, text := range []string{"", "PRIVATE+KEY", "PRIVATE+KEY+a+00000000+AQ==", "PRIVATE+KEY+a+b+c+d"} {
		if got, err := VerifierKey(text); err == nil {
			t.Errorf("%q gave %q", text, got)
		}
	}
}
