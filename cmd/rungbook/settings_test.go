package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// serveFlags are the flags of serve as kong built them.
func serveFlags(t testing.TB) map[string]*kong.Flag {
	t.Helper()
	parser, err := kong.New(&commands{})
	if err != nil {
		t.Fatal(err)
	}
	flags := map[string]*kong.Flag{}
	for _, command := range parser.Model.Children {
		if command.Name == "serve" {
			for _, f := range command.Flags {
				flags[f.Name] = f
			}
		}
	}
	if len(flags) < 4 {
		t.Fatalf("serve has %d flags: the test looks in the wrong place", len(flags))
	}
	return flags
}

// parsed returns what serve understands, with an environment and a file.
func parsed(t *testing.T, file string, environment map[string]string, args ...string) (serveCommand, error) {
	t.Helper()
	for name, value := range environment {
		t.Setenv(name, value)
	}
	if file != "" {
		path := filepath.Join(t.TempDir(), "yard.settings")
		if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, "--settings", path)
	}
	var c commands
	parser, err := kong.New(&c)
	if err != nil {
		t.Fatal(err)
	}
	_, err = parser.Parse(append([]string{"serve"}, args...))
	return c.Serve, err
}

func TestAFlagGoesBeforeTheEnvironmentAndThatBeforeTheFileAndThatBeforeTheDefault(t *testing.T) {
	const file = "listen = 127.0.0.1:1003\n"
	variable := map[string]string{"RUNGBOOK_LISTEN": "127.0.0.1:1002"}
	for _, c := range []struct {
		name, file  string
		environment map[string]string
		args        []string
		want        string
	}{
		{"all", file, variable, []string{"--listen", "127.0.0.1:1001"}, "127.0.0.1:1001"},
		{"environment and file", file, variable, nil, "127.0.0.1:1002"},
		{"an empty variable and a file", file, map[string]string{"RUNGBOOK_LISTEN": ""}, nil, "127.0.0.1:1003"},
		{"the file", file, nil, nil, "127.0.0.1:1003"},
		{"flag and file", file, nil, []string{"--listen", "127.0.0.1:1001"}, "127.0.0.1:1001"},
		{"nothing", "", nil, nil, "127.0.0.1:8080"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := parsed(t, c.file, c.environment, c.args...)
			if err != nil || got.Listen != c.want {
				t.Errorf("listen is %q (%v), want %q", got.Listen, err, c.want)
			}
		})
	}
}

func TestTheFileItselfCanBeNamedByTheEnvironment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "yard.settings")
	if err := os.WriteFile(path, []byte("# a yard\r\n\r\ndata = /srv/yard # one\r\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := parsed(t, "", map[string]string{"RUNGBOOK_SETTINGS": path})
	if err != nil || got.Data != "/srv/yard # one" {
		t.Errorf("data is %q (%v); a comment has a line of its own", got.Data, err)
	}
}

// Every flag, also one that is added later, is set by each way.
func TestEveryFlagOfServeIsASettingByEnvironmentAndFile(t *testing.T) {
	flags := serveFlags(t)
	var help bytes.Buffer
	if code := run([]string{"serve", "--help"}, &help, &help); code != exitOK {
		t.Fatalf("--help ended with %d", code)
	}
	for name, f := range flags {
		value := "1"
		switch {
		case f.Enum != "":
			value = f.EnumSlice()[0]
		case f.IsBool():
			value = "true"
		case f.Target.Type().String() == "[]main.network":
			value = "192.0.2.0/24"
		case f.Target.Type().String() == "time.Duration":
			value = "1h"
		}
		s, err := fromEnvironment([]string{envName(name) + "=" + value}, flags)
		if err != nil || s[name].value != value {
			t.Errorf("by the environment, %s is %q (%v)", name, s[name].value, err)
		}
		if !strings.Contains(help.String(), "["+envName(name)+"]") {
			t.Errorf("--help does not tell of %s", envName(name))
		}
		if name == settingsFlag {
			continue
		}
		s, err = parseSettings("f", []byte(name+"="+value), flags)
		if err != nil || s[name].value != value {
			t.Errorf("by a file, %s is %q (%v)", name, s[name].value, err)
		}
	}
}

func TestWhatIsNoSettingIsToldWithItsPlace(t *testing.T) {
	flags := serveFlags(t)
	for name, c := range map[string]struct{ file, says string }{
		"a misspelt name":     {"\n# one\nlisen = a:1", "yard.settings, line 3: there is no setting of that name; is listen meant?"},
		"another name":        {"nothing-like-it-at-all = 1", "yard.settings, line 1: there is no setting of that name; rungbook serve --help lists them"},
		"no value":            {"listen =", "yard.settings, line 1: a line is name = value"},
		"no name":             {"= 3", "yard.settings, line 1: a line is name = value"},
		"no sign":             {"data = x\nlisten", "yard.settings, line 2: a line is name = value"},
		"twice":               {"listen = a:1\n\nlisten = a:2", "yard.settings, line 3: listen stands twice, first in yard.settings, line 1"},
		"another file":        {"settings = other", "yard.settings, line 1: a file of settings can't name another"},
		"a flag with dashes":  {"--listen = a:1", "yard.settings, line 1: there is no setting of that name; is listen meant?"},
		"no text":             {"listen = \xff", "is not text in UTF-8"},
		"a byte that is none": {"listen = \x00", "is not text in UTF-8"},
	} {
		if _, err := parseSettings("yard.settings", []byte(c.file), flags); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
	for name, c := range map[string]struct{ variable, says string }{
		"a misspelt variable": {"RUNGBOOK_LISTN=a:1", "the environment holds RUNGBOOK_LISTN, which is no setting; is RUNGBOOK_LISTEN meant?"},
		"another":             {"RUNGBOOK_=1", "which is no setting"},
	} {
		if _, err := fromEnvironment([]string{c.variable}, flags); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
	for _, fine := range []string{"RUNGBOOK_PASSPHRASE=of a backup", "RUNGBOOK_LISTN=", "RUNGBOOKS=1", "rungbook_listn=1", "PATH=x"} {
		if s, err := fromEnvironment([]string{fine}, flags); err != nil || len(s) > 0 {
			t.Errorf("%s: %v, %v, want it passed over", fine, s, err)
		}
	}
}

func FuzzParseSettings(f *testing.F) {
	flags := serveFlags(f)
	for _, seed := range []string{"", "listen = 127.0.0.1:1\n# c\r\n", "\ufefflisten=a", "listen=a\nlisten=b", "=\n", "\x00", "a=b"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := parseSettings("f", text, flags)
		if err != nil {
			return
		}
		for name, one := range s {
			if flags[name] == nil || one.value == "" || !strings.HasPrefix(one.where, "f, line ") {
				t.Errorf("%q became the setting %q = %+v", text, name, one)
			}
		}
	})
}
