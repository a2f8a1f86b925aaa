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

// oneDisk reports whether two folders lie on the same file system; ok is false where
// that is not known.
func oneDisk(a, b string) (same, ok bool) {
	var x, y syscall.Stat_t
	if syscall.Stat(a, &x) != nil || syscall.Stat(b, &y) != nil {
		return false, false
	}
	return x.Dev == y.Dev, true
}

// mayWrite says what keeps this user from making files in a folder, nil for nothing.
func mayWrite(dir string) error { return syscall.Access(dir, 2) } // W_OK of access(2)
