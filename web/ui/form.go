package ui

import "strconv"

// Kind says how a field is filled in.
type Kind string

// The kinds of fields.
const (
	Text       Kind = "text"
	Email      Kind = "email"
	Password   Kind = "password"
	Date       Kind = "date"
	Time       Kind = "time"
	Number     Kind = "number"
	Search     Kind = "search"
	Select     Kind = "select"
	Area       Kind = "textarea"
	Checkboxes Kind = "checkboxes"
	Radio      Kind = "radio"
)

// Field is one question of a form with all that belongs to it.
type Field struct {
	Name, Label string
	Kind        Kind // Text when ""
	Value       string
	Hint, Error string
	Options     []Option // of Select, Checkboxes and Radio
	Unit        string   // behind a Number
	Required    bool
	Short       bool   // as wide as a date or a name of ten letters
	Complete    string // autocomplete, "off" when ""
	InputMode   string
	Min, Max    string
	Step        string
	// ID is the element's id; Name when "". Give it where two forms of one page
	// ask the same question.
	ID string
}

// Option is one answer offered.
type Option struct {
	Value, Label, Note string
	Chosen             bool
	Shut               bool // shown, but can't be chosen; Note says why
}

// FieldError is a line of the summary above a form: the message leads to its field.
type FieldError struct{ Field, Text string }

// Form is a form and its one main button.
type Form struct {
	Action string
	Get    bool
	Key    string // client key of a command, kept over attempts; "" in GET forms
	Hidden []Value
	Errors []FieldError
	Lead   string // stands above Errors; notSaved when ""
	Button string // says what happens: "Shut deck N"
	Unseen string // follows Button for those who hear it, where several say the same: "on Deck 14 north"
	Grave  bool   // the button takes something away
	Swap   string // id of the region to swap, "" for none
	Label  string // names the form for those who hear it, where a page has several; ""
	Also   Also   // a second button; zero for none
	Draws  string // id of the region that follows what is typed, through Also; "" for none
}

// Also is a second button that shows the page anew with what is typed and saves
// nothing.
type Also struct{ Text, Action string }

func (f Field) id() string {
	if f.ID != "" {
		return f.ID
	}
	return f.Name
}

func (f Field) kind() string {
	if f.Kind == "" {
		return string(Text)
	}
	return string(f.Kind)
}

func (f Field) complete() string {
	if f.Complete == "" {
		return "off"
	}
	return f.Complete
}

// describedBy names the hint and the error, in the order they are read.
func (f Field) describedBy() string {
	s := ""
	if f.Hint != "" {
		s = f.id() + "-hint"
	}
	if f.Error != "" {
		if s != "" {
			s += " "
		}
		s += f.id() + "-error"
	}
	return s
}

// choiceID is the id of one option; the first has the field's own, so that the
// error summary leads to it.
func (f Field) choiceID(i int) string {
	if i == 0 {
		return f.id()
	}
	return f.id() + "-" + strconv.Itoa(i+1)
}

func (f Field) length() string {
	if f.Short {
		return "short"
	}
	return "full"
}

func (f Form) buttonKind() string {
	if f.Grave {
		return "grave"
	}
	return "main"
}

// Errors lists the messages of a form's fields in the fields' order.
func Errors(fields []Field) []FieldError {
	var out []FieldError
	for _, f := range fields {
		if f.Error != "" {
			out = append(out, FieldError{f.id(), f.Error})
		}
	}
	return out
}

func choiceType(k Kind) string {
	if k == Radio {
		return "radio"
	}
	return "checkbox"
}

const notSaved = "Not saved. To mend:"

func (f Form) lead() string {
	if f.Lead == "" {
		return notSaved
	}
	return f.Lead
}
