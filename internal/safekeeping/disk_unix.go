//go:build unix

package safekeeping

import "syscall"

// freeOn is how many bytes this user may still write beside a path.
func freeOn(path string) (bytes uint64, ok bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(path, &s); err != nil {
		return 0, false
	}
	return uint64(s.Bavail) * uint64(s.Bsize), true
}
