// Package ledger knows what a fact looks like in bytes, how facts are chained
// into a Merkle tree (RFC 6962), how the tree's head is signed (C2SP checkpoint
// in a signed note), and how a value kept elsewhere is committed to. It keeps
// nothing itself and knows no record's content: a body is canonical JSON to it.
// Read entry.go first.
package ledger
