// Package booking is the journey of an instructor: see the board, ask for free
// times, book, move, change people, stand down, reopen, accept a caution. Every
// change is judged by planning.Slice.Change inside the transaction that writes
// it; a change that a rule stops writes nothing. Read desk.go, then book.go.
package booking
