package store

import (
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// longestName bounds what is typed for a name, in bytes.
const longestName = 200

// Newcomer makes a record of somebody who is known by name alone, such as a visitor.
// The error is fault.Invalid at "visitor".
func (tx *Tx) Newcomer(name string) (id.Person, error) {
	if name = strings.Join(strings.Fields(name), " "); name == "" || len(name) > longestName {
		return "", fault.Field("visitor", "Give a name, at most %d letters long.", longestName)
	}
	who := id.Person(tx.ID())
	_, err := tx.Put("recorded", tx.Today(), people.Person{ID: who, Name: tx.Seal("person/"+string(who), "name", name)})
	return who, err
}
