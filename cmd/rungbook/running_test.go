package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// The files that rungbook running prints name commands, flags, paths and ports.
// These tests hold them to the program.

var printed = map[string]string{"the unit": unitFile, "the settings": settingsFile, "the container file": containerFile,
	"the settings of Litestream": streamFile, "the guide": streamGuide}

// taken says whether the program takes a command line as far as its words go.
func taken(t *testing.T, line string) error {
	t.Helper()
	parser, err := kong.New(&commands{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = parser.Parse(strings.Fields(line))
	return err
}

func TestEveryCommandThatIsNamedIsOneOfTheProgram(t *testing.T) {
	named := 0
	// A command begins with the program's name and ends with its line, a quote or a >.
	command := regexp.MustCompile("(?m)(?:^|[ /\"`])rungbook ((?:doctor|serve|running|backup|restore|rebuild)\\b[^\"`>\n]*)")
	for where, text := range printed {
		for _, m := range command.FindAllStringSubmatch(text, -1) {
			line, _, _ := strings.Cut(m[1], " tells ")
			// What the unit names is there only once it is installed.
			line = strings.ReplaceAll(line, "--settings /etc/rungbook/rungbook.settings", "")
			if strings.HasSuffix(strings.TrimSpace(line), "--help") {
				line = strings.ReplaceAll(line, "--help", "")
			}
			named++
			if err := taken(t, line); err != nil {
				t.Errorf("%s names rungbook %s: %v", where, line, err)
			}
		}
	}
	if named < 8 {
		t.Errorf("only %d commands are named: the test looks for the wrong thing", named)
	}
}

func TestTheFileOfSettingsIsTakenAlsoWithItsCommentSignsTakenAway(t *testing.T) {
	flags := serveFlags(t)
	s, err := parseSettings("rungbook.settings", []byte(settingsFile), flags)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"data": "/var/lib/rungbook", "listen": "127.0.0.1:8080", "trusted-proxy": "127.0.0.1", "metrics-listen": "127.0.0.1:9180"} {
		if s[name].value != want {
			t.Errorf("%s is %q, want %q", name, s[name].value, want)
		}
	}
	offered := 0
	for _, m := range regexp.MustCompile(`(?m)^# ([a-z-]+ = .*)$`).FindAllStringSubmatch(settingsFile, -1) {
		offered++
		if _, err := parseSettings("rungbook.settings", []byte(m[1]), flags); err != nil {
			t.Errorf("%q is offered: %v", m[1], err)
		}
	}
	if offered < 3 {
		t.Errorf("%d settings stand behind comment signs", offered)
	}
}

func TestTheUnitAgreesWithTheSettings(t *testing.T) {
	for _, want := range []string{
		"\nExecStart=/usr/local/bin/rungbook serve --settings /etc/rungbook/rungbook.settings\n",
		"\nStateDirectory=rungbook\n", // is /var/lib/rungbook, the settings' data
		"\nUser=rungbook\n", "\nUMask=0077\n", "\nStateDirectoryMode=0700\n", "\nNoNewPrivileges=yes\n", "\nProtectSystem=strict\n",
		"\nRestartPreventExitStatus=2\n", // exitUnusable
	} {
		if !strings.Contains(unitFile, want) {
			t.Errorf("the unit lacks %q", want)
		}
	}
	if exitUnusable != 2 {
		t.Errorf("the unit takes 2 for what a restart can't mend; it is %d", exitUnusable)
	}
	if !strings.Contains(streamFile, "path: /var/lib/rungbook/rungbook.db\n") {
		t.Error("Litestream is told of another database")
	}
	// The credentials that the settings name are those of the unit.
	for _, m := range regexp.MustCompile(`/run/credentials/rungbook.service/(\S+)`).FindAllStringSubmatch(settingsFile, -1) {
		if !strings.Contains(unitFile, "LoadCredential="+m[1]+":") {
			t.Errorf("the settings name the credential %s, which the unit does not hand over", m[1])
		}
	}
}

func TestTheContainerIsSetByVariablesOfTheProgram(t *testing.T) {
	flags := serveFlags(t)
	variables := regexp.MustCompile(`RUNGBOOK_[A-Z_]+=[^\s\\]+`).FindAllString(containerFile, -1)
	if len(variables) < 6 {
		t.Fatalf("the container file names %v", variables)
	}
	s, err := fromEnvironment(variables, flags)
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := strings.Cut(s["listen"].value, ":")
	_, figures, _ := strings.Cut(s["metrics-listen"].value, ":")
	for _, want := range []string{"\nEXPOSE " + port + " " + figures + "\n", "\nVOLUME " + s["data"].value + "\n", "\nUSER 10001:10001\n", "\nFROM scratch\n",
		`CMD ["/rungbook", "running", "health", "http://127.0.0.1:` + figures + `/healthz"]`, " -p 127.0.0.1:8080:" + port + " ", " ./cmd/rungbook "} {
		if !strings.Contains(containerFile, want) {
			t.Errorf("the container file lacks %q", want)
		}
	}
	if err := taken(t, "running health http://127.0.0.1:9180/healthz"); err != nil {
		t.Error(err)
	}
	module, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	version := regexp.MustCompile(`(?m)^go (\d+\.\d+)`).FindSubmatch(module)
	if version == nil || !strings.Contains(containerFile, "golang:"+string(version[1])+" ") {
		t.Errorf("the container is built with another compiler than go.mod asks for, %s", version[1])
	}
}

func TestTheGuideNamesWhatIsInAFolderAndTheTargetThatTriesIt(t *testing.T) {
	for _, want := range []string{"`rungbook.db`", "`rungbook.key`", "`signin.db`"} {
		if !strings.Contains(streamGuide, want) {
			t.Errorf("the guide lacks %s", want)
		}
	}
	makefile, err := os.ReadFile("../../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile("`make ([a-z]+)`").FindAllStringSubmatch(streamGuide, -1) {
		if !strings.Contains(string(makefile), "\n"+m[1]+":") {
			t.Errorf("the guide names make %s, which is no target", m[1])
		}
	}
}
