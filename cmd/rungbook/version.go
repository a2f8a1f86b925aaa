package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

type versionCommand struct{}

// Help says what the lines mean.
func (versionCommand) Help() string {
	return `Prints this program's version, with the revision of its source where it was built from a checkout, and the compiler's. Time zones come only from the data built into the program, never from the machine; they are those that came with the compiler.

Exit code: 0.`
}

// version is set by the linker for released builds.
var version = "development"

// Run prints the version. Zones come only from the data built into Go, so Go's
// version is also that of the zone data.
func (versionCommand) Run(s *surroundings) error {
	v := version
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, setting := range info.Settings {
			if setting.Key == "vcs.revision" {
				v += " " + setting.Value
			}
		}
	}
	fmt.Fprintf(s.stdout, "rungbook %s\ntime-zone data and compiler: %s (%s/%s)\n", v, runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return nil
}
