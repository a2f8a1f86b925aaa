// Package migrations holds the schema of the database as a list of steps that
// only go forward. A step that was merged never changes: the runner in store
// keeps the SHA-256 of each applied file and refuses a database made by others.
package migrations

import "embed"

// Files are the steps, named 0001_name.sql and applied in that order.
//
//go:embed *.sql
var Files embed.FS
