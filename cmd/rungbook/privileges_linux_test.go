package main

import (
	"fmt"
	"os"
	"runtime"
	"syscall"
)

// giveUpPrivileges takes from a root user's program the right to pass over the
// permissions of files, and starts it anew without. For other users it does
// nothing.
func giveUpPrivileges() {
	const done = "UNPRIVILEGED_RUNGBOOK"
	if os.Geteuid() != 0 || os.Getenv(done) != "" {
		return
	}
	runtime.LockOSThread() // the capabilities are a thread's, and exec passes on this one's
	const (
		dropFromBounding = 24 // PR_CAPBSET_DROP of prctl(2)
		overridePerms    = 1  // CAP_DAC_OVERRIDE of capabilities(7)
		searchAnywhere   = 2  // CAP_DAC_READ_SEARCH
	)
	for _, capability := range []uintptr{overridePerms, searchAnywhere} {
		if _, _, errno := syscall.RawSyscall(syscall.SYS_PRCTL, dropFromBounding, capability, 0); errno != 0 {
			fmt.Fprintln(os.Stderr, "giving up privileges:", errno)
			os.Exit(3)
		}
	}
	path, err := os.Executable()
	if err == nil {
		err = syscall.Exec(path, os.Args, append(os.Environ(), done+"=1"))
	}
	fmt.Fprintln(os.Stderr, "starting without privileges:", err)
	os.Exit(3)
}
