package ledger

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"
	"github.com/gowebpki/jcs"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

func sample() Entry {
	day, _ := civil.ParseDay("2027-03-01")
	return Entry{
		V: 1, Kind: "session", ID: "s1", Rev: 2, Act: "moved", Yard: "ky1y", RecordedAt: "2027-03-01T08:00:00+00:00[Europe/Dublin]",
		HappenedAt: "2027-03-01T07:59:00+00:00[Europe/Dublin]", EffectiveDay: day, Actor: "brona", Role: "instructor", For: "",
		Key: "k-1", Corrects: []int64{}, RuleBook: "book-1", Body: jsontext.Value(`{"id":"s1","places":6}`),
	}
}

const sampleBytes = `{"act":"moved","actor":"brona","body":{"id":"s1","places":6},"corrects":[],"effective_day":"2027-03-01","for":"",` +
	`"happened_at":"2027-03-01T07:59:00+00:00[Europe/Dublin]","id":"s1","key":"k-1","kind":"session",` +
	`"recorded_at":"2027-03-01T08:00:00+00:00[Europe/Dublin]","rev":2,"role":"instructor","rulebook":"book-1","v":1,"yard":"ky1y"}`

func TestAnEntryOfVersion1HasTheseBytes(t *testing.T) {
	e := sample()
	got, err := Encode(&e)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != sampleBytes {
		t.Errorf("got  %s\nwant %s", got, sampleBytes)
	}
	back, err := Decode(got)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(sample(), back); diff != "" {
		t.Error(diff)
	}
	e.Body = jsontext.Value(` { "places" : 6, "id":"s\u0031" }`)
	if got, err = Encode(&e); err != nil || string(got) != sampleBytes || string(e.Body) != string(back.Body) {
		t.Errorf("of a body spelt otherwise: %s, %v; the body is %s", got, err, e.Body)
	}
	if back.Recorded().Sub(back.Happened()) != 1 {
		t.Errorf("recorded %d, happened %d", back.Recorded(), back.Happened())
	}
}

// Entries once written are read for ever: these files are never changed.
func TestEveryEntryEverWrittenIsStillRead(t *testing.T) {
	files, err := filepath.Glob("testdata/v*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d kept entries, %v", len(files), err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		e, err := Decode([]byte(strings.TrimSuffix(string(b), "\n")))
		if err != nil {
			t.Errorf("%s: %v", file, err)
		}
		if !json.Valid(e.Body) {
			t.Errorf("%s: body %s", file, e.Body)
		}
	}
}

func TestDecodeRefusesEveryOtherSpelling(t *testing.T) {
	with := func(old, new string) string {
		if !strings.Contains(sampleBytes, old) {
			t.Fatalf("the sample holds no %s", old)
		}
		return strings.Replace(sampleBytes, old, new, 1)
	}
	for name, text := range map[string]string{
		"nothing":                   "",
		"no object":                 "[]",
		"no version":                with(`,"v":1`, ""),
		"a newer version":           with(`"v":1`, `"v":2`),
		"version 0":                 with(`"v":1`, `"v":0`),
		"version as text":           with(`"v":1`, `"v":"1"`),
		"an unknown member":         with(`"v":1`, `"v":1,"x":1`),
		"a missing member":          with(`"for":"",`, ""),
		"a member twice":            with(`"for":"",`, `"for":"","for":"",`),
		"another case":              with(`"for"`, `"For"`),
		"another order":             with(`"act":"moved","actor":"brona"`, `"actor":"brona","act":"moved"`),
		"a space":                   with(`"rev":2`, `"rev": 2`),
		"a trailing line":           sampleBytes + "\n",
		"a number with an exponent": with(`"places":6`, `"places":6e0`),
		"a needless escape":         with(`"moved"`, `"\u006doved"`),
		"revision 0":                with(`"rev":2`, `"rev":0`),
		"a kind with a space":       with(`"kind":"session"`, `"kind":"ses sion"`),
		"an empty kind":             with(`"kind":"session"`, `"kind":""`),
		"an act in capitals":        with(`"act":"moved"`, `"act":"Moved"`),
		"an empty id":               with(`"id":"s1","key"`, `"id":"","key"`),
		"an id with a slash":        with(`"id":"s1","key"`, `"id":"a/b","key"`),
		"no effective day":          with(`"effective_day":"2027-03-01"`, `"effective_day":""`),
		"a day that is none":        with(`"effective_day":"2027-03-01"`, `"effective_day":"2027-02-29"`),
		"recorded without a zone":   with(`08:00:00+00:00[Europe/Dublin]`, `08:00:00+00:00`),
		"happened with seconds":     with(`07:59:00+00:00`, `07:59:01+00:00`),
		"corrections out of order":  with(`"corrects":[]`, `"corrects":[3,2]`),
		"a correction twice":        with(`"corrects":[]`, `"corrects":[2,2]`),
		"a correction of -1":        with(`"corrects":[]`, `"corrects":[-1]`),
		"a body that is a list":     with(`{"id":"s1","places":6}`, `[]`),
		"a body of null":            with(`{"id":"s1","places":6}`, `null`),
		"a fraction in the body":    with(`"places":6`, `"places":6.5`),
		"2^53 in the body":          with(`"places":6`, `"places":9007199254740992`),
		"invalid UTF-8":             with(`"brona"`, "\"bron\xff\""),
	} {
		if e, err := Decode([]byte(text)); err == nil {
			t.Errorf("%s: read as %+v", name, e)
		}
	}
}

