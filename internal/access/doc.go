// Package access holds who may do what: one table of action and role. An actor
// is an argument, never a context value. It knows nothing of requests, sessions
// or records beyond the person they are about. Read table.go first; access.go
// has the records.
package access
