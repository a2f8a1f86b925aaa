package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

type versionCommand struct{}

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