func TestNumbersUpTo2To53AreKeptWhole(t *testing.T) {
	for number, want := range map[string]bool{
		"9007199254740991": true, "-9007199254740991": true, "9007199254740992": false, "-9007199254740992": false,
		"10000000000000000": false, "0": true, "1e2": false, "0.5": false, "-0.0": false, "1E2": false, "1e+2": false,
	} {
		for _, in := range []string{`{"n":%}`, `[1,%]`, ` % `, `{"\"":"\\","a":[ % ,2]}`, `{"% 0.5\"0.5":"0.5","n":%}`} {
			in = strings.ReplaceAll(in, "%", number)
			if _, err := Canonical([]byte(in)); (err == nil) != want {
				t.Errorf("%s: %v", in, err)
			}
		}
	}
	for _, text := range []string{`{"n":1`, `{"n":1}2`, `"1`, `"1\`, `1-2`, `01`, `-`, `{"a":1,"a":2}`, ``, `{"a":nul}`} {
		if got, err := Canonical([]byte(text)); err == nil {
			t.Errorf("%q is no JSON, and was written as %q", text, got)
		}
	}
	for _, change := range []func(*Entry){
		func(e *Entry) { e.Rev = 1 << 53 },
		func(e *Entry) { e.Corrects = []int64{1, 1 << 53} },
		func(e *Entry) { e.Body = jsontext.Value(`{"n":9007199254740992}`) },
	} {
		e := sample()
		change(&e)
		if got, err := Encode(&e); err == nil {
			t.Errorf("written as %s", got)
		}
	}
}

// The example of RFC 8785 section 3.2.3, sorting of members by UTF-16 code units.
func TestCanonicalSortsMembersAsRFC8785(t *testing.T) {
	in := `{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",` +
		`"\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`
	got, err := Canonical([]byte(in))
	if err != nil {
		t.Fatal(err)
	}
	want := "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\"," +
		"\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestAnEntryHasAtMost65535Bytes(t *testing.T) {
	e := sample()
	fill := func(n int) ([]byte, error) {
		e.Body = jsontext.Value(`{"t":"` + strings.Repeat("a", n) + `"}`)
		return Encode(&e)
	}
	small, err := fill(0)
	if err != nil {
		t.Fatal(err)
	}
	room := MaxBytes - len(small)
	last, err := fill(room)
	if err != nil || len(last) != MaxBytes {
		t.Fatalf("the longest entry: %d bytes, %v", len(last), err)
	}
	if _, err := Decode(last); err != nil {
		t.Errorf("the longest entry is not read: %v", err)
	}
	if _, err := fill(room + 1); err == nil {
		t.Error("an entry of 65,536 bytes was written")
	}
	if _, err := Decode(append(last, ' ')); err == nil {
		t.Error("65,536 bytes were read as an entry")
	}
}

func TestDecodeReadsWhatEncodeWrites(t *testing.T) {
	text := rapid.String()
	rapid.Check(t, func(r *rapid.T) {
		e := sample()
		e.For, e.Key, e.Role = text.Draw(r, "for"), text.Draw(r, "key"), text.Draw(r, "role")
		e.Rev = rapid.Int64Range(1, 1<<40).Draw(r, "rev")
		body, err := json.Marshal(map[string]any{text.Draw(r, "member"): text.Draw(r, "value"), "n": rapid.Int32().Draw(r, "n")})
		if err != nil {
			r.Fatal(err)
		}
		e.Body = body
		b, err := Encode(&e)
		if err != nil {
			r.Fatal(err)
		}
		plain, err := json.Marshal(e)
		if err != nil {
			r.Fatal(err)
		}
		if other, err := jcs.Transform(plain); err != nil || string(other) != string(b) {
			r.Fatalf("written as %q, by another library as %q (%v)", b, other, err)
		}
		back, err := Decode(b)
		if err != nil {
			r.Fatalf("%s: %v", b, err)
		}
		if diff := cmp.Diff(e, back); diff != "" {
			r.Fatal(diff)
		}
	})
}

func FuzzDecodeIsStrict(f *testing.F) {
	f.Add([]byte(sampleBytes))
	f.Add([]byte(strings.Replace(sampleBytes, `"corrects":[]`, `"corrects":[0,7]`, 1)))
	f.Add([]byte(`{"v":1}`))
	f.Add([]byte(`{"v":99999999999999999999}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		e, err := Decode(b)
		if err != nil {
			return
		}
		again, err := Encode(&e)
		if err != nil || string(again) != string(b) {
			t.Errorf("%q was read, but is written as %q (%v)", b, again, err)
		}
	})
}

func FuzzParseCheckpointIsStrict(f *testing.F) {
	f.Add(Checkpoint{origin, 12, Hash{7}}.Text())
	f.Fuzz(func(t *testing.T, text string) {
		if c, err := ParseCheckpoint(text); err == nil && c.Text() != text {
			t.Errorf("%q was read, but is written as %q", text, c.Text())
		}
	})
}

func FuzzAnotherLibraryFindsTheSameCanonicalForm(f *testing.F) {
	f.Add([]byte(sampleBytes))
	f.Add([]byte(`{"b":[1,-0,"\u0007\/\ud83d\ude00"],"a":{"\u20ac":null,"1":true}}`))
	f.Add([]byte("\"\u007f\u2028\u0085\""))
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := Canonical(b)
		if err != nil {
			return
		}
		want, err := jcs.Transform(b)
		if err != nil || string(got) != string(want) {
			t.Errorf("%q: got %q, the other library %q (%v)", b, got, want, err)
		}
		if again, err := Canonical(got); err != nil || string(again) != string(got) {
			t.Errorf("%q is not stable: %q (%v)", got, again, err)
		}
	})
}
