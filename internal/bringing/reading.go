package bringing

import "rungbook/internal/sheets"

// Habits are how days and numbers of a file are written; pages set them.
type Habits = sheets.Habits

// MaxBytes is the largest file that is taken.
const MaxBytes = sheets.MaxBytes

// The habits that a person can set.
const (
	DayFirst   = sheets.DayFirst
	MonthFirst = sheets.MonthFirst
	Since1900  = sheets.Since1900
	Since1904  = sheets.Since1904
)

// Encodings lists those a CSV may be read in.
func Encodings() []string { return sheets.Encodings() }
