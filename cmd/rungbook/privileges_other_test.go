//go:build !linux

package main

// giveUpPrivileges does nothing: developers on other systems do not run the tests
// as root.
func giveUpPrivileges() {}
