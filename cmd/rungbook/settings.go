package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/kong"
	"github.com/hbollon/go-edlib"

	"rungbook/internal/fault"
)

// Every flag of serve can also be said by the environment and by a file of
// settings, under the same name. Nearest wins: flag, environment, file, default.

// envPrefix begins the variables that are ours.
const envPrefix = "RUNGBOOK_"

// envName is the variable of a flag: --metrics-listen is RUNGBOOK_METRICS_LISTEN.
func envName(flag string) string {
	return envPrefix + strings.ToUpper(strings.ReplaceAll(flag, "-", "_"))
}

// settingsFlag names the file itself, and so can't stand in it.
const settingsFlag = "settings"

// notSettings are variables of ours that other commands read.
var notSettings = []string{envPrefix + "PASSPHRASE"}

// A said is the value of a setting and where it was said, for messages.
type said struct{ value, where string }

// settings are what environment and file say, by the name of the flag.
type settings map[string]said

// Validate satisfies kong.Resolver: names and values were looked at before.
func (settings) Validate(*kong.Application) error { return nil }

// Resolve answers for flags that were not given.
func (s settings) Resolve(_ *kong.Context, _ *kong.Path, flag *kong.Flag) (any, error) {
	if one, ok := s[flag.Name]; ok {
		return one.value, nil
	}
	return nil, nil
}

// BeforeResolve reads environment and file, after the command line. Error: one
// sentence that names the variable or the line.
func (c *serveCommand) BeforeResolve(ctx *kong.Context) error {
	flags := map[string]*kong.Flag{}
	for _, f := range ctx.Selected().Flags {
		flags[f.Name] = f
	}
	s, err := fromEnvironment(os.Environ(), flags)
	if err != nil {
		return err
	}
	file := s[settingsFlag].value
	for _, p := range ctx.Path {
		if p.Flag != nil && p.Flag.Name == settingsFlag {
			file, _ = ctx.FlagValue(p.Flag).(string)
		}
	}
	if file != "" {
		text, err := readSettings(file)
		if err != nil {
			return err
		}
		inFile, err := parseSettings(file, text, flags)
		if err != nil {
			return err
		}
		for name, one := range inFile {
			if _, nearer := s[name]; !nearer {
				s[name] = one
			}
		}
	}
	ctx.AddResolver(s)
	return nil
}

// fromEnvironment takes the variables of flags. An empty one counts as absent. A
// variable with our prefix that is no flag is an error: a misspelt setting that is
// passed over is one that nobody misses until it matters.
func fromEnvironment(environ []string, flags map[string]*kong.Flag) (settings, error) {
	known, names := map[string]string{}, []string{}
	for name := range flags {
		known[envName(name)] = name
		names = append(names, envName(name))
	}
	for _, other := range notSettings {
		known[other] = ""
	}
	s := settings{}
	for _, pair := range environ {
		variable, value, _ := strings.Cut(pair, "=")
		if !strings.HasPrefix(variable, envPrefix) || value == "" {
			continue
		}
		name, ok := known[variable]
		if !ok {
			return nil, fault.New(fault.Invalid, "the environment holds %s, which is no setting%s", variable, nearest(variable, names))
		}
		if name == "" {
			continue
		}
		s[name] = said{value, "the environment's " + variable}
		if err := s.try(flags[name]); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// maxSettings is the largest file of settings read, in bytes.
const maxSettings = 256 << 10

func readSettings(file string) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, fault.New(fault.Unusable, "the settings %s can't be read: %w", file, plainCause(err))
	}
	text, err := io.ReadAll(io.LimitReader(f, maxSettings+1))
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, fault.New(fault.Unusable, "the settings %s can't be read: %w", file, plainCause(err))
	}
	if len(text) > maxSettings {
		return nil, fault.New(fault.Unusable, "the settings %s are larger than %d kB; this is another file", file, maxSettings>>10)
	}
	return text, nil
}

// parseSettings reads lines of the form name = value. A line that begins with # is
// a comment. A name may stand again only where the flag takes several values.
func parseSettings(file string, text []byte, flags map[string]*kong.Flag) (settings, error) {
	if !utf8.Valid(text) || bytes.IndexByte(text, 0) >= 0 {
		return nil, fault.New(fault.Invalid, "%s is not text in UTF-8", file)
	}
	var names []string
	for name := range flags {
		names = append(names, name)
	}
	s := settings{}
	for i, line := range strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		where := fmt.Sprintf("%s, line %d", file, i+1)
		name, value, ok := strings.Cut(line, "=")
		name, value = strings.TrimSpace(name), strings.TrimSpace(value)
		flag := flags[name]
		switch {
		case !ok || name == "" || value == "":
			return nil, fault.New(fault.Invalid, "%s: a line is name = value, or a comment after #", where)
		case flag == nil:
			return nil, fault.New(fault.Invalid, "%s: there is no setting of that name%s", where, nearest(name, names))
		case name == settingsFlag:
			return nil, fault.New(fault.Invalid, "%s: a file of settings can't name another", where)
		}
		if before, again := s[name]; again {
			if flag.Target.Kind() != reflect.Slice {
				return nil, fault.New(fault.Invalid, "%s: %s stands twice, first in %s", where, name, before.where)
			}
			value = before.value + string(flag.Tag.Sep) + value
		}
		s[name] = said{value, where}
		if err := s.try(flag); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// try reads the value of a flag as the command line would, so that a message can
// say where it stands.
func (s settings) try(flag *kong.Flag) error {
	one := s[flag.Name]
	target := reflect.New(flag.Target.Type()).Elem()
	if err := flag.Mapper.Decode(&kong.DecodeContext{Value: flag.Value, Scan: kong.Scan().PushTyped(one.value, kong.FlagValueToken)}, target); err != nil {
		return fault.New(fault.Invalid, "%s: --%s can't be %q: %w", one.where, flag.Name, one.value, plainCause(err))
	}
	if allowed := flag.EnumSlice(); flag.Enum != "" && !flag.EnumMap()[one.value] {
		return fault.New(fault.Invalid, "%s: --%s is %q; it takes %s", one.where, flag.Name, one.value, strings.Join(allowed, " or "))
	}
	return nil
}

// nearest suggests the name that was meant, where one is near.
func nearest(given string, names []string) string {
	best, least := "", 4 // a slip of three letters at most
	for _, name := range names {
		if d := edlib.LevenshteinDistance(given, name); d < least || d == least && name < best {
			best, least = name, d
		}
	}
	if best == "" {
		return "; rungbook serve --help lists them"
	}
	return "; is " + best + " meant?"
}

// withVariable adds to the help of each flag of serve the variable that says the same.
func withVariable(app *kong.Application, v *kong.Value) string {
	says := kong.DefaultHelpValueFormatter(v)
	for _, command := range app.Children {
		if command.Name != "serve" {
			continue
		}
		for _, f := range command.Flags {
			if f.Value == v {
				return says + " [" + envName(v.Name) + "]"
			}
		}
	}
	return says
}
