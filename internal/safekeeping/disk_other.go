//go:build !unix

package safekeeping

// freeOn is not known on this system.
func freeOn(string) (bytes uint64, ok bool) { return 0, false }

// oneDisk is not known on this system.
func oneDisk(string, string) (same, ok bool) { return false, false }

// mayWrite is not known on this system.
func mayWrite(string) error { return nil }
