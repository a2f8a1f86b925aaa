// Package archive writes the whole centre as one file that another start can read
// back to an equal centre, and that people and other programs can read without
// Rungbook.
//
// It knows the parts of an archive, their order, sums and limits; what is in a part
// and how it comes back to tables, the store says. It does not know how a backup is
// made: that is a copy of the database, for the same program and quick to return.
//
// Read parts.go first.
package archive
