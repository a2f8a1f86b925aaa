package bringing

import (
	"slices"
	"strings"

	"github.com/hbollon/go-edlib"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// someone is a person on record or of an earlier row of the file.
type someone struct {
	id     id.Person // "" of a row, until it is written
	row    int       // 0 = on record
	name   string
	key    string // folded, parts in order of the alphabet
	born   civil.Day
	number string
}

// register finds people by name, birth date and number.
type register struct {
	byKey, byNumber, byStart map[string][]*someone
	byBorn                   map[civil.Day][]*someone
}

const registerPage = 500

func newRegister(v *store.View) (*register, error) {
	r := &register{map[string][]*someone{}, map[string][]*someone{}, map[string][]*someone{}, map[civil.Day][]*someone{}}
	for f := (store.PersonFilter{Limit: registerPage}); ; {
		rows, next, err := v.Persons(f)
		if err != nil {
			return nil, err
		}
		var said []id.Commitment
		for _, p := range rows {
			said = append(said, p.Person.Born, p.Person.Number)
		}
		texts, err := v.Texts(said...)
		if err != nil {
			return nil, err
		}
		for _, p := range rows {
			born, err := civil.ParseDay(texts[p.Person.Born])
			if err != nil {
				born = 0 // not stated, or erased
			}
			r.add(&someone{id: p.Person.ID, name: p.Name, born: born, number: texts[p.Person.Number]})
		}
		if next == "" {
			return r, nil
		}
		f.AfterKey = next
	}
}

// keyOf folds a name; "Vale, Ingrid" and "Ingrid Vale" are one.
func keyOf(name string) string {
	parts := strings.FieldsFunc(store.Fold(name), func(r rune) bool { return strings.ContainsRune(" ,.-'", r) })
	slices.Sort(parts)
	return strings.Join(parts, " ")
}

// startOf is the first two letters of each part of a name: misspelt names mostly
// keep them.
func startOf(key string) string {
	var out []string
	for _, p := range strings.Fields(key) {
		r := []rune(p)
		out = append(out, string(r[:min(2, len(r))]))
	}
	return strings.Join(out, " ")
}

func (r *register) add(s *someone) {
	s.key = keyOf(s.name)
	r.byKey[s.key] = append(r.byKey[s.key], s)
	start := startOf(s.key)
	r.byStart[start] = append(r.byStart[start], s)
	if s.number != "" {
		r.byNumber[store.Fold(s.number)] = append(r.byNumber[store.Fold(s.number)], s)
	}
	if s.born != 0 {
		r.byBorn[s.born] = append(r.byBorn[s.born], s)
	}
}

// Likeness from which two names may be one person's: by name alone, and where
// the birth date is the same (Jaro-Winkler, 0 to 1; chosen by trial on invented
// names, no source).
const (
	likeAlone = 0.94
	likeBorn  = 0.90
	likeAsked = 0.90 // by name alone, where a person is asked and nothing is refused
)

func likeness(a, b string) float32 { return edlib.JaroWinklerSimilarity(a, b) }

// like returns who has a name like this one, the most alike, nil for nobody.
// alone is the likeness asked for where no birth date helps.
func (r *register) like(name string, born civil.Day, alone float32) *someone {
	key := keyOf(name)
	var best *someone
	var most float32
	look := func(list []*someone, least float32) {
		for _, s := range list {
			if born != 0 && s.born != 0 && s.born != born {
				continue
			}
			if n := likeness(key, s.key); n >= least && n > most {
				best, most = s, n
			}
		}
	}
	if born != 0 {
		look(r.byBorn[born], likeBorn)
	}
	look(r.byStart[startOf(key)], alone)
	return best
}

// where says where somebody stands, for a sentence.
func (s *someone) where() string {
	if s.row > 0 {
		return "row " + itoa(s.row)
	}
	return "the records"
}

// find returns the person a row is about; nil where the row was refused. The
// number decides before the name, and never against it.
func (l *line) find(nameField string) *someone {
	name, number, born := l.text(nameField), l.text("number"), l.past("born")
	if l.refused() {
		return nil
	}
	if number != "" {
		switch list := l.reg.byNumber[store.Fold(number)]; {
		case len(list) > 1:
			l.refuse("number", "The number %s belongs to more than one person.", number)
			return nil
		case len(list) == 1 && likeness(list[0].key, keyOf(name)) < likeBorn:
			l.refuse("number", "The number %s belongs to %s in the records, not to %s.", number, list[0].name, name)
			return nil
		case len(list) == 1:
			return l.same(nameField, list[0], name, born)
		}
	}
	return l.findByName(nameField, name, number, born)
}

// findByName finds whom a row is about where no number says it.
func (l *line) findByName(nameField, name, number string, born civil.Day) *someone {
	var fit []*someone
	for _, s := range l.reg.byKey[keyOf(name)] {
		if born == 0 || s.born == 0 || s.born == born {
			fit = append(fit, s)
		}
	}
	switch {
	case len(fit) > 1:
		l.refuse(nameField, "%d people are called %s. Give the birth date or number that tells them apart.", len(fit), name)
	case len(fit) == 1 && number != "" && fit[0].number != "":
		l.refuse("number", "%s has the number %s in the records, not %s.", fit[0].name, fit[0].number, number)
	case len(fit) == 1:
		l.takenForOne(nameField, fit[0], born)
		return l.same(nameField, fit[0], name, born)
	case len(l.reg.byKey[keyOf(name)]) > 0:
		l.refuse("born", "%s was born on another day by the records.", name)
	default:
		hint := ""
		if s := l.reg.like(name, born, likeAlone); s != nil {
			hint = " The nearest is " + s.name + "; if it is the same person, write the name so."
		}
		l.refuse(nameField, "%s is not on record. Bring in people first.%s", name, hint)
	}
	return nil
}

// takenForOne says that a row is put to somebody by what two people can share: who
// brings it in decides whether they are one.
func (l *line) takenForOne(nameField string, s *someone, born civil.Day) {
	by := "the name alone"
	if born != 0 && born == s.born {
		by = "name and birth date"
	}
	l.caution(nameField, "By %s this is taken for %s in %s; no number says so. Leave the row out if they are two people.", by, s.name, s.where())
}

// same notes what the file and the records say differently of one person.
func (l *line) same(nameField string, s *someone, name string, born civil.Day) *someone {
	if keyOf(name) != s.key {
		l.caution(nameField, "%s stands in the records as %s.", name, s.name)
	}
	switch {
	case born != 0 && s.born != 0 && born != s.born:
		l.refuse("born", "%s was born on %s by the records, not on %s.", s.name, s.born, born)
		return nil
	case born != 0 && s.born == 0:
		l.caution("born", "The records hold no birth date of %s to compare.", s.name)
	}
	return s
}
