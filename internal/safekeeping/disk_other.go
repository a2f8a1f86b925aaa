//go:build !unix

package safekeeping

// freeOn is not known on this system.
func freeOn(string) (bytes uint64, ok bool) { return 0, false }
