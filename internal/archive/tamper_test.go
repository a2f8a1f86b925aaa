package archive

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/fault"
)

// rezip packs members again, the manifest last.
func rezip(t testing.TB, members map[string][]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(members)) {
		out, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := out.Write(members[name]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// resum makes a manifest agree with the members, as whoever changes them could.
func resum(t testing.TB, members map[string][]byte) {
	t.Helper()
	var m Manifest
	if err := json.Unmarshal(members[manifestName], &m); err != nil {
		t.Fatal(err)
	}
	m.Files = slices.DeleteFunc(m.Files, func(f File) bool { return members[f.Name] == nil })
	for name, text := range members {
		f := File{Name: name, Bytes: int64(len(text)), SHA256: sum(text)}
		if strings.HasSuffix(name, ".jsonl") {
			f.Lines = int64(bytes.Count(text, []byte{'\n'}))
		}
		if i := slices.IndexFunc(m.Files, func(f File) bool { return f.Name == name }); i >= 0 {
			m.Files[i] = f
		} else if name != manifestName {
			m.Files = append(m.Files, f)
		}
	}
	var err error
	if members[manifestName], err = json.Marshal(m); err != nil {
		t.Fatal(err)
	}
}

// refused fails unless an archive is refused with each of the words said.
func refused(t *testing.T, b []byte, l limits, words ...string) {
	t.Helper()
	_, err := Return{Clock: clock}.into(t.Context(), t.TempDir(), bytes.NewReader(b), int64(len(b)), l)
	if fault.Of(err) != fault.Unusable {
		t.Fatalf("got %v (%v), want unusable", err, fault.Of(err))
	}
	for _, w := range words {
		if !strings.Contains(fault.Message(err), w) {
			t.Errorf("it says %q, and not %q", fault.Message(err), w)
		}
	}
}

func TestWhatIsRefusedLeavesNothingBehindAndNamesTheFile(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	members["records/person.jsonl"] = members["records/rig.jsonl"] // seen last of all
	resum(t, members)
	path := filepath.Join(t.TempDir(), "x.zip")
	if err := os.WriteFile(path, rezip(t, members), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "a", "yard")
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: dir, Clock: clock}); fault.Of(err) != fault.Unusable || !strings.Contains(err.Error(), path) {
		t.Errorf("from the file: %v", err)
	}
	if list, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(list) > 0 {
		t.Errorf("left behind: %v, %v", list, err)
	}
}

