// Package store keeps the record: an append-only ledger of facts in SQLite,
// tables derived from it in the same transaction, and private values apart. It
// is the only package that knows SQL. Read returns what stood at one entry and
// on one day; Write appends facts. It judges no rule and knows no journey.
// Read store.go first, then at.go (what "stood" means) and project.go (how a
// fact becomes rows).
package store
