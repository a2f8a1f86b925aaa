package store

import (
	"fmt"
	"reflect"

	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

// A kind is what the store knows about one kind of record: where its rows go,
// and what to draw from its body.
type kind struct {
	name   string
	table  string
	record reflect.Type
	// facet: describes a record of another kind and shares its id.
	facet bool
	// slow: read as a whole through Reference; may count from a day to come.
	slow bool

	decode  func(body []byte) (any, error)
	id      func(any) string
	refers  func(any) []string        // ids of the records it speaks of
	texts   func(any) []id.Commitment // what Reference.Text knows of it
	check   func(any) error           // what no table can hold, as fault.Invalid
	columns []string                  // its own columns beside the common ones
	values  func(any) []any           // their values
	derive  func(*projector, fact) error
	insert  string // statement that adds a row
}

// traits is a kind before its record type is forgotten. Only id is needed.
type traits[T any] struct {
	table   string
	facet   bool
	slow    bool
	id      func(T) string
	refers  func(T) []string
	texts   func(T) []id.Commitment
	check   func(T) error
	columns []string
	values  func(T) []any
	derive  func(*projector, fact, T) error
}

func kindOf[T any](name string, t traits[T]) *kind {
	k := &kind{
		name: name, table: t.table, record: reflect.TypeFor[T](), facet: t.facet, slow: t.slow, columns: t.columns,
		decode: func(body []byte) (any, error) { return decodeBody[T](body) },
		id:     func(r any) string { return t.id(r.(T)) },
		refers: func(any) []string { return nil },
		texts:  func(any) []id.Commitment { return nil },
		check:  func(any) error { return nil },
		values: func(any) []any { return nil },
		derive: func(*projector, fact) error { return nil },
	}
	if t.refers != nil {
		k.refers = func(r any) []string { return t.refers(r.(T)) }
	}
	if t.texts != nil {
		k.texts = func(r any) []id.Commitment { return t.texts(r.(T)) }
	}
	if t.check != nil {
		k.check = func(r any) error { return t.check(r.(T)) }
	}
	if t.values != nil {
		k.values = func(r any) []any { return t.values(r.(T)) }
	}
	if t.derive != nil {
		k.derive = func(p *projector, f fact) error { return t.derive(p, f, f.record.(T)) }
	}
	k.insert = k.insertStatement()
	return k
}

// kinds is every kind of record.
var (
	kinds       = append(slowKinds(), recordKinds()...)
	kindsByName = index(func(k *kind) string { return k.name })
	kindsByType = index(func(k *kind) reflect.Type { return k.record })
)

func index[K comparable](key func(*kind) K) map[K]*kind {
	out := map[K]*kind{}
	for _, k := range kinds {
		out[key(k)] = k
	}
	return out
}

// kindOfRecord returns the kind of a domain struct, given by value.
func kindOfRecord(record any) (*kind, error) {
	k, ok := kindsByType[reflect.TypeOf(record)]
	if !ok {
		return nil, fmt.Errorf("%T is no kind of record; records are given by value", record)
	}
	return k, nil
}

// fact is one entry with its record decoded.
type fact struct {
	index  int64
	entry  ledger.Entry
	kind   *kind
	record any
}

// factOf decodes an entry's record.
func factOf(index int64, e ledger.Entry) (fact, error) {
	k, ok := kindsByName[e.Kind]
	if !ok {
		return fact{}, fmt.Errorf("entry %d: kind %q is not known to this program", index, e.Kind)
	}
	record, err := k.decode(e.Body)
	if err != nil {
		return fact{}, fmt.Errorf("entry %d: %s %s: %w", index, e.Kind, e.ID, err)
	}
	if got := k.id(record); got != e.ID {
		return fact{}, fmt.Errorf("entry %d: %s %s holds the body of %s", index, e.Kind, e.ID, got)
	}
	return fact{index, e, k, record}, nil
}

// ids gathers ids of different kinds as texts.
func ids[T ~string](more ...T) []string {
	out := make([]string, 0, len(more))
	for _, m := range more {
		out = append(out, string(m))
	}
	return out
}