func TestEachAlteredMemberIsRefusedByName(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	for name, text := range members {
		if name == manifestName || len(text) == 0 {
			continue
		}
		changed := maps.Clone(members)
		other := bytes.Clone(text)
		other[len(other)/2] ^= 1
		changed[name] = other
		z := rezip(t, changed)
		o, err := open(t.Context(), bytes.NewReader(z), int64(len(z)), common)
		if err != nil {
			t.Fatal(err)
		}
		if err := o.compareSums(); fault.Of(err) != fault.Unusable || !strings.Contains(err.Error(), name) || !strings.Contains(err.Error(), "SHA-256") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestWhoeverWritesANewManifestIsStillRefused alters what the ledger's signature or
// its commitments cover, and makes every sum of the manifest right again.
func TestWhoeverWritesANewManifestIsStillRefused(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	replace := func(name, old, new string) func(map[string][]byte) {
		return func(m map[string][]byte) {
			if !bytes.Contains(m[name], []byte(old)) {
				t.Fatalf("%s lacks %s", name, old)
			}
			m[name] = bytes.Replace(m[name], []byte(old), []byte(new), 1)
		}
	}
	drop := func(name string, line int) func(map[string][]byte) {
		return func(m map[string][]byte) {
			all := slices.Collect(bytes.Lines(m[name]))
			if line < 0 {
				line += len(all)
			}
			m[name] = bytes.Join(slices.Delete(all, line, line+1), nil)
		}
	}
	problem := slices.Sorted(maps.Keys(members))[slices.IndexFunc(slices.Sorted(maps.Keys(members)), func(n string) bool { return strings.HasSuffix(n, "/problem.json") })]
	for name, c := range map[string]struct {
		change func(map[string][]byte)
		words  []string
	}{
		"a fact is changed":                {replace(entriesName, `"rev":1`, `"rev":2`), []string{headsName, "not that of the entries"}},
		"a fact is spelt another way":      {replace(entriesName, `"act":`, `"act": `), []string{entriesName, "line 1", "canonical"}},
		"a fact is taken out":              {drop(entriesName, 3), []string{headsName, "not that of the entries"}},
		"the last fact is taken out":       {drop(entriesName, -1), []string{headsName, "there are"}},
		"the newest head is taken out":     {drop(headsName, -1), []string{entriesName, "goes on after"}},
		"a head is of another size":        {replace(headsName, `{"size":`, `{"size":1`), []string{headsName, "line 1", "not that of the entries"}},
		"a head is changed":                {replace(headsName, `"note":"rungbook/`, `"note":"rungbook/x`), []string{headsName, "line 1", "not signed"}},
		"an unknown member of a head":      {replace(headsName, `{"size"`, `{"more":1,"size"`), []string{headsName, "line 1", "more"}},
		"a name is changed":                {replace("private/texts.jsonl", `"value":"`, `"value":"X`), []string{"private/texts.jsonl", "line 1", "commits to"}},
		"a name is made up":                {replace("records/person.jsonl", `"name":"`, `"name":"X`), []string{"records/person.jsonl", "is not what the ledger"}},
		"a person is made up":              {replace("records/person.jsonl", `{"id"`, "{\"id\":\"x\"}\n{\"id\""), []string{"records/person.jsonl"}},
		"a session is taken out":           {drop("records/session.jsonl", 0), []string{"records/session.jsonl"}},
		"a draft's problem is another one": {replace(problem, "1", "2"), []string{draftsName, "line 1", "not those that it names"}},
		"a draft of no known state":        {replace(draftsName, `"state":"done"`, `"state":"dear"`), []string{draftsName, "line 1", "CHECK"}},
		"a draft without its file":         {func(m map[string][]byte) { delete(m, problem) }, []string{"problem.json", "is missing"}},
		"an account of nobody":             {replace("private/accounts.jsonl", `{"account":"`, `{"account":"x`), []string{"speaks of a record that is not there"}},
		"a command twice": {func(m map[string][]byte) {
			m["private/commands.jsonl"] = append(m["private/commands.jsonl"], m["private/commands.jsonl"]...)
		}, []string{"private/commands.jsonl", "UNIQUE"}},
		"a line that is no JSON":    {replace("private/tokens.jsonl", `{"id"`, `{id`), []string{"private/tokens.jsonl", "line 1"}},
		"a line without end":        {func(m map[string][]byte) { m["private/tokens.jsonl"] = bytes.TrimSpace(m["private/tokens.jsonl"]) }, []string{"private/tokens.jsonl", "line 1", "no end"}},
		"a token without a name":    {replace("private/tokens.jsonl", `"name":"Wall",`, ``), []string{"private/tokens.jsonl"}},
		"another public key":        {replace(publicName, "+", "-"), []string{publicName}},
		"another key":               {replace(keyName, "PRIVATE+KEY", "PRIVATE-KEY"), []string{"signing key"}},
		"a list of no known kind":   {func(m map[string][]byte) { m["records/sheep.jsonl"] = []byte("{}\n") }, []string{"records/sheep.jsonl", "no list"}},
		"another number of entries": {replace(manifestName, `"entries":`, `"entries":1`), []string{manifestName, "entries"}},
		"another ledger":            {replace(manifestName, `"origin":"`, `"origin":"x`), []string{manifestName, "ledger"}},
		"another head":              {replace(manifestName, `"head":"`, `"head":"x`), []string{manifestName, "head"}},
	} {
		t.Run(name, func(t *testing.T) {
			changed := maps.Clone(members)
			resum(t, changed)
			c.change(changed)
			resum(t, changed)
			refused(t, rezip(t, changed), common, c.words...)
		})
	}
}

func TestAManifestThatDoesNotAgreeWithTheFileIsRefused(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	for name, c := range map[string]struct {
		change func(map[string][]byte)
		words  string
	}{
		"no manifest":         {func(m map[string][]byte) { delete(m, manifestName) }, "no manifest.json"},
		"no JSON":             {func(m map[string][]byte) { m[manifestName] = []byte("{") }, "manifest.json can't be read"},
		"another form":        {func(m map[string][]byte) { m[manifestName] = []byte(`{"format":"rungbook.archive.v9"}`) }, `"rungbook.archive.v9"`},
		"a member of its own": {func(m map[string][]byte) { m["../../etc/x"] = nil }, `"../../etc/x" is in the file`},
		"a member less":       {func(m map[string][]byte) { delete(m, "records/rig.jsonl") }, `"records/rig.jsonl" is missing`},
		"a longer member":     {func(m map[string][]byte) { m["README.md"] = append(m["README.md"], 'x') }, `"README.md" has`},
		"a part less":         {func(m map[string][]byte) { delete(m, "records/rig.jsonl"); resum(t, m) }, "records/rig.jsonl is missing"},
		"a key nobody spoke of": {func(m map[string][]byte) {
			m[manifestName] = bytes.Replace(m[manifestName], []byte(`"key": true`), []byte(`"key": false`), 1)
		}, "signing key"},
		"a member named twice": {func(m map[string][]byte) {
			m[manifestName] = bytes.Replace(m[manifestName], []byte(`"files": [`), []byte(`"files": [{"name":"README.md","bytes":`+fmt.Sprint(len(m["README.md"]))+`,"lines":0,"sha256":""},`), 1)
		}, "twice"},
	} {
		t.Run(name, func(t *testing.T) {
			changed := maps.Clone(members)
			c.change(changed)
			refused(t, rezip(t, changed), common, c.words)
		})
	}
}

func TestAFileThatIsNoWholeArchiveIsRefused(t *testing.T) {
	_, b := whole(t)
	refused(t, nil, common, "no ZIP file")
	refused(t, []byte("PK\x03\x04 sheep"), common, "no ZIP file")
	refused(t, b[:len(b)-1], common, "no ZIP file")
	var twice bytes.Buffer
	z := zip.NewWriter(&twice)
	for range 2 {
		if _, err := z.Create("README.md"); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	refused(t, twice.Bytes(), common, "twice")
}

// TestABombIsRefusedBeforeItIsUnpacked has the last that passes and the first that
// fails of each limit.
func TestABombIsRefusedBeforeItIsUnpacked(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	longest, largest, total := 0, 0, 0
	for name, text := range members {
		total += len(text)
		if strings.HasPrefix(name, "drafts/") && !strings.HasSuffix(name, ".jsonl") || name == keyName || strings.HasPrefix(name, evidenceStart) {
			largest = max(largest, len(text))
		}
		if parted := slices.IndexFunc(parts(), func(p part) bool { return p.name == name }); parted >= 0 && parts()[parted].readBack() {
			for line := range bytes.Lines(text) {
				longest = max(longest, len(line))
			}
		}
	}
	all := map[string]struct {
		at    int64
		set   func(*limits, int64)
		words string
	}{
		"members":  {int64(len(members)), func(l *limits, n int64) { l.members = int(n) }, "members"},
		"manifest": {int64(len(members[manifestName])), func(l *limits, n int64) { l.manifest = n }, manifestName},
		"line":     {int64(longest), func(l *limits, n int64) { l.line = int(n) }, "it has more than"},
		"file":     {int64(largest), func(l *limits, n int64) { l.file = n }, "at most"},
		"ratio":    {int64((total + len(b) - 1) / len(b)), func(l *limits, n int64) { l.ratio = n }, "times its own size"},
	}
	var tight limits
	for _, limit := range all {
		limit.set(&tight, limit.at)
	}
	if _, err := (Return{Clock: clock}).into(t.Context(), t.TempDir(), bytes.NewReader(b), int64(len(b)), tight); err != nil {
		t.Errorf("at every limit: %v", err)
	}
	for name, limit := range all {
		t.Run(name, func(t *testing.T) {
			l := common
			limit.set(&l, limit.at-1)
			refused(t, b, l, limit.words)
		})
	}
	if ratio := total / len(b); int64(ratio) > common.ratio/4 {
		t.Errorf("an honest archive unpacks to %d times its size, which is near the limit of %d", ratio, common.ratio)
	}
	t.Run("zeros", func(t *testing.T) {
		changed := maps.Clone(members)
		changed["private/texts.jsonl"] = make([]byte, 256<<20)
		refused(t, rezip(t, changed), common, "times its own size")
	})
}

// TestAMemberLongerThanItSaysIsRefused states another length than there is, both in
// the file's table of contents and in the manifest.
func TestAMemberLongerThanItSaysIsRefused(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	text := members["README.md"]
	short := maps.Clone(members)
	short["README.md"] = text[:10]
	resum(t, short)
	delete(short, "README.md")
	z := rezip(t, short)
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	r, err := zip.NewReader(bytes.NewReader(z), int64(len(z)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.File {
		if err := w.Copy(f); err != nil {
			t.Fatal(err)
		}
	}
	raw, err := w.CreateRaw(&zip.FileHeader{Name: "README.md", Method: zip.Store, CRC32: crc32.ChecksumIEEE(text),
		CompressedSize64: uint64(len(text)), UncompressedSize64: 10})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := raw.Write(text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	refused(t, out.Bytes(), common, "README.md")
}
