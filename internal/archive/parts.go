package archive

import (
	"errors"
	"reflect"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// format names what an archive looks like inside; a change of any line that is read
// back, or of its meaning, takes a new one.
const format = "rungbook.archive.v1"

// Members that are no lists of lines.
const (
	readmeName   = "README.md"
	manifestName = "manifest.json"
	publicName   = "ledger/public-key.txt"
	keyName      = "private/rungbook.key"
)

// The parts that the ledger is read from, side by side.
const (
	entriesName = "ledger/entries.jsonl"
	headsName   = "ledger/checkpoints.jsonl"
	draftsName  = "drafts/drafts.jsonl"
)

// A part is one list of lines of JSON, with a schema.
type part struct {
	name   string
	tables []string // of the database, that come back from it
	says   string   // what it holds, for the README and the page
	line   reflect.Type
	out    func(w *writing) error
	in     func(r *store.Raising, line []byte) error // nil: read otherwise, or not at all
}

// parts are what an archive holds, in the order in which they are read back:
// texts before the entries that commit to them.
func parts() []part {
	out := []part{
		textPart(),
		{entriesName, []string{"entry"}, "Every fact ever recorded, in order: a line is the exact bytes that are signed, so that line n is entry n − 1.",
			reflect.TypeFor[entryLine](), writeEntries, nil},
		{headsName, []string{"checkpoint"}, "Every signed head of the ledger: how many entries there were, and the signed note that covers them.",
			reflect.TypeFor[store.KeptHead](), func(w *writing) error { return w.view.EachHead(func(k store.KeptHead) error { return w.put(k) }) }, nil},
		plain("private/commands.jsonl", "command", "Which forms were sent, so that none is taken twice: a key, the hash of what it said and where it led.",
			(*store.View).EachCommand, (*store.Raising).Command),
		plain("private/accounts.jsonl", "account_secret", "How each account signs in: its e-mail address and the hash of its password (argon2id).",
			(*store.View).EachAccount, (*store.Raising).Account),
		plain("private/links.jsonl", "account_link", "Links that open or reset an account and wait to be used, each as its hash.",
			(*store.View).EachLink, (*store.Raising).Link),
		plain("private/tokens.jsonl", "token", "What programs show in an account's name, each as its hash; revoked ones too.",
			(*store.View).EachToken, (*store.Raising).Token),
		{draftsName, []string{"draft", "draft_progress", "told"}, "Drafts of plans, in the order in which they were made, with the chart of the search and who was told. Their files stand beside them, in drafts/ and the draft's id: problem.json, from.json (sessions to mend) and plan.json.",
			reflect.TypeFor[store.KeptDraft](), writeDrafts, nil},
	}
	for _, k := range store.RecordKinds() {
		out = append(out, recordPart(k))
	}
	return out
}

func textPart() part {
	p := plain("private/texts.jsonl", "private_value", "What people typed, as far as it was not erased: names, dates of birth, notes. A commitment in an entry is the SHA-256 of the salt and the text as JSON.",
		(*store.View).EachText, (*store.Raising).Text)
	p.tables = append(p.tables, "person_name")
	return p
}

// plain is a part whose lines are the rows of one table.
func plain[T any](name, table, says string, each func(*store.View, func(T) error) error, take func(*store.Raising, T) error) part {
	return part{name, []string{table}, says, reflect.TypeFor[T](),
		func(w *writing) error { return each(w.view, func(k T) error { return w.put(k) }) },
		func(r *store.Raising, line []byte) error {
			var k T
			if err := store.ReadLine(line, &k); err != nil {
				return err
			}
			return take(r, k)
		}}
}

// recordPart is a kind of record as it stands, for people and other programs. It is
// not read back: the entries are, and give it anew.
func recordPart(k store.RecordKind) part {
	return part{"records/" + k.Name + ".jsonl", nil, "", k.Body,
		func(w *writing) error {
			return w.view.EachStanding(k.Name, func(r store.KeptRecord) error { return w.put(r) })
		}, nil}
}

// readBack reports whether the lines of a part are taken when an archive is read,
// and not given anew by others.
func (p part) readBack() bool { return len(p.tables) > 0 }

func writeEntries(w *writing) error {
	return w.view.EachEntry(w.line)
}

// writeDrafts writes the lines; the files follow as members of their own.
func writeDrafts(w *writing) error {
	drafts, err := w.view.KeptDrafts()
	if err != nil {
		return err
	}
	for _, k := range drafts {
		k, err := w.view.Completed(k)
		if err != nil {
			return err
		}
		if err := w.put(k); err != nil {
			return err
		}
	}
	return nil
}

// draftFiles names the files of a draft.
func draftFiles(k store.KeptDraft) (names []string) {
	names = append(names, draftFile(k, "problem"))
	if k.HasFrom {
		names = append(names, draftFile(k, "from"))
	}
	if k.HasPlan {
		names = append(names, draftFile(k, "plan"))
	}
	return names
}

func draftFile(k store.KeptDraft, what string) string { return "drafts/" + k.ID + "/" + what + ".json" }

// eachDraftFile calls fn with every file of every draft; few are in memory at once.
func eachDraftFile(v *store.View, fn func(name string, file []byte) error) error {
	drafts, err := v.KeptDrafts()
	if err != nil {
		return err
	}
	for _, k := range drafts {
		files, err := v.DraftFiles(id.Draft(k.ID))
		if err != nil {
			return err
		}
		var all [][]byte
		for _, f := range [][]byte{files.Problem, files.From, files.Plan} {
			if f != nil {
				all = append(all, f)
			}
		}
		names := draftFiles(k)
		if len(names) != len(all) {
			return errors.New("the files of draft " + k.ID + " changed while it was read")
		}
		for i, f := range all {
			if err := fn(names[i], f); err != nil {
				return err
			}
		}
	}
	return nil
}

// evidenceStart begins the names of members that are files of evidence, each named by
// the SHA-256 of its bytes.
const evidenceStart = store.FilesName + "/"

// eachEvidenceFile calls fn with every file that an entry names. One that is missing
// or damaged is left out: the doctor names it, and all else is kept.
func eachEvidenceFile(v *store.View, fn func(name string, file []byte) error) error {
	hashes, err := v.FileHashes()
	if err != nil {
		return err
	}
	for _, hash := range hashes {
		b, err := v.File(hash)
		if kind := fault.Of(err); kind == fault.NotFound || kind == fault.Unusable {
			continue
		}
		if err != nil {
			return err
		}
		if err := fn(evidenceStart+hash, b); err != nil {
			return err
		}
	}
	return nil
}

// LeftOut is a thing that an archive does not hold, and why.
type LeftOut struct {
	Table string // of the database, or of sign-ins
	What  string
	Why   string
}

// leftOut names what is neither in a part nor derived.
var leftOut = []LeftOut{
	{"sign_in", "Who is signed in", "everybody signs in again"},
	{"setup_code", "The code for the first administrator", "a start without an account prints a new one"},
	{"migration", "Which steps made the database", "the program that reads the archive makes its own"},
}

// NotHeld returns what an archive does not hold.
func NotHeld() []LeftOut { return leftOut }
