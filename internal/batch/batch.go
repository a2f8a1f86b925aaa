// Package batch knows what was brought in from one file: the list it was, the
// file's hash, what was taken and refused, and who vouched for it. It does not
// know how a file is read or judged.
package batch

import (
	"fmt"
	"strconv"
	"strings"

	"rungbook/internal/id"
)

// List is what a file lists; a closed list.
type List string

// The lists.
const (
	People         List = "people"
	Certificates   List = "certificates"
	Qualifications List = "qualifications"
	Sessions       List = "sessions" // past ones, with attendance
	Inspections    List = "inspections"
	Intakes        List = "intakes" // with their trainees
)

// Lists returns every list in the order in which a centre brings them in.
func Lists() []List {
	return []List{People, Qualifications, Inspections, Intakes, Certificates, Sessions}
}

// Batch is one file brought in. Its facts are the ledger's entries from First up
// to the batch's own first entry, each marked with the row it came from.
type Batch struct {
	ID       id.Batch      `json:"id"`
	List     List          `json:"list"`
	File     string        `json:"file"` // SHA-256 of the file's bytes, in hex
	Name     id.Commitment `json:"name"` // of the file
	Mapping  id.Commitment `json:"mapping"`
	Rows     int           `json:"rows"`           // below the heads
	Taken    int           `json:"taken"`          // rows, those with caution counted
	Cautions int           `json:"cautions"`       // rows taken with caution
	Refused  int           `json:"refused"`        // rows left out
	First    int64         `json:"first"`          // index of its first fact
	By       id.Person     `json:"by"`             // who vouched
	Back     bool          `json:"back,omitempty"` // taken back as a whole
}

const mark = "batch-"

// Mark returns what stands in an entry's For: the batch and the row of its file.
func Mark(b id.Batch, row int) string { return fmt.Sprintf("%s%s-row-%d", mark, b, row) }

// Marked reads what Mark wrote; ok is false for anything else.
func Marked(s string) (b id.Batch, row int, ok bool) {
	rest, ours := strings.CutPrefix(s, mark)
	of, number, two := strings.Cut(rest, "-row-")
	row, err := strconv.Atoi(number)
	if !ours || !two || of == "" || err != nil || row < 1 {
		return "", 0, false
	}
	return id.Batch(of), row, true
}
