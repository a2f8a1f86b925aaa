package archive

import (
	"fmt"
	"strings"

	"rungbook/internal/store"
)

// readme returns the text that explains an archive to whoever opens it.
func readme(m Manifest) []byte {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say(readmeLead, m.Version, m.Made, m.Entries, "of "+m.Origin, map[bool]string{false: " --key KEY-FILE"}[m.Key])
	say("## Lists that are read back\n")
	for _, p := range parts() {
		if p.readBack() {
			say("- `%s`: %s", p.name, p.says)
		}
	}
	say(`
## Lists for readers

They say again what the ledger says, and are compared when the archive is read back.
`)
	for _, k := range store.RecordKinds() {
		say("- `records/%s.jsonl`", k.Name)
	}
	say("\nevidence/ holds the files of rigs' dossiers and the photos of checks, each named by the SHA-256 of its\nbytes, as records/evidence.jsonl and records/preparation.jsonl name it. A file that is missing or damaged is not in it.")
	say(readmeLedger)
	if m.Key {
		say("`private/rungbook.key` is the secret key that signs the ledger. **Whoever has it can sign in this centre's name.**\n")
	} else {
		say("The secret key that signs the ledger is not in this archive. It is the file rungbook.key of the folder that the archive came from; without it the archive can be read, but not brought back.\n")
	}
	say("## What is not in it\n")
	for _, l := range leftOut {
		say("- %s: %s.", l.What, l.Why)
	}
	return []byte(b.String())
}

const readmeLead = `# A training centre's records

This archive holds the whole record of one training centre, as Rungbook %s
wrote it on %s. It has %d entries of the ledger %s.

**It holds personal data**: names, dates of birth, who took part in what and with
what result. Whoever has it can read all of that. Keep it as the law asks of you,
and delete it when it is not needed any more.

## To read it back

    rungbook read-back THIS-FILE --data DIR%s

makes a folder of records that is equal to the one that the archive came from. It
checks every sum, every entry, every signature and every text, and that the folder,
archived again, gives the same lines. It never writes over anything.

## To read it without Rungbook

Every list is JSON Lines: UTF-8, one JSON object a line. Each has a JSON Schema
(draft 2020-12) in schema/, under the name of the list with a hyphen for the slash.
manifest.json names every file with its length, its number of lines and its SHA-256.

records/ is what most readers want: what stands now, one file a kind, with what
people typed in the clear. A line has the record's id, its revision, the number of
the entry that put it there, and the first day on which it counts and the first on
which it does not. A record may have several lines, for days that follow each other.
What was struck out stands only in the ledger.

Moments are local time, offset and zone (RFC 9557). Days are local. Lengths and costs
are whole numbers, in the unit that the name of the member says.
`

const readmeLedger = `
## The ledger

A line of ledger/entries.jsonl is one fact: the full new state of one record, in
canonical JSON (RFC 8785). The lines are the leaves of a Merkle tree (RFC 6962,
SHA-256: a leaf is the line without its end, after a zero byte). A signed head
(C2SP tlog-checkpoint, in a signed note with Ed25519) gives the size and root of the
tree; ledger/public-key.txt is the key that checks its signature. So anybody can prove
that no fact was changed, added or taken out since it was signed.

Personal data is not in the ledger: an entry holds a commitment, and
private/texts.jsonl what it stands for, with its salt. A text that was erased is in
neither, and can't be guessed from its commitment.

Accounts, links, tokens, forms and drafts are not in the ledger. Only the sums of the
manifest cover them, and whoever changes a list can write a new manifest: take an
archive from where you trust it.
`
