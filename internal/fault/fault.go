// Package fault is the vocabulary of errors a person can act on: what kind it
// is, where it is, and a sentence for the page or the terminal. Any other error
// is internal. Which status or exit code a kind becomes is decided once, in
// httpd/errors.go and cmd/rungbook/exit.go.
package fault

import (
	"errors"
	"fmt"
)

// Kind says what a person can do about an error.
type Kind int

// The kinds. Internal is what every error is that names no kind.
const (
	Internal  Kind = iota // our fault; nothing for the person to mend
	Invalid               // what was sent is not usable; Field says where
	NotFound              // no such thing, or not for this person to see
	Conflict              // somebody else was first, or the record has moved on
	Forbidden             // this person may not do this
	Gone                  // it was there and has ended (a used link, a lapsed grant)
	Refused               // a rule stops it; the finding is in the report beside the error
	Unusable              // the place we keep data in can't be used: damaged, newer, read-only, full
	Busy                  // somebody's long work is in the way; the same again, later, is right
)

var kindNames = [...]string{"internal", "invalid", "not found", "conflict", "forbidden", "gone", "refused", "unusable", "busy"}

// String returns the kind's name in plain words.
func (k Kind) String() string { return kindNames[k] }

// Error is an error with a kind and a sentence for a person.
type Error struct {
	Kind    Kind
	Field   string // form field name or JSON pointer; "" when none
	Message string // one sentence: what was found, what is required
	After   int    // of Busy: seconds until the same is worth another try
	Err     error  // cause, may be nil; printed after the sentence unless the sentence already holds it
}

func (e *Error) Error() string {
	s := e.Message
	if e.Field != "" {
		s = e.Field + ": " + s
	}
	if _, told := e.Err.(hidden); e.Err != nil && !told {
		s += ": " + e.Err.Error()
	}
	return s
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// New returns an error of kind k with a formatted sentence. A %w verb keeps the cause.
func New(k Kind, format string, args ...any) *Error {
	err := fmt.Errorf(format, args...)
	return &Error{Kind: k, Message: err.Error(), Err: hidden{errors.Unwrap(err)}.orNil()}
}

// Field returns an Invalid error at a form field or JSON pointer.
func Field(field, format string, args ...any) *Error {
	return &Error{Kind: Invalid, Field: field, Message: fmt.Sprintf(format, args...)}
}

// hidden keeps a cause reachable by errors.Is and As without printing it twice.
type hidden struct{ err error }

func (h hidden) orNil() error {
	if h.err == nil {
		return nil
	}
	return h
}
func (h hidden) Error() string { return h.err.Error() }
func (h hidden) Unwrap() error { return h.err }

// Of returns the kind of err, Internal where it names none.
func Of(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return Internal
}

// Message returns the sentence for a person, "" for internal errors.
func Message(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Message
	}
	return ""
}

// After returns how many seconds to wait before the same is tried again, 0 where
// err is not of kind Busy.
func After(err error) int {
	var e *Error
	if errors.As(err, &e) {
		return e.After
	}
	return 0
}

// Fields collects field errors of one form. The zero value is ready.
type Fields map[string]string

// Add notes the first error of a field.
func (f Fields) Add(field, format string, args ...any) {
	if _, ok := f[field]; !ok {
		f[field] = fmt.Sprintf(format, args...)
	}
}

// Form is an Invalid error that carries one sentence per field.
type Form struct{ Fields Fields }

func (e *Form) Error() string { return fmt.Sprintf("%d field(s) need mending", len(e.Fields)) }

// Err returns nil if no field failed, else a *Form of kind Invalid.
func (f Fields) Err() error {
	if len(f) == 0 {
		return nil
	}
	return &Error{Kind: Invalid, Message: "Some fields need mending.", Err: &Form{f}}
}
