package plan

import (
	"bytes"
	"io"
	"slices"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/fault"
)

// shape is what an object or list of a file must hold, before any value is read.
// The key "*" stands for every element of a list and every name of a map.
type shape struct {
	required []string // members that must be there
	ids      []string // members that may be left out but name something if there
	inside   map[string]*shape
}

// The members that must be present, by place; those with a question mark may be
// absent but not empty, since absent means something else there. Any other that
// is absent is empty, 0 or the default of its field.
var (
	problemShape = shapeOf(map[string]string{
		"":                        "format zone from days open weights",
		"/open/*":                 "from to",
		"/daylight/*":             "day from to",
		"/rigs/*":                 "id",
		"/stations/*":             "id rig places",
		"/stations/*/rescue":      "kit?",
		"/circuits/*":             "id",
		"/kits/*":                 "id count",
		"/kits/*/shut/*":          "from to",
		"/exercises/*":            "id minutes stations ratio",
		"/exercises/*/ratio_at/*": "station ratio",
		"/exercises/*/after/*":    "exercise",
		"/exercises/*/uses/*":     "kit",
		"/exercises/*/energy/*":   "circuit state",
		"/courses/*":              "id",
		"/people/*":               "id rest person?",
		"/people/*/teaches/*":     "exercise from until",
		"/people/*/rescuer/*":     "from until",
		"/people/*/first_aid/*":   "from until",
		"/trainees/*":             "id intake needs rest person?",
		"/trainees/*/done/*":      "exercise at",
		"/trainees/*/holds/*":     "name from until",
		"/intakes/*":              "id",
		"/fixed/*":                "id exercise station start end",
		"/weights":                "unplaced",
	})
	planShape = shapeOf(map[string]string{
		"":            "format",
		"/sessions/*": "id exercise station start end",
		"/unplaced/*": "trainee exercise",
	})
)

func shapeOf(table map[string]string) *shape {
	root := &shape{}
	for place, members := range table {
		at := root
		for _, step := range strings.Split(place, "/")[1:] {
			if at.inside == nil {
				at.inside = make(map[string]*shape)
			}
			if at.inside[step] == nil {
				at.inside[step] = &shape{}
			}
			at = at.inside[step]
		}
		for _, name := range strings.Fields(members) {
			if id, optional := strings.CutSuffix(name, "?"); optional {
				at.ids = append(at.ids, id)
			} else {
				at.required = append(at.required, name)
			}
		}
	}
	return root
}

func (s *shape) at(step string) *shape {
	if s == nil || s.inside == nil {
		return nil
	}
	if inner := s.inside[step]; inner != nil {
		return inner
	}
	return s.inside["*"]
}

// level is one open object or list of the survey.
type level struct {
	shape  *shape
	object bool
	name   string // last member name read, when the next token is its value
	atName bool   // the next token is a member name
	seen   uint64 // required members seen, by index
}

// survey reads a file once for its form: it refuses malformed JSON, repeated
// members, null anywhere, and absent required members. It returns the texts of
// the top-level string members by pointer.
func survey(data []byte, root *shape) (map[string]string, error) {
	dec := jsontext.NewDecoder(bytes.NewReader(data))
	found := make(map[string]string)
	var open []level
	for {
		tok, err := dec.ReadToken()
		if err == io.EOF && len(open) == 0 && dec.InputOffset() > 0 {
			return found, nil
		}
		if err == io.EOF {
			return nil, fault.Field("", "is empty, must be one JSON object")
		}
		if err != nil {
			return nil, inWords(data, err)
		}
		if len(open) == 0 {
			if tok.Kind() == '}' || tok.Kind() == ']' {
				continue
			}
			if tok.Kind() != '{' || len(found) > 0 {
				return nil, fault.Field("", "must be one JSON object")
			}
			open = append(open, level{shape: root, object: true, atName: true})
			continue
		}
		if open, err = step(open, tok, dec, found); err != nil {
			return nil, err
		}
	}
}

// step takes one token inside the open levels.
func step(open []level, tok jsontext.Token, dec *jsontext.Decoder, found map[string]string) ([]level, error) {
	top := &open[len(open)-1]
	kind := tok.Kind()
	if kind == '}' || kind == ']' {
		if err := top.complete(dec); err != nil {
			return nil, err
		}
		return open[:len(open)-1], nil
	}
	if top.object && top.atName {
		top.atName, top.name = false, tok.String()
		top.note()
		return open, nil
	}
	top.atName = top.object
	switch kind {
	case 'n':
		return nil, fault.Field(string(dec.StackPointer()), "is null; leave the member out instead")
	case '"':
		if top.object && top.shape != nil && tok.String() == "" && slices.Contains(top.shape.ids, top.name) {
			return nil, fault.Field(string(dec.StackPointer()), "is empty, must be an id or left out")
		}
		if len(open) == 1 {
			found["/"+top.name] = tok.String()
		}
	case '{', '[':
		next := top.shape.at("*")
		if top.object {
			next = top.shape.at(top.name)
		}
		open = append(open, level{shape: next, object: kind == '{', atName: kind == '{'})
	}
	return open, nil
}

func (l *level) note() {
	if l.shape == nil {
		return
	}
	for i, name := range l.shape.required {
		if name == l.name {
			l.seen |= 1 << i
		}
	}
}

func (l *level) complete(dec *jsontext.Decoder) error {
	if l.shape == nil || !l.object {
		return nil
	}
	for i, name := range l.shape.required {
		if l.seen&(1<<i) == 0 {
			// The decoder has already left the object; its pointer names it.
			return fault.Field(string(dec.StackPointer().AppendToken(name)), "is required")
		}
	}
	return nil
}
